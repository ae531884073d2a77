//! `plateau watch`: takes in each new log of a folder as soon as its writer has finished with it.
//!
//! A log counts as finished when its size and time have not changed for a while, and were the same
//! before and after it was read. Logs that a run of the shop has already are passed over. Nothing
//! is ever written into the watched folder; what could not be taken in is said here and kept as a
//! note in the shop.

use crate::Done;
use crate::cli::{UnitSystem, WatchArgs};
use crate::failure::Failure;
use crate::files::{name_of, shop_folder};
use crate::shown::units::Shown;
use crate::verbs::keep::now;
use crate::verbs::runs::line;
use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime};
use store::{FileRef, RunId, RunState, Store};
use takein::{TakeIn, TakeInError};

/// Endings of names that may be logs.
const LOGS: [&str; 10] = ["csv", "txt", "tsv", "tab", "dat", "asc", "log", "prn", "mf4", "mdf"];
/// How often to look.
const LOOK: Duration = Duration::from_millis(500);
/// Kind of the notes this verb leaves in the shop.
const NOTE: &str = "watch_failed";

/// What was last seen of a file.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Seen {
    size: u64,
    changed: Option<SystemTime>,
}

/// A file on its way.
#[derive(Debug)]
struct Waiting {
    seen: Seen,
    since: Instant,
    /// This state of the file was dealt with.
    done: bool,
    /// It was said that it cannot be opened.
    told: bool,
}

impl Waiting {
    fn new(seen: Seen) -> Self {
        Self { seen, since: Instant::now(), done: false, told: false }
    }
}

/// What became of a log that seemed finished.
enum Taken {
    /// Dealt with, until it changes.
    Done,
    /// It changed meanwhile: wait again.
    Later,
    /// It cannot be opened; its writer may still hold it.
    Shut(std::io::Error),
}

/// Watches until Ctrl-C; a process that is stopped in the middle leaves whole runs or none.
pub(crate) fn run(args: &WatchArgs) -> Result<Done, Failure> {
    let store = Store::open(&shop_folder(&args.shop)?)?;
    if let Some(key) = &args.dyno
        && store.dyno(key)?.is_none()
    {
        let there = store.dynos()?.into_iter().map(|d| d.key).collect();
        return Err(TakeInError::NoDyno { key: key.clone(), there }.into());
    }
    let mut waiting: HashMap<PathBuf, Waiting> = HashMap::new();
    let settle = Duration::from_secs_f64(args.settle);
    list(&args.folder)?;
    if !args.once {
        anstream::println!("Watching {}. Ctrl-C ends it.", args.folder.display());
    }
    let mut trouble = false;
    loop {
        let there = match list(&args.folder) {
            Ok(there) => {
                trouble = false;
                there
            }
            Err(failure) if args.once => return Err(failure),
            // A folder on another machine may go and come back: say it once and keep looking.
            Err(failure) => {
                if !trouble {
                    anstream::eprintln!("{}", failure.for_terminal());
                }
                trouble = true;
                Vec::new()
            }
        };
        if !trouble {
            waiting.retain(|path, _| there.iter().any(|(p, _)| p == path));
        }
        for (path, seen) in &there {
            let entry = waiting.entry(path.clone()).or_insert(Waiting::new(*seen));
            if entry.seen != *seen {
                *entry = Waiting::new(*seen);
            } else if !entry.done && entry.since.elapsed() >= settle {
                match take(&store, args, path, *seen)? {
                    Taken::Done => entry.done = true,
                    Taken::Later => {}
                    Taken::Shut(error) => {
                        if !entry.told {
                            anstream::eprintln!("{}", Failure::reading(path)(error).for_terminal());
                        }
                        entry.told = true;
                        // Without a second look there is nothing to wait for.
                        entry.done = args.once;
                    }
                }
            }
        }
        if args.once && waiting.values().all(|w| w.done) {
            return Ok(Done::Well);
        }
        std::thread::sleep(LOOK.min(settle.max(Duration::from_millis(20))));
    }
}

/// Files of the folder that may be logs, by name.
fn list(folder: &Path) -> Result<Vec<(PathBuf, Seen)>, Failure> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).map_err(Failure::reading(folder))? {
        let path = entry.map_err(Failure::reading(folder))?.path();
        if !may_be_log(&name_of(&path)) {
            continue;
        }
        if let Some(seen) = look(&path) {
            found.push((path, seen));
        }
    }
    found.sort_by(|a, b| a.0.cmp(&b.0));
    Ok(found)
}

/// Names that dynos give to logs; hidden, temporary and half-copied files are not among them.
fn may_be_log(name: &str) -> bool {
    let hidden = name.starts_with(['.', '~', '$', '_']);
    let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_lowercase());
    !hidden && ending.is_some_and(|ending| LOGS.contains(&ending.as_str()))
}

/// Size and time of a file that holds something; `None` if it is gone, empty or no plain file.
fn look(path: &Path) -> Option<Seen> {
    let there = fs::metadata(path).ok().filter(|m| m.is_file() && m.len() > 0)?;
    Some(Seen { size: there.len(), changed: there.modified().ok() })
}

/// Takes one log in.
fn take(store: &Store, args: &WatchArgs, path: &Path, seen: Seen) -> Result<Taken, Failure> {
    let name = name_of(path);
    let bytes = match fs::read(path) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Taken::Later),
        Err(error) => return Ok(Taken::Shut(error)),
    };
    if look(path) != Some(seen) || bytes.len() as u64 != seen.size {
        return Ok(Taken::Later);
    }
    let content = FileRef::of(&name, &bytes);
    if !store.runs_with_file(&content.sha256)?.is_empty() {
        return Ok(Taken::Done);
    }
    let new = TakeIn {
        id: RunId::new(),
        files: vec![(name.clone(), bytes)],
        setup: pull::setup::Setup::default(),
        answers: pull::cell::Answers::default(),
        dyno: args.dyno.clone(),
        title: None,
        author: args.author.clone(),
        now: now(),
        again: false,
    };
    match takein::take_in(store, new) {
        Ok(run) => {
            anstream::println!("{}", line(&run, Shown::new(UnitSystem::Metric)).trim_start());
            if run.state == RunState::Asking {
                anstream::println!("      answer on the page of run {}", run.number);
            }
        }
        Err(TakeInError::TakenInBefore { .. }) => {}
        // The shop itself is in trouble: the log waits in its folder until the shop is well again.
        Err(error @ TakeInError::Store(_)) => return Err(error.into()),
        Err(error) => {
            let text = error.to_string();
            anstream::eprintln!("{}", Failure::Words(text.clone()).for_terminal());
            let subject = format!("{name} ({})", &content.sha256[..12]);
            let known = store.notes(1000)?.iter().any(|n| n.kind == NOTE && n.subject == subject && n.text == text);
            if !known {
                store.add_note(NOTE, &subject, &text)?;
            }
        }
    }
    Ok(Taken::Done)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn temporary_and_foreign_names_are_left_alone() {
        for name in ["pull-01.csv", "PULL.CSV", "a.b.mf4", "run 3.txt"] {
            assert!(may_be_log(name), "{name}");
        }
        for name in [".pull.csv", "~pull.csv", "pull.csv.part", "pull.csv~", "pull", "photo.jpg", "pull.tmp", "$x.csv"]
        {
            assert!(!may_be_log(name), "{name}");
        }
    }
}

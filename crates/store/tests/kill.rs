//! A process that is killed while four threads write entries: what was acknowledged is there, once, and the chain holds.
//!
//! The program starts itself again as the writer. The writer says on its output which entry it sends and which was
//! acknowledged; after a random time it is killed (SIGKILL on Unix). Then the shop is opened and checked, and everything
//! that was sent is sent once more, as a tablet does that got no answer.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;
use store::{NewEntry, Store};

/// Says where the writer's shop is; set only for the writer.
const CHILD: &str = "PLATEAU_KILL_STORE";
/// Kills in all.
const KILLS: u64 = 60;
/// Kills in one shop before the next is made.
const IN_ONE_SHOP: u64 = 15;
/// Threads that write.
const WRITERS: u64 = 4;
/// Fixed, so that a failure can be looked at again; the moments still depend on the machine's load.
const SEED: u64 = 20_261_128;

fn main() {
    match std::env::var_os(CHILD) {
        Some(dir) => write_until_killed(Path::new(&dir)),
        None => {
            acknowledged_entries_survive();
            println!("test acknowledged_entries_survive ... ok");
        }
    }
}

/// The same number gives the same entry, so that it can be sent again from outside.
fn entry(round: u64, writer: u64, n: u64) -> NewEntry {
    let uuid = |kind: u64, n: u64| {
        let (a, b) = (mixed(round << 20 | kind << 8 | writer), mixed(mixed(round) ^ kind << 60 ^ writer << 40 ^ n));
        let text = format!("{a:016x}{b:016x}");
        format!("{}-{}-{}-{}-{}", &text[..8], &text[8..12], &text[12..16], &text[16..20], &text[20..])
    };
    NewEntry {
        id: uuid(1, n),
        job: uuid(2, 0),
        at: "2026-04-08T08:10:00Z".into(),
        author: format!("writer {writer}"),
        kind: if n == 0 { "job_opened".into() } else { "reading".into() },
        body: format!(r#"{{"n":{n},"value_m":{}}}"#, 0.086 + n as f64 * 1e-6),
        files: Vec::new(),
        search_text: format!("reading {n} of writer {writer}"),
    }
}

/// The finaliser of splitmix64: every bit of the argument moves every bit of the result.
fn mixed(n: u64) -> u64 {
    let mut z = n.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A photo of its own for every fifth entry.
fn with_photo(store: &Store, mut new: NewEntry, n: u64) -> NewEntry {
    if n % 5 == 4 {
        let photo = store.keep_file("p.jpg", new.id.repeat(100).as_bytes()).expect("a photo is kept");
        new.files.push((photo.sha256, photo.name));
    }
    new
}

fn write_until_killed(dir: &Path) {
    let round: u64 = std::env::var("PLATEAU_KILL_ROUND").expect("a round").parse().expect("a number");
    let store = Store::open(dir).expect("the shop opens");
    std::thread::scope(|scope| {
        for writer in 0..WRITERS {
            let store = &store;
            scope.spawn(move || {
                for n in 0.. {
                    let new = entry(round, writer, n);
                    // One call each, so that a line is whole or not there.
                    let say = |word: &str| {
                        let _ = std::io::stdout().lock().write_all(format!("{word} {writer} {n}\n").as_bytes());
                    };
                    say("sent");
                    let stored = store.add_entries(&[with_photo(store, new, n)]).expect("an entry is added");
                    assert_eq!(stored.len(), 1);
                    say("saved");
                }
            });
        }
    });
}

fn acknowledged_entries_survive() {
    let dir = tempfile::tempdir().expect("a folder");
    let program = std::env::current_exe().expect("a path");
    let (mut acknowledged, mut in_flight, mut in_flight_there, mut without) = (0_usize, 0_usize, 0_usize, 0_usize);
    for round in 0..KILLS {
        let shop = dir.path().join(format!("shop-{}", round / IN_ONE_SHOP));
        let mut child = Command::new(&program)
            .env(CHILD, &shop)
            .env("PLATEAU_KILL_ROUND", round.to_string())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the writer starts");
        let output = child.stdout.take().expect("an output");
        let listener = std::thread::spawn(move || {
            let lines = BufReader::new(output).lines().map_while(Result::ok);
            let mut said: BTreeMap<(u64, u64), bool> = BTreeMap::new();
            for line in lines {
                let words: Vec<&str> = line.split(' ').collect();
                let [word, writer, n] = words[..] else { continue };
                let key = (writer.parse().expect("a number"), n.parse().expect("a number"));
                said.insert(key, word == "saved");
            }
            said
        });
        // Short and long: also while the shop is made, and while the database moves its log.
        let share = mixed(SEED ^ round) as f64 / u64::MAX as f64;
        std::thread::sleep(Duration::from_secs_f64(0.004 + 0.2 * share * share));
        let _ = child.kill();
        let ended = child.wait().expect("it ends");
        let said = listener.join().expect("the listener ends");
        let mut errors = String::new();
        child.stderr.take().expect("errors").read_to_string(&mut errors).expect("errors are read");
        assert!(ended.code().is_none() && errors.is_empty(), "not killed but failed: {errors}");

        let place = format!("kill {round}, seed {SEED}");
        let store = Store::open(&shop).expect("the shop opens after a kill");
        let report = store.check().expect("the check goes through");
        assert!(report.is_clean() && report.temporaries.is_empty(), "{report:?}: {place}");
        let before = report.entries;
        without += usize::from(said.is_empty());
        let (mut there, mut sent_again) = (0, 0);
        for (&(writer, n), &saved) in &said {
            let new = entry(round, writer, n);
            let found = store.entry(&new.id).expect("an entry is looked up");
            assert!(found.is_some() || !saved, "an acknowledged entry is gone: writer {writer}, {n}, {place}");
            there += usize::from(found.is_some());
            acknowledged += usize::from(saved);
            if !saved {
                in_flight += 1;
                in_flight_there += usize::from(found.is_some());
            }
            let stored = store.add_entries(&[with_photo(&store, new, n)]).expect("sent once more");
            assert!(found.is_none_or(|found| found == stored[0]), "sent again it came back otherwise: {place}");
            sent_again += 1;
        }
        assert!(said.iter().filter(|(_, saved)| !**saved).count() as u64 <= WRITERS, "{place}");
        let report = store.check().expect("the check goes through");
        assert!(report.is_clean(), "{report:?}: {place}");
        assert_eq!(report.entries, before + sent_again - there, "an entry is there twice: {place}");
        // Every entry of the round was said to be sent: none came from nowhere.
        let of_round: usize = (0..WRITERS)
            .map(|writer| store.entries(&entry(round, writer, 0).job, 0).expect("entries are read").len())
            .sum();
        assert_eq!(of_round, said.len(), "{place}");
    }
    println!(
        "{KILLS} kills, seed {SEED}: {acknowledged} entries acknowledged, {in_flight} on their way when killed, \
         {in_flight_there} of them saved all the same; {without} kills before the first was sent"
    );
    // Without these the kills would have missed what they are for.
    assert!(acknowledged as u64 > 5 * KILLS, "only {acknowledged} entries were acknowledged");
    assert!(in_flight as u64 > KILLS / 2, "only {in_flight} entries were on their way");
}

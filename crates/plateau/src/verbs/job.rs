//! `plateau job`: jobs in the terminal.

mod show;

use crate::Done;
use crate::cli::ShopArgs;
use crate::failure::Failure;
use crate::files::shop_folder;
use clap::{Args, Subcommand};
use notebook::{JobLine, Notebook};
use record::Stage;
use serde_json::json;
use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use store::Store;

/// `plateau job`.
#[derive(Debug, Args)]
pub(crate) struct JobArgs {
    #[command(subcommand)]
    pub(crate) verb: JobVerb,
}

/// What to do about jobs.
#[derive(Debug, Subcommand)]
pub(crate) enum JobVerb {
    /// List the jobs, newest first
    List {
        #[command(flatten)]
        shop: ShopArgs,
        /// Only jobs in which all these words stand: in claims, findings, parts, serial numbers, notes
        #[arg(long, value_name = "WORDS")]
        find: Option<String>,
        /// Only jobs in this stage: received, opened_up, agreed_build, measured_assembled, on_dyno, handed_over
        #[arg(long, value_name = "STAGE", value_parser = stage)]
        stage: Option<Stage>,
        /// One JSON object
        #[arg(long)]
        json: bool,
    },
    /// A job as it stands: claims, promises, sheets, questions, and what the next gate finds missing
    Show {
        /// Number of the job
        number: i64,
        #[command(flatten)]
        shop: ShopArgs,
        /// Also every entry of its notebook
        #[arg(long)]
        entries: bool,
        /// One JSON object
        #[arg(long)]
        json: bool,
    },
    /// Every entry of a job as JSON lines, with the hashes of the shop's chain
    Export {
        /// Number of the job
        number: i64,
        #[command(flatten)]
        shop: ShopArgs,
        /// File to write [default: standard output]
        #[arg(long, value_name = "FILE")]
        to: Option<PathBuf>,
        /// Folder for the photos and files of the job; made if it is missing
        #[arg(long, value_name = "DIR")]
        files: Option<PathBuf>,
    },
    /// Take a job in from JSON lines; entries that are there already count once
    Bring {
        /// The lines
        #[arg(value_name = "FILE.jsonl")]
        lines: PathBuf,
        #[command(flatten)]
        shop: ShopArgs,
        /// Folder in which the photos and files lie that the lines name
        #[arg(long, value_name = "DIR")]
        files: Option<PathBuf>,
    },
}

fn stage(text: &str) -> Result<Stage, String> {
    Stage::from_key(text).ok_or_else(|| {
        let keys: Vec<&str> = Stage::ALL.iter().map(|s| s.key()).collect();
        format!("one of {} is expected", keys.join(", "))
    })
}

/// Does what is asked.
pub(crate) fn run(args: &JobArgs) -> Result<Done, Failure> {
    let mut out = anstream::stdout().lock();
    match &args.verb {
        JobVerb::List { shop, find, stage, json } => {
            let lines = list(&open(shop)?, find.as_deref(), *stage)?;
            if *json {
                writeln!(out, "{:#}", json!({ "jobs": lines })).map_err(Failure::output)?;
            } else if lines.is_empty() {
                let words = if find.is_some() || stage.is_some() {
                    "No job fits."
                } else {
                    "No jobs yet. Open one on the page /jobs/new."
                };
                writeln!(out, "{words}").map_err(Failure::output)?;
            } else {
                for line in &lines {
                    writeln!(out, "{}", show::line(line)).map_err(Failure::output)?;
                }
            }
        }
        JobVerb::Show { number, shop, entries, json } => {
            let notebook = open(shop)?;
            let view = notebook.job(*number)?;
            let facts = notebook.facts(&view)?;
            if *json {
                writeln!(out, "{:#}", show::as_json(&view, &facts, *entries)).map_err(Failure::output)?;
            } else {
                write!(out, "{}", show::text(&view, &facts, *entries)).map_err(Failure::output)?;
            }
        }
        JobVerb::Export { number, shop, to, files } => {
            let notebook = open(shop)?;
            let view = notebook.job(*number)?;
            let text = notebook.export(&view)?;
            if let Some(dir) = files {
                write_files(&notebook, &view, dir)?;
            }
            match to {
                Some(path) => std::fs::write(path, text).map_err(Failure::writing(path))?,
                None => out.write_all(text.as_bytes()).map_err(Failure::output)?,
            }
        }
        JobVerb::Bring { lines, shop, files } => {
            let notebook = Notebook::of(Store::open(&shop_folder(shop)?)?);
            let text = std::fs::read_to_string(lines).map_err(Failure::reading(lines))?;
            let read = |name: &str| -> Option<Vec<u8>> {
                // A name in the lines is a name, not a way out of the folder.
                let plain = Path::new(name).file_name().is_some_and(|n| n == name);
                files.as_ref().filter(|_| plain).and_then(|dir| std::fs::read(dir.join(name)).ok())
            };
            let brought =
                notebook.bring(&text, &read).map_err(|e| Failure::Words(format!("{}: {e}", lines.display())))?;
            writeln!(out, "Job {}: {} entries, {} of them new", brought.number, brought.entries, brought.new)
                .map_err(Failure::output)?;
        }
    }
    Ok(Done::Well)
}

fn open(shop: &ShopArgs) -> Result<Notebook, Failure> {
    Ok(Notebook::of(Store::open_existing(&shop_folder(shop)?)?))
}

fn list(notebook: &Notebook, find: Option<&str>, stage: Option<Stage>) -> Result<Vec<JobLine>, Failure> {
    let wanted: Option<BTreeSet<i64>> = match find {
        Some(words) => {
            Some(notebook.store().search(words, usize::MAX)?.into_iter().map(|hit| hit.job_number).collect())
        }
        None => None,
    };
    let mut lines = Vec::new();
    for row in notebook.store().jobs()? {
        if wanted.as_ref().is_some_and(|w| !w.contains(&row.number)) {
            continue;
        }
        let line = JobLine::of(&*notebook.job(row.number)?);
        if stage.is_none_or(|s| s == line.stage) {
            lines.push(line);
        }
    }
    Ok(lines)
}

fn write_files(notebook: &Notebook, view: &notebook::JobView, dir: &Path) -> Result<(), Failure> {
    std::fs::create_dir_all(dir).map_err(Failure::writing(dir))?;
    for file in &view.job.files {
        let bytes = notebook.store().read_file(&file.value.sha256)?;
        // Two photos may come with one name: the content's address tells them apart.
        let name =
            Path::new(&file.value.name).file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let mut path = dir.join(&name);
        if std::fs::read(&path).is_ok_and(|there| there != bytes) {
            path = dir.join(format!("{}-{name}", &file.value.sha256[..12]));
        }
        std::fs::write(&path, bytes).map_err(Failure::writing(&path))?;
    }
    Ok(())
}

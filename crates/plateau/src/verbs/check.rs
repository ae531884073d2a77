//! `plateau check`: is everything there that the shop keeps.

use crate::Done;
use crate::cli::CheckArgs;
use crate::failure::Failure;
use crate::files::shop_folder;
use notebook::{Notebook, RecordCheck};
use std::io::Write;
use store::{CheckReport, Store};

/// Faults of the record told one by one; the rest is counted.
const TOLD: usize = 50;

/// Works out every hash of the record again and folds every job, reads every kept file and compares it with its name.
/// Ends with 1 if something is missing, changed or damaged.
pub(crate) fn run(args: &CheckArgs) -> Result<Done, Failure> {
    let dir = shop_folder(&args.shop)?;
    let store = Store::open_existing(&dir)?;
    let report = store.check()?;
    let record = match Notebook::of(store).check() {
        Ok(record) => record,
        // What cannot be read has been told already.
        Err(_) if !report.database.is_empty() => RecordCheck::default(),
        Err(error) => return Err(error.into()),
    };
    let well = report.is_clean() && record.faults.is_empty();
    let mut out = anstream::stdout().lock();
    if args.json {
        let mut value = serde_json::to_value(&report).map_err(|e| Failure::Words(e.to_string()))?;
        if let Some(object) = value.as_object_mut() {
            object.insert("record_faults".to_owned(), record.faults.clone().into());
            object.insert("record_conflicts".to_owned(), record.conflicts.clone().into());
            object.insert("clean".to_owned(), well.into());
        }
        writeln!(out, "{value:#}").map_err(Failure::output)?;
    } else {
        write!(out, "{}{}", text(&report, well), record_text(&record)).map_err(Failure::output)?;
    }
    Ok(if well { Done::Well } else { Done::NotWell })
}

/// What was found in the record, in words.
fn record_text(record: &RecordCheck) -> String {
    let mut text = String::new();
    for line in record.faults.iter().take(TOLD) {
        text += &format!("  record        {line}\n");
    }
    if record.faults.len() > TOLD {
        text += &format!("  record        and {} more\n", record.faults.len() - TOLD);
    }
    if !record.conflicts.is_empty() {
        text += &format!(
            "  to settle     {} that disagree; nothing is damaged, the pages of the jobs show them\n",
            count(record.conflicts.len(), "place has entries", "places have entries")
        );
    }
    text
}

/// The report in words.
pub(crate) fn text(report: &CheckReport, well: bool) -> String {
    let mut text = format!(
        "{}: {}, {}, {:.1} MB read and compared\n",
        if well { "All is there and unharmed" } else { "Not well" },
        holds(report),
        count(report.files, "file", "files"),
        report.bytes as f64 / 1e6
    );
    if let Some(newest) = &report.newest {
        text += &format!("  newest entry  {}, hash {}\n", newest.seq, newest.hash);
    }
    for line in &report.database {
        text += &format!("  database      {line}\n");
    }
    if !report.database.is_empty() {
        text +=
            "  go on         copy the whole folder first, then `plateau restore` the newest backup into an empty one\n";
    }
    for line in &report.bad_rows {
        text += &format!("  row           {line}\n");
    }
    for damage in &report.damaged {
        let runs = damage.used_by.iter().map(|(name, run)| format!("{name} of run {run}"));
        let entries = damage.used_by_entries.iter().map(|(name, job, n)| format!("{name} of job {job}, entry {n}"));
        let used: Vec<String> = runs.chain(entries).collect();
        text += &format!(
            "  file          {}\n                {}\n",
            used.join("; "),
            damage.what.replace('\n', "\n              ")
        );
    }
    if !report.unused_files.is_empty() {
        text += &format!(
            "  unused        {} kept and used by nothing, left by an import that was cut short; no harm is done\n",
            count(report.unused_files.len(), "file is", "files are")
        );
    }
    if !report.temporaries.is_empty() {
        text +=
            &format!("  temporary     {} being written now\n", count(report.temporaries.len(), "file is", "files are"));
    }
    text
}

/// "12 jobs with 480 entries, 3 runs".
pub(crate) fn holds(report: &CheckReport) -> String {
    format!(
        "{} with {}, {}",
        count(report.jobs, "job", "jobs"),
        count(report.entries, "entry", "entries"),
        count(report.runs, "run", "runs")
    )
}

/// A number with its word.
pub(crate) fn count(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

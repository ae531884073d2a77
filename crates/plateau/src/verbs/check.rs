//! `plateau check`: is everything there that the shop keeps.

use crate::Done;
use crate::cli::CheckArgs;
use crate::failure::Failure;
use crate::files::shop_folder;
use std::io::Write;
use store::{CheckReport, Store};

/// Reads every kept log and compares it with its name. Ends with 1 if something is missing or damaged.
pub(crate) fn run(args: &CheckArgs) -> Result<Done, Failure> {
    let dir = shop_folder(&args.shop)?;
    let report = Store::open_existing(&dir)?.check()?;
    let mut out = anstream::stdout().lock();
    if args.json {
        let mut value = serde_json::to_value(&report).map_err(|e| Failure::Words(e.to_string()))?;
        if let Some(object) = value.as_object_mut() {
            object.insert("clean".to_owned(), report.is_clean().into());
        }
        writeln!(out, "{value:#}").map_err(Failure::output)?;
    } else {
        write!(out, "{}", text(&report)).map_err(Failure::output)?;
    }
    Ok(if report.is_clean() { Done::Well } else { Done::NotWell })
}

fn text(report: &CheckReport) -> String {
    let mut text = format!(
        "{}: {} runs, {} logs, {:.1} MB read and compared\n",
        if report.is_clean() { "All is there and unharmed" } else { "Not well" },
        report.runs,
        report.files,
        report.bytes as f64 / 1e6
    );
    for line in &report.database {
        text += &format!("  database   {line}\n");
    }
    for line in &report.bad_rows {
        text += &format!("  entry      {line}\n");
    }
    for damage in &report.damaged {
        let used: Vec<String> = damage.used_by.iter().map(|(name, run)| format!("{name} of run {run}")).collect();
        text +=
            &format!("  log        {}\n             {}\n", used.join(", "), damage.what.replace('\n', "\n           "));
    }
    if !report.unused_files.is_empty() {
        text += &format!(
            "  unused     {} kept files belong to no run, left by an import that was cut short; they do no harm\n",
            report.unused_files.len()
        );
    }
    if !report.temporaries.is_empty() {
        text += &format!("  temporary  {} files are being written now\n", report.temporaries.len());
    }
    text
}

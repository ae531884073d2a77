//! `plateau restore`: a shop's folder from a backup.

use crate::Done;
use crate::cli::RestoreArgs;
use crate::failure::Failure;
use crate::shown::progress::Steps;
use crate::verbs::check;
use std::io::Write;
use store::{RestoreReport, Store};

/// Restores into an empty folder, checks everything, and says what is there. Ends with 1 if anything that the backup
/// should hold is not.
pub(crate) fn run(args: &RestoreArgs) -> Result<Done, Failure> {
    let steps = Steps::of_bytes("restoring");
    let restored = Store::restore(&args.file, &args.into, &mut |done, of| steps.at(done, of));
    steps.end();
    let (_, report) = restored?;
    let mut out = anstream::stdout().lock();
    if args.json {
        let mut value = serde_json::to_value(&report).map_err(|e| Failure::Words(e.to_string()))?;
        if let Some(object) = value.as_object_mut() {
            object.insert("whole".to_owned(), report.is_whole().into());
        }
        writeln!(out, "{value:#}").map_err(Failure::output)?;
    } else {
        write!(out, "{}", text(args, &report)).map_err(Failure::output)?;
    }
    Ok(if report.is_whole() && report.missing.is_empty() { Done::Well } else { Done::NotWell })
}

fn text(args: &RestoreArgs, report: &RestoreReport) -> String {
    let mut text = format!("Restored into {} from the backup of {}\n", args.into.display(), report.made_at);
    text += &check::text(&report.check, report.check.is_clean());
    if !report.missing.is_empty() {
        text += &format!(
            "  not in it     {} that the shop had lost before the backup was made; bring them in again\n",
            check::count(report.missing.len(), "file", "files")
        );
    }
    if report.check.newest != report.newest {
        let seq = report.newest.as_ref().map_or(0, |n| n.seq);
        text += &format!("  differs       the backup's list of contents names entry {seq} as the newest\n");
    }
    text + "  go on         everybody signs in again\n"
}

//! `plateau backup`: the whole shop into one file.

use crate::Done;
use crate::cli::BackupArgs;
use crate::failure::Failure;
use crate::files::shop_folder;
use crate::shown::progress::Steps;
use crate::verbs::check::count;
use std::io::Write;
use std::path::{Path, PathBuf};
use store::{BackupReport, Store};

/// Writes the backup, reads it back, and says what is in it. Ends with 1 if a file of the shop was missing or damaged.
pub(crate) fn run(args: &BackupArgs) -> Result<Done, Failure> {
    let dir = shop_folder(&args.shop)?;
    let store = Store::open_existing(&dir)?;
    let path = if args.file.is_dir() { args.file.join(name(&dir)) } else { args.file.clone() };
    let steps = Steps::of_bytes("backing up");
    let report = store.backup(&path, args.replace, &mut |done, of| steps.at(done, of));
    steps.end();
    let report = report?;
    let mut out = anstream::stdout().lock();
    if args.json {
        let value = serde_json::to_value(&report).map_err(|e| Failure::Words(e.to_string()))?;
        writeln!(out, "{value:#}").map_err(Failure::output)?;
    } else {
        write!(out, "{}", text(&report)).map_err(Failure::output)?;
    }
    Ok(if report.missing.is_empty() { Done::Well } else { Done::NotWell })
}

/// Name of a backup in a folder of backups: shop, day and time by the clock on the wall.
fn name(dir: &Path) -> PathBuf {
    let shop = dir.canonicalize().ok().and_then(|d| d.file_name().map(|n| n.to_string_lossy().into_owned()));
    let shop = shop.unwrap_or_else(|| "shop".to_owned());
    format!(
        "{shop}-{}.zip",
        jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::system()).strftime("%Y-%m-%d-%H%M%S")
    )
    .into()
}

fn text(report: &BackupReport) -> String {
    let mut text = format!(
        "Backed up into {}: {} and the database, {:.1} MB; read back and compared\n",
        report.path.display(),
        count(report.files, "file", "files"),
        report.bytes as f64 / 1e6
    );
    if let Some(newest) = &report.newest {
        text += &format!("  newest entry  {}, hash {}\n", newest.seq, newest.hash);
    }
    if !report.missing.is_empty() {
        text += &format!(
            "  not in it     {} of the shop, missing or damaged before; the rest is whole\n",
            count(report.missing.len(), "file", "files")
        );
        for file in &report.missing {
            text += &format!("                {}: {}\n", file.sha256, file.why);
        }
        text += "  go on         `plateau check` names what they belong to; bring the files in again\n";
    }
    text
}

//! Checking the record: every entry is read and every job folded again.

use crate::{Notebook, NotebookError, load};
use record::fold;
use serde::Serialize;

/// What a check of the record found.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct RecordCheck {
    /// Jobs folded.
    pub jobs: usize,
    /// Entries read.
    pub entries: usize,
    /// Entries that cannot be read, or that refer to what is not there, in words.
    pub faults: Vec<String>,
    /// Entries that disagree and wait for somebody to settle it. They are no fault of the record.
    pub conflicts: Vec<String>,
}

impl Notebook {
    /// Reads every entry of the shop and folds every job again. Reads only.
    ///
    /// # Errors
    /// Those of the store, where the check itself cannot go on.
    pub fn check(&self) -> Result<RecordCheck, NotebookError> {
        let mut report = RecordCheck::default();
        for row in self.store.jobs()? {
            let mut entries = Vec::new();
            for stored in self.store.entries(&row.job, 0)? {
                match load::read(&row, &stored) {
                    Ok(entry) => entries.push(entry),
                    Err(error) => report.faults.push(error.to_string()),
                }
            }
            report.jobs += 1;
            report.entries += entries.len();
            let job = fold(&entries);
            let number = row.number;
            report.faults.extend(job.misfits.iter().map(|m| format!("job {number}, entry {}: {}", m.entry, m.why)));
            if job.opened.is_none() {
                report.faults.push(format!("job {number} has no entry that opens it"));
            }
            report.conflicts.extend(job.conflicts.iter().map(|c| format!("job {number}: {}", c.what)));
        }
        Ok(report)
    }
}

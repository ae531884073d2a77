//! Checking a shop's folder: is everything there that the database names, and is it right.

use crate::Store;
use crate::chain;
use crate::entry::ShopHash;
use crate::error::StoreError;
use crate::files;
use crate::runs::rows_without_owner;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs;

/// A file that a run or an entry names and that is not as it should be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Damage {
    /// SHA-256 of the content as kept.
    pub sha256: String,
    /// Names it came with, and the numbers of the runs that use it.
    pub used_by: Vec<(String, i64)>,
    /// Names it came with, and job and number of the entries it belongs to.
    pub used_by_entries: Vec<(String, i64, i64)>,
    /// What is wrong and what to do, in words.
    pub what: String,
}

/// What a check found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, Default)]
pub struct CheckReport {
    /// Jobs in the database.
    pub jobs: usize,
    /// Entries of all jobs, each hash and link of which was worked out again.
    pub entries: usize,
    /// The newest entry; compared with a note of an earlier one it shows whether entries were cut off.
    pub newest: Option<ShopHash>,
    /// Runs in the database.
    pub runs: usize,
    /// Different files that runs and entries name.
    pub files: usize,
    /// Bytes read and compared.
    pub bytes: u64,
    /// Files missing or damaged.
    pub damaged: Vec<Damage>,
    /// Rows that cannot be read, belong to nothing, leave a gap in the order, or do not fit their hash.
    pub bad_rows: Vec<String>,
    /// What the database says about itself, if it is not well.
    pub database: Vec<String>,
    /// Kept files that nothing names: left by an import that was cut short. They do no harm.
    pub unused_files: Vec<String>,
    /// Temporaries, being written now or left by a process that was cut short.
    pub temporaries: Vec<String>,
}

impl CheckReport {
    /// Nothing is missing, damaged or out of order. Unused files and temporaries do not count.
    pub fn is_clean(&self) -> bool {
        self.damaged.is_empty() && self.bad_rows.is_empty() && self.database.is_empty()
    }
}

impl Store {
    /// Works out every hash and link of the entries again, reads every kept file and compares its content with its name,
    /// and checks the database. Reads only; a server may write meanwhile.
    ///
    /// # Errors
    /// Those of disk and database, where the check itself cannot go on.
    pub fn check(&self) -> Result<CheckReport, StoreError> {
        let mut report = CheckReport::default();
        let said = self.inner.read_afresh("checking the shop", |db| {
            // Goes through the index of words too.
            let mut said = db.prepare("PRAGMA integrity_check")?;
            Ok(said.query_map([], |r| r.get(0))?.collect::<Result<Vec<String>, _>>()?)
        });
        let said = report_damage(said, &mut report.database)?.unwrap_or_default();
        report.database.extend(said.into_iter().filter(|line| line != "ok"));
        let record =
            self.inner.read_afresh("checking the shop", |db| Ok((rows_without_owner(db)?, chain::verify(db)?)));
        if let Some((stray, record)) = report_damage(record, &mut report.database)? {
            report.bad_rows.extend(stray);
            report.bad_rows.extend(record.bad);
            (report.jobs, report.entries, report.newest) = (record.jobs, record.entries, record.newest);
        }
        match self.runs() {
            Err(StoreError::RowDamaged { what, why }) => report.bad_rows.push(format!("{what}: {why}")),
            runs => report.runs = report_damage(runs, &mut report.database)?.map_or(0, |runs| runs.len()),
        }
        let named = self.inner.read("checking the shop", |db| {
            let mut kept = db.prepare("SELECT sha256, size FROM files ORDER BY sha256")?;
            let kept = kept.query_map([], |r| Ok((r.get::<_, String>(0)?, r.get::<_, i64>(1)?)))?;
            Ok(kept.collect::<Result<Vec<_>, _>>()?)
        });
        let mut known = BTreeSet::new();
        for (sha256, size) in report_damage(named, &mut report.database)?.unwrap_or_default() {
            known.insert(sha256.clone());
            report.files += 1;
            let what = match self.read_file(&sha256) {
                Ok(bytes) if i64::try_from(bytes.len()) == Ok(size) => {
                    report.bytes += size as u64;
                    continue;
                }
                Ok(bytes) => format!("the database says {size} bytes, the file holds {}", bytes.len()),
                Err(error) => error.to_string(),
            };
            let users = report_damage(self.users_of(&sha256), &mut report.database)?;
            let (used_by, used_by_entries) = users.unwrap_or_default();
            report.damaged.push(Damage { sha256, used_by, used_by_entries, what });
        }
        let folder = self.inner.dir.join(files::KEPT);
        for part in names(&folder)? {
            for name in names(&folder.join(&part))? {
                if !known.contains(&name) {
                    report.unused_files.push(format!("{}/{part}/{name}", files::KEPT));
                }
            }
        }
        report.temporaries = names(&self.inner.dir.join(files::TEMPORARY))?;
        Ok(report)
    }

    /// Who uses a file.
    fn users_of(&self, sha256: &str) -> Result<Users, StoreError> {
        self.inner.read("checking the shop", |db| {
            let mut runs = db.prepare_cached(
                "SELECT f.name, r.number FROM run_files f JOIN runs r ON r.id = f.run WHERE f.sha256 = ?1
                 ORDER BY r.number, f.place",
            )?;
            let runs = runs.query_map([sha256], |r| Ok((r.get(0)?, r.get(1)?)))?;
            let mut entries = db.prepare_cached(
                "SELECT f.name, j.number, e.number FROM entry_files f JOIN entries e USING (seq) JOIN jobs j USING (job)
                 WHERE f.sha256 = ?1 ORDER BY e.seq, f.place",
            )?;
            let entries = entries.query_map([sha256], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?;
            Ok((runs.collect::<Result<_, _>>()?, entries.collect::<Result<_, _>>()?))
        })
    }
}

/// Name and run, and name, job and entry, of those who use a file.
type Users = (Vec<(String, i64)>, Vec<(String, i64, i64)>);

/// A damaged database is a finding, and the check goes on with what else there is.
fn report_damage<T>(result: Result<T, StoreError>, database: &mut Vec<String>) -> Result<Option<T>, StoreError> {
    match result {
        Ok(value) => Ok(Some(value)),
        Err(StoreError::DatabaseDamaged { why, .. }) => {
            let line = format!("a part of it cannot be read: {why}");
            if !database.contains(&line) {
                database.push(line);
            }
            Ok(None)
        }
        Err(other) => Err(other),
    }
}

/// Names in a folder, sorted; none if it is a plain file.
fn names(folder: &std::path::Path) -> Result<Vec<String>, StoreError> {
    let fault = |e| StoreError::io(folder, "checking the shop", e);
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).map_err(fault)? {
        found.push(entry.map_err(fault)?.file_name().to_string_lossy().into_owned());
    }
    found.sort();
    Ok(found)
}

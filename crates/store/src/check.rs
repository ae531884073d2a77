//! Checking a shop's folder: is everything there that the database names, and is it right.

use crate::Store;
use crate::error::StoreError;
use crate::files;
use crate::runs::rows_without_owner;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs;

/// A file that a run names and that is not as it should be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Damage {
    /// SHA-256 of the content as kept.
    pub sha256: String,
    /// Names it came with, and the numbers of the runs that use it.
    pub used_by: Vec<(String, i64)>,
    /// What is wrong and what to do, in words.
    pub what: String,
}

/// What a check found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, Default)]
pub struct CheckReport {
    /// Runs in the database.
    pub runs: usize,
    /// Different files that runs name.
    pub files: usize,
    /// Bytes read and compared.
    pub bytes: u64,
    /// Files missing or damaged.
    pub damaged: Vec<Damage>,
    /// Entries that cannot be read, belong to nothing, or leave a gap in the order.
    pub bad_rows: Vec<String>,
    /// What the database says about itself, if it is not well.
    pub database: Vec<String>,
    /// Kept files that no run names: left by an import that was cut short. They do no harm.
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
    /// Reads every kept file and compares its content with its name, and checks the database. Reads only.
    ///
    /// # Errors
    /// Those of disk and database, where the check itself cannot go on.
    pub fn check(&self) -> Result<CheckReport, StoreError> {
        let mut report = CheckReport::default();
        let named = self.inner.read("checking the shop", |db| {
            let mut said = db.prepare("PRAGMA integrity_check")?;
            let said: Vec<String> = said.query_map([], |r| r.get(0))?.collect::<Result<_, _>>()?;
            report.database.extend(said.into_iter().filter(|s| s != "ok"));
            report.bad_rows.extend(rows_without_owner(db)?);
            let mut named = db.prepare(
                "SELECT k.sha256, k.size, f.name, r.number FROM files k
                 LEFT JOIN run_files f USING (sha256) LEFT JOIN runs r ON r.id = f.run ORDER BY k.sha256, r.number",
            )?;
            let rows = named.query_map([], |r| {
                Ok((
                    r.get::<_, String>(0)?,
                    r.get::<_, i64>(1)?,
                    r.get::<_, Option<String>>(2)?,
                    r.get::<_, Option<i64>>(3)?,
                ))
            })?;
            Ok(rows.collect::<Result<Vec<_>, _>>()?)
        })?;
        report.runs = match self.runs() {
            Ok(runs) => runs.len(),
            Err(StoreError::RowDamaged { what, why }) => {
                report.bad_rows.push(format!("{what}: {why}"));
                0
            }
            Err(other) => return Err(other),
        };
        let mut known = BTreeSet::new();
        for rows in named.chunk_by(|a, b| a.0 == b.0) {
            let (sha256, size) = (&rows[0].0, rows[0].1);
            known.insert(sha256.clone());
            report.files += 1;
            let what = match self.read_file(sha256) {
                Ok(bytes) if i64::try_from(bytes.len()) == Ok(size) => {
                    report.bytes += size as u64;
                    continue;
                }
                Ok(bytes) => format!("the database says {size} bytes, the file holds {}", bytes.len()),
                Err(error) => error.to_string(),
            };
            let used_by = rows.iter().filter_map(|r| Some((r.2.clone()?, r.3?))).collect();
            report.damaged.push(Damage { sha256: sha256.clone(), used_by, what });
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

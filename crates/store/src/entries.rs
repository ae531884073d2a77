//! Entries of jobs in the database: added once, chained by hash, read in order.
//!
//! Every entry holds the hash of the one before it in its job and of the one before it in the shop, so that nothing
//! can be changed, taken out or put between without the chain showing it. What the chain cannot show is that its
//! newest entries were cut off; for that somebody has to have noted [`Store::last_shop_hash`].

use crate::Store;
use crate::canonical::{Hashed, NO_HASH, canonical_object};
use crate::changes;
use crate::db::Fault;
use crate::entry::{JobRow, NewEntry, ShopHash, StoredEntry};
use crate::error::StoreError;
use crate::search;
use rusqlite::{Connection, OptionalExtension, Row, ToSql, params};
use std::collections::BTreeMap;

/// The kind of entry that opens a job.
pub(crate) const JOB_OPENED: &str = "job_opened";

const COLUMNS: &str = "seq, number, id, job, at, received, author, kind, body, before, shop_before, hash";

const JOBS: &str =
    "SELECT j.job, j.number, j.opened_at, n.entries, n.at, n.seq FROM jobs j JOIN job_newest n USING (job)";

impl Store {
    /// Adds entries in one transaction: all or none. When this returns they are on the disk.
    ///
    /// An id that is there already with the same content gives back the entry as it was stored, wherever it stands in
    /// the job by now. The first entry of a job has the kind `job_opened` and makes the job's number.
    ///
    /// # Errors
    /// [`StoreError::EntryIdTaken`] if an id belongs to an entry that says something else, [`StoreError::NoJob`] and
    /// [`StoreError::JobThere`] about opening, [`StoreError::FileMissing`] if a file was not kept before,
    /// [`StoreError::NotJson`], [`StoreError::BadValue`], and those of disk and database; nothing is added then.
    pub fn add_entries(&self, new: &[NewEntry]) -> Result<Vec<StoredEntry>, StoreError> {
        let mut prepared = Vec::with_capacity(new.len());
        for entry in new {
            prepared.push(self.prepare(entry)?);
        }
        self.inner.write("adding entries", |db| prepared.iter().map(|entry| add(db, entry)).collect())
    }

    /// The entries of a job after a number (0 gives all), in order; none if there is no such job.
    ///
    /// # Errors
    /// Those of the database.
    pub fn entries(&self, job: &str, after_number: i64) -> Result<Vec<StoredEntry>, StoreError> {
        self.inner.read("reading the entries of a job", |db| {
            load(db, "job = ?1 AND number > ?2 ORDER BY number", &[&job, &after_number])
        })
    }

    /// One entry; `None` if there is none of this id.
    ///
    /// # Errors
    /// Those of the database.
    pub fn entry(&self, id: &str) -> Result<Option<StoredEntry>, StoreError> {
        self.inner.read("reading an entry", |db| Ok(load(db, "id = ?1", &[&id])?.pop()))
    }

    /// Entries of the whole shop after a place in its sequence, oldest first, at most `limit`.
    ///
    /// # Errors
    /// Those of the database.
    pub fn entries_since(&self, seq: i64, limit: usize) -> Result<Vec<StoredEntry>, StoreError> {
        let limit = i64::try_from(limit).unwrap_or(i64::MAX);
        self.inner.read("looking for new entries", |db| load(db, "seq > ?1 ORDER BY seq LIMIT ?2", &[&seq, &limit]))
    }

    /// Entries that a kept file belongs to, newest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn entries_with_file(&self, sha256: &str) -> Result<Vec<StoredEntry>, StoreError> {
        self.inner.read("looking for a file", |db| {
            load(db, "seq IN (SELECT seq FROM entry_files WHERE sha256 = ?1) ORDER BY seq DESC", &[&sha256])
        })
    }

    /// Every job, newest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn jobs(&self) -> Result<Vec<JobRow>, StoreError> {
        self.inner.read("listing the jobs", |db| {
            let mut found = db.prepare_cached(&format!("{JOBS} ORDER BY j.number DESC"))?;
            let rows = found.query_map([], job_row)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// How many jobs there are.
    ///
    /// # Errors
    /// Those of the database.
    pub fn count_jobs(&self) -> Result<usize, StoreError> {
        self.inner.read("counting the jobs", |db| {
            // Numbers have no gaps.
            let newest: i64 =
                db.prepare_cached("SELECT COALESCE(MAX(number), 0) FROM jobs")?.query_row([], |r| r.get(0))?;
            Ok(usize::try_from(newest).unwrap_or(0))
        })
    }

    /// Jobs, newest first: `most` of them after the first `skip`.
    ///
    /// # Errors
    /// Those of the database.
    pub fn jobs_newest(&self, skip: usize, most: usize) -> Result<Vec<JobRow>, StoreError> {
        let [skip, most] = [skip, most].map(|n| i64::try_from(n).unwrap_or(i64::MAX));
        self.inner.read("listing the jobs", |db| {
            let mut found = db.prepare_cached(&format!("{JOBS} ORDER BY j.number DESC LIMIT ?2 OFFSET ?1"))?;
            let rows = found.query_map([skip, most], job_row)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// A job by its id; `None` if there is none.
    ///
    /// # Errors
    /// Those of the database.
    pub fn job(&self, job: &str) -> Result<Option<JobRow>, StoreError> {
        self.inner.read("looking up a job", |db| {
            Ok(db.prepare_cached(&format!("{JOBS} WHERE j.job = ?1"))?.query_row([job], job_row).optional()?)
        })
    }

    /// A job by its number in this shop; `None` if there is none.
    ///
    /// # Errors
    /// Those of the database.
    pub fn job_by_number(&self, number: i64) -> Result<Option<JobRow>, StoreError> {
        self.inner.read("looking up a job", |db| {
            Ok(db.prepare_cached(&format!("{JOBS} WHERE j.number = ?1"))?.query_row([number], job_row).optional()?)
        })
    }

    /// The newest entry's place and hash; `None` while there is no entry. Printed on a paper that leaves the house, it
    /// shows later that no entry up to it was changed or lost.
    ///
    /// # Errors
    /// Those of the database.
    pub fn last_shop_hash(&self) -> Result<Option<ShopHash>, StoreError> {
        self.inner.read("reading the newest entry", |db| {
            let newest = last_in_shop(db)?;
            Ok(newest.map(|(seq, hash)| ShopHash { seq, hash }))
        })
    }

    /// Checks what can be checked without the database.
    fn prepare(&self, new: &NewEntry) -> Result<Prepared, StoreError> {
        uuid("id of an entry", &new.id)?;
        uuid("job of an entry", &new.job)?;
        if new.at.parse::<jiff::Timestamp>().is_err() {
            let expected = "RFC 3339, such as 2026-04-08T08:10:00+02:00";
            return Err(StoreError::BadValue { what: "time of an entry", found: new.at.clone(), expected });
        }
        if new.author.trim().is_empty() {
            let expected = "a name";
            return Err(StoreError::BadValue { what: "author of an entry", found: new.author.clone(), expected });
        }
        let word = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_';
        if new.kind.is_empty() || !new.kind.bytes().all(word) {
            let expected = "a word of lower-case letters, digits and _";
            return Err(StoreError::BadValue { what: "kind of an entry", found: new.kind.clone(), expected });
        }
        let mut files = Vec::with_capacity(new.files.len());
        for (sha256, name) in &new.files {
            let path = self.file_path(sha256)?;
            let missing = |_| StoreError::FileMissing { sha256: sha256.clone() };
            let size = std::fs::metadata(&path).map_err(missing)?.len();
            files.push((sha256.clone(), name.clone(), i64::try_from(size).unwrap_or(i64::MAX)));
        }
        let body = canonical_object("body of an entry", &new.body)?;
        Ok(Prepared { new: NewEntry { body, ..new.clone() }, files })
    }
}

/// An entry whose parts have been looked at.
struct Prepared {
    /// Its body is canonical.
    new: NewEntry,
    /// SHA-256, name and size of each file.
    files: Vec<(String, String, i64)>,
}

fn uuid(what: &'static str, text: &str) -> Result<(), StoreError> {
    let well_formed = uuid::Uuid::try_parse(text).is_ok_and(|id| id.hyphenated().to_string() == text);
    if well_formed {
        return Ok(());
    }
    let expected = "a UUID in lower case, such as 0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f10";
    Err(StoreError::BadValue { what, found: text.to_owned(), expected })
}

/// Adds one entry, or finds it there.
fn add(db: &Connection, Prepared { new, files }: &Prepared) -> Result<StoredEntry, Fault> {
    if let Some(there) = load(db, "id = ?1", &[&new.id])?.pop() {
        return if same(&there, new) { Ok(there) } else { Err(StoreError::EntryIdTaken { id: new.id.clone() }.into()) };
    }
    let in_job: Option<(i64, String)> = db
        .prepare_cached("SELECT number, hash FROM entries WHERE job = ?1 ORDER BY number DESC LIMIT 1")?
        .query_row([&new.job], |r| Ok((r.get(0)?, r.get(1)?)))
        .optional()?;
    match (&in_job, new.kind == JOB_OPENED) {
        (None, false) => return Err(StoreError::NoJob { job: new.job.clone(), id: new.id.clone() }.into()),
        (Some(_), true) => return Err(StoreError::JobThere { job: new.job.clone(), id: new.id.clone() }.into()),
        (Some(_), false) => {}
        (None, true) => {
            db.prepare_cached(
                "INSERT INTO jobs (job, number, opened_at) SELECT ?1, COALESCE(MAX(number), 0) + 1, ?2 FROM jobs",
            )?
            .execute(params![new.job, new.at])?;
        }
    }
    let (number, before) = in_job.map_or((1, NO_HASH.to_owned()), |(number, hash)| (number + 1, hash));
    let (seq, shop_before) = last_in_shop(db)?.map_or((1, NO_HASH.to_owned()), |(seq, hash)| (seq + 1, hash));
    let mut entry = StoredEntry {
        seq,
        number,
        id: new.id.clone(),
        job: new.job.clone(),
        at: new.at.clone(),
        received: changes::now(),
        author: new.author.clone(),
        kind: new.kind.clone(),
        body: new.body.clone(),
        files: new.files.clone(),
        before,
        shop_before,
        hash: String::new(),
    };
    entry.hash = hash_of(&entry);
    db.prepare_cached(&format!(
        "INSERT INTO entries ({COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)"
    ))?
    .execute(params![
        entry.seq,
        entry.number,
        entry.id,
        entry.job,
        entry.at,
        entry.received,
        entry.author,
        entry.kind,
        entry.body,
        entry.before,
        entry.shop_before,
        entry.hash
    ])?;
    for (place, (sha256, name, size)) in (1_i64..).zip(files) {
        db.prepare_cached("INSERT OR IGNORE INTO files (sha256, size) VALUES (?1, ?2)")?
            .execute(params![sha256, size])?;
        db.prepare_cached("INSERT INTO entry_files (seq, place, sha256, name) VALUES (?1, ?2, ?3, ?4)")?
            .execute(params![seq, place, sha256, name])?;
    }
    db.prepare_cached(
        "INSERT INTO job_newest (job, entries, seq, at) VALUES (?1, ?2, ?3, ?4)
         ON CONFLICT (job) DO UPDATE SET entries = excluded.entries, seq = excluded.seq, at = excluded.at",
    )?
    .execute(params![entry.job, entry.number, entry.seq, entry.received])?;
    search::add_words(db, seq, &new.search_text)?;
    changes::record(db, &entry.received, "entry", &entry.job)?;
    Ok(entry)
}

/// Whether an entry says what is stored under its id.
fn same(there: &StoredEntry, new: &NewEntry) -> bool {
    there.job == new.job
        && there.at == new.at
        && there.author == new.author
        && there.kind == new.kind
        && there.body == new.body
        && there.files == new.files
}

/// The hash that an entry must have.
pub(crate) fn hash_of(entry: &StoredEntry) -> String {
    Hashed {
        at: &entry.at,
        author: &entry.author,
        before: &entry.before,
        body: &entry.body,
        files: &entry.files,
        id: &entry.id,
        job: &entry.job,
        kind: &entry.kind,
        number: entry.number,
        received: &entry.received,
        shop_before: &entry.shop_before,
    }
    .hash()
}

fn last_in_shop(db: &Connection) -> rusqlite::Result<Option<(i64, String)>> {
    db.prepare_cached("SELECT seq, hash FROM entries ORDER BY seq DESC LIMIT 1")?
        .query_row([], |r| Ok((r.get(0)?, r.get(1)?)))
        .optional()
}

/// Entries that fit `which`, a condition on `entries` and its order, with their files.
pub(crate) fn load(db: &Connection, which: &str, values: &[&dyn ToSql]) -> Result<Vec<StoredEntry>, Fault> {
    let mut found = db.prepare_cached(&format!("SELECT {COLUMNS} FROM entries WHERE {which}"))?;
    let mut all = found.query_map(values, stored)?.collect::<Result<Vec<_>, _>>()?;
    // Files of the entries just read: few entries have any.
    let mut found = db.prepare_cached(&format!(
        "SELECT f.seq, f.sha256, f.name FROM (SELECT seq FROM entries WHERE {which}) e CROSS JOIN entry_files f USING (seq)
         ORDER BY f.seq, f.place"
    ))?;
    let mut rows = found.query(values)?;
    let mut files: BTreeMap<i64, Vec<(String, String)>> = BTreeMap::new();
    while let Some(row) = rows.next()? {
        files.entry(row.get(0)?).or_default().push((row.get(1)?, row.get(2)?));
    }
    for entry in &mut all {
        if let Some(of_it) = files.remove(&entry.seq) {
            entry.files = of_it;
        }
    }
    Ok(all)
}

fn stored(row: &Row<'_>) -> rusqlite::Result<StoredEntry> {
    Ok(StoredEntry {
        seq: row.get(0)?,
        number: row.get(1)?,
        id: row.get(2)?,
        job: row.get(3)?,
        at: row.get(4)?,
        received: row.get(5)?,
        author: row.get(6)?,
        kind: row.get(7)?,
        body: row.get(8)?,
        files: Vec::new(),
        before: row.get(9)?,
        shop_before: row.get(10)?,
        hash: row.get(11)?,
    })
}

fn job_row(row: &Row<'_>) -> rusqlite::Result<JobRow> {
    Ok(JobRow {
        job: row.get(0)?,
        number: row.get(1)?,
        opened_at: row.get(2)?,
        entries: row.get(3)?,
        last_at: row.get(4)?,
        last_seq: row.get(5)?,
    })
}

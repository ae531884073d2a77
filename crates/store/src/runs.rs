//! Runs in the database: adding, changing, reading.

use crate::Store;
use crate::changes;
use crate::db::Fault;
use crate::error::StoreError;
use crate::files::FileRef;
use crate::id::RunId;
use crate::run::{NewRun, Run, RunChange, RunHistory, RunState, WrittenChange};
use rusqlite::{Connection, Row, ToSql, params};
use std::collections::HashMap;

impl Store {
    /// Adds a run in one transaction. Adding the same id with the same logs again returns the run that is there.
    ///
    /// # Errors
    /// [`StoreError::IdTaken`] if the id belongs to a run with other logs, [`StoreError::FileMissing`]
    /// if a log was not kept before, [`StoreError::NotJson`], [`StoreError::BadValue`], and those of
    /// the database; nothing is added then.
    pub fn add_run(&self, new: NewRun) -> Result<Run, StoreError> {
        self.add_run_with(new, &[])
    }

    /// Adds a run and changes it at once, such as with [`RunChange::Against`]: one transaction, all or nothing.
    /// The changes are written down as the author's of the run.
    ///
    /// # Errors
    /// As [`Store::add_run`] and [`Store::change_run`].
    pub fn add_run_with(&self, new: NewRun, changed: &[RunChange]) -> Result<Run, StoreError> {
        check_new(&new)?;
        for change in changed {
            check_change(change)?;
        }
        for file in &new.files {
            let path = self.file_path(&file.sha256)?;
            match std::fs::metadata(&path) {
                Ok(there) if there.len() == file.size => {}
                Ok(_) => {
                    // Names what is wrong with it.
                    self.read_file(&file.sha256)?;
                    return Err(StoreError::BadValue {
                        what: "size of a log",
                        found: file.size.to_string(),
                        expected: "the size of the file that was kept",
                    });
                }
                Err(_) => return Err(StoreError::FileMissing { sha256: file.sha256.clone() }),
            }
        }
        self.inner.write("adding a run", |db| {
            if let Some(there) = load_one(db, "r.id = ?1", &new.id.to_string())? {
                let same = there.taken_in.files == new.files;
                return if same {
                    Ok(there.at_revision(i64::MAX))
                } else {
                    Err(StoreError::IdTaken { run: new.id }.into())
                };
            }
            insert(db, &new)?;
            write_changes(db, new.id, 1, changed, &new.author)
        })
    }

    /// A run as it stands; `None` if there is none of this id.
    ///
    /// # Errors
    /// Those of the database.
    pub fn run(&self, id: RunId) -> Result<Option<Run>, StoreError> {
        Ok(self.run_history(id)?.map(|h| h.at_revision(i64::MAX)))
    }

    /// A run by its number in this shop.
    ///
    /// # Errors
    /// Those of the database.
    pub fn run_by_number(&self, number: i64) -> Result<Option<Run>, StoreError> {
        let found = self.inner.read("reading a run", |db| load_one(db, "r.number = ?1", &number))?;
        Ok(found.map(|h| h.at_revision(i64::MAX)))
    }

    /// Every run as it stands, newest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn runs(&self) -> Result<Vec<Run>, StoreError> {
        let all = self.inner.read("listing the runs", |db| load(db, "1 = ?1", &1))?;
        Ok(all.into_iter().map(|h| h.at_revision(i64::MAX)).collect())
    }

    /// Runs in which a log with this content was taken in, newest first: the same log again is noticed by this.
    ///
    /// # Errors
    /// Those of the database.
    pub fn runs_with_file(&self, sha256: &str) -> Result<Vec<Run>, StoreError> {
        let which = "r.id IN (SELECT run FROM run_files WHERE sha256 = ?1)";
        let found = self.inner.read("looking for a log", |db| load(db, which, &sha256))?;
        Ok(found.into_iter().map(|h| h.at_revision(i64::MAX)).collect())
    }

    /// A run as taken in, with every change since.
    ///
    /// # Errors
    /// Those of the database.
    pub fn run_history(&self, id: RunId) -> Result<Option<RunHistory>, StoreError> {
        self.inner.read("reading a run", |db| load_one(db, "r.id = ?1", &id.to_string()))
    }

    /// Changes a run: adds one row. The run as it then stands is returned.
    ///
    /// # Errors
    /// [`StoreError::Conflict`] if the run is no longer at `expected_revision`, [`StoreError::NoRun`],
    /// [`StoreError::NotJson`], [`StoreError::BadValue`], and those of the database; nothing is changed then.
    pub fn change_run(
        &self,
        id: RunId,
        expected_revision: i64,
        change: &RunChange,
        author: &str,
    ) -> Result<Run, StoreError> {
        self.change_run_all(id, expected_revision, std::slice::from_ref(change), author)
    }

    /// Changes several things about a run at once, in one transaction: all or nothing. Each is a revision of its own.
    ///
    /// # Errors
    /// As [`Store::change_run`].
    pub fn change_run_all(
        &self,
        id: RunId,
        expected_revision: i64,
        changed: &[RunChange],
        author: &str,
    ) -> Result<Run, StoreError> {
        not_empty("author of a change", author, "a name")?;
        for change in changed {
            check_change(change)?;
        }
        self.inner.write("changing a run", |db| write_changes(db, id, expected_revision, changed, author))
    }
}

/// Writes changes of a run that stands at `expected`; the run as it then is.
fn write_changes(db: &Connection, id: RunId, expected: i64, changed: &[RunChange], author: &str) -> Result<Run, Fault> {
    let no_run = || Fault::from(StoreError::NoRun { run: id.to_string() });
    let mut run = load_one(db, "r.id = ?1", &id.to_string())?.ok_or_else(no_run)?.at_revision(i64::MAX);
    if run.revision != expected {
        return Err(StoreError::Conflict { run: id, expected, found: run.revision }.into());
    }
    for change in changed {
        if let RunChange::Against(Some(other)) = change
            && load_one(db, "r.id = ?1", &other.to_string())?.is_none()
        {
            return Err(StoreError::NoRun { run: other.to_string() }.into());
        }
        let written = WrittenChange {
            revision: run.revision + 1,
            at: changes::now(),
            author: author.to_owned(),
            change: change.clone(),
        };
        let body = serde_json::to_string(change).map_err(|e| not_json("a change", &e))?;
        db.prepare_cached(
            "INSERT INTO run_changes (run, revision, at, author, kind, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .execute(params![id.to_string(), written.revision, written.at, author, change.kind(), body])?;
        changes::record(db, &written.at, "run_change", &id.to_string())?;
        run.apply(&written);
    }
    Ok(run)
}

fn check_new(new: &NewRun) -> Result<(), StoreError> {
    not_empty("title of a run", &new.title, "a name")?;
    not_empty("author of a run", &new.author, "a name")?;
    if new.received_at.parse::<jiff::Timestamp>().is_err() {
        return Err(StoreError::BadValue {
            what: "time of arrival",
            found: new.received_at.clone(),
            expected: "RFC 3339 in UTC, such as 2026-04-08T08:10:00Z",
        });
    }
    if new.files.is_empty() {
        return Err(StoreError::BadValue { what: "logs of a run", found: "none".into(), expected: "at least one" });
    }
    is_json("setup of a run", &new.setup_json)?;
    is_json("answers of a run", &new.answers_json)?;
    is_json("headline of a run", &new.headline_json)
}

fn check_change(change: &RunChange) -> Result<(), StoreError> {
    match change {
        RunChange::Setup { json } => is_json("setup of a run", json),
        RunChange::Answers { json } => is_json("answers of a run", json),
        RunChange::Headline { json } => is_json("headline of a run", json),
        RunChange::Title(title) => not_empty("title of a run", title, "a name"),
        RunChange::LeftOut { reason: Some(reason), .. } => {
            not_empty("reason for leaving a pull out", reason, "a reason")
        }
        RunChange::AcceptedTakenBack { reason } => not_empty("reason for taking back", reason, "a reason"),
        _ => Ok(()),
    }
}

fn not_empty(what: &'static str, text: &str, expected: &'static str) -> Result<(), StoreError> {
    if text.trim().is_empty() {
        return Err(StoreError::BadValue { what, found: text.to_owned(), expected });
    }
    Ok(())
}

fn is_json(what: &'static str, text: &str) -> Result<(), StoreError> {
    serde_json::from_str::<serde::de::IgnoredAny>(text).map(|_| ()).map_err(|e| not_json(what, &e))
}

fn not_json(what: &'static str, why: &serde_json::Error) -> StoreError {
    StoreError::NotJson { what, why: why.to_string() }
}

fn insert(db: &Connection, new: &NewRun) -> Result<(), Fault> {
    let id = new.id.to_string();
    let number: i64 = db.query_row("SELECT COALESCE(MAX(number), 0) + 1 FROM runs", [], |r| r.get(0))?;
    db.execute(
        "INSERT INTO runs (id, number, title, received_at, author, dyno, state, setup_json, answers_json, headline_json)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        params![
            id,
            number,
            new.title,
            new.received_at,
            new.author,
            new.dyno,
            new.state.key(),
            new.setup_json,
            new.answers_json,
            new.headline_json
        ],
    )?;
    for (place, file) in (1_i64..).zip(&new.files) {
        let size = i64::try_from(file.size).unwrap_or(i64::MAX);
        db.execute("INSERT OR IGNORE INTO files (sha256, size) VALUES (?1, ?2)", params![file.sha256, size])?;
        db.execute(
            "INSERT INTO run_files (run, place, sha256, name) VALUES (?1, ?2, ?3, ?4)",
            params![id, place, file.sha256, file.name],
        )?;
    }
    changes::record(db, &changes::now(), "run", &id)?;
    Ok(())
}

fn load_one(db: &Connection, which: &str, value: &dyn ToSql) -> Result<Option<RunHistory>, Fault> {
    Ok(load(db, which, value)?.into_iter().next())
}

/// Runs that fit `which` (a condition on `runs r` with one parameter), with their changes, newest first.
fn load(db: &Connection, which: &str, value: &dyn ToSql) -> Result<Vec<RunHistory>, Fault> {
    let mut found = db.prepare_cached(&format!(
        "SELECT id, number, title, received_at, author, dyno, state, setup_json, answers_json, headline_json
         FROM runs r WHERE {which} ORDER BY number DESC"
    ))?;
    let mut rows = found.query([value])?;
    let mut all = Vec::new();
    let mut place: HashMap<String, usize> = HashMap::new();
    while let Some(row) = rows.next()? {
        let (id, run) = taken_in(row)?;
        place.insert(id, all.len());
        all.push(RunHistory { taken_in: run, changes: Vec::new() });
    }
    let mut found = db.prepare_cached(&format!(
        "SELECT f.run, f.name, f.sha256, k.size FROM run_files f JOIN runs r ON r.id = f.run JOIN files k USING (sha256)
         WHERE {which} ORDER BY f.run, f.place"
    ))?;
    let mut rows = found.query([value])?;
    while let Some(row) = rows.next()? {
        if let Some(history) = place.get(row.get_ref(0)?.as_str().unwrap_or("")).and_then(|i| all.get_mut(*i)) {
            let size: i64 = row.get(3)?;
            let file = FileRef { name: row.get(1)?, sha256: row.get(2)?, size: size.max(0) as u64 };
            history.taken_in.files.push(file);
        }
    }
    let mut found = db.prepare_cached(&format!(
        "SELECT c.run, c.revision, c.at, c.author, c.body FROM run_changes c JOIN runs r ON r.id = c.run
         WHERE {which} ORDER BY c.run, c.revision"
    ))?;
    let mut rows = found.query([value])?;
    while let Some(row) = rows.next()? {
        if let Some(history) = place.get(row.get_ref(0)?.as_str().unwrap_or("")).and_then(|i| all.get_mut(*i)) {
            let revision: i64 = row.get(1)?;
            let body: String = row.get(4)?;
            let change = serde_json::from_str(&body).map_err(|e| StoreError::RowDamaged {
                what: format!("change {revision} of run {}", history.taken_in.number),
                why: e.to_string(),
            })?;
            history.changes.push(WrittenChange { revision, at: row.get(2)?, author: row.get(3)?, change });
        }
    }
    Ok(all)
}

fn taken_in(row: &Row<'_>) -> Result<(String, Run), Fault> {
    let id: String = row.get(0)?;
    let number: i64 = row.get(1)?;
    let damaged = |why: String| StoreError::RowDamaged { what: format!("run {number}"), why };
    let state: String = row.get(6)?;
    let run = Run {
        id: id.parse().map_err(|e: StoreError| damaged(e.to_string()))?,
        number,
        title: row.get(2)?,
        received_at: row.get(3)?,
        author: row.get(4)?,
        dyno: row.get(5)?,
        files: Vec::new(),
        state: RunState::from_key(&state).ok_or_else(|| damaged(format!("state `{state}` is not known")))?,
        setup_json: row.get(7)?,
        answers_json: row.get(8)?,
        headline_json: row.get(9)?,
        against: None,
        accepted: None,
        revision: 1,
    };
    Ok((id, run))
}

/// Entries that belong to nothing, or leave a gap in an order. In words, for the check.
pub(crate) fn rows_without_owner(db: &Connection) -> Result<Vec<String>, Fault> {
    let mut bad = Vec::new();
    let mut ask = |sql: &str| -> Result<(), Fault> {
        let mut found = db.prepare(sql)?;
        let rows = found.query_map([], |r| r.get::<_, String>(0))?;
        for row in rows {
            bad.push(row?);
        }
        Ok(())
    };
    ask("SELECT 'a row of ' || \"table\" || ' belongs to nothing in ' || parent FROM pragma_foreign_key_check")?;
    ask(
        "SELECT 'run ' || number || ' names no log' FROM runs r WHERE NOT EXISTS (SELECT 1 FROM run_files f WHERE f.run = r.id)",
    )?;
    ask("SELECT 'file ' || sha256 || ' is named by no run and no entry' FROM files k
         WHERE NOT EXISTS (SELECT 1 FROM run_files f WHERE f.sha256 = k.sha256)
         AND NOT EXISTS (SELECT 1 FROM entry_files e WHERE e.sha256 = k.sha256)")?;
    ask(
        "SELECT 'changes of run ' || run || ' have a gap' FROM run_changes GROUP BY run HAVING MAX(revision) <> COUNT(*) + 1",
    )?;
    ask("SELECT 'logs of run ' || run || ' have a gap' FROM run_files GROUP BY run HAVING MAX(place) <> COUNT(*)")?;
    ask(
        "SELECT 'the numbers of the runs have a gap' FROM (SELECT MAX(number) AS top, COUNT(*) AS n FROM runs) WHERE top <> n",
    )?;
    Ok(bad)
}

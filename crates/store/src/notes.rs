//! Notes: what happened while nobody watched, such as a log that could not be taken in.

use crate::Store;
use crate::changes;
use crate::error::StoreError;
use rusqlite::params;
use serde::{Deserialize, Serialize};

/// A note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Note {
    /// Number, rising.
    pub id: i64,
    /// When, RFC 3339 in UTC.
    pub at: String,
    /// What kind: `watch_failed` …
    pub kind: String,
    /// What it is about, such as a file's name.
    pub subject: String,
    /// What happened and what to do, in words.
    pub text: String,
}

impl Store {
    /// Writes a note down.
    ///
    /// # Errors
    /// Those of the database.
    pub fn add_note(&self, kind: &str, subject: &str, text: &str) -> Result<Note, StoreError> {
        self.inner.write("writing a note", |db| {
            let at = changes::now();
            db.execute(
                "INSERT INTO notes (at, kind, subject, text) VALUES (?1, ?2, ?3, ?4)",
                params![at, kind, subject, text],
            )?;
            let id = db.last_insert_rowid();
            changes::record(db, &at, "note", subject)?;
            Ok(Note { id, at, kind: kind.to_owned(), subject: subject.to_owned(), text: text.to_owned() })
        })
    }

    /// The newest notes, newest first, at most `limit`.
    ///
    /// # Errors
    /// Those of the database.
    pub fn notes(&self, limit: usize) -> Result<Vec<Note>, StoreError> {
        self.inner.read("reading the notes", |db| {
            let mut found =
                db.prepare_cached("SELECT id, at, kind, subject, text FROM notes ORDER BY id DESC LIMIT ?1")?;
            let limit = i64::try_from(limit).unwrap_or(i64::MAX);
            let rows = found.query_map([limit], |r| {
                Ok(Note { id: r.get(0)?, at: r.get(1)?, kind: r.get(2)?, subject: r.get(3)?, text: r.get(4)? })
            })?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }
}

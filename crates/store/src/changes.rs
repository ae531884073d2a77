//! One rising sequence over everything that was written, and the store's clock.

use crate::Store;
use crate::error::StoreError;
use jiff::Timestamp;
use rusqlite::{Connection, params};
use serde::{Deserialize, Serialize};
use std::time::Duration;

/// Something was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Change {
    /// Place in the sequence; always rising.
    pub seq: i64,
    /// When, RFC 3339 in UTC.
    pub at: String,
    /// What kind of thing: `run`, `run_change`, `dyno`, `setting`, `note`, `entry`, `text`, `account`.
    pub what: String,
    /// Which one: the run's id, the dyno's or setting's key, the note's subject, the job of an entry, kind and key of a
    /// text with `/` between, the account's name.
    pub subject: String,
}

impl Store {
    /// The newest place in the sequence over everything, 0 in an empty shop. One index look-up: a
    /// server may ask several times a second to learn what another process has written.
    ///
    /// # Errors
    /// Those of the database.
    pub fn latest_change(&self) -> Result<i64, StoreError> {
        self.inner.read("looking for changes", |db| {
            Ok(db.prepare_cached("SELECT COALESCE(MAX(seq), 0) FROM changes")?.query_row([], |r| r.get(0))?)
        })
    }

    /// What was written after a place in the sequence, oldest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn changes_since(&self, seq: i64) -> Result<Vec<Change>, StoreError> {
        self.inner.read("looking for changes", |db| {
            let mut found =
                db.prepare_cached("SELECT seq, at, what, subject FROM changes WHERE seq > ?1 ORDER BY seq")?;
            let rows = found.query_map([seq], |r| {
                Ok(Change { seq: r.get(0)?, at: r.get(1)?, what: r.get(2)?, subject: r.get(3)? })
            })?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }
}

/// Adds to the sequence.
pub(crate) fn record(db: &Connection, at: &str, what: &str, subject: &str) -> rusqlite::Result<()> {
    db.prepare_cached("INSERT INTO changes (at, what, subject) VALUES (?1, ?2, ?3)")?
        .execute(params![at, what, subject])?;
    Ok(())
}

/// Now, RFC 3339 in UTC with milliseconds, from the system's clock.
pub(crate) fn now() -> String {
    format!("{:.3}", Timestamp::now())
}

/// So much time from now, in the form of [`now`]; the end of the calendar if that is nearer.
pub(crate) fn after(time: Duration) -> String {
    format!("{:.3}", Timestamp::now().saturating_add(time).unwrap_or(Timestamp::MAX))
}

/// So much time before now, in the form of [`now`].
pub(crate) fn before(time: Duration) -> String {
    format!("{:.3}", Timestamp::now().saturating_sub(time).unwrap_or(Timestamp::MIN))
}

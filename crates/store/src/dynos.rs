//! Dynos: what is known of each cell, as TOML text. Older texts are kept.

use crate::Store;
use crate::changes;
use crate::error::StoreError;
use rusqlite::{Connection, OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};

/// A dyno of the shop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Dyno {
    /// Short name used in flags and addresses: lower-case letters, digits, `-` and `_`.
    pub key: String,
    /// What is known of it, TOML; the store does not look inside.
    pub cell_toml: String,
    /// 1 for the first text, one more with each change.
    pub revision: i64,
    /// When this text was written, RFC 3339 in UTC.
    pub at: String,
}

const NEWEST: &str = "SELECT key, cell_toml, revision, at FROM dyno_revisions d
     WHERE revision = (SELECT MAX(revision) FROM dyno_revisions n WHERE n.key = d.key)";

impl Store {
    /// The dynos, newest text of each, by key.
    ///
    /// # Errors
    /// Those of the database.
    pub fn dynos(&self) -> Result<Vec<Dyno>, StoreError> {
        self.inner.read("listing the dynos", |db| {
            let mut found = db.prepare_cached(&format!("{NEWEST} ORDER BY key"))?;
            let rows = found.query_map([], dyno)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// One dyno, newest text; `None` if there is none of this key.
    ///
    /// # Errors
    /// Those of the database.
    pub fn dyno(&self, key: &str) -> Result<Option<Dyno>, StoreError> {
        self.inner.read("looking up a dyno", |db| Ok(newest(db, key)?))
    }

    /// Every text a dyno ever had, oldest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn dyno_history(&self, key: &str) -> Result<Vec<Dyno>, StoreError> {
        self.inner.read("looking up a dyno", |db| {
            let mut found = db.prepare_cached(
                "SELECT key, cell_toml, revision, at FROM dyno_revisions WHERE key = ?1 ORDER BY revision",
            )?;
            let rows = found.query_map([key], dyno)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// Writes a dyno's text: a new dyno, or a new revision of one. The same text again changes nothing.
    ///
    /// # Errors
    /// [`StoreError::BadValue`] if the key is empty or holds other characters than lower-case
    /// letters, digits, `-` and `_`; else those of the database.
    pub fn put_dyno(&self, key: &str, cell_toml: &str) -> Result<Dyno, StoreError> {
        let well_formed =
            !key.is_empty() && key.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b"-_".contains(&b));
        if !well_formed {
            return Err(StoreError::BadValue {
                what: "key of a dyno",
                found: key.to_owned(),
                expected: "lower-case letters, digits, - and _, such as `north-cell`",
            });
        }
        self.inner.write("writing a dyno", |db| {
            let before = newest(db, key)?;
            if let Some(same) = before.as_ref().filter(|d| d.cell_toml == cell_toml) {
                return Ok(same.clone());
            }
            let new = Dyno {
                key: key.to_owned(),
                cell_toml: cell_toml.to_owned(),
                revision: before.map_or(1, |d| d.revision + 1),
                at: changes::now(),
            };
            db.execute(
                "INSERT INTO dyno_revisions (key, revision, at, cell_toml) VALUES (?1, ?2, ?3, ?4)",
                params![new.key, new.revision, new.at, new.cell_toml],
            )?;
            changes::record(db, &new.at, "dyno", key)?;
            Ok(new)
        })
    }
}

fn newest(db: &Connection, key: &str) -> rusqlite::Result<Option<Dyno>> {
    db.prepare_cached(&format!("{NEWEST} AND key = ?1"))?.query_row([key], dyno).optional()
}

fn dyno(row: &Row<'_>) -> rusqlite::Result<Dyno> {
    Ok(Dyno { key: row.get(0)?, cell_toml: row.get(1)?, revision: row.get(2)?, at: row.get(3)? })
}

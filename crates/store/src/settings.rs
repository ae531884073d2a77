//! Settings of the shop: its name, units, limits, guard rules. Text by key; older values are kept.
//!
//! Keys in use: `shop.name`, `units` (`metric` or `us`), `repeat_limit` (relative, `0.01`), `guards`
//! (guard rules, TOML). The store does not look inside a value.

use crate::Store;
use crate::changes;
use crate::error::StoreError;
use rusqlite::{Connection, OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};

/// A value that a setting has or had.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Setting {
    /// Key.
    pub key: String,
    /// Value, text.
    pub value: String,
    /// 1 for the first value, one more with each change.
    pub revision: i64,
    /// When this value was written, RFC 3339 in UTC.
    pub at: String,
}

impl Store {
    /// A setting's value; `None` if it was never set.
    ///
    /// # Errors
    /// Those of the database.
    pub fn setting(&self, key: &str) -> Result<Option<String>, StoreError> {
        self.inner.read("reading a setting", |db| Ok(newest(db, key)?.map(|s| s.value)))
    }

    /// A setting as it stands, with its revision; `None` if it was never set.
    ///
    /// # Errors
    /// Those of the database.
    pub fn setting_now(&self, key: &str) -> Result<Option<Setting>, StoreError> {
        self.inner.read("reading a setting", |db| Ok(newest(db, key)?))
    }

    /// Every value a setting ever had, oldest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn setting_history(&self, key: &str) -> Result<Vec<Setting>, StoreError> {
        self.inner.read("reading a setting", |db| {
            let mut found = db.prepare_cached(
                "SELECT key, value, revision, at FROM setting_revisions WHERE key = ?1 ORDER BY revision",
            )?;
            let rows = found.query_map([key], setting)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// Sets a setting and gives it back as it stands. The same value again changes nothing.
    ///
    /// # Errors
    /// [`StoreError::BadValue`] for an empty key; else those of the database.
    pub fn set_setting(&self, key: &str, value: &str) -> Result<Setting, StoreError> {
        if key.is_empty() {
            return Err(StoreError::BadValue { what: "key of a setting", found: String::new(), expected: "a name" });
        }
        self.inner.write("writing a setting", |db| {
            let before = newest(db, key)?;
            if let Some(same) = before.as_ref().filter(|s| s.value == value) {
                return Ok(same.clone());
            }
            let new = Setting {
                key: key.to_owned(),
                value: value.to_owned(),
                revision: before.map_or(1, |s| s.revision + 1),
                at: changes::now(),
            };
            db.execute(
                "INSERT INTO setting_revisions (key, revision, at, value) VALUES (?1, ?2, ?3, ?4)",
                params![new.key, new.revision, new.at, new.value],
            )?;
            changes::record(db, &new.at, "setting", key)?;
            Ok(new)
        })
    }
}

fn newest(db: &Connection, key: &str) -> rusqlite::Result<Option<Setting>> {
    db.prepare_cached(
        "SELECT key, value, revision, at FROM setting_revisions WHERE key = ?1 ORDER BY revision DESC LIMIT 1",
    )?
    .query_row([key], setting)
    .optional()
}

fn setting(row: &Row<'_>) -> rusqlite::Result<Setting> {
    Ok(Setting { key: row.get(0)?, value: row.get(1)?, revision: row.get(2)?, at: row.get(3)? })
}

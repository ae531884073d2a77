//! Settings of the shop: its name, units, limits. Text by key; older values are kept.
//!
//! Keys in use: `shop_name`, `units` (`metric` or `us`), `repeat_limit` (relative, `0.01`).

use crate::Store;
use crate::changes;
use crate::error::StoreError;
use rusqlite::{Connection, OptionalExtension, params};

impl Store {
    /// A setting's value; `None` if it was never set.
    ///
    /// # Errors
    /// Those of the database.
    pub fn setting(&self, key: &str) -> Result<Option<String>, StoreError> {
        self.inner.read("reading a setting", |db| Ok(newest(db, key)?.map(|(_, value)| value)))
    }

    /// Sets a setting. The same value again changes nothing.
    ///
    /// # Errors
    /// [`StoreError::BadValue`] for an empty key; else those of the database.
    pub fn set_setting(&self, key: &str, value: &str) -> Result<(), StoreError> {
        if key.is_empty() {
            return Err(StoreError::BadValue { what: "key of a setting", found: String::new(), expected: "a name" });
        }
        self.inner.write("writing a setting", |db| {
            let before = newest(db, key)?;
            if before.as_ref().is_some_and(|(_, old)| old == value) {
                return Ok(());
            }
            let (revision, at) = (before.map_or(1, |(revision, _)| revision + 1), changes::now());
            db.execute(
                "INSERT INTO setting_revisions (key, revision, at, value) VALUES (?1, ?2, ?3, ?4)",
                params![key, revision, at, value],
            )?;
            changes::record(db, &at, "setting", key)?;
            Ok(())
        })
    }
}

fn newest(db: &Connection, key: &str) -> rusqlite::Result<Option<(i64, String)>> {
    db.prepare_cached("SELECT revision, value FROM setting_revisions WHERE key = ?1 ORDER BY revision DESC LIMIT 1")?
        .query_row([key], |r| Ok((r.get(0)?, r.get(1)?)))
        .optional()
}

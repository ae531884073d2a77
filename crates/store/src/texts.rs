//! Texts of the shop that change from time to time: instruments, sheet templates, limit tables. Older ones are kept.

use crate::Store;
use crate::changes;
use crate::error::StoreError;
use rusqlite::{Connection, OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};

/// A text as it stands or stood.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShopText {
    /// What kind of thing: `instrument`, `template` … a word of lower-case letters, digits, `-` and `_`.
    pub kind: String,
    /// Which one.
    pub key: String,
    /// The text; the store does not look inside.
    pub text: String,
    /// 1 for the first text, one more with each change.
    pub revision: i64,
    /// When this text was written, RFC 3339 in UTC.
    pub at: String,
    /// Who wrote it.
    pub author: String,
}

const COLUMNS: &str = "kind, key, text, revision, at, author";

impl Store {
    /// Writes a text. `expected_revision` is the one that the writer saw, 0 for a text that is not there yet. The same
    /// text again changes nothing, whatever was expected.
    ///
    /// # Errors
    /// [`StoreError::TextConflict`] if somebody else wrote it in between, [`StoreError::BadValue`] for an empty key or
    /// author or a kind that is no word; else those of the database. Nothing is written then.
    pub fn put_text(
        &self,
        kind: &str,
        key: &str,
        expected_revision: i64,
        text: &str,
        author: &str,
    ) -> Result<ShopText, StoreError> {
        let word = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b"-_".contains(&b);
        if kind.is_empty() || !kind.bytes().all(word) {
            let expected = "lower-case letters, digits, - and _";
            return Err(StoreError::BadValue { what: "kind of a text", found: kind.to_owned(), expected });
        }
        for (what, value) in [("key of a text", key), ("author of a text", author)] {
            if value.trim().is_empty() {
                return Err(StoreError::BadValue { what, found: value.to_owned(), expected: "a name" });
            }
        }
        self.inner.write("writing a text of the shop", |db| {
            let before = newest(db, kind, key)?;
            if let Some(same) = before.as_ref().filter(|t| t.text == text) {
                return Ok(same.clone());
            }
            let found = before.map_or(0, |t| t.revision);
            if found != expected_revision {
                let (kind, key) = (kind.to_owned(), key.to_owned());
                return Err(StoreError::TextConflict { kind, key, expected: expected_revision, found }.into());
            }
            let new = ShopText {
                kind: kind.to_owned(),
                key: key.to_owned(),
                text: text.to_owned(),
                revision: found + 1,
                at: changes::now(),
                author: author.to_owned(),
            };
            db.prepare_cached(&format!("INSERT INTO text_revisions ({COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5, ?6)"))?
                .execute(params![new.kind, new.key, new.text, new.revision, new.at, new.author])?;
            changes::record(db, &new.at, "text", &format!("{kind}/{key}"))?;
            Ok(new)
        })
    }

    /// A text as it stands; `None` if there is none.
    ///
    /// # Errors
    /// Those of the database.
    pub fn text(&self, kind: &str, key: &str) -> Result<Option<ShopText>, StoreError> {
        self.inner.read("reading a text of the shop", |db| Ok(newest(db, kind, key)?))
    }

    /// Every text of a kind as it stands, by key.
    ///
    /// # Errors
    /// Those of the database.
    pub fn texts_of(&self, kind: &str) -> Result<Vec<ShopText>, StoreError> {
        self.inner.read("reading the texts of the shop", |db| {
            let mut found = db.prepare_cached(&format!(
                "SELECT {COLUMNS} FROM text_revisions t WHERE kind = ?1
                 AND revision = (SELECT MAX(revision) FROM text_revisions n WHERE n.kind = t.kind AND n.key = t.key)
                 ORDER BY key"
            ))?;
            let rows = found.query_map([kind], shop_text)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// Everything a text ever was, oldest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn text_history(&self, kind: &str, key: &str) -> Result<Vec<ShopText>, StoreError> {
        self.inner.read("reading a text of the shop", |db| {
            let mut found = db.prepare_cached(&format!(
                "SELECT {COLUMNS} FROM text_revisions WHERE kind = ?1 AND key = ?2 ORDER BY revision"
            ))?;
            let rows = found.query_map([kind, key], shop_text)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }
}

fn newest(db: &Connection, kind: &str, key: &str) -> rusqlite::Result<Option<ShopText>> {
    db.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM text_revisions WHERE kind = ?1 AND key = ?2 ORDER BY revision DESC LIMIT 1"
    ))?
    .query_row([kind, key], shop_text)
    .optional()
}

fn shop_text(row: &Row<'_>) -> rusqlite::Result<ShopText> {
    Ok(ShopText {
        kind: row.get(0)?,
        key: row.get(1)?,
        text: row.get(2)?,
        revision: row.get(3)?,
        at: row.get(4)?,
        author: row.get(5)?,
    })
}

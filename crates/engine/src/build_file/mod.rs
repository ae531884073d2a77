//! The build file: TOML with units in the text.
//!
//! A value is written as people say it, `"4.030 in"`, with its uncertainty and origin behind it where
//! they are known; `docs/guide/build-file.md` explains the file and `docs/build-file-schema.md` lists every
//! key. [`BuildFile::parse`] reads it and refuses what it does not know, what has the wrong unit and what
//! cannot be, each with line and column. [`BuildFile::set`] changes one value and leaves comments,
//! order and everything else as they are. Older versions are migrated.

mod fault;
mod migrate;
mod new_file;
mod read;
mod schema;
pub(crate) mod value;

pub use fault::{BuildFileError, Fault};
pub use new_file::new_file_text;
pub use schema::schema_text;

use crate::build::Build;
use toml_edit::{DocumentMut, Item, Table, Value};

/// Version of the file written here.
pub const VERSION: i64 = 2;

/// A build file: its text and what it describes.
#[derive(Debug, Clone, PartialEq)]
pub struct BuildFile {
    text: String,
    build: Build,
    migrated: Vec<String>,
}

impl BuildFile {
    /// Reads a build file of this or an older version.
    ///
    /// # Errors
    /// [`BuildFileError`] with every fault found: syntax, unknown keys, values that are none, units that
    /// contradict the field; and, when all values are good, facts that exclude each other.
    pub fn parse(text: &str) -> Result<Self, BuildFileError> {
        let (text, migrated) = migrate::migrate(text).unwrap_or_else(|| (text.to_owned(), Vec::new()));
        let build = read::read(&text)?;
        Ok(Self { text, build, migrated })
    }

    /// The engine.
    pub fn build(&self) -> &Build {
        &self.build
    }

    /// The text, in the present version.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What a migration changed, one sentence each; empty for a file of the present version.
    pub fn migrated(&self) -> &[String] {
        &self.migrated
    }

    /// The file with one value changed or added, `set("block.bore", "4.040 in")`; comments stay. Tables that
    /// repeat are counted from 1: `flow.2.test_pressure`.
    ///
    /// # Errors
    /// As [`BuildFile::parse`] of the changed text; this file stays as it is.
    pub fn set(&self, key: &str, typed: &str) -> Result<Self, BuildFileError> {
        let unknown = |found: String| BuildFileError {
            faults: vec![Fault {
                line: 1,
                column: 1,
                key: key.to_owned(),
                found,
                expected: "a key such as block.bore".to_owned(),
                suggestion: None,
            }],
        };
        let mut document: DocumentMut = self.text.parse().map_err(|_| unknown("the text cannot be read".to_owned()))?;
        let mut parts: Vec<&str> = key.split('.').collect();
        let field =
            parts.pop().filter(|_| !parts.is_empty()).ok_or_else(|| unknown("no section is named".to_owned()))?;
        let mut at: &mut Item = document.as_item_mut();
        for part in parts {
            at = match (part.parse::<usize>(), at.is_array_of_tables()) {
                (Ok(n), true) => at
                    .get_mut(n.wrapping_sub(1))
                    .ok_or_else(|| unknown(format!("there is no table {n} of that kind")))?,
                _ => {
                    let table = at.as_table_like_mut().ok_or_else(|| unknown(format!("`{part}` is no section")))?;
                    table.entry(part).or_insert(Item::Table(Table::new()))
                }
            };
        }
        let table = at.as_table_like_mut().ok_or_else(|| unknown("the section is no table".to_owned()))?;
        let listed = |item: &Item| item.is_array() || item.as_table_like().is_some_and(|t| t.contains_key("each"));
        if crate::build::each::KEYS.contains(&key) && table.get(field).is_some_and(listed) {
            return Err(unknown(format!(
                "`{key}` holds a value for each cylinder, which one value would replace; nothing was changed: edit the file"
            )));
        }
        let mut new = Value::from(typed);
        if let Some(old) = table.get(field).and_then(Item::as_value) {
            *new.decor_mut() = old.decor().clone();
        }
        match table.get_mut(field) {
            Some(item) => *item = Item::Value(new),
            None => {
                table.insert(field, Item::Value(new));
            }
        }
        Self::parse(&document.to_string())
    }
}

//! What is taken when a build does not say: a small table of defaults with their spread.
//!
//! The table is `data/assumptions/engine.toml`, compiled in. Every row has a key of the build file, a
//! value with its spread (95 %), the reason, and the tag of its source. An assumption is never silent:
//! [`crate::build::Facts`] lists each one that a figure needed.

use crate::build::{Input, Origin, Takes, sections};
use crate::build_file::value;
use std::sync::LazyLock;

/// The table as text, for a shop that wants to read it.
pub const TEXT: &str = include_str!("../../../../data/assumptions/engine.toml");

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumption {
    /// Key of the build file, or a name of the arithmetic's own.
    pub key: String,
    /// Value with its uncertainty; the text is "value ± spread".
    pub input: Input,
    /// Why this value.
    pub why: String,
    /// "C" common practice, no source; "M" from memory; "D" a definition.
    pub source: String,
}

/// Every row.
pub fn table() -> &'static [Assumption] {
    &TABLE
}

/// The row of a key.
pub fn find(key: &str) -> Option<&'static Assumption> {
    TABLE.iter().find(|row| row.key == key)
}

// The text is compiled in and a test reads every row, so that a fault cannot reach a shop.
static TABLE: LazyLock<Vec<Assumption>> =
    LazyLock::new(|| read(TEXT).unwrap_or_else(|why| panic!("assumptions: {why}")));

fn read(text: &str) -> Result<Vec<Assumption>, String> {
    let document: toml_edit::DocumentMut = text.parse().map_err(|e: toml_edit::TomlError| e.to_string())?;
    let rows = document.get("assumption").and_then(toml_edit::Item::as_array_of_tables).ok_or("no rows")?;
    rows.iter()
        .map(|row| {
            let word = |name: &str| {
                row.get(name).and_then(toml_edit::Item::as_str).map(str::to_owned).ok_or(format!("{row}: no {name}"))
            };
            let (key, why) = (word("key")?, word("why")?);
            let kind = match kind_of(&key) {
                Some(kind) => kind,
                None => value::kind_by_name(&word("kind")?).ok_or(format!("{key}: kind not known"))?,
            };
            let typed = format!("{} ± {}", word("value")?, word("spread")?);
            let mut input = value::read(kind, &typed).map_err(|e| format!("{key}: {e}"))?;
            input.origin = Origin::Assumed { why: why.clone() };
            Ok(Assumption { key, input, why, source: word("source")? })
        })
        .collect()
}

fn kind_of(key: &str) -> Option<crate::build::Kind> {
    let (section, field) = key.rsplit_once('.')?;
    let (_, fields, _) = sections().into_iter().find(|(name, _, _)| *name == section)?;
    fields.iter().find(|f| f.key == field).and_then(|f| match f.takes {
        Takes::Value(kind) => Some(kind),
        _ => None,
    })
}

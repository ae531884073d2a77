//! TOML tables with faults that name line, column and what was meant.

use super::words::{place, suggestion};
use std::ops::Range;
use toml_edit::{Document, Item, Key, TableLike};

/// Why a text cannot be read. Nothing of it is used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {what}{}", .suggestion.as_ref().map_or(String::new(), |s| format!("; {s}")))]
pub struct TextError {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is not as it should be: found and expected.
    pub what: String,
    /// What may have been meant, or what to write.
    pub suggestion: Option<String>,
}

impl TextError {
    /// A fault at the beginning of a span of the text; without a span, at the beginning of the text.
    pub fn at(text: &str, span: Option<Range<usize>>, what: String, suggestion: Option<String>) -> Self {
        let (line, column) = place(text, span.map_or(0, |s| s.start));
        Self { line, column, what, suggestion }
    }
}

/// A fault while the text is still being read: in bytes of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The part of the text that it lies in, in bytes; the beginning of the text where that is not known.
    pub span: Option<Range<usize>>,
    /// What is not as it should be: found and expected.
    pub what: String,
    /// What may have been meant, or what to write.
    pub suggestion: Option<String>,
}

/// What was read, or the first fault.
pub type Parsed<T> = Result<T, Fault>;

/// Reads a text as TOML and hands its root on.
///
/// # Errors
/// [`TextError`] at the first fault, of TOML or of what reads the root.
pub fn read<T>(text: &str, of: impl FnOnce(&Fields<'_>) -> Parsed<T>) -> Result<T, TextError> {
    let document = Document::parse(text)
        .map_err(|e| TextError::at(text, e.span(), e.message().trim().replace('\n', ", "), None))?;
    of(&Fields { table: document.as_table(), span: None })
        .map_err(|fault| TextError::at(text, fault.span, fault.what, fault.suggestion))
}

/// A table with the span to blame when a key is missing.
pub struct Fields<'a> {
    /// The table.
    pub table: &'a dyn TableLike,
    /// Where it stands in the text, in bytes; none for the root.
    pub span: Option<Range<usize>>,
}

impl<'a> Fields<'a> {
    /// A fault at a key, or at the table where the key is missing.
    pub fn fault(&self, name: &str, what: String, suggestion: Option<String>) -> Fault {
        Fault { span: self.table.get(name).and_then(Item::span).or_else(|| self.span.clone()), what, suggestion }
    }

    /// Refuses keys that are not known.
    ///
    /// # Errors
    /// At the first such key, with the known one that may have been meant.
    pub fn only(&self, known: &[&str]) -> Parsed<()> {
        match self.table.iter().find(|(key, _)| !known.contains(key)) {
            None => Ok(()),
            Some((key, _)) => Err(Fault {
                span: self.table.key(key).and_then(Key::span).or_else(|| self.span.clone()),
                what: format!("the key `{key}` is not known here"),
                suggestion: suggestion(key, known.iter().copied()),
            }),
        }
    }

    /// Refuses a text of another version of its format than the expected one, or of none.
    ///
    /// # Errors
    /// With the version found.
    pub fn version(&self, expected: i64) -> Parsed<()> {
        match self.table.get("version").and_then(Item::as_integer) {
            Some(found) if found == expected => Ok(()),
            found => {
                let found = found.map_or("no version".to_owned(), |v| format!("version {v}"));
                let hint = Some(format!("write version = {expected} at the top"));
                Err(self.fault("version", format!("{found} is given, version {expected} was expected"), hint))
            }
        }
    }

    /// The tables of a list (`[[name]]`); none where the key is missing.
    ///
    /// # Errors
    /// Where something else than a list of tables stands there.
    pub fn tables(&self, name: &str) -> Parsed<Vec<Fields<'a>>> {
        let Some(item) = self.table.get(name) else { return Ok(Vec::new()) };
        match item.as_array_of_tables() {
            Some(tables) => Ok(tables.iter().map(|t| Fields { table: t, span: t.span() }).collect()),
            None => Err(self.fault(name, format!("`{name}` is no list of tables"), Some(format!("write [[{name}]]")))),
        }
    }

    /// A text as it stands, blanks and all; none where the key is missing.
    ///
    /// # Errors
    /// Where something else than a text stands there; `hint` says how it is written.
    pub fn maybe_string(&self, name: &str, hint: &str) -> Parsed<Option<&'a str>> {
        let Some(item) = self.table.get(name) else { return Ok(None) };
        item.as_str().map(Some).ok_or_else(|| {
            let what = format!("`{name}` is {}, text was expected", item.type_name());
            self.fault(name, what, Some(hint.to_owned()))
        })
    }

    /// A list of texts; empty where the key is missing.
    ///
    /// # Errors
    /// Where something else than a list of texts stands there.
    pub fn texts(&self, name: &str) -> Parsed<Vec<String>> {
        let Some(item) = self.table.get(name) else { return Ok(Vec::new()) };
        item.as_array().and_then(|list| list.iter().map(|v| v.as_str().map(str::to_owned)).collect()).ok_or_else(|| {
            let what = format!("`{name}` is no list of texts");
            self.fault(name, what, Some(format!("write {name} = [\"…\", \"…\"]")))
        })
    }

    /// True or false; false where the key is missing.
    ///
    /// # Errors
    /// Where something else than true or false stands there.
    pub fn flag(&self, name: &str) -> Parsed<bool> {
        match self.table.get(name) {
            None => Ok(false),
            Some(item) => item.as_bool().ok_or_else(|| {
                self.fault(name, format!("`{name}` is {}, true or false was expected", item.type_name()), None)
            }),
        }
    }
}

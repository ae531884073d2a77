//! TOML tables with errors that name line, column and what was meant.

use std::ops::Range;
use toml_edit::{Document, Item, TableLike};

/// A fault and the part of the text that it lies in.
#[derive(Debug)]
pub(crate) struct Fault {
    pub(crate) span: Option<Range<usize>>,
    pub(crate) what: String,
    pub(crate) suggestion: Option<String>,
}

pub(crate) type Parsed<T> = Result<T, Fault>;

/// Line and column, both from 1, and the fault's own words.
pub(crate) struct PlacedFault {
    pub(crate) line: usize,
    pub(crate) column: usize,
    pub(crate) what: String,
    pub(crate) suggestion: Option<String>,
}

/// Reads a text as TOML and hands its root on.
pub(crate) fn read<T>(text: &str, of: impl FnOnce(&Fields<'_>) -> Parsed<T>) -> Result<T, PlacedFault> {
    let document = Document::parse(text).map_err(|e| {
        let (line, column) = place(text, e.span());
        PlacedFault { line, column, what: e.message().trim().replace('\n', ", "), suggestion: None }
    })?;
    of(&Fields { table: document.as_table(), span: None }).map_err(|fault| {
        let (line, column) = place(text, fault.span);
        PlacedFault { line, column, what: fault.what, suggestion: fault.suggestion }
    })
}

fn place(text: &str, span: Option<Range<usize>>) -> (usize, usize) {
    let at = span.map_or(0, |s| s.start).min(text.len());
    let before = text.get(..at).unwrap_or_default();
    let line_start = before.rfind('\n').map_or(0, |n| n + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

/// A table with the span to blame when a key is missing.
pub(crate) struct Fields<'a> {
    pub(crate) table: &'a dyn TableLike,
    pub(crate) span: Option<Range<usize>>,
}

impl<'a> Fields<'a> {
    pub(crate) fn fault(&self, name: &str, what: String, suggestion: Option<String>) -> Fault {
        Fault { span: self.table.get(name).and_then(Item::span).or_else(|| self.span.clone()), what, suggestion }
    }

    /// Refuses keys that are not known.
    pub(crate) fn only(&self, known: &[&str]) -> Parsed<()> {
        match self.table.iter().find(|(key, _)| !known.contains(key)) {
            None => Ok(()),
            Some((key, _)) => Err(Fault {
                span: self.table.key(key).and_then(toml_edit::Key::span).or_else(|| self.span.clone()),
                what: format!("the key `{key}` is not known here"),
                suggestion: nearest(key, known.iter().copied()),
            }),
        }
    }

    pub(crate) fn version(&self, expected: i64) -> Parsed<()> {
        match self.table.get("version").and_then(Item::as_integer) {
            Some(found) if found == expected => Ok(()),
            found => {
                let found = found.map_or("no version".to_owned(), |v| format!("version {v}"));
                let hint = Some(format!("write version = {expected} at the top"));
                Err(self.fault("version", format!("{found} is given, version {expected} was expected"), hint))
            }
        }
    }

    pub(crate) fn tables(&self, name: &str) -> Parsed<Vec<Fields<'a>>> {
        let Some(item) = self.table.get(name) else { return Ok(Vec::new()) };
        match item.as_array_of_tables() {
            Some(tables) => Ok(tables.iter().map(|t| Fields { table: t, span: t.span() }).collect()),
            None => Err(self.fault(name, format!("`{name}` is no list of tables"), Some(format!("write [[{name}]]")))),
        }
    }

    pub(crate) fn maybe_table(&self, name: &str) -> Parsed<Option<Fields<'a>>> {
        let Some(item) = self.table.get(name) else { return Ok(None) };
        match item.as_table_like() {
            Some(table) => Ok(Some(Fields { table, span: item.span() })),
            None => Err(self.fault(name, format!("`{name}` is {}, a table was expected", item.type_name()), None)),
        }
    }

    pub(crate) fn maybe_text(&self, name: &str) -> Parsed<Option<String>> {
        let Some(item) = self.table.get(name) else { return Ok(None) };
        match item.as_str() {
            Some(text) if !text.trim().is_empty() => Ok(Some(text.trim().to_owned())),
            Some(_) => {
                Err(self.fault(name, format!("`{name}` is empty"), Some("write it, or leave the key out".to_owned())))
            }
            None => {
                let what = format!("`{name}` is {}, text was expected", item.type_name());
                Err(self.fault(name, what, Some("put it in quotation marks".to_owned())))
            }
        }
    }

    pub(crate) fn text(&self, name: &str) -> Parsed<String> {
        self.maybe_text(name)?.ok_or_else(|| self.fault(name, format!("`{name}` is missing"), None))
    }

    /// A text that is a name for other texts to use: letters, digits, underscores.
    pub(crate) fn key(&self, name: &str) -> Parsed<String> {
        let key = self.text(name)?;
        let plain = key.starts_with(|c: char| c.is_ascii_lowercase())
            && key.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_');
        if plain {
            return Ok(key);
        }
        let what = format!("`{key}` is no key: small letters, digits and _ are, beginning with a letter");
        Err(self.fault(name, what, None))
    }

    pub(crate) fn texts(&self, name: &str) -> Parsed<Vec<String>> {
        let Some(item) = self.table.get(name) else { return Ok(Vec::new()) };
        item.as_array().and_then(|list| list.iter().map(|v| v.as_str().map(str::to_owned)).collect()).ok_or_else(|| {
            let what = format!("`{name}` is no list of texts");
            self.fault(name, what, Some(format!("write {name} = [\"…\", \"…\"]")))
        })
    }

    /// Texts by name: the keys of a small table.
    pub(crate) fn named_texts(&self, name: &str) -> Parsed<Vec<(String, String)>> {
        let Some(fields) = self.maybe_table(name)? else { return Ok(Vec::new()) };
        fields.table.iter().map(|(key, _)| Ok((key.to_owned(), fields.text(key)?))).collect()
    }

    pub(crate) fn flag(&self, name: &str) -> Parsed<bool> {
        match self.table.get(name) {
            None => Ok(false),
            Some(item) => item.as_bool().ok_or_else(|| {
                self.fault(name, format!("`{name}` is {}, true or false was expected", item.type_name()), None)
            }),
        }
    }

    pub(crate) fn maybe_whole(&self, name: &str) -> Parsed<Option<u32>> {
        let Some(item) = self.table.get(name) else { return Ok(None) };
        match item.as_integer().and_then(|n| u32::try_from(n).ok()) {
            Some(n) => Ok(Some(n)),
            None => Err(self.fault(name, format!("`{name}` is no whole number of zero or more"), None)),
        }
    }

    /// One of a few words.
    pub(crate) fn one_of<T: Copy>(&self, name: &str, words: &[(&str, T)], without: Option<T>) -> Parsed<T> {
        match (self.maybe_text(name)?, without) {
            (None, Some(without)) => Ok(without),
            (None, None) => Err(self.fault(name, format!("`{name}` is missing"), known(words.iter().map(|w| w.0)))),
            (Some(found), _) => {
                words.iter().find(|(word, _)| *word == found).map(|(_, value)| *value).ok_or_else(|| {
                    self.fault(
                        name,
                        format!("`{name}` is \"{found}\", which is not known"),
                        nearest(&found, words.iter().map(|w| w.0)),
                    )
                })
            }
        }
    }
}

fn known<'a>(words: impl Iterator<Item = &'a str>) -> Option<String> {
    Some(format!("known are {}", words.collect::<Vec<_>>().join(", ")))
}

/// "did you mean …", or what is known.
pub(crate) fn nearest<'a>(found: &str, words: impl Iterator<Item = &'a str> + Clone) -> Option<String> {
    let best = words.clone().min_by_key(|k| distance(found, k))?;
    if distance(found, best) <= 1 + found.chars().count() / 3 {
        return Some(format!("did you mean `{best}`?"));
    }
    known(words)
}

/// Letters to change, add or take away.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut corner = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let next = (corner + usize::from(x != *y)).min(row[j] + 1).min(row[j + 1] + 1);
            corner = std::mem::replace(&mut row[j + 1], next);
        }
    }
    row[b.len()]
}

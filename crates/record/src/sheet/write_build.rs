//! Values of a sheet into the text of a build file.

use super::into_build::{BuildValue, PortTable};
use crate::Stated;
use engine::build_file::{BuildFile, BuildFileError};
use quantity::Dimension;
use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, Value};

/// A build file with values of a sheet in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// Its text; comments and order are kept.
    pub text: String,
    /// What changed.
    pub changes: Vec<Change>,
    /// What was left as it is, and why.
    pub left: Vec<(String, String)>,
}

/// A value that changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Its key.
    pub key: String,
    /// What stood there; none where nothing did.
    pub was: Option<String>,
    /// What stands there now.
    pub now: String,
}

/// Why nothing was written. The build file stays as it was.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WriteError {
    /// The build file cannot be read as it is.
    #[error("the build file has faults already, nothing was written:\n{0}")]
    Before(#[source] BuildFileError),
    /// With the values in it the file contradicts itself.
    #[error("with the values of the sheet the build file is not possible, nothing was written:\n{0}")]
    After(#[source] BuildFileError),
    /// A section of the file is not what it should be.
    #[error("the build file cannot take `{key}`: {why}; nothing was written")]
    Place {
        /// Key of the value.
        key: String,
        /// Why not.
        why: String,
    },
}

/// Writes values into a build file. A value stated for each cylinder takes the place of one for all, and the
/// other way round. Comments stay.
///
/// # Errors
/// [`WriteError`]; all values are written, or none.
pub fn write_into_build(text: &str, values: &[BuildValue]) -> Result<Written, WriteError> {
    let file = BuildFile::parse(text).map_err(WriteError::Before)?;
    let mut document: DocumentMut = file
        .text()
        .parse()
        .map_err(|e: toml_edit::TomlError| WriteError::Place { key: String::new(), why: e.message().to_owned() })?;
    let (mut changes, mut left) = (Vec::new(), Vec::new());
    for value in values {
        if let Some(why) = &value.missing {
            left.push((value.key.clone(), why.clone()));
            continue;
        }
        for port in &value.ports {
            write_port(&mut document, &value.key, port, &mut changes)?;
        }
        if !value.texts.is_empty() {
            write_value(&mut document, value, &mut changes)?;
        }
    }
    let text = document.to_string();
    BuildFile::parse(&text).map_err(WriteError::After)?;
    Ok(Written { text, changes, left })
}

fn write_value(document: &mut DocumentMut, value: &BuildValue, changes: &mut Vec<Change>) -> Result<(), WriteError> {
    let place = |why: String| WriteError::Place { key: value.key.clone(), why };
    let mut parts: Vec<&str> = value.key.split('.').collect();
    let field = parts.pop().unwrap_or_default();
    let mut at: &mut Item = document.as_item_mut();
    for part in parts {
        let table = at.as_table_like_mut().ok_or_else(|| place(format!("`{part}` lies in no section")))?;
        at = table.entry(part).or_insert_with(|| {
            let mut table = Table::new();
            // "[lobe]" alone over "[lobe.intake]" says nothing.
            table.set_implicit(true);
            Item::Table(table)
        });
    }
    if let Some(table) = at.as_table_mut() {
        table.set_implicit(false);
    }
    let table = at.as_table_like_mut().ok_or_else(|| place("its section is no table".to_owned()))?;
    let was = table.get(field).map(plain);
    let each = format!("{field}_each");
    let was_each = table.remove(&each).as_ref().map(plain);
    let new = match (value.list, value.texts.as_slice(), table.get(field)) {
        (true, texts, _) => Value::Array(lines(texts)),
        (false, [text], Some(old)) if text.contains(" @ ") => checked(old, text),
        (false, [text], _) => Value::from(text.as_str()),
        (false, texts, _) => Value::Array(lines(texts)),
    };
    let now = new.to_string().trim().to_owned();
    put(table, field, new);
    if was.as_deref() != Some(now.as_str()) {
        changes.push(Change { key: value.key.clone(), was: was.or(was_each), now });
    }
    Ok(())
}

/// A value without the comments around it.
fn plain(item: &Item) -> String {
    match item.as_value() {
        Some(value) => {
            let mut bare = value.clone();
            bare.decor_mut().clear();
            bare.to_string()
        }
        None => item.to_string().trim().to_owned(),
    }
}

/// Puts a value in the place of another; what stood behind it on the line stays.
fn put(table: &mut dyn toml_edit::TableLike, field: &str, mut new: Value) {
    if let Some(old) = table.get(field).and_then(Item::as_value) {
        *new.decor_mut() = old.decor().clone();
    }
    match table.get_mut(field) {
        Some(item) => *item = Item::Value(new),
        None => {
            table.insert(field, Item::Value(new));
        }
    }
}

/// A list with a line for each text.
fn lines(texts: &[String]) -> Array {
    let mut list = Array::new();
    for text in texts {
        let mut value = Value::from(text.as_str());
        value.decor_mut().set_prefix("\n    ");
        list.push_formatted(value);
    }
    list.set_trailing("\n");
    list.set_trailing_comma(true);
    list
}

/// Angles at check lifts: the one at the same lift is replaced, the others stay.
fn checked(old: &Item, text: &str) -> Value {
    let check = |text: &str| -> Option<(f64, bool)> {
        let behind = text.split_once('@')?.1.split(',').next()?.trim();
        let (lift, valve) = match behind.strip_suffix("valve") {
            Some(lift) => (lift.trim(), true),
            None => (behind.strip_suffix("lifter").unwrap_or(behind).trim(), false),
        };
        Stated::read(lift, Dimension::Length, None).ok().map(|s| (s.si, valve))
    };
    let same = |other: &str| match (check(text), check(other)) {
        (Some(a), Some(b)) => (a.0 - b.0).abs() < 1e-6 && a.1 == b.1,
        _ => false,
    };
    let mut texts: Vec<String> = match old.as_array() {
        Some(list) => list.iter().filter_map(|v| v.as_str().map(str::to_owned)).collect(),
        None => old.as_str().map(str::to_owned).into_iter().collect(),
    };
    match texts.iter_mut().find(|other| same(other)) {
        Some(other) => *other = text.to_owned(),
        None => texts.push(text.to_owned()),
    }
    match texts.as_slice() {
        [one] => Value::from(one.as_str()),
        many => Value::Array(lines(many)),
    }
}

fn write_port(
    document: &mut DocumentMut,
    key: &str,
    port: &PortTable,
    changes: &mut Vec<Change>,
) -> Result<(), WriteError> {
    let item = document.entry(key).or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    let Some(tables) = item.as_array_of_tables_mut() else {
        let why = "it is no list of tables; write [[flow]], once for each port".to_owned();
        return Err(WriteError::Place { key: key.to_owned(), why });
    };
    let same = |table: &Table| {
        table.get("valve").and_then(Item::as_str) == Some(&port.valve)
            && table.get("port").and_then(Item::as_integer) == Some(i64::from(port.port))
    };
    let name = format!("{key}: {} {}", port.valve, port.port);
    let found = tables.iter().position(same);
    let at = match found {
        Some(at) => at,
        None => {
            let mut table = Table::new();
            table.insert("valve", Item::Value(Value::from(port.valve.as_str())));
            table.insert("port", Item::Value(Value::from(i64::from(port.port))));
            tables.push(table);
            tables.len() - 1
        }
    };
    let Some(table) = tables.get_mut(at) else { return Ok(()) };
    let was = table.get("flow").map(plain);
    for (field, text) in &port.fields {
        put(table, field, Value::from(text.as_str()));
    }
    let now = table.get("flow").map_or(String::new(), plain);
    if was.as_deref() != Some(now.as_str()) {
        changes.push(Change { key: name, was, now });
    }
    Ok(())
}

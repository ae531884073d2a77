//! References in templates: which readings, given values and worked-out figures are meant.
//!
//! | written | means |
//! |---|---|
//! | `top/along`, `*/along`, `*/*`, `chamber`, `lift *` | readings of the column (or of all columns of the sheet) |
//! | `row` | the readings of the row, for figures of one row |
//! | `at` | the values at which the rows are read |
//! | `given.piston` | a given value, the column's own before that of all |
//! | `derived.mean` | a worked-out figure above |
//! | `…@exhaust`, `…@exhaust {n}`, `…@exhaust 2` | of all columns of a set, of the column with the same number, of one |

use super::template::RowSpec;

/// A reference, taken apart.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Reference {
    pub(crate) source: Source,
    pub(crate) column: Option<ColumnPick>,
}

/// Where the value is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Source {
    Given(String),
    Derived(String),
    Row,
    At,
    Places(Pattern),
}

/// Which column of another set.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum ColumnPick {
    /// All columns of a set.
    All(String),
    /// The column of the set that has the same number.
    Same(String),
    /// The column of that number.
    Number(String, u32),
}

/// Which rows: group and row, either may be `*`.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Pattern {
    group: Option<String>,
    row: String,
}

impl Reference {
    /// Takes a text apart.
    pub(crate) fn parse(text: &str) -> Result<Self, String> {
        let (what, column) = match text.split_once('@') {
            Some((what, column)) => (what.trim(), Some(column.trim())),
            None => (text.trim(), None),
        };
        let source = if let Some(key) = what.strip_prefix("given.") {
            Source::Given(key.to_owned())
        } else if let Some(key) = what.strip_prefix("derived.") {
            Source::Derived(key.to_owned())
        } else if what == "row" {
            Source::Row
        } else if what == "at" {
            Source::At
        } else {
            let (group, row) = match what.split_once('/') {
                Some((group, row)) => (Some(group.to_owned()), row.to_owned()),
                None => (None, what.to_owned()),
            };
            if row.is_empty() || row.contains('/') {
                return Err(format!("\"{text}\" names no rows; write group/row, row, given.… or derived.…"));
            }
            Source::Places(Pattern { group, row })
        };
        let column = column.map(|column| match column.rsplit_once(' ') {
            None => Ok(ColumnPick::All(column.to_owned())),
            Some((set, "{n}")) => Ok(ColumnPick::Same(set.to_owned())),
            Some((set, number)) => match number.parse() {
                Ok(number) => Ok(ColumnPick::Number(set.to_owned(), number)),
                Err(_) => {
                    Err(format!("\"{column}\" is no column; write a set, a set and {{n}}, or a set and a number"))
                }
            },
        });
        Ok(Self { source, column: column.transpose()? })
    }

    /// The set of columns it names.
    pub(crate) fn set(&self) -> Option<&str> {
        match self.column.as_ref()? {
            ColumnPick::All(set) | ColumnPick::Same(set) | ColumnPick::Number(set, _) => Some(set),
        }
    }
}

impl Pattern {
    /// Whether it fits a row that is laid out: group key and own key ("lift 3").
    pub(crate) fn fits(&self, group: &str, row: &str) -> bool {
        let group_fits = match self.group.as_deref() {
            None => group.is_empty(),
            Some("*") => true,
            Some(wanted) => wanted == group,
        };
        let row_fits = match self.row.strip_suffix('*') {
            Some(start) => row.starts_with(start),
            None => row == self.row,
        };
        group_fits && row_fits
    }

    /// Whether it can fit a row of a kind, whatever the counts.
    pub(crate) fn may_fit(&self, group: &str, spec: &RowSpec) -> bool {
        match spec.count {
            None => self.fits(group, &spec.key),
            Some(_) => (1..=400).any(|n| self.fits(group, &format!("{} {n}", spec.key))),
        }
    }
}

//! A log as read, and a log in SI units.
//!
//! A reader makes a [`RawLog`]: numbers as written, names and units as written, and the list of
//! problems met. Roles and units are then settled with the person (`read::assign`), which gives a
//! [`Log`]: SI values by role. Everything after that works on one [`Table`], the channels brought
//! to the time base of the engine-speed channel.

use crate::role::Role;
use serde::{Deserialize, Serialize};

/// How much a problem in a log matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Worth knowing; no value is affected.
    Note,
    /// Some values are missing or left out; they are counted and named.
    Loss,
    /// The log cannot be used before somebody decides.
    Stop,
}

/// One thing that is not as it should be in a log: where, what was found, what it means, what to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Problem {
    /// How much it matters.
    pub severity: Severity,
    /// A stable short name, such as `text_in_number`; tests and filters use it.
    pub code: String,
    /// One sentence that says what is so.
    pub what: String,
    /// Row (1 = first line of the file), column or byte: "row 1842, column \"Torque\" (N·m)".
    pub place: Option<String>,
    /// What stands there.
    pub found: Option<String>,
    /// What was expected there.
    pub expected: Option<String>,
    /// What happened to the data: "the cell is left empty".
    pub effect: Option<String>,
    /// What to do next.
    pub next: Option<String>,
    /// How often the same thing occurred, this one included.
    pub count: usize,
}

/// A log as it stands in the file.
#[derive(Debug, Clone, PartialEq)]
pub struct RawLog {
    /// File name without folders.
    pub name: String,
    /// What kind of file it is, in words: "CSV, semicolons, decimal comma, Windows-1252".
    pub dialect: String,
    /// Preamble or header facts as written (key, value).
    pub facts: Vec<(String, String)>,
    /// Groups of columns; a CSV file has one, an MDF file one per rate.
    pub groups: Vec<RawGroup>,
    /// Everything that was not as it should be.
    pub problems: Vec<Problem>,
}

/// Columns that share rows.
#[derive(Debug, Clone, PartialEq)]
pub struct RawGroup {
    /// Number of rows kept.
    pub rows: usize,
    /// Number of rows of data found in the file, kept or not.
    pub rows_found: usize,
    /// The columns, all of length `rows`.
    pub columns: Vec<RawColumn>,
    /// Index of the column that holds time, when the reader knows it for certain (clock text, MDF master).
    pub time_column: Option<usize>,
}

/// One column as written.
#[derive(Debug, Clone, PartialEq)]
pub struct RawColumn {
    /// Name as written, made unique by a trailing " (2)".
    pub name: String,
    /// Unit as written, if any; `Some("s")` for clock text already turned into seconds.
    pub unit_text: Option<String>,
    /// Values as written; NaN where the cell is empty, a marker, or unreadable.
    pub values: Vec<f64>,
    /// Cells that were empty or a known marker for "no value".
    pub missing: usize,
    /// Cells that could not be read as a number (each is in the problems).
    pub unreadable: usize,
}

/// A log in SI units, roles settled.
#[derive(Debug, Clone, PartialEq)]
pub struct Log {
    /// File name without folders.
    pub name: String,
    /// What kind of file it is, in words.
    pub dialect: String,
    /// Groups of channels on their own time base.
    pub groups: Vec<Table>,
    /// Problems of reading and of settling roles.
    pub problems: Vec<Problem>,
    /// Rows found in the file.
    pub rows_found: usize,
    /// Rows kept.
    pub rows_kept: usize,
}

/// Channels on one time base.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Time from the first row, s. Increasing after repair; the repair is in the problems.
    pub time_s: Vec<f64>,
    /// Channels of the same length as `time_s`.
    pub channels: Vec<Channel>,
}

/// One channel in SI units.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    /// Name as written in the log.
    pub name: String,
    /// Unit as written or as answered, for showing.
    pub unit_text: String,
    /// What it stands for; `None` for channels nobody has named.
    pub role: Option<Role>,
    /// Values in the SI unit of the role's kind; NaN is "no value".
    pub si: Vec<f64>,
}

impl Table {
    /// The first channel of a role.
    pub fn channel(&self, role: Role) -> Option<&Channel> {
        self.channels.iter().find(|c| c.role == Some(role))
    }

    /// The values of the first channel of a role.
    pub fn values(&self, role: Role) -> Option<&[f64]> {
        self.channel(role).map(|c| c.si.as_slice())
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.time_s.len()
    }
}

//! The tables under `validation/`, read by the tests of the other crates. Nothing here is shipped.
//!
//! It reads its own way and knows none of our readers, so that a fault in one of those cannot hide in a test. A table
//! that is not as it should be stops the test: a file that is not there, no rows, a row with more or fewer cells than
//! the header, a column that is not there, a cell that is no number.

use std::collections::BTreeMap;
use std::ops::Index;
use std::path::Path;

/// A row of a table: cells by the name of their column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row(BTreeMap<String, String>);

/// The rows of a table.
///
/// `path` is below `validation/`, as "units/t07_units.csv".
///
/// # Panics
/// Where the table is not as it should be; the message names the file.
#[track_caller]
pub fn rows(path: &str) -> Vec<Row> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../validation").join(path);
    let text = std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    parse(path, &text)
}

/// The rows of a text: a header, then one row a line, blank lines passed over. A cell in quotation marks may hold
/// commas; a quotation mark inside a cell cannot be written. `name` is for the messages.
///
/// # Panics
/// Where the table is not as it should be.
#[track_caller]
pub fn parse(name: &str, text: &str) -> Vec<Row> {
    let mut lines = text.lines().filter(|line| !line.trim().is_empty());
    let header = cells(lines.next().unwrap_or_else(|| panic!("{name} has no header")));
    let mut rows = Vec::new();
    for line in lines {
        let cells = cells(line);
        assert_eq!(cells.len(), header.len(), "{name}: cells, and columns of the header: {line}");
        rows.push(Row(header.iter().cloned().zip(cells).collect()));
    }
    assert!(!rows.is_empty(), "{name} has no rows");
    // Of two columns with one name, one could not be read.
    assert_eq!(rows[0].0.len(), header.len(), "{name} has two columns of one name");
    rows
}

fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            other => cells.last_mut().expect("one cell").push(other),
        }
    }
    cells
}

impl Row {
    /// The cell of a column.
    ///
    /// # Panics
    /// Where there is no such column.
    #[track_caller]
    pub fn text(&self, column: &str) -> &str {
        &self[column]
    }

    /// The number of a column.
    ///
    /// # Panics
    /// Where there is no such column, or its cell is no number.
    #[track_caller]
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{text:?} in {column} is no number"))
    }

    /// Compares with a column to half of its eighth digit, twice: the inputs are printed to eight digits
    /// too, and a sum or a product of two of them carries both halves.
    ///
    /// # Panics
    /// Where the number found is further off.
    #[track_caller]
    pub fn agrees(&self, column: &str, found: f64) {
        self.agrees_within(column, found, 1e-7);
    }

    /// Compares with a column to a share of it.
    ///
    /// # Panics
    /// Where the number found is further off.
    #[track_caller]
    pub fn agrees_within(&self, column: &str, found: f64, share: f64) {
        close_to_share(column, found, self.number(column), share);
    }
}

/// `row["column"]` is [`Row::text`].
impl Index<&str> for Row {
    type Output = String;

    #[track_caller]
    fn index(&self, column: &str) -> &String {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }
}

/// Half of the eighth significant digit of a number. The tables print eight and leave trailing
/// zeros away, so the digits as written would be too lax: 745.69987 gives 5e-6, and so does 746.
pub fn half_digit(number: f64) -> f64 {
    if number == 0.0 { 0.0 } else { 0.5 * 10f64.powi(number.abs().log10().floor() as i32 - 7) }
}

/// Asserts that two numbers differ by no more than an absolute amount.
///
/// # Panics
/// Where they do, or where one is missing.
#[track_caller]
pub fn close(what: &str, found: f64, expected: f64, slack: f64) {
    assert!((found - expected).abs() <= slack, "{what}: found {found}, expected {expected} within {slack}");
}

/// Asserts that two numbers differ by no more than a share of the expected one.
///
/// # Panics
/// Where they do, or where one is missing.
#[track_caller]
pub fn close_to_share(what: &str, found: f64, expected: f64, share: f64) {
    assert!(
        (found - expected).abs() <= share * expected.abs(),
        "{what}: found {found}, the table has {expected}, off by {:.2e} of it, {share:e} allowed",
        (found - expected) / expected
    );
}

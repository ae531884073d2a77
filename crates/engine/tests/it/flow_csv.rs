//! Reading the validation tables of flow, blower and fuels; a quoted cell may hold commas.

use std::collections::BTreeMap;

pub(crate) struct Row(BTreeMap<String, String>);

pub(crate) fn rows(file: &str) -> Vec<Row> {
    let path = format!("{}/../../validation/{file}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let mut lines = text.lines().filter(|line| !line.trim().is_empty());
    let header = cells(lines.next().expect("a header"));
    let rows: Vec<Row> = lines.map(|line| Row(header.iter().cloned().zip(cells(line)).collect())).collect();
    assert!(!rows.is_empty(), "{path} has no rows");
    rows
}

impl Row {
    pub(crate) fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    pub(crate) fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{text} in {column} is not a number"))
    }

    /// Compares with a column to half of its eighth digit, twice: the inputs are printed to eight digits
    /// too, and a sum or a product of two of them carries both halves.
    pub(crate) fn agrees(&self, column: &str, found: f64) {
        self.agrees_within(column, found, 1e-7);
    }

    pub(crate) fn agrees_within(&self, column: &str, found: f64, relative: f64) {
        let due = self.number(column);
        assert!((found - due).abs() <= relative * due.abs(), "{column}: found {found}, the table has {due}");
    }
}

fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for c in line.trim_end_matches('\r').chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            other => cells.last_mut().expect("one cell").push(other),
        }
    }
    cells
}

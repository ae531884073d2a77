//! Reading tables of `validation/`.

use std::collections::BTreeMap;

/// A row of a table, by column.
pub(crate) type Row = BTreeMap<String, String>;

pub(crate) fn table(path: &str) -> Vec<Row> {
    let path = format!("{}/../../validation/{path}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().expect("a header").split(',').collect();
    let rows: Vec<Row> = lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            assert_eq!(cells.len(), header.len(), "{path}: {line}");
            header.iter().map(ToString::to_string).zip(cells.iter().map(ToString::to_string)).collect()
        })
        .collect();
    assert!(!rows.is_empty(), "{path} has no rows");
    rows
}

pub(crate) fn number(row: &Row, column: &str) -> f64 {
    let text = row.get(column).unwrap_or_else(|| panic!("no column {column}"));
    text.parse().unwrap_or_else(|_| panic!("{text} in {column} is not a number"))
}

/// Asserts that two numbers differ by no more than a share of the expected one.
#[track_caller]
pub(crate) fn close(what: &str, found: f64, expected: f64, share: f64) {
    assert!(
        (found - expected).abs() <= share * expected.abs(),
        "{what}: {found}, the table has {expected}, off by {:.2e}",
        (found - expected) / expected
    );
}

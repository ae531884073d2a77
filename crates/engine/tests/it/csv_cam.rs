//! Reading `validation/cam`.

use std::collections::BTreeMap;

pub(crate) fn rows(file: &str) -> Vec<BTreeMap<String, String>> {
    let path = format!("{}/../../validation/cam/{file}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().expect("a header").split(',').collect();
    lines
        .map(|line| header.iter().map(ToString::to_string).zip(line.split(',').map(ToString::to_string)).collect())
        .collect()
}

pub(crate) fn number(row: &BTreeMap<String, String>, column: &str) -> f64 {
    let text = row.get(column).unwrap_or_else(|| panic!("no column {column}"));
    text.parse().unwrap_or_else(|_| panic!("{text} in {column} is not a number"))
}

//! Reading the validation tables.

use std::path::Path;

/// A row: column name and cell.
pub(crate) type Row = Vec<(String, String)>;

/// Rows of a table under `validation/`; quoted cells are not used there.
pub(crate) fn rows(path: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../validation").join(path);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut lines = text.lines().filter(|line| !line.trim().is_empty());
    let head: Vec<String> = lines.next().expect("a header").split(',').map(str::to_owned).collect();
    lines.map(|line| head.iter().cloned().zip(line.split(',').map(str::to_owned)).collect()).collect()
}

/// The cell of a column.
pub(crate) fn text<'a>(row: &'a Row, column: &str) -> &'a str {
    &row.iter().find(|cell| cell.0 == column).unwrap_or_else(|| panic!("no column {column}")).1
}

/// The number of a column.
pub(crate) fn number(row: &Row, column: &str) -> f64 {
    text(row, column).parse().unwrap_or_else(|_| panic!("{column}: {:?} is no number", text(row, column)))
}

/// Half of the eighth significant digit of a number. The tables print eight and leave trailing
/// zeros away, so the digits as written would be too lax: 745.69987 gives 5e-6, and so does 746.
pub(crate) fn half_digit(number: f64) -> f64 {
    if number == 0.0 { 0.0 } else { 0.5 * 10f64.powi(number.abs().log10().floor() as i32 - 7) }
}

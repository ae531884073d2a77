//! The data table view of a picture: the same numbers as rows.

use crate::picture::{LineKind, RunPicture};
use crate::words;
use serde::Serialize;

/// A picture as a table: one column for the speed and one per line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Table {
    /// Columns after the speed.
    pub columns: Vec<TableColumn>,
    /// Rows by rising speed.
    pub rows: Vec<TableRow>,
}

/// One line of the picture as a column.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TableColumn {
    /// Key of the strip.
    pub strip: String,
    /// Index of the line in the strip.
    pub line: usize,
    /// Quantity: "Torque".
    pub quantity: String,
    /// Unit and basis: "N·m, corrected".
    pub unit_and_basis: String,
    /// Which line: "run 14".
    pub name: String,
    /// Where it comes from.
    pub kind: LineKind,
}

/// One speed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TableRow {
    /// Speed, rpm.
    pub rpm: f64,
    /// Speed as printed: "3,600".
    pub rpm_text: String,
    /// Value by column, as printed; `None` where there is no data.
    pub values: Vec<Option<String>>,
    /// Spread by column, as printed without its sign; `None` where none is known.
    pub spreads: Vec<Option<String>>,
}

/// The data of a picture at every `step_rpm`, from the first multiple of it within the data.
///
/// Values stand at grid points of the lines; between two of them the straight line is taken, and
/// across a gap nothing is given. A `step_rpm` that is not above zero gives no rows.
pub fn table(picture: &RunPicture, step_rpm: f64) -> Table {
    let mut columns = Vec::new();
    for strip in &picture.strips {
        for (index, line) in strip.lines.iter().enumerate() {
            columns.push(TableColumn {
                strip: strip.key.clone(),
                line: index,
                quantity: strip.name.clone(),
                unit_and_basis: strip.unit_and_basis.clone(),
                name: if line.name.is_empty() { line.label.clone() } else { line.name.clone() },
                kind: line.kind,
            });
        }
    }
    let mut rows = Vec::new();
    if step_rpm > 0.0 && picture.rpm_to >= picture.rpm_from {
        let first = (picture.rpm_from / step_rpm).ceil() as i64;
        let last = (picture.rpm_to / step_rpm).floor() as i64;
        for k in first..=last {
            rows.push(row(picture, k as f64 * step_rpm));
        }
    }
    Table { columns, rows }
}

fn row(picture: &RunPicture, rpm: f64) -> TableRow {
    let mut values = Vec::new();
    let mut spreads = Vec::new();
    for strip in &picture.strips {
        for line in &strip.lines {
            let value = at(&line.points, rpm);
            values.push(value.map(|v| words::value(v, strip.decimals, strip.difference)));
            let spread = line.spread.as_ref().and_then(|spread| {
                let points: Vec<(f64, f64)> = line.points.iter().zip(spread).map(|(point, s)| (point.0, *s)).collect();
                at(&points, rpm)
            });
            spreads.push(value.and(spread).map(|s| words::value(s, strip.decimals, false)));
        }
    }
    TableRow { rpm, rpm_text: words::rpm(rpm), values, spreads }
}

/// The value of a line at a speed, by the straight line between neighbours; `None` in a gap.
pub(crate) fn at(points: &[(f64, f64)], rpm: f64) -> Option<f64> {
    let next = points.partition_point(|p| p.0 < rpm);
    let right = points.get(next)?;
    if right.0 == rpm {
        return right.1.is_finite().then_some(right.1);
    }
    let left = points.get(next.checked_sub(1)?)?;
    let value = left.1 + (right.1 - left.1) * (rpm - left.0) / (right.0 - left.0);
    value.is_finite().then_some(value)
}

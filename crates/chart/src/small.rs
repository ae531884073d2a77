//! The two small pictures: a sparkline for lists of runs, and plateau bars.

use crate::picture::{PlateauRow, Theme};

/// A line without scales for a list of runs, `width` × `height` px. Gaps stay gaps.
///
/// `label` says in words what is drawn. Fewer than two points with values give an empty drawing.
pub fn sparkline(points: &[(f64, f64)], label: &str, theme: Theme, width: f64, height: f64) -> String {
    let _ = (points, label, theme, width, height);
    String::new()
}

/// Bars from the lower to the upper end of each plateau on one common scale of speed.
pub fn plateau_bars(rows: &[PlateauRow], theme: Theme, width: f64) -> String {
    let _ = (rows, theme, width);
    String::new()
}

//! Points of the picture of a column's shape.

use super::evaluate::Working;
use super::result::{Shape, ShapeLine, ShapePoint};

/// One shape for each column that has a reading's place in its lines. Deviations count from what is aimed at,
/// from the middle of the limits, or from the mean of the column's readings.
pub(super) fn shapes(sheet: &Working<'_>) -> Vec<Shape> {
    let (template, layout) = (sheet.sizes.template, sheet.layout);
    let Some(spec) = &template.shape else { return Vec::new() };
    let given = |key: &String| template.given_value(&sheet.sizes.begun.given, key, None).map(|s| s.si);
    let mut shapes = Vec::new();
    for (at, column) in layout.columns.iter().enumerate() {
        let places: Vec<(&super::Row, &String)> = layout
            .rows
            .iter()
            .filter(|row| spec.lines.contains(&row.spec))
            .filter_map(|row| Some((row, row.places.get(at)?.as_ref()?)))
            .collect();
        if places.is_empty() {
            continue;
        }
        let cells: Vec<&super::Cell> = places.iter().filter_map(|(_, place)| sheet.cells.get(*place)).collect();
        let judged = cells.iter().find_map(|c| c.judgement.as_ref());
        let (lower, upper) = judged.map_or((None, None), |j| (j.lower_si, j.upper_si));
        let aim = judged.and_then(|j| j.target_si).or_else(|| lower.zip(upper).map(|(l, u)| 0.5 * (l + u)));
        let read: Vec<f64> = cells.iter().filter_map(|c| c.value_si).collect();
        let mean = (!read.is_empty()).then(|| read.iter().sum::<f64>() / read.len() as f64);
        let zero_si = aim.or(mean).unwrap_or(0.0);
        let lines = spec.lines.iter().map(|key| {
            let points = template.groups.iter().enumerate().filter_map(|(number, group)| {
                let (_, place) = places.iter().find(|(row, _)| row.spec == *key && row.group == group.key)?;
                let cell = sheet.cells.get(*place)?;
                Some(ShapePoint {
                    place: (*place).clone(),
                    at: group.under.as_ref().and_then(given).unwrap_or(number as f64),
                    deviation_si: cell.value_si.map(|v| v - zero_si),
                    u_si: cell.u_si,
                    verdict: cell.judgement.as_ref().map(|j| j.verdict),
                })
            });
            let name = template.row(key).map_or(String::new(), |row| row.name.clone());
            ShapeLine { key: key.clone(), name, points: points.collect() }
        });
        shapes.push(Shape {
            column: column.key.clone(),
            lines: lines.collect(),
            zero_si,
            lower_si: lower.map(|l| l - zero_si),
            upper_si: upper.map(|u| u - zero_si),
        });
    }
    shapes
}

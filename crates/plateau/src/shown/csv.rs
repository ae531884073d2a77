//! The curve as a table, RFC 4180: one row a speed, the unit in every heading, empty where not tested.

use crate::shown::json::power_w;
use pull::analysis::{Analysis, Comparison};

/// The table: torque and power with their uncertainty, observed torque, other channels in SI, and the earlier run.
pub(crate) fn table(analysis: &Analysis, comparison: Option<&Comparison>) -> String {
    let curve = &analysis.curve;
    let mut columns: Vec<(String, Vec<f64>)> = vec![
        ("speed_rpm".into(), curve.rpm.clone()),
        ("torque_nm".into(), curve.torque_nm.clone()),
        ("torque_expanded_k2_nm".into(), curve.u_nm.iter().map(|u| 2.0 * u).collect()),
        ("torque_low_nm".into(), curve.low_nm.clone()),
        ("torque_high_nm".into(), curve.high_nm.clone()),
        ("power_w".into(), power_w(curve)),
        ("pulls".into(), curve.pulls.iter().map(|n| *n as f64).collect()),
        ("observed_torque_nm".into(), analysis.observed.torque_nm.clone()),
    ];
    columns.extend(analysis.channels.iter().map(|c| (format!("{}_si", c.role), c.mean.clone())));
    if let Some(comparison) = comparison {
        columns.push(("difference_torque_nm".into(), comparison.curve_nm.clone()));
        columns.push(("difference_simultaneous95_nm".into(), comparison.curve_half_nm.clone()));
    }
    let mut text = columns.iter().map(|c| c.0.as_str()).collect::<Vec<_>>().join(",");
    text += "\r\n";
    for row in 0..curve.rpm.len() {
        let cells = columns.iter().map(|(_, values)| match values.get(row) {
            Some(value) if value.is_finite() => format!("{value}"),
            _ => String::new(),
        });
        text += &cells.collect::<Vec<_>>().join(",");
        text += "\r\n";
    }
    text
}

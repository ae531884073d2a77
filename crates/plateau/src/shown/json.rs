//! A run as one JSON object. `report` makes it, so that the page gives the same.

use pull::analysis::{Analysis, Comparison, Curve};
use serde_json::Value;
use std::f64::consts::PI;
use takein::Question;

/// A run that was worked out.
pub(crate) fn run(analysis: &Analysis, comparison: Option<&Comparison>, open: &[Question]) -> Value {
    report::run_json(analysis, comparison, &open.iter().map(Question::to_json).collect::<Vec<_>>())
}

/// Logs that leave questions open.
pub(crate) fn asking(questions: &[Question]) -> Value {
    report::asking_json(&questions.iter().map(Question::to_json).collect::<Vec<_>>())
}

/// Power from torque and speed: P = T ω, ω = rpm · 2π/60.
pub(crate) fn power_w(c: &Curve) -> Vec<f64> {
    c.rpm.iter().zip(&c.torque_nm).map(|(rpm, torque)| torque * rpm * PI / 30.0).collect()
}

//! The small summary of a run that lists show without reading its logs again.

use crate::house::HouseRules;
use crate::work::Outcome;
use serde::{Deserialize, Serialize};

/// A run in a few numbers, SI. Kept with the run when it is taken in and after each change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(default)]
pub struct Headline {
    /// Pulls in use.
    pub pulls: usize,
    /// Open questions.
    pub questions: usize,
    /// Lower end of the band judged, rpm.
    pub band_from_rpm: Option<f64>,
    /// Upper end of the band judged, rpm.
    pub band_to_rpm: Option<f64>,
    /// Mean torque over the band, N·m.
    pub mean_torque_nm: Option<f64>,
    /// Its expanded uncertainty (k = 2), N·m.
    pub mean_torque_expanded_nm: Option<f64>,
    /// Mean power over the band, W.
    pub mean_power_w: Option<f64>,
    /// Wording of the correction: "corrected with the J1349 factor", "observed".
    pub correction: String,
    /// Mean spread between pulls over the band, relative.
    pub mean_spread: Option<f64>,
    /// Guard flags.
    pub flags: usize,
    /// Revision of the shop's guard text that the flags were counted with, 0 for the tool's rules alone.
    pub guards: i64,
    /// Whether the factor to standard air lies in its range; none where no factor was applied or it cannot be told.
    pub factor_in_range: Option<bool>,
    /// Peak power stands at the end of the data.
    pub still_climbing: bool,
    /// Torque on a coarse grid for a small curve: pairs of rpm and N·m, at most 48.
    pub curve: Vec<(f64, f64)>,
}

/// Most points in the small curve.
const POINTS: usize = 48;

impl Headline {
    /// The summary of an outcome, judged by the rules of a house.
    pub fn of(outcome: &Outcome, house: &HouseRules) -> Self {
        let analysis = match outcome {
            Outcome::Asking(questions) => return Self { questions: questions.len(), ..Self::default() },
            Outcome::Ready(analysis, _) => analysis,
        };
        let figures = &analysis.figures;
        let tested: Vec<(f64, f64)> = analysis
            .curve
            .rpm
            .iter()
            .zip(&analysis.curve.torque_nm)
            .filter(|(_, torque)| torque.is_finite())
            .map(|(rpm, torque)| (*rpm, *torque))
            .collect();
        let step = tested.len().div_ceil(POINTS).max(1);
        Self {
            pulls: analysis.repeat.pulls,
            questions: 0,
            band_from_rpm: Some(analysis.band.from_rpm),
            band_to_rpm: Some(analysis.band.to_rpm),
            mean_torque_nm: figures.mean_torque_nm.map(|f| f.value),
            mean_torque_expanded_nm: figures.mean_torque_nm.map(|f| f.expanded),
            mean_power_w: figures.mean_power_w.map(|f| f.value),
            correction: analysis.correction.words.clone(),
            mean_spread: analysis.repeat.mean_spread,
            flags: analysis.flags.len(),
            guards: house.revisions.0,
            factor_in_range: match analysis.correction.range_verdict.as_deref() {
                Some("inside") => Some(true),
                Some("outside") => Some(false),
                _ => None,
            },
            still_climbing: figures.peak_power.is_some_and(|p| p.at_least),
            curve: tested.into_iter().step_by(step).collect(),
        }
    }

    /// The summary as kept with a run; empty if the text is of an older form.
    pub fn from_json(json: &str) -> Self {
        serde_json::from_str(json).unwrap_or_default()
    }

    /// As kept with a run. Numbers that are not finite are not kept.
    pub fn to_json(&self) -> String {
        serde_json::to_string(self).unwrap_or_else(|_| "{}".to_owned())
    }
}

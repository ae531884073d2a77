//! Guards: rules over raw channels that give spans, not points. Filled in next.

use serde::{Deserialize, Serialize};

/// How far a guard went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// A sensor is not to be believed here; no value is judged.
    SensorFault,
    /// Look at it.
    Warn,
    /// The pull should have been stopped.
    Abort,
}

/// A stretch in which a guard's condition held.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Flag {
    /// Number on the picture, from 1.
    pub number: usize,
    /// Key of the rule: `lambda_lean`, `boost_short`, `belt_slip` …
    pub rule: String,
    /// How far it went.
    pub level: Level,
    /// Pull number, 0 for the whole log.
    pub pull: usize,
    /// Role key of the channel it is drawn on.
    pub role: String,
    /// From, rpm.
    pub from_rpm: f64,
    /// To, rpm.
    pub to_rpm: f64,
    /// From, s in the log's time.
    pub from_s: f64,
    /// To, s.
    pub to_s: f64,
    /// Two to four words for the picture: "pull 2 lean by 0.02".
    pub words: String,
    /// A sentence with the numbers, and what to look at.
    pub sentence: String,
    /// Where the limit comes from: "common practice, no source".
    pub source: String,
}

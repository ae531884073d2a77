//! Guards: rules over raw channels that give spans, not points.
//!
//! The rules are data (`data/guards/default.toml`, a shop file over it), the limits common practice
//! without a source. The runner works on the table as logged, never on smoothed values; two checks
//! that compare torque at one speed with torque at another take medians over 25 or 100 rpm, and say so.
//! Sensor faults are looked for first, and values of a faulty sensor are not judged.
//!
//! Guards read a log after the event. They never replace the hard-wired stop.

mod check;
mod num;
mod parse;
mod rules;
mod sensor;
mod span;
mod torque;
mod view;

pub use parse::RulesError;
pub use rules::{Check, Limit, On, Rule, Rules, Sensor, Stated, Target, When};

use crate::log::Table;
use crate::setup::Setup;
use rayon::prelude::*;
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
    /// The numbers behind the words, for faces with other units; `None` for sensor faults.
    #[serde(default)]
    pub worst: Option<Worst>,
}

/// The worst value within a flag, SI.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Worst {
    /// What was compared with the limit: the value itself, or its distance from what it should be.
    pub measure_si: f64,
    /// The limit that was passed.
    pub limit_si: f64,
    /// The value of the channel at that moment.
    pub value_si: f64,
    /// What it was held against, if anything.
    pub against_si: Option<f64>,
    /// Kind of quantity of the channel: `pressure`, `temperature`, `lambda` …
    pub kind: String,
    /// `measure_si` and `limit_si` are a share (0…1) instead of that kind.
    pub share: bool,
    /// `measure_si` and `limit_si` are a difference: no offset when turned into °C or °F.
    pub difference: bool,
}

/// Where a pull stands in a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PullSpan {
    /// Number from 1 within the run.
    pub number: usize,
    /// First row.
    pub from_row: usize,
    /// Row after the last one.
    pub to_row: usize,
    /// Speed rises through the pull.
    pub up: bool,
}

/// The flags of a rule, and its remarks or the reason why it cannot be judged.
type Judged = (Vec<Flag>, Result<Vec<String>, String>);

/// Runs all rules over a log.
///
/// Gives the flags in order of speed, numbered from 1, and a sentence for each rule that could not be
/// judged, with the reason. A span ends when its condition has not held for 0.1 s; rows without a value
/// neither start nor end one.
///
/// Rows of a pull beyond the table are left out; a table without engine speed gives no flags.
pub fn watch(table: &Table, pulls: &[PullSpan], setup: &Setup, rules: &Rules) -> (Vec<Flag>, Vec<String>) {
    let Some(mut view) = view::View::new(table, pulls, setup) else {
        return (Vec::new(), vec!["No guard was run: the log has no engine speed.".to_owned()]);
    };
    let mut flags = sensor::faults(&mut view, &rules.sensors);
    let mut remarks: Vec<String> = Vec::new();
    let mut not_judged: Vec<(String, String, Vec<&str>)> = Vec::new();
    view.settle_induction();
    let on: Vec<&Rule> = rules.rules.iter().filter(|r| !rules.off.contains(&r.key)).collect();
    let results: Vec<Judged> = on
        .par_iter()
        .map(|rule| match check::series(&view, rule, rules) {
            Ok(found) => (found.series.iter().flat_map(|s| span::flags(&view, rule, s)).collect(), Ok(found.remarks)),
            Err(why) => (Vec::new(), Err(why)),
        })
        .collect();
    for (rule, (found, said)) in on.iter().zip(results) {
        flags.extend(found);
        match said {
            Ok(said) => remarks.extend(said),
            Err(why) => match not_judged.iter_mut().find(|n| n.0 == rule.on.label() && n.1 == why) {
                Some(same) => same.2.push(&rule.key),
                None => not_judged.push((rule.on.label(), why, vec![&rule.key])),
            },
        }
    }
    remarks.dedup();
    remarks.extend(
        not_judged
            .iter()
            .map(|(label, why, keys)| format!("{} was not judged ({}): {why}.", capital(label), keys.join(", "))),
    );
    flags.sort_by(|a, b| a.from_rpm.total_cmp(&b.from_rpm).then(a.pull.cmp(&b.pull)).then(a.rule.cmp(&b.rule)));
    for (i, flag) in flags.iter_mut().enumerate() {
        flag.number = i + 1;
    }
    (flags, remarks)
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().chain(chars).collect())
}

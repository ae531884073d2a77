//! The pieces of a report in words: the same for page, paper and terminal.

use chart::LineKind;
use serde::Serialize;

/// What a run and its neighbours are called.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct RunNames {
    /// Title of the page: "Run 14: three pulls, 8 April".
    pub title: String,
    /// Short name of the run: "Run 14". "This run" when it has none.
    pub run: String,
}

/// The finding, in one sentence: the strong part first.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Finding {
    /// Printed strong: "33 N·m more".
    pub strong: String,
    /// The rest of it, with its leading space or comma.
    pub rest: String,
}

/// One entry of the conditions line: "Observed  **97.9 kPa**, intake air **24.6 °C**".
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Condition {
    /// What it is: "Observed", "Corrected to", "Factor", "Load cell".
    pub name: String,
    /// Pieces in order; strong ones are the figures.
    pub pieces: Vec<Piece>,
}

/// A piece of running text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Piece {
    /// Printed strong.
    pub strong: bool,
    /// The words, with their own spaces and commas.
    pub text: String,
}

/// One row of the figures table. All texts are printed as they are.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FigureRow {
    /// Stable key: `mean_torque`, `mean_power`, `least_torque`.
    pub key: &'static str,
    /// "Average torque".
    pub name: String,
    /// Unit and what belongs beside it: "N·m, ±1.6 in all"; "N·m, at 6,200".
    pub note: String,
    /// Unit alone.
    pub unit: String,
    /// Value of this run: "290.1"; "not covered" when the run does not reach over the band.
    pub now: String,
    /// ± of it (k = 2), in the same unit; empty when not known.
    pub expanded: String,
    /// Value of the run before; `None` without one.
    pub before: Option<String>,
    /// The same observed, without correction, where a correction was applied.
    pub observed: Option<String>,
}

/// One row of "Peaks, for the record".
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PeakRow {
    /// "Torque".
    pub name: String,
    /// "N·m".
    pub unit: String,
    /// This run.
    pub now: PeakCell,
    /// The run before.
    pub before: Option<PeakCell>,
}

/// A peak in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PeakCell {
    /// "299", or "at least 173" when power was still climbing at the last speed run.
    pub value: String,
    /// "at 4,675", with the span in which it cannot be told from its neighbours: "at 4,675 (4,450 to 4,900)".
    pub at: String,
}

/// One flag of the list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FlagItem {
    /// Number in the disc.
    pub number: usize,
    /// Pull, 0 for the whole log.
    pub pull: usize,
    /// A sentence with the numbers.
    pub sentence: String,
    /// How far it went, in words: "look at it", "the pull should have been stopped", "sensor not to be believed".
    pub level: String,
    /// Where the limit comes from.
    pub source: String,
}

/// One line under "How it was measured": a name and a sentence.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ProvenanceLine {
    /// "Correction", "Inertia torque", "Smoothing", "Uncertainty", "Problem", "Load cell", "Pulls", "Left out",
    /// "Read from", "Dyno", "Weather", "Doubt", "Lag", "Note", "Comparison", "Not judged"; in this order.
    pub name: String,
    /// What is so.
    pub text: String,
}

/// One bar of the plateau picture, with its words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PlateauLine {
    /// "Run 14".
    pub name: String,
    /// Where it comes from.
    pub kind: LineKind,
    /// "3,300 to 5,625 rpm".
    pub text: String,
}

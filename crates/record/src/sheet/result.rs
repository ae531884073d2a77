//! What a sheet says.

use crate::{Id, InstrumentUsed};
use quantity::{Dimension, Verdict};
use std::collections::BTreeMap;

/// A sheet with its verdicts.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetResult {
    /// Unit of the sheet.
    pub unit: String,
    /// How much of it is read.
    pub progress: Progress,
    /// Every place by its key; [`super::Layout`] has their order.
    pub cells: BTreeMap<String, Cell>,
    /// Worked-out figures, in the order of the template; also the hidden ones.
    pub derived: Vec<DerivedResult>,
    /// The picture, one for each column that has one.
    pub shapes: Vec<Shape>,
    /// What to ask about readings and figures that are out.
    pub asks: Vec<Ask>,
    /// What else is to be known: corrections for temperature, instruments overdue.
    pub notices: Vec<String>,
    /// Readings in places that this sheet does not have: kept, shown nowhere else.
    pub strangers: Vec<(Id, String)>,
}

/// How much of a sheet is read: "17 of 24".
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// Places with a reading, or with the reason why there is none.
    pub done: usize,
    /// Places to read, without the optional ones.
    pub total: usize,
}

/// What stands in a place.
#[derive(Debug, Clone, PartialEq)]
pub enum CellState {
    /// Nothing yet.
    Empty,
    /// A quantity.
    Read,
    /// A word.
    Word(String),
    /// It could not be read; the reason.
    NotRead(String),
    /// A quantity of another kind than asked for; the reason. It is kept and not used.
    Unusable(String),
}

/// One place.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// Its key.
    pub place: String,
    /// What stands in it.
    pub state: CellState,
    /// The readings that count here, oldest first: more than one is a repeated reading.
    pub readings: Vec<Id>,
    /// The text as typed; of the last reading.
    pub typed: String,
    /// As read, SI; the mean of repeated readings.
    pub shown_si: Option<f64>,
    /// At 20 °C, SI: what is judged.
    pub value_si: Option<f64>,
    /// Standard uncertainty (k = 1), SI.
    pub u_si: Option<f64>,
    /// What the uncertainty is made of, largest first.
    pub parts: Vec<UncertaintyPart>,
    /// Step of the last digit, SI: how many digits are shown.
    pub step_si: f64,
    /// The number as shown, without unit: "92.766".
    pub number: String,
    /// Kind of quantity.
    pub kind: Dimension,
    /// Its unit.
    pub unit: String,
    /// The verdict, where there is a limit.
    pub judgement: Option<Judgement>,
    /// Why there is no verdict: no limit in the tables, a size that is missing.
    pub no_limit: Option<String>,
    /// Of a place without a reading: the limits that one would be held against, where they are known already.
    pub expected: Option<ExpectedLimits>,
    /// Something stands against the reading.
    pub taint: Option<Taint>,
    /// What it was read with.
    pub instrument: Option<InstrumentUsed>,
    /// When, RFC 3339, of the last reading.
    pub at: String,
    /// By whom, of the last reading.
    pub author: String,
    /// What it is compared with.
    pub neighbours: Option<Neighbours>,
}

/// One part of an uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct UncertaintyPart {
    /// Where it comes from: "bore gauge 2", "last digit", "temperature".
    pub what: String,
    /// Standard uncertainty from this part alone, SI.
    pub u_si: f64,
}

/// A verdict with all it stands on.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// Inside, outside or cannot tell.
    pub verdict: Verdict,
    /// Least allowed, SI.
    pub lower_si: Option<f64>,
    /// Greatest allowed, SI.
    pub upper_si: Option<f64>,
    /// What is aimed at, SI.
    pub target_si: Option<f64>,
    /// How far beyond a limit the value lies: positive over, negative under; none between them.
    pub beyond_si: Option<f64>,
    /// That in words: "0.006 over"; empty between the limits.
    pub words: String,
    /// The limits as shown beside it: "0.050–0.065", "up to 0.010".
    pub limits: String,
    /// Where the limit comes from.
    pub from: LimitFrom,
    /// Width between the limits over the expanded uncertainty; common practice asks for 4, better 10.
    pub width_over_uncertainty: Option<f64>,
    /// Whether a reading this uncertain could be inside at all.
    pub can_be_inside: bool,
}

/// Limits of a place before anybody has read there.
#[derive(Debug, Clone, PartialEq)]
pub struct ExpectedLimits {
    /// Least allowed, SI.
    pub lower_si: Option<f64>,
    /// Greatest allowed, SI.
    pub upper_si: Option<f64>,
    /// What is aimed at, SI.
    pub target_si: Option<f64>,
    /// Where they come from, in one sentence.
    pub sentence: String,
}

/// Where a limit comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitFrom {
    /// As written: "at most 0.5 thou".
    pub written: String,
    /// Whose it is: "default", "the shop's table", "the maker's sheet", "this sheet".
    pub layer: String,
    /// Tag of the source; empty for this sheet's own.
    pub source: String,
    /// How far the source can be trusted.
    pub standing: String,
    /// All of it in one sentence.
    pub sentence: String,
}

/// Something that stands against a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Taint {
    /// The instrument's calibration had run out by so many days on the day of the reading.
    Overdue {
        /// The instrument's name.
        instrument: String,
        /// Days past the last day on which the calibration counted.
        days: i64,
    },
    /// The register has no calibration of the instrument.
    NeverCalibrated {
        /// The instrument's name.
        instrument: String,
    },
    /// Nobody said what it was read with.
    NoInstrument,
}

impl std::fmt::Display for Taint {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Overdue { instrument, days: 1 } => write!(f, "{instrument}: calibration overdue by 1 day"),
            Self::Overdue { instrument, days } => write!(f, "{instrument}: calibration overdue by {days} days"),
            Self::NeverCalibrated { instrument } => write!(f, "{instrument}: no calibration in the register"),
            Self::NoInstrument => f.write_str("no instrument named"),
        }
    }
}

/// The readings that one is compared with.
#[derive(Debug, Clone, PartialEq)]
pub struct Neighbours {
    /// How many are read.
    pub count: usize,
    /// Least, SI, as read.
    pub least_si: f64,
    /// Greatest, SI, as read.
    pub greatest_si: f64,
    /// All of them, SI, as read.
    pub values_si: Vec<f64>,
    /// Whether the reading stands apart from them.
    pub apart: bool,
    /// "The other five in this bore read 92.750 to 92.755."
    pub words: String,
}

/// A worked-out figure.
#[derive(Debug, Clone, PartialEq)]
pub struct DerivedResult {
    /// Key of its row: "taper".
    pub key: String,
    /// Name of its row.
    pub name: String,
    /// Its place: "cylinder 3/taper", "lift 4/spread", "chamber_spread".
    pub place: String,
    /// The column it belongs to.
    pub column: Option<String>,
    /// The row it belongs to.
    pub row: Option<String>,
    /// Kind of quantity.
    pub kind: Dimension,
    /// Its unit.
    pub unit: String,
    /// Value, SI; none where it cannot be worked out.
    pub value_si: Option<f64>,
    /// Standard uncertainty, SI.
    pub u_si: Option<f64>,
    /// The number as shown; "—" without a value.
    pub number: String,
    /// Whether every reading it needs is there. A figure of part of the readings can be outside and never inside.
    pub complete: bool,
    /// Readings it needs and has: (read, needed).
    pub readings: (usize, usize),
    /// Why there is no value.
    pub missing: Option<String>,
    /// What the formula adds in words: where the taper is worst, what a pattern points to.
    pub words: String,
    /// The verdict, where there is a limit.
    pub judgement: Option<Judgement>,
    /// Why there is no verdict.
    pub no_limit: Option<String>,
    /// Readings that went in with something against them.
    pub tainted: Vec<String>,
    /// Ids of the readings that went in.
    pub rests_on: Vec<Id>,
    /// Whether it is only worked out to be used by others.
    pub hidden: bool,
}

/// The shape of one column.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Key of the column.
    pub column: String,
    /// Its lines: "across", "along".
    pub lines: Vec<ShapeLine>,
    /// What deviations count from, SI: the aim, the middle of the limits, or the mean of the readings.
    pub zero_si: f64,
    /// Least allowed, as deviation, SI.
    pub lower_si: Option<f64>,
    /// Greatest allowed, as deviation, SI.
    pub upper_si: Option<f64>,
}

/// One line of a shape.
#[derive(Debug, Clone, PartialEq)]
pub struct ShapeLine {
    /// Key of its row.
    pub key: String,
    /// Its name.
    pub name: String,
    /// Its points, from the first group to the last.
    pub points: Vec<ShapePoint>,
}

/// One point of a shape.
#[derive(Debug, Clone, PartialEq)]
pub struct ShapePoint {
    /// Its place on the sheet.
    pub place: String,
    /// Where it stands down the part: the value under its group, SI, or else the number of the group.
    pub at: f64,
    /// Deviation from zero, SI; none where nothing is read.
    pub deviation_si: Option<f64>,
    /// Standard uncertainty, SI.
    pub u_si: Option<f64>,
    /// Verdict on the reading.
    pub verdict: Option<Verdict>,
}

/// What to say about a reading or figure that is out.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Its place.
    pub place: String,
    /// The place in words: "Cylinder 3, bottom, along".
    pub name: String,
    /// How far out: "0.006 over".
    pub beyond: String,
    /// Neighbours, likely slip and next step, in short sentences.
    pub words: String,
    /// Whether the reading should be taken again before anything else.
    pub measure_again: bool,
    /// Readings it is about.
    pub readings: Vec<Id>,
}

impl SheetResult {
    /// A worked-out figure by its place.
    pub fn figure(&self, place: &str) -> Option<&DerivedResult> {
        self.derived.iter().find(|figure| figure.place == place)
    }

    /// What to ask about a place.
    pub fn ask(&self, place: &str) -> Option<&Ask> {
        self.asks.iter().find(|ask| ask.place == place)
    }
}

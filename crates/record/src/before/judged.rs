//! What comes out of a test: plain values for pages, sheets and JSON.

use super::numbers::show;
use quantity::{Dimension, Verdict};
use serde::{Deserialize, Serialize};

/// How far a source can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sourced {
    /// Printed, and read for the table.
    Published,
    /// What the trade does; no source.
    CommonPractice,
    /// Remembered and not looked up.
    FromMemory,
    /// Set by us or by the shop; no source.
    OurAssumption,
    /// Works out from the engine's description.
    Computed,
}

impl Sourced {
    /// Every standing.
    pub const ALL: [Self; 5] =
        [Self::Published, Self::CommonPractice, Self::FromMemory, Self::OurAssumption, Self::Computed];

    /// How a table writes it, and what a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::CommonPractice => "common practice",
            Self::FromMemory => "from memory",
            Self::OurAssumption => "our assumption",
            Self::Computed => "computed",
        }
    }
}

/// Where a limit or a pattern is from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SourceTag {
    /// Short name of the table.
    pub tag: String,
    /// How far it can be trusted.
    pub standing: Sourced,
    /// What it is.
    pub what: String,
}

/// How sure a suggestion is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sure {
    /// One of several things that look so.
    Possible,
    /// What it is in most cases; look before acting.
    Likely,
    /// Two tests that do not hang on each other say the same.
    TwoTestsAgree,
}

impl Sure {
    /// Every degree.
    pub const ALL: [Self; 3] = [Self::Possible, Self::Likely, Self::TwoTestsAgree];

    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::Possible => "possible",
            Self::Likely => "likely",
            Self::TwoTestsAgree => "two tests agree",
        }
    }
}

/// One cell of a row.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cell {
    /// Its column: "last stroke".
    pub label: String,
    /// What a person reads; readings as typed.
    pub text: String,
    /// The value, SI, where it is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub si: Option<f64>,
    /// It stands out from its neighbours.
    #[serde(default)]
    pub stands_out: bool,
}

impl Cell {
    /// A reading as typed.
    pub(super) fn read(label: &str, stated: Option<&crate::Stated>) -> Self {
        match stated {
            Some(s) => Self { label: label.to_owned(), text: s.text.clone(), si: Some(s.si), stands_out: false },
            None => Self { label: label.to_owned(), text: "–".to_owned(), si: None, stands_out: false },
        }
    }

    /// A number that was worked out.
    pub(super) fn number(label: &str, dimension: Dimension, si: f64) -> Self {
        Self { label: label.to_owned(), text: show(dimension, si, None), si: Some(si), stands_out: false }
    }

    /// Words.
    pub(super) fn words(label: &str, words: &str) -> Self {
        Self { label: label.to_owned(), text: words.to_owned(), si: None, stands_out: false }
    }

    pub(super) fn out(self, stands_out: bool) -> Self {
        Self { stands_out, ..self }
    }
}

/// A place with its readings: a cylinder, a speed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// "cylinder 3".
    pub place: String,
    /// Its cells.
    pub cells: Vec<Cell>,
}

/// A figure that was worked out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// Key: "lowest_share".
    pub key: String,
    /// What a person reads.
    pub label: String,
    /// Kind of quantity.
    pub dimension: Dimension,
    /// Value, SI.
    pub si: f64,
    /// Standard uncertainty (k = 1), SI; none for the edge of a band.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub u_si: Option<f64>,
    /// Value with "±" (k = 2), US and metric.
    pub text: String,
    /// What belongs to it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// A figure against a limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VerdictLine {
    /// Key of the figure.
    pub figure: String,
    /// Cylinder or speed; empty for the whole engine.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
    /// Kind of quantity.
    pub dimension: Dimension,
    /// Value, SI.
    pub si: f64,
    /// Standard uncertainty, SI.
    pub u_si: f64,
    /// The limit in words: "lowest at least 75 % of the highest".
    pub limit: String,
    /// Least allowed, SI.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower_si: Option<f64>,
    /// Greatest allowed, SI.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper_si: Option<f64>,
    /// Inside, outside or cannot tell.
    pub verdict: Verdict,
    /// One sentence.
    pub words: String,
    /// Where the limit is from.
    pub source: SourceTag,
    /// Outside of this limit the engine is not run on the dyno.
    #[serde(default)]
    pub do_not_run: bool,
}

/// What a pattern points to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Suggestion {
    /// Key of the sign: "cranking.pair_low".
    pub sign: String,
    /// What it points to: "gasket between 2 and 3".
    pub words: String,
    /// What was seen.
    pub because: String,
    /// What would tell.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub look: String,
    /// How sure it is.
    pub sure: Sure,
    /// Where the pattern is from.
    pub source: SourceTag,
    /// Cylinders it speaks of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cylinders: Vec<u32>,
    /// Until it is cleared up, the engine is not run on the dyno.
    #[serde(default)]
    pub do_not_run: bool,
    /// Nothing is wrong: the reading is as it should be.
    #[serde(default)]
    pub nothing_wrong: bool,
}

/// What kind of warning it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WarningKind {
    /// The test was done in a way that moves its figures.
    HowItWasDone,
    /// Something that belongs to the test was not noted.
    NotNoted,
    /// What was written cannot be.
    NotPossible,
    /// A reading looks like the usual slip.
    LooksLikeASlip,
}

/// A warning.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Warning {
    /// Its kind.
    pub kind: WarningKind,
    /// What, and what it does to the figures.
    pub words: String,
}

/// A test, worked out and judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Judged {
    /// Key of the test: "cranking".
    pub test: String,
    /// Its name: "Cranking compression".
    pub name: String,
    /// Readings, a row a place.
    pub rows: Vec<Row>,
    /// Figures.
    pub figures: Vec<Figure>,
    /// Figures against limits.
    pub verdicts: Vec<VerdictLine>,
    /// What the pattern points to.
    pub suggestions: Vec<Suggestion>,
    /// Warnings.
    pub warnings: Vec<Warning>,
}

impl Judged {
    /// A figure by its key.
    pub fn figure(&self, key: &str) -> Option<&Figure> {
        self.figures.iter().find(|f| f.key == key)
    }

    /// Why the engine is not run on the dyno yet; empty when nothing says so.
    pub fn do_not_run(&self) -> Vec<&str> {
        let outside = self.verdicts.iter().filter(|v| v.do_not_run && v.verdict == Verdict::Outside);
        let seen = self.suggestions.iter().filter(|s| s.do_not_run);
        outside.map(|v| v.words.as_str()).chain(seen.map(|s| s.words.as_str())).collect()
    }
}

//! Claims, promises, and the verdict on them.

use crate::{Id, Value};
use serde::{Deserialize, Serialize};

/// How much hangs on a claim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// An answer here changes what is built or whether it is safe to run.
    DecidesTheBuild,
    /// Sets fuel, spark or clearances.
    ChangesTheTune,
    /// Good to know; changes nothing now.
    ForTheRecord,
}

/// What a claim rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SupportKind {
    /// A line of an invoice.
    InvoiceLine,
    /// A card: cam card, spring card, old dyno sheet.
    Card,
    /// Somebody told it.
    Story,
}

/// One piece that a claim rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Support {
    /// What it is.
    pub kind: SupportKind,
    /// Its words.
    pub words: String,
    /// The entry of the photo or PDF of it, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file: Option<Id>,
}

/// Something that somebody said about the engine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Claim {
    /// Part of the engine: "Pistons".
    pub component: String,
    /// The words as said.
    pub words: String,
    /// What was claimed, as a quantity or a word, where it can be put so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub claimed: Option<Value>,
    /// How far a found value may lie from the claimed one and still be as claimed, SI; none where only the readings' uncertainty counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub allowance_si: Option<f64>,
    /// Who said it.
    pub by: String,
    /// What it rests on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<Support>,
    /// How much hangs on it.
    pub weight: Weight,
    /// What depends on it: "Knock and boost".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub touches: String,
}

/// Something that we said we would do. It is judged as a claim is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Promise {
    /// Part of the engine.
    pub component: String,
    /// The words of the agreement.
    pub words: String,
    /// What was promised, as a quantity or a word.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub promised: Option<Value>,
    /// How far the proved value may lie from the promised one, SI.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub allowance_si: Option<f64>,
    /// The decision it comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub decision: Option<Id>,
    /// How much hangs on it.
    pub weight: Weight,
}

/// How far a claim is true. Four values; a person decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TruthVerdict {
    /// As claimed.
    True,
    /// In part.
    Partly,
    /// Not as claimed.
    NotTrue,
    /// It cannot be told; the reason says what would tell.
    CannotTell,
}

impl TruthVerdict {
    /// "partly true".
    pub fn name(self) -> &'static str {
        match self {
            Self::True => "true",
            Self::Partly => "partly true",
            Self::NotTrue => "not true",
            Self::CannotTell => "can't tell",
        }
    }
}

/// A person's verdict on a claim or a promise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VerdictGiven {
    /// The claim or promise.
    pub on: Id,
    /// The verdict.
    pub verdict: TruthVerdict,
    /// Why; for "cannot tell", what would tell.
    pub because: String,
    /// Findings, readings, photos and parts it rests on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<Id>,
    /// Verdicts that this one takes the place of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replaces: Vec<Id>,
}

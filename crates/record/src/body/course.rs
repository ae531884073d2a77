//! The course of a job: parts, runs, waivers, corrections, stages, the hand-over.

use crate::{Body, Id, Stage};
use serde::{Deserialize, Serialize};

/// A part that was fitted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FittedPart {
    /// Part of the engine: "Pistons".
    pub component: String,
    /// Where: "cylinders 1 to 4".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub position: String,
    /// What it is: "forged, 92.75 mm, 8.6 : 1".
    pub words: String,
    /// Its maker.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub maker: String,
    /// Part number as stamped or printed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub part_number: String,
    /// Serial number.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub serial: String,
    /// Lot.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub lot: String,
    /// The promise that it keeps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub promise: Option<Id>,
    /// Photos of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub shown_by: Vec<Id>,
}

/// A run on the dyno belongs to this job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RunAttached {
    /// The run's id in the shop.
    pub run: String,
    /// Its number in the shop.
    pub number: i64,
    /// What it shows: "as received", "after the build".
    pub shows: String,
}

/// A value outside its limit is kept; a named place without a reading is left; the reason says why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LimitWaived {
    /// The entry that began the sheet.
    pub sheet: Id,
    /// Place or worked-out row of the sheet: "cylinder 3/bottom/along", "cylinder 3/taper".
    pub place: String,
    /// The reading that is kept; none for a worked-out row or a place left without a reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<Id>,
    /// Why.
    pub because: String,
}

/// An earlier entry says something else now. The earlier one stays in the record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// The entry that is corrected: always the first one, not an earlier correction.
    pub of: Id,
    /// The versions this one was made on: the entry itself, or corrections of it.
    pub replaces: Vec<Id>,
    /// Why.
    pub because: String,
    /// What it says now; of the same kind as the entry.
    pub now: Body,
}

/// An earlier entry does not count any more. It stays in the record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Struck {
    /// The entry.
    pub of: Id,
    /// Why.
    pub because: String,
}

/// The job went on to the next stage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StagePassed {
    /// The stage that the job is in from now on.
    pub to: Stage,
    /// What was missing at the gate, each with the reason why it went on all the same: (key of the missing thing, why).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub in_spite_of: Vec<(String, String)>,
    /// A remark.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// The engine left the shop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandedOver {
    /// To whom.
    pub to: String,
    /// Promises without proof, open questions and other doubts that it left with, each with the reason: (key, why).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub in_spite_of: Vec<(String, String)>,
    /// Care: oil, first change, fuels not to be used.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub care: String,
    /// A remark.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

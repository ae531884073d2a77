//! The engine comes in: who asks for what, and what it is said to be.

use crate::Stated;
use serde::{Deserialize, Serialize};

/// The first entry of a job.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct JobOpened {
    /// Short name: "2.4-litre four, blown".
    pub title: String,
    /// What it is for, in a few words: "Hill-climb car".
    pub purpose: String,
    /// Which column of the limit tables counts: street, street_boosted, drag, endurance, marine.
    pub built_for: String,
    /// The complaint in the owner's words, with when, where and how often.
    pub complaint: String,
    /// Who speaks for the engine: "Owner", or a name the shop chooses to write.
    pub owner: String,
    /// Vehicle: weight, gearing, tyre; hull and propeller.
    pub vehicle: String,
    /// Fuel that the owner can really buy.
    pub fuel: String,
    /// Goals in order, the first first.
    pub goals: Vec<String>,
    /// Speeds in which the engine is used, rpm as typed; both or none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub band_from: Option<Stated>,
    /// Upper end of the band of use.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub band_to: Option<Stated>,
    /// Emission equipment as found, and whether the vehicle is used on the road. A record, no legal verdict.
    pub emissions: String,
    /// How far it may be taken apart, what may be spent, what happens to old parts.
    pub permission: String,
    /// Condition on arrival: numbers stamped, levels, missing items.
    pub arrival: String,
    /// Planned day of the hand-over, YYYY-MM-DD; empty if none.
    pub planned: String,
}

/// Which description of the engine it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WhichBuild {
    /// As the owner was told.
    AsTold,
    /// As it was found.
    AsFound,
    /// As agreed with the owner.
    Agreed,
}

impl WhichBuild {
    /// "as told".
    pub fn name(self) -> &'static str {
        match self {
            Self::AsTold => "as told",
            Self::AsFound => "as found",
            Self::Agreed => "as agreed",
        }
    }
}

/// A description of the engine, as a build file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BuildStated {
    /// Which one.
    pub which: WhichBuild,
    /// The build file, whole.
    pub toml: String,
    /// Versions that this one takes the place of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replaces: Vec<crate::Id>,
}

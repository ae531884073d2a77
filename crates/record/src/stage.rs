//! The six stages of a job.

use serde::{Deserialize, Serialize};

/// A stage of a job, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// The engine is in the shop; what was said about it is written down, tests before teardown are done.
    Received,
    /// It is apart; findings stand beside the claims.
    OpenedUp,
    /// Owner and shop agree what is built.
    AgreedBuild,
    /// Machined, measured and put together.
    MeasuredAssembled,
    /// Run in, tuned and measured.
    OnDyno,
    /// With its owner.
    HandedOver,
}

impl Stage {
    /// All six, in order.
    pub const ALL: [Self; 6] =
        [Self::Received, Self::OpenedUp, Self::AgreedBuild, Self::MeasuredAssembled, Self::OnDyno, Self::HandedOver];

    /// What a person reads: "Opened up".
    pub fn name(self) -> &'static str {
        match self {
            Self::Received => "Received",
            Self::OpenedUp => "Opened up",
            Self::AgreedBuild => "Agreed build",
            Self::MeasuredAssembled => "Measured, built",
            Self::OnDyno => "On the dyno",
            Self::HandedOver => "Handed over",
        }
    }

    /// One short word for narrow places: "Opened".
    pub fn short(self) -> &'static str {
        match self {
            Self::Received => "Received",
            Self::OpenedUp => "Opened",
            Self::AgreedBuild => "Agreed",
            Self::MeasuredAssembled => "Measured",
            Self::OnDyno => "Dyno",
            Self::HandedOver => "Hand-over",
        }
    }

    /// The key in entries: "opened_up".
    pub fn key(self) -> &'static str {
        match self {
            Self::Received => "received",
            Self::OpenedUp => "opened_up",
            Self::AgreedBuild => "agreed_build",
            Self::MeasuredAssembled => "measured_assembled",
            Self::OnDyno => "on_dyno",
            Self::HandedOver => "handed_over",
        }
    }

    /// The stage of a key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|stage| stage.key() == key)
    }

    /// The stage after this one; none after the hand-over.
    pub fn next(self) -> Option<Self> {
        Self::ALL.get(self as usize + 1).copied()
    }
}

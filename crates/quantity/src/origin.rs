//! Where a number comes from. Every number that is shown can say this.

use serde::{Deserialize, Serialize};

/// Where a number comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "origin")]
pub enum Origin {
    /// Read from an instrument.
    Measured {
        /// Name or register number of the instrument.
        instrument: String,
    },
    /// Said by somebody, not checked.
    Claimed {
        /// Who said it.
        by: String,
    },
    /// Printed in a source.
    Published {
        /// The source.
        source: String,
    },
    /// Taken for granted, with the reason.
    Assumed {
        /// Why it was taken.
        why: String,
    },
    /// Worked out from other numbers.
    Computed {
        /// From what.
        from: String,
    },
}

impl std::fmt::Display for Origin {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Measured { instrument } => write!(f, "measured, {instrument}"),
            Self::Claimed { by } => write!(f, "said by {by}"),
            Self::Published { source } => write!(f, "published, {source}"),
            Self::Assumed { why } => write!(f, "assumed: {why}"),
            Self::Computed { from } => write!(f, "computed from {from}"),
        }
    }
}

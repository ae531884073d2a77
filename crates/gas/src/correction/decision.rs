//! Whether a correction may be applied at all.
//!
//! Established: ISO 1585 / UN R85 (2015) leaves engines uncorrected whose system makes up for
//! ambient temperature and height (public summary of the amendment). For the other standards the
//! rule here is a choice of this project, not text of the standards.

use super::Standard;
use serde::{Deserialize, Serialize};

/// How the manifold pressure answers the barometer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InductionResponse {
    /// Naturally aspirated, or a fixed-ratio blower without boost control.
    FollowsBarometer,
    /// Boost held to an absolute manifold pressure by a control.
    HeldAbsolute,
    /// Not known.
    Unknown,
}

/// What to do with a correction. Observed figures are shown in every case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decision {
    /// Correct.
    Apply,
    /// Correct, show both, and say why the corrected figure is in doubt.
    ApplyFlagged {
        /// A whole sentence for the sheet.
        why: &'static str,
    },
    /// Do not correct, and say why.
    DoNotApply {
        /// A whole sentence for the sheet.
        why: &'static str,
    },
}

/// Whether the correction of a standard may be applied to an engine.
pub fn decide(standard: Standard, induction: InductionResponse) -> Decision {
    match (standard, induction) {
        (Standard::Observed, _) | (_, InductionResponse::FollowsBarometer) => Decision::Apply,
        (_, InductionResponse::HeldAbsolute) => Decision::DoNotApply {
            why: "Boost is held to an absolute manifold pressure, so the engine does not feel the barometer; \
                  a correction for pressure would count the weather twice. The figures are as observed.",
        },
        (_, InductionResponse::Unknown) => Decision::ApplyFlagged {
            why: "It is not stated whether manifold pressure follows the barometer or is held by a control. \
                  Corrected and observed figures are both shown; the corrected ones hold only if it follows.",
        },
    }
}

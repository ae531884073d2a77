//! A reading against a limit.

use super::table::{Limit, Stated};
use quantity::{Limits, Verdict, verdict};

/// Why a reading cannot be judged.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum JudgeError {
    /// The limit is per size and no size was given.
    #[error("the limit for {feature} is {written}: the size it is multiplied by was not given")]
    SizeMissing {
        /// Key of the feature.
        feature: String,
        /// The limit as written.
        written: String,
    },
    /// The row has only a target.
    #[error("the limit for {feature} has a target ({written}) and neither a least nor a greatest value to judge by")]
    NothingToJudgeBy {
        /// Key of the feature.
        feature: String,
        /// The limit as written.
        written: String,
    },
    /// The row is only a reference.
    #[error("the row for {feature} ({written}) is a reference to compare with, not a limit to judge by")]
    ReferenceOnly {
        /// Key of the feature.
        feature: String,
        /// The limit as written.
        written: String,
    },
    /// A number is not usable.
    #[error("{what} of {value} is not possible: expected {expected}")]
    NotPossible {
        /// Which number.
        what: &'static str,
        /// What was given.
        value: f64,
        /// What is expected.
        expected: &'static str,
    },
}

/// A verdict and what it stands on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// Inside, outside or cannot tell.
    pub verdict: Verdict,
    /// The limits in SI, multiplied out.
    pub limits: Limits,
    /// What is aimed at, SI, multiplied out.
    pub target_si: Option<f64>,
    /// Width between the limits over the expanded uncertainty (k = 2); `None` with an open side or an
    /// exact reading. Common practice asks for 4, better 10.
    pub width_over_uncertainty: Option<f64>,
    /// Whether a reading with this uncertainty could be inside at all: the guard bands of both sides
    /// leave room between them.
    pub can_be_inside: bool,
}

/// Judges a reading, SI, with its standard uncertainty, SI, against a limit. `size_m` is the size that
/// figures per size are multiplied by (a bore, a journal diameter), taken as exact.
///
/// Inside needs the reading ± twice its standard uncertainty within the limits, outside needs all of it
/// beyond one of them; in between the reading cannot tell.
///
/// # Source
/// ISO 14253-1, from memory; see [`quantity::verdict`].
///
/// # Errors
/// [`JudgeError`] for a missing size, a row without limits, and numbers that are not usable.
pub fn judge(reading_si: f64, u_si: f64, limit: &Limit, size_m: Option<f64>) -> Result<Judged, JudgeError> {
    let (feature, written) = (limit.feature.clone(), limit.written());
    if limit.reference {
        return Err(JudgeError::ReferenceOnly { feature, written });
    }
    if limit.min.is_none() && limit.max.is_none() {
        return Err(JudgeError::NothingToJudgeBy { feature, written });
    }
    if !reading_si.is_finite() {
        let (what, expected) = ("a reading", "a finite number");
        return Err(JudgeError::NotPossible { what, value: reading_si, expected });
    }
    if !(u_si.is_finite() && u_si >= 0.0) {
        let (what, expected) = ("a standard uncertainty", "zero or a number above it");
        return Err(JudgeError::NotPossible { what, value: u_si, expected });
    }
    if let Some(value) = size_m.filter(|s| !(s.is_finite() && *s > 0.0)) {
        return Err(JudgeError::NotPossible { what: "a size, in m,", value, expected: "a number above zero" });
    }
    let value = |stated: &Option<Stated>| match stated {
        None => Ok(None),
        Some(s) if !s.per_size => Ok(Some(s.si)),
        Some(s) => match size_m {
            Some(size) => Ok(Some(s.si * size)),
            None => Err(JudgeError::SizeMissing { feature: feature.clone(), written: written.clone() }),
        },
    };
    let limits = Limits { lower: value(&limit.min)?, upper: value(&limit.max)? };
    let width = limits.lower.zip(limits.upper).map(|(low, high)| high - low);
    Ok(Judged {
        verdict: verdict(reading_si, u_si, limits),
        limits,
        target_si: value(&limit.target)?,
        width_over_uncertainty: width.filter(|_| u_si > 0.0).map(|w| w / (2.0 * u_si)),
        can_be_inside: width.is_none_or(|w| w >= 4.0 * u_si),
    })
}

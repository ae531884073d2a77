//! What the bottom-end modules refuse: a number that cannot be, or two facts that clash.

use crate::possible::NotPossible;

/// Why a figure was not worked out. Nothing is clamped and nothing is guessed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Refused {
    /// A number is not finite, or outside what can be.
    #[error(transparent)]
    NotPossible(#[from] NotPossible),
    /// Two facts that cannot both be true.
    #[error("{first} and {second} cannot both be right: {why}")]
    Clash {
        /// The first fact.
        first: String,
        /// The second fact.
        second: String,
        /// Why not.
        why: String,
    },
    /// Too few readings for the figure asked for.
    #[error("{what} needs at least {needed} readings; found {found}")]
    TooFewReadings {
        /// The figure asked for.
        what: &'static str,
        /// How many it needs.
        needed: usize,
        /// How many there are.
        found: usize,
    },
}

/// Lets a finite number above zero through.
pub(crate) fn positive(what: &'static str, value: f64, unit: &'static str) -> Result<f64, Refused> {
    if value.is_finite() && value > 0.0 {
        return Ok(value);
    }
    Err(not_possible(what, value, unit, "a finite number above zero"))
}

/// Lets a finite number of zero or more through.
pub(crate) fn not_negative(what: &'static str, value: f64, unit: &'static str) -> Result<f64, Refused> {
    if value.is_finite() && value >= 0.0 {
        return Ok(value);
    }
    Err(not_possible(what, value, unit, "a finite number of zero or more"))
}

/// Lets a finite number of either sign through.
pub(crate) fn finite(what: &'static str, value: f64, unit: &'static str) -> Result<f64, Refused> {
    if value.is_finite() {
        return Ok(value);
    }
    Err(not_possible(what, value, unit, "a finite number"))
}

/// People read lengths in mm, volumes in cm³ and masses in g. Six decimals are kept: more would be the
/// noise of the conversion.
fn not_possible(what: &'static str, value: f64, unit: &'static str, expected: &'static str) -> Refused {
    let (scale, unit) = match unit {
        " m" => (1e3, " mm"),
        " m³" => (1e6, " cm³"),
        " m²" => (1e6, " mm²"),
        " kg" => (1e3, " g"),
        _ => return NotPossible { what, value, unit, expected }.into(),
    };
    NotPossible { what, value: (value * scale * 1e6).round() / 1e6, unit, expected }.into()
}

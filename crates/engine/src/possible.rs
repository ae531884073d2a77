//! A number that cannot be: the refusal that every module of this crate shares.

/// A number is not finite, or outside what can be. Nothing is clamped.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{what} of {value}{unit} is not possible: expected {expected}")]
pub struct NotPossible {
    /// Which number.
    pub what: &'static str,
    /// What was given, in the unit beside it.
    pub value: f64,
    /// Its unit, with a space before it where one belongs.
    pub unit: &'static str,
    /// What is expected.
    pub expected: &'static str,
}

/// Lets a finite number of either sign through.
pub(crate) fn finite(what: &'static str, value: f64, unit: &'static str) -> Result<(), NotPossible> {
    if value.is_finite() {
        return Ok(());
    }
    Err(NotPossible { what, value, unit, expected: "a finite number" })
}

/// Lets a finite number above zero through.
pub(crate) fn above_zero(what: &'static str, value: f64, unit: &'static str) -> Result<(), NotPossible> {
    if value.is_finite() && value > 0.0 {
        return Ok(());
    }
    Err(NotPossible { what, value, unit, expected: "a number above zero" })
}

/// Lets a finite number of zero or more through.
pub(crate) fn not_negative(what: &'static str, value: f64, unit: &'static str) -> Result<(), NotPossible> {
    if value.is_finite() && value >= 0.0 {
        return Ok(());
    }
    Err(NotPossible { what, value, unit, expected: "zero or a number above it" })
}

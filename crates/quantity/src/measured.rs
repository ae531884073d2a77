//! A value with its standard uncertainty and its origin, and verdicts against limits.
//!
//! Model: uncorrelated inputs, first order (GUM, JCGM 100:2008, clause 5.1; from memory). Standard
//! uncertainties add in quadrature for sums and differences, relative ones for products.
//! Left out: correlation between inputs (two readings of one gauge are correlated), and second
//! order terms, which matter once a relative uncertainty passes about a tenth.

use crate::Origin;
use serde::{Deserialize, Serialize};

/// A value, how surely it is known, and where it comes from. The unit is the caller's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Measured {
    /// The value.
    pub value: f64,
    /// Standard uncertainty (k = 1), in the unit of the value; never negative.
    pub u: f64,
    /// Where it comes from.
    pub origin: Origin,
}

/// Why two values cannot be combined, or a value not stated.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MeasuredError {
    /// The value is NaN or infinite.
    #[error("a measured value must be a finite number; found {value}")]
    ValueNotFinite {
        /// What was given.
        value: f64,
    },
    /// The uncertainty is negative, NaN or infinite.
    #[error("a standard uncertainty must be a finite number of zero or more; found {u}")]
    UncertaintyNotUsable {
        /// What was given.
        u: f64,
    },
}

impl Measured {
    /// A value with its standard uncertainty.
    ///
    /// # Errors
    /// [`MeasuredError`] for a value that is not finite or an uncertainty that is negative.
    pub fn new(value: f64, u: f64, origin: Origin) -> Result<Self, MeasuredError> {
        if !value.is_finite() {
            return Err(MeasuredError::ValueNotFinite { value });
        }
        if !u.is_finite() || u < 0.0 {
            return Err(MeasuredError::UncertaintyNotUsable { u });
        }
        Ok(Self { value, u, origin })
    }

    /// Expanded uncertainty, k = 2: about 95 % for a normal spread.
    pub fn expanded(&self) -> f64 {
        2.0 * self.u
    }

    /// The sum of two uncorrelated values.
    pub fn plus(&self, other: &Self) -> Self {
        Self::computed(self.value + other.value, self.u.hypot(other.u), self, "plus", other)
    }

    /// The difference of two uncorrelated values.
    pub fn minus(&self, other: &Self) -> Self {
        Self::computed(self.value - other.value, self.u.hypot(other.u), self, "minus", other)
    }

    /// The product of two uncorrelated values.
    pub fn times(&self, other: &Self) -> Self {
        let u = (self.u * other.value).hypot(other.u * self.value);
        Self::computed(self.value * other.value, u, self, "times", other)
    }

    /// The value scaled by an exact number.
    pub fn scaled(&self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            u: self.u * factor.abs(),
            origin: Origin::Computed { from: format!("{factor} times a value ({})", self.origin) },
        }
    }

    /// Whether the value lies inside limits, by the guard-band rule of [`verdict`].
    pub fn verdict(&self, limits: Limits) -> Verdict {
        verdict(self.value, self.u, limits)
    }

    fn computed(value: f64, u: f64, a: &Self, word: &str, b: &Self) -> Self {
        Self { value, u, origin: Origin::Computed { from: format!("({}) {word} ({})", a.origin, b.origin) } }
    }
}

/// Limits of a tolerance; an open side is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// Least allowed value.
    pub lower: Option<f64>,
    /// Greatest allowed value.
    pub upper: Option<f64>,
}

impl Limits {
    /// Between two values.
    pub fn between(lower: f64, upper: f64) -> Self {
        Self { lower: Some(lower), upper: Some(upper) }
    }

    /// At least.
    pub fn at_least(lower: f64) -> Self {
        Self { lower: Some(lower), upper: None }
    }

    /// At most.
    pub fn at_most(upper: f64) -> Self {
        Self { lower: None, upper: Some(upper) }
    }
}

/// Whether a value conforms to its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Inside by more than the expanded uncertainty.
    Inside,
    /// Outside by more than the expanded uncertainty.
    Outside,
    /// The limit lies within the expanded uncertainty: this measurement cannot tell.
    CannotTell,
}

/// Verdict with a guard band of twice the standard uncertainty on either side of a limit.
///
/// `Inside` needs the whole interval `value ± 2 u` within the limits, `Outside` needs the whole
/// interval beyond one of them; a value exactly on a guard-band edge counts as decided. NaN
/// anywhere, or a negative `u`, gives `CannotTell`. No limits at all gives `Inside`.
///
/// # Source
/// Decision rule with guard bands: JCGM 106:2012, clause 8, and ISO 14253-1 (both from memory).
pub fn verdict(value: f64, u: f64, limits: Limits) -> Verdict {
    let reach = 2.0 * u;
    let unusable = value.is_nan()
        || u.is_nan()
        || u < 0.0
        || limits.lower.is_some_and(f64::is_nan)
        || limits.upper.is_some_and(f64::is_nan);
    if unusable {
        return Verdict::CannotTell;
    }
    let (low, high) = (value - reach, value + reach);
    let beyond = limits.lower.is_some_and(|limit| high < limit) || limits.upper.is_some_and(|limit| low > limit);
    let within = limits.lower.is_none_or(|limit| low >= limit) && limits.upper.is_none_or(|limit| high <= limit);
    match (beyond, within) {
        (true, _) => Verdict::Outside,
        (_, true) => Verdict::Inside,
        _ => Verdict::CannotTell,
    }
}

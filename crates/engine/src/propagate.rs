//! Uncertainty of a result from the uncertainties of what it was worked out from.
//!
//! Model: the law of propagation for uncorrelated inputs, first order: GUM, JCGM 100:2008, clause
//! 5.1.2, with each input's share found as its note 2 to 5.1.3 says, by moving the input one standard
//! uncertainty up and down (clause numbers from memory). For sums, products of different inputs and
//! squares that is exact; a strongly bent formula with a large uncertainty needs more than this.
//! Left out: correlation. Two readings with one gauge share its error; see
//! [`crate::clearances::difference`] for the case where that matters most.

use crate::refused::{Refused, finite, not_negative};
use quantity::{Limits, Measured, Verdict};
use std::convert::Infallible;

/// A value and its standard uncertainty (k = 1), in one unit known to the caller.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Its standard uncertainty; never negative.
    pub u: f64,
}

impl Estimate {
    /// A value with a standard uncertainty.
    ///
    /// # Errors
    /// [`Refused::NotPossible`] for a value that is not finite or an uncertainty below zero.
    pub fn new(value: f64, u: f64) -> Result<Self, Refused> {
        finite("a value", value, "")?;
        not_negative("a standard uncertainty", u, "")?;
        Ok(Self { value, u })
    }

    /// A value taken as exact.
    pub fn exact(value: f64) -> Self {
        Self { value, u: 0.0 }
    }

    /// Inside, outside or cannot tell, by the guard-band rule of [`quantity::verdict`].
    pub fn verdict(self, limits: Limits) -> Verdict {
        quantity::verdict(self.value, self.u, limits)
    }

    pub(crate) fn pair(self) -> (f64, f64) {
        (self.value, self.u)
    }
}

impl From<&Measured> for Estimate {
    fn from(measured: &Measured) -> Self {
        Self { value: measured.value, u: measured.u }
    }
}

/// Value, standard uncertainty, and each input's share of the variance, of a formula `f`.
///
/// `inputs` are pairs of value and standard uncertainty, in the order in which `f` takes them. The
/// shares add up to 1, or are all 0 when nothing carries an uncertainty. A formula that is not finite
/// one uncertainty away from the value gives an uncertainty that is not finite either, which every
/// verdict reads as "cannot tell"; so does an uncertainty below zero.
///
/// # Source
/// GUM 5.1.2, uncorrelated inputs.
pub fn propagate(f: impl Fn(&[f64]) -> f64, inputs: &[(f64, f64)]) -> (f64, f64, Vec<f64>) {
    let never_fails = |x: &[f64]| Ok::<f64, Infallible>(f(x));
    match try_propagate(never_fails, inputs) {
        Ok(result) => result,
        Err(never) => match never {},
    }
}

/// As [`propagate`], for a formula that can refuse its inputs.
///
/// # Errors
/// What the formula returns, at the values themselves or one standard uncertainty away from them: a
/// reading so uncertain that it might be impossible gives no figure.
pub fn try_propagate<E>(
    f: impl Fn(&[f64]) -> Result<f64, E>,
    inputs: &[(f64, f64)],
) -> Result<(f64, f64, Vec<f64>), E> {
    let mut at: Vec<f64> = inputs.iter().map(|(value, _)| *value).collect();
    let value = f(&at)?;
    let mut parts = Vec::with_capacity(inputs.len());
    for (i, (x, u)) in inputs.iter().enumerate() {
        if *u == 0.0 {
            parts.push(0.0);
            continue;
        }
        if !(*u > 0.0) {
            parts.push(f64::NAN);
            continue;
        }
        at[i] = x + u;
        let up = f(&at)?;
        at[i] = x - u;
        let down = f(&at)?;
        at[i] = *x;
        parts.push(0.5 * (up - down));
    }
    let variance: f64 = parts.iter().map(|part| part * part).sum();
    let share = |part: &f64| if variance == 0.0 { 0.0 } else { part * part / variance };
    Ok((value, variance.sqrt(), parts.iter().map(share).collect()))
}

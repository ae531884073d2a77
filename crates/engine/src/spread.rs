//! Spread of a set: greatest less least, and whether it lies within a limit.
//!
//! Model: every reading carries the same standard uncertainty, independent of the others. Of many
//! noisy readings the greatest and the least are noisy outwards, so the spread of eight equal parts
//! reads well above zero. The reach of the reading noise is therefore the 95 % point of the studentised
//! range (Tukey), which holds for all pairs of the set at once.
//! Left out: an error that all readings share. It cancels in a spread and does not belong in `u`.

use crate::refused::{Refused, finite, not_negative};
use quantity::Verdict;
use std::f64::consts::PI;

/// Spread of a set of like readings, in the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Mean.
    pub mean: f64,
    /// Least reading.
    pub least: f64,
    /// Its place in the input, from 0.
    pub least_at: usize,
    /// Greatest reading.
    pub greatest: f64,
    /// Its place in the input, from 0.
    pub greatest_at: usize,
    /// Greatest less least.
    pub range: f64,
    /// How far the true range may lie from `range` either way, 95 %, from the readings' uncertainty.
    pub reach: f64,
}

/// Spread of two or more readings, each with the standard uncertainty `u`.
///
/// # Errors
/// [`Refused::TooFewReadings`] below two; [`Refused::NotPossible`] for readings that are not finite.
pub fn spread(readings: &[f64], u: f64) -> Result<Spread, Refused> {
    not_negative("a standard uncertainty", u, "")?;
    if readings.len() < 2 {
        return Err(Refused::TooFewReadings { what: "a spread", needed: 2, found: readings.len() });
    }
    let (mut least_at, mut greatest_at) = (0, 0);
    for (i, reading) in readings.iter().enumerate() {
        finite("a reading", *reading, "")?;
        if *reading < readings[least_at] {
            least_at = i;
        }
        if *reading > readings[greatest_at] {
            greatest_at = i;
        }
    }
    let (least, greatest) = (readings[least_at], readings[greatest_at]);
    Ok(Spread {
        mean: readings.iter().sum::<f64>() / readings.len() as f64,
        least,
        least_at,
        greatest,
        greatest_at,
        range: greatest - least,
        reach: studentised_range_95(readings.len()) * u,
    })
}

impl Spread {
    /// `Inside` when the true spread is within `limit`, `Outside` when beyond it, each with 95 %.
    pub fn verdict(&self, limit: f64) -> Verdict {
        // The house rule guards by twice the uncertainty; the reach is already that interval.
        quantity::verdict(self.range, 0.5 * self.reach, quantity::Limits::at_most(limit))
    }

    /// Spread over mean, as port flow is compared. The mean must not be zero.
    pub fn relative(&self) -> f64 {
        self.range / self.mean
    }
}

/// 95 % point of the range of `n` readings (two or more) in units of their known standard uncertainty.
///
/// Solves `n ∫ φ(z) [Φ(z) − Φ(z − q)]^(n−1) dz = 0.95` by summing and halving; the textbook integral. NaN below two.
///
/// # Checked by
/// `the_range_factor_matches_scipy`: `validation/cam/studentised_range.csv`.
pub fn studentised_range_95(n: usize) -> f64 {
    if n < 2 {
        return f64::NAN;
    }
    let (mut low, mut high) = (0.0, 12.0);
    for _ in 0..44 {
        let middle = 0.5 * (low + high);
        if probability_of_range(middle, n) < 0.95 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Chance that the range of `n` standard normal numbers stays under `q`; `z` is the greatest of them.
/// The plain sum over an even grid: on a smooth bell that has died away at both ends it converges faster
/// than any power of the step, and a quarter is far below what ten digits need.
fn probability_of_range(q: f64, n: usize) -> f64 {
    const STEP: f64 = 0.25;
    let height = |z: f64| density(z) * (below(z) - below(z - q)).powi(n as i32 - 1);
    n as f64 * STEP * (-32..=32).map(|i| height(STEP * f64::from(i))).sum::<f64>()
}

fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// Standard normal distribution, by the series φ(z) Σ z^(2k+1) / (1·3·…·(2k+1)).
fn below(z: f64) -> f64 {
    if z < 0.0 {
        return 1.0 - below(-z);
    }
    if z > 8.0 {
        return 1.0;
    }
    let (mut term, mut sum, mut odd) = (z, z, 1.0);
    while term > 1e-17 * sum {
        odd += 2.0;
        term *= z * z / odd;
        sum += term;
    }
    0.5 + density(z) * sum
}

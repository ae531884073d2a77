//! Lobe against lobe: spread, worn lobes, base circle, and whether a camshaft was ground again.
//!
//! Model: readings of equal, independent, normal uncertainty. The spread of equal lobes read with
//! that uncertainty follows the studentised range; a spread beyond its 95 % point is called real.
//! Intake and exhaust lobes of one camshaft usually differ by design: give them as two sets.
//!
//! # Source
//! Studentised range with known spread: [`crate::spread`], checked against scipy in
//! `validation/cam/studentised_range.csv`.
//! Limits (0.005 in of wear, 0.040 to 0.100 in of base circle) are common practice and are given by
//! the caller, not kept here.

use super::error::CamError;
use crate::possible::{NotPossible, above_zero, finite};
use crate::spread::studentised_range_95;
use quantity::{Limits, Verdict, verdict};

/// Spread of one set of lobes.
#[derive(Debug, Clone, PartialEq)]
pub struct LobeSpread {
    /// Mean lobe lift, m.
    pub mean_m: f64,
    /// Greatest less least, m.
    pub range_m: f64,
    /// Standard deviation with n − 1, m.
    pub deviation_m: f64,
    /// Range that equal lobes would stay under in 95 of 100 sets, from the readings' uncertainty alone, m.
    pub range_by_reading_m: f64,
    /// The lobes differ by more than the readings explain.
    pub is_real: bool,
}

/// Spread of lobe lifts (m), each read with a standard uncertainty `u_m`. Two or more lobes of one kind.
///
/// # Errors
/// [`CamError::NotPossible`] for fewer than 2 lobes, or numbers that are not lengths.
pub fn lobe_spread(lifts_m: &[f64], u_m: f64) -> Result<LobeSpread, CamError> {
    above_zero("the uncertainty of a lobe lift", u_m, " m")?;
    let n = lifts_m.len();
    if n < 2 {
        return Err(NotPossible {
            what: "a number of lobes",
            value: n as f64,
            unit: "",
            expected: "two or more of one kind (intake and exhaust apart)",
        }
        .into());
    }
    for lift_m in lifts_m {
        above_zero("a lobe lift", *lift_m, " m")?;
    }
    let mean_m = lifts_m.iter().sum::<f64>() / n as f64;
    let squares: f64 = lifts_m.iter().map(|l| (l - mean_m).powi(2)).sum();
    let greatest = lifts_m.iter().copied().fold(f64::MIN, f64::max);
    let least = lifts_m.iter().copied().fold(f64::MAX, f64::min);
    let (range_m, range_by_reading_m) = (greatest - least, studentised_range_95(n) * u_m);
    Ok(LobeSpread {
        mean_m,
        range_m,
        deviation_m: (squares / (n - 1) as f64).sqrt(),
        range_by_reading_m,
        is_real: range_m > range_by_reading_m,
    })
}

/// How one lobe stands against the others of its kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LobeWear {
    /// Which lobe, as numbered in the input.
    pub lobe: usize,
    /// Median of the others less this one, m; positive is short.
    pub short_by_m: f64,
    /// Standard uncertainty of that difference, m.
    pub u_m: f64,
    /// `Outside`: short by more than the limit; `CannotTell`: the limit lies within the uncertainty.
    pub verdict: Verdict,
}

/// Every lobe against the median of the others, with a limit on how short it may be (m).
///
/// The median, because a second worn lobe would pull a mean. Its uncertainty is taken as 1.2533 u / √(n−1)
/// (a median of normal readings, large n; from memory), and not below that of one reading for n = 2.
///
/// # Errors
/// As [`lobe_spread`]; [`CamError::NotPossible`] for a limit of zero or less.
pub fn lobe_wear(lifts_m: &[f64], u_m: f64, limit_m: f64) -> Result<Vec<LobeWear>, CamError> {
    lobe_spread(lifts_m, u_m)?;
    above_zero("a limit of wear", limit_m, " m")?;
    let others_count = (lifts_m.len() - 1) as f64;
    let u_median_m = if others_count < 3.0 { u_m } else { 1.2533 * u_m / others_count.sqrt() };
    Ok((0..lifts_m.len())
        .map(|lobe| {
            let mut others: Vec<f64> =
                lifts_m.iter().enumerate().filter(|(k, _)| *k != lobe).map(|(_, lift)| *lift).collect();
            others.sort_by(f64::total_cmp);
            let middle = others.len() / 2;
            let median =
                if others.len() % 2 == 1 { others[middle] } else { 0.5 * (others[middle - 1] + others[middle]) };
            let short_by_m = median - lifts_m[lobe];
            let u = u_m.hypot(u_median_m);
            LobeWear { lobe, short_by_m, u_m: u, verdict: verdict(short_by_m, u, Limits::at_most(limit_m)) }
        })
        .collect())
}

/// Radius of the base circle, m, with its standard uncertainty, from the height of the cam over nose and
/// heel (a micrometer across both) and the lobe lift: half of their difference.
///
/// # Errors
/// [`CamError::CardClash`] when the height is not greater than the lobe lift.
pub fn base_circle_radius_m(
    height_m: f64,
    u_height_m: f64,
    lobe_lift_m: f64,
    u_lift_m: f64,
) -> Result<(f64, f64), CamError> {
    above_zero("a height over nose and heel", height_m, " m")?;
    above_zero("a lobe lift", lobe_lift_m, " m")?;
    if height_m <= lobe_lift_m {
        return Err(CamError::CardClash {
            first: format!("a height over nose and heel of {:.3} mm", height_m * 1000.0),
            second: format!("a lobe lift of {:.3} mm", lobe_lift_m * 1000.0),
            why: "the height is two base-circle radii and the lobe lift",
        });
    }
    Ok((0.5 * (height_m - lobe_lift_m), 0.5 * u_height_m.hypot(u_lift_m)))
}

/// A family of camshafts as new, for comparison, and what a regrind of it takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CamFamily {
    /// Base-circle diameter as new, m.
    pub base_circle_diameter_m: f64,
    /// Greatest lobe lift that the family was made with, m.
    pub lobe_lift_m: f64,
    /// Standard uncertainty of either, with the spread of new ones, m.
    pub u_m: f64,
    /// How much smaller a base circle has to be before it speaks for a regrind, m (common practice: 0.040 in).
    pub regrind_from_m: f64,
    /// Beyond this it is no usual regrind any more, m (common practice: 0.100 in).
    pub regrind_to_m: f64,
}

/// Whether a camshaft was ground again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RegrindVerdict {
    /// The base circle is smaller than new by as much as a regrind takes, and the lobe is nowhere higher than new.
    Reground,
    /// The base circle is that of a new one within the uncertainty, and the uncertainty is small enough to say so.
    AsNew,
    /// Smaller than anything a regrind of this family takes, or higher over nose and heel than a new one: grinding
    /// only takes metal away, so this is a camshaft of another family, or one that was welded up.
    OtherFamily,
    /// In between, larger than new, or the uncertainty reaches across a border.
    CannotTell,
}

/// The comparison behind a [`RegrindVerdict`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regrind {
    /// New base-circle diameter less the one measured, m.
    pub smaller_by_m: f64,
    /// Height over nose and heel (base-circle diameter and lobe lift) as new less that measured, m.
    pub lower_by_m: f64,
    /// Standard uncertainty of the first difference, m.
    pub u_smaller_m: f64,
    /// Standard uncertainty of the second difference, m.
    pub u_lower_m: f64,
    /// The verdict, with a guard band of twice the uncertainty.
    pub verdict: RegrindVerdict,
}

/// Base circle (diameter, m) and lobe lift (m) as measured, each as (value, u), against the family as new.
///
/// # Errors
/// [`CamError::NotPossible`] for numbers that are not lengths; [`CamError::CardClash`] when the
/// family's band of regrinds is upside down.
pub fn regrind(
    base_circle_diameter_m: (f64, f64),
    lobe_lift_m: (f64, f64),
    family: CamFamily,
) -> Result<Regrind, CamError> {
    above_zero("a base-circle diameter", base_circle_diameter_m.0, " m")?;
    above_zero("a lobe lift", lobe_lift_m.0, " m")?;
    above_zero("a base-circle diameter as new", family.base_circle_diameter_m, " m")?;
    above_zero("a lobe lift as new", family.lobe_lift_m, " m")?;
    above_zero("the least that a regrind takes", family.regrind_from_m, " m")?;
    finite("an uncertainty", base_circle_diameter_m.1 + lobe_lift_m.1 + family.u_m, " m")?;
    if !(family.regrind_to_m > family.regrind_from_m) {
        return Err(CamError::CardClash {
            first: format!("regrinds from {:.2} mm", family.regrind_from_m * 1000.0),
            second: format!("regrinds to {:.2} mm", family.regrind_to_m * 1000.0),
            why: "the second has to be greater",
        });
    }
    let smaller_by_m = family.base_circle_diameter_m - base_circle_diameter_m.0;
    let lower_by_m = smaller_by_m + family.lobe_lift_m - lobe_lift_m.0;
    let u_smaller_m = base_circle_diameter_m.1.hypot(family.u_m);
    let u_lower_m = u_smaller_m.hypot(lobe_lift_m.1).hypot(family.u_m);
    let (low, high) = (smaller_by_m - 2.0 * u_smaller_m, smaller_by_m + 2.0 * u_smaller_m);
    let verdict = if low > family.regrind_to_m || lower_by_m + 2.0 * u_lower_m < 0.0 {
        RegrindVerdict::OtherFamily
    } else if low >= family.regrind_from_m && high <= family.regrind_to_m {
        RegrindVerdict::Reground
    } else if low <= 0.0 && high >= 0.0 && high < family.regrind_from_m {
        RegrindVerdict::AsNew
    } else {
        RegrindVerdict::CannotTell
    };
    Ok(Regrind { smaller_by_m, lower_by_m, u_smaller_m, u_lower_m, verdict })
}

//! Both valves open: in degrees at a check lift, and as area.
//!
//! Model: at every crank angle the gas can only pass from one valve to the other through the smaller
//! opening; the area counted is that of the intake up to the angle of equal lift and that of the
//! exhaust after it, so the smaller of the two lifts everywhere. Left out: discharge coefficients and
//! what the pressures do. [`super::timing`] has the degrees from a card.
//!
//! # Source
//! The split at equal lift: overlap factor of Fox, Cheng and Heywood, SAE 931025 (1993; from memory).

use super::curve::{LiftCurve, bisect};
use super::error::CamError;
use crate::possible::above_zero;
use std::f64::consts::PI;

/// One valve with the lobe that lifts it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveLift<'a> {
    /// Lobe, crank degrees of the cycle.
    pub curve: &'a LiftCurve,
    /// Rocker ratio as measured; 1 for a follower that pushes the valve.
    pub rocker_ratio: f64,
    /// Lash at the valve, m; 0 for a hydraulic lifter.
    pub lash_m: f64,
    /// Diameter on which the curtain stands, m (say which: head or seat).
    pub diameter_m: f64,
}

impl ValveLift<'_> {
    /// Lift of the valve at a crank angle, m; zero while the lash is not taken up.
    pub fn at_m(&self, angle_deg: f64) -> f64 {
        let reached_m = self.curve.lift_m(angle_deg) * self.rocker_ratio - self.lash_m;
        if reached_m > 0.0 { reached_m } else { 0.0 }
    }

    fn crossings_deg(&self, valve_lift_m: f64) -> Result<(f64, f64), CamError> {
        self.curve.crossings_deg((valve_lift_m + self.lash_m) / self.rocker_ratio)
    }
}

/// Overlap of a pair of valves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overlap {
    /// Valve lift at which a valve counts as open, m.
    pub check_m: f64,
    /// Intake opening to exhaust closing at the check lift, crank degrees; negative when the exhaust closes first.
    pub overlap_deg: f64,
    /// Crank angle of equal lift, degrees; `None` when the valves are never open together.
    pub equal_lift_deg: Option<f64>,
    /// Intake lift up to the angle of equal lift, m·deg.
    pub intake_m_deg: f64,
    /// Exhaust lift from the angle of equal lift on, m·deg.
    pub exhaust_m_deg: f64,
    /// The two times their diameters and π: curtain area over the overlap, m²·deg.
    pub curtain_m2_deg: f64,
}

/// Overlap of two valves at a valve lift `check_m` (above zero). Areas count from valve lift zero.
///
/// # Errors
/// [`CamError::LiftNotReached`] when a valve does not reach the check lift;
/// [`CamError::NotPossible`] for a ratio, diameter or check lift of zero or less.
///
/// # Checked by
/// `overlap_of_two_harmonic_lobes` in `tests/it/cam_table.rs`, a closed form.
pub fn overlap(intake: ValveLift<'_>, exhaust: ValveLift<'_>, check_m: f64) -> Result<Overlap, CamError> {
    above_zero("a check lift", check_m, " m")?;
    for valve in [&intake, &exhaust] {
        above_zero("a rocker ratio", valve.rocker_ratio, "")?;
        above_zero("a valve diameter", valve.diameter_m, " m")?;
        crate::possible::finite("a lash", valve.lash_m, " m")?;
    }
    let (opens_deg, _) = intake.crossings_deg(check_m)?;
    let (_, closes_deg) = exhaust.crossings_deg(check_m)?;
    let overlap_deg = closes_deg - opens_deg;
    let (from_deg, to_deg) = (exhaust.curve.nose_deg(), intake.curve.nose_deg());
    let equal = bisect(from_deg, to_deg, |angle_deg| intake.at_m(angle_deg) - exhaust.at_m(angle_deg));
    let equal = equal.filter(|angle_deg| intake.at_m(*angle_deg) > 0.0);
    let (intake_m_deg, exhaust_m_deg) = match equal {
        Some(angle_deg) => {
            (area_m_deg(from_deg, angle_deg, |a| intake.at_m(a)), area_m_deg(angle_deg, to_deg, |a| exhaust.at_m(a)))
        }
        None => (0.0, 0.0),
    };
    Ok(Overlap {
        check_m,
        overlap_deg,
        equal_lift_deg: equal,
        intake_m_deg,
        exhaust_m_deg,
        curtain_m2_deg: PI * (intake.diameter_m * intake_m_deg + exhaust.diameter_m * exhaust_m_deg),
    })
}

/// Simpson's rule in steps of about a twentieth of a degree: the lift has a kink where the lash is
/// taken up, which costs slope × step² / 8, below 1e-7 m·deg for any cam.
fn area_m_deg(from_deg: f64, to_deg: f64, f: impl Fn(f64) -> f64) -> f64 {
    let steps = 2 * ((to_deg - from_deg).abs() / 0.1).ceil() as usize;
    let step_deg = (to_deg - from_deg) / steps as f64;
    let inner: f64 = (1..steps).map(|k| if k % 2 == 1 { 4.0 } else { 2.0 } * f(from_deg + step_deg * k as f64)).sum();
    step_deg / 3.0 * (f(from_deg) + f(to_deg) + inner)
}

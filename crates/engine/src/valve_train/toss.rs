//! Toss: the speed at which the spring no longer holds the follower on the cam.
//!
//! Model: a stiff valve train. Over the nose the spring alone slows the moving mass; where mass times
//! deceleration exceeds the spring's force, contact is lost. A real valve train bends and surges, and
//! loses contact earlier: common practice, no source, takes a tenth or more off. The figure is a
//! ceiling and never a rev limit. Left out: gas force on the valve, friction, lash ramp, lifter oil.
//!
//! # Source
//! Newton's law along the valve; effective mass as [`super::motion::effective_mass_kg`].

use super::error::ValveTrainError;
use super::spring::Spring;
use crate::cam::LiftCurve;
use crate::possible::{above_zero, not_negative};

/// What toss depends on.
#[derive(Debug, Clone, Copy)]
pub struct Held<'a> {
    /// The lobe.
    pub curve: &'a LiftCurve,
    /// Rocker ratio as measured.
    pub rocker_ratio: f64,
    /// Lash at the valve, m.
    pub lash_m: f64,
    /// The spring in its place.
    pub spring: Spring,
    /// Effective mass at the valve, kg, and its standard uncertainty.
    pub mass_kg: (f64, f64),
    /// Relative standard uncertainty of the curve's deceleration: of a fitted table from
    /// [`crate::cam::lift_table::TableFit::u_of_derivative`], of a card's curve an assumption.
    pub u_acceleration_share: f64,
}

/// Where and when contact is lost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Toss {
    /// Engine speed, rpm.
    pub engine_rpm: f64,
    /// Its standard uncertainty from spring, mass and curve, rpm. What the model leaves out is not in it.
    pub u_rpm: f64,
    /// Crank angle at which contact is lost first, degrees.
    pub angle_deg: f64,
    /// Valve lift there, m.
    pub valve_lift_m: f64,
    /// Spring force there, N.
    pub spring_n: f64,
    /// Acceleration of the valve there, m per crank degree squared (negative).
    pub acceleration_m_deg2: f64,
}

/// The speed at which contact is lost first, going through the whole lift in steps of a quarter degree.
///
/// # Errors
/// [`ValveTrainError::PastCoilBind`] when the cam lifts past coil bind;
/// [`ValveTrainError::NoDeceleration`] for a curve that never slows the valve;
/// [`ValveTrainError::NotPossible`] for numbers that cannot be.
///
/// # Checked by
/// `toss_of_a_harmonic_lobe` in `tests/it/valve_train.rs`, a closed form.
pub fn toss_speed(held: &Held<'_>) -> Result<Toss, ValveTrainError> {
    above_zero("a rocker ratio", held.rocker_ratio, "")?;
    not_negative("a lash", held.lash_m, " m")?;
    above_zero("an effective mass", held.mass_kg.0, " kg")?;
    not_negative("the uncertainty of a mass", held.mass_kg.1, " kg")?;
    not_negative("the uncertainty of an acceleration", held.u_acceleration_share, "")?;
    held.spring.bind_gap_m((held.curve.lobe_lift_m() * held.rocker_ratio - held.lash_m).max(0.0))?;
    let steps = ((held.curve.end_deg() - held.curve.start_deg()) / 0.25).ceil() as usize;
    let mut first: Option<Toss> = None;
    for k in 0..=steps {
        let angle_deg = held.curve.start_deg() + 0.25 * k as f64;
        let state = held.curve.at(angle_deg);
        let valve_lift_m = state.lift_m * held.rocker_ratio - held.lash_m;
        let acceleration_m_deg2 = state.acceleration_m_deg2 * held.rocker_ratio;
        if !(valve_lift_m > 0.0 && acceleration_m_deg2 < 0.0) {
            continue;
        }
        let (spring_n, u_spring_n) = held.spring.force_n(valve_lift_m)?;
        // Crank degrees per second squared, then rpm: six degrees a second per rpm.
        let engine_rpm = (spring_n / (held.mass_kg.0 * -acceleration_m_deg2)).sqrt() / 6.0;
        if first.is_none_or(|found| engine_rpm < found.engine_rpm) {
            let share = (u_spring_n / spring_n).hypot(held.mass_kg.1 / held.mass_kg.0).hypot(held.u_acceleration_share);
            let u_rpm = 0.5 * engine_rpm * share;
            first = Some(Toss { engine_rpm, u_rpm, angle_deg, valve_lift_m, spring_n, acceleration_m_deg2 });
        }
    }
    first.ok_or(ValveTrainError::NoDeceleration)
}

/// Force between cam and follower, N at the valve, at a crank angle and engine speed; negative where
/// the spring cannot hold contact.
///
/// # Errors
/// As [`toss_speed`].
pub fn contact_force_n(held: &Held<'_>, angle_deg: f64, engine_rpm: f64) -> Result<f64, ValveTrainError> {
    let state = held.curve.at(angle_deg).at_speed(engine_rpm);
    let valve_lift_m = (state.lift_m * held.rocker_ratio - held.lash_m).max(0.0);
    let (spring_n, _) = held.spring.force_n(valve_lift_m)?;
    Ok(spring_n + held.mass_kg.0 * state.acceleration_m_s2 * held.rocker_ratio)
}

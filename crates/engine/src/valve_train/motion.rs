//! From the lobe to the valve: lift and effective mass.
//!
//! Model: a stiff valve train with one ratio over the whole lift. Left out: the ratio's change along
//! the lift (some rockers lose or gain a few hundredths), bending, and a hydraulic lifter that pumps
//! up or bleeds down.
//!
//! # Source
//! Lift: common practice, lobe lift times measured ratio less lash. Mass: kinetic energy of the parts
//! moved to the valve (mechanics).

use super::error::ValveTrainError;
use crate::possible::{NotPossible, above_zero, not_negative};

/// Valve lift, m, from lobe lift (m), rocker ratio as measured, and lash at the valve (m).
///
/// While the lash is not taken up the valve stays shut, and the lift is zero.
///
/// # Errors
/// [`ValveTrainError::NotPossible`] for a ratio of zero or less, a negative lash or a lift that is not a number.
pub fn valve_lift_m(lobe_lift_m: f64, rocker_ratio: f64, lash_m: f64) -> Result<f64, ValveTrainError> {
    above_zero("a rocker ratio", rocker_ratio, "")?;
    not_negative("a lash", lash_m, " m")?;
    if !lobe_lift_m.is_finite() {
        let (what, expected) = ("a lobe lift", "a finite number");
        return Err(NotPossible { what, value: lobe_lift_m, unit: " m", expected }.into());
    }
    let reached_m = lobe_lift_m * rocker_ratio - lash_m;
    Ok(if reached_m > 0.0 { reached_m } else { 0.0 })
}

/// Lobe lift, m, behind a valve lift (m) above zero: what a check lift read at the valve means at the lifter.
///
/// # Errors
/// As [`valve_lift_m`]; also for a valve lift of zero or less, where the lobe lift is not determined.
pub fn lobe_lift_m(valve_lift_m: f64, rocker_ratio: f64, lash_m: f64) -> Result<f64, ValveTrainError> {
    above_zero("a rocker ratio", rocker_ratio, "")?;
    not_negative("a lash", lash_m, " m")?;
    above_zero("a valve lift", valve_lift_m, " m")?;
    Ok((valve_lift_m + lash_m) / rocker_ratio)
}

/// Rocker ratio as measured, and its standard uncertainty, from lobe lift and valve lift read with a light
/// spring and no lash, each (value, u) in m.
///
/// # Errors
/// [`ValveTrainError::NotPossible`] for lifts of zero or less.
pub fn measured_ratio(valve_lift_m: (f64, f64), lobe_lift_m: (f64, f64)) -> Result<(f64, f64), ValveTrainError> {
    above_zero("a valve lift", valve_lift_m.0, " m")?;
    above_zero("a lobe lift", lobe_lift_m.0, " m")?;
    let ratio = valve_lift_m.0 / lobe_lift_m.0;
    let share = (valve_lift_m.1 / valve_lift_m.0).hypot(lobe_lift_m.1 / lobe_lift_m.0);
    Ok((ratio, ratio * share))
}

/// Valve lift with its standard uncertainty, m, from inputs each given as (value, u); uncorrelated.
///
/// # Errors
/// As [`valve_lift_m`].
pub fn valve_lift_with_u(
    lobe_lift_m: (f64, f64),
    rocker_ratio: (f64, f64),
    lash_m: (f64, f64),
) -> Result<(f64, f64), ValveTrainError> {
    let lift_m = valve_lift_m(lobe_lift_m.0, rocker_ratio.0, lash_m.0)?;
    let u_m = (rocker_ratio.0 * lobe_lift_m.1).hypot(lobe_lift_m.0 * rocker_ratio.1).hypot(lash_m.1);
    Ok((lift_m, u_m))
}

/// The moving parts of one valve. What an engine does not have is zero.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct MovingParts {
    /// Valve with retainer, locks and lash cap, kg.
    pub valve_side_kg: f64,
    /// Spring (all coils of a nest), kg; a third of it moves with the valve.
    pub spring_kg: f64,
    /// Lifter and pushrod, or bucket's share on the cam side, kg.
    pub lobe_side_kg: f64,
    /// Rocker's moment of inertia about its shaft, kg·m².
    pub rocker_kg_m2: f64,
    /// Rocker shaft to valve tip, m; needed when the rocker's inertia is not zero.
    pub rocker_valve_arm_m: f64,
}

/// Mass that the spring has to move, reduced to the valve, kg.
///
/// Parts on the lobe's side move slower by the ratio, so their mass counts divided by its square. A
/// third of the spring counts: coils move in proportion to their distance from the fixed end.
///
/// # Errors
/// [`ValveTrainError::NotPossible`] for negative masses, a ratio of zero or less, a rocker without an
/// arm, or no mass at all.
pub fn effective_mass_kg(parts: &MovingParts, rocker_ratio: f64) -> Result<f64, ValveTrainError> {
    above_zero("a rocker ratio", rocker_ratio, "")?;
    above_zero("the mass of valve, retainer and locks", parts.valve_side_kg, " kg")?;
    not_negative("a spring mass", parts.spring_kg, " kg")?;
    not_negative("a lifter and pushrod mass", parts.lobe_side_kg, " kg")?;
    not_negative("a rocker's moment of inertia", parts.rocker_kg_m2, " kg·m²")?;
    let rocker_kg = if parts.rocker_kg_m2 > 0.0 {
        above_zero("a rocker arm on the valve's side", parts.rocker_valve_arm_m, " m")?;
        parts.rocker_kg_m2 / (parts.rocker_valve_arm_m * parts.rocker_valve_arm_m)
    } else {
        0.0
    };
    Ok(parts.valve_side_kg + parts.spring_kg / 3.0 + rocker_kg + parts.lobe_side_kg / (rocker_ratio * rocker_ratio))
}

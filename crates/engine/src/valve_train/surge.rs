//! Spring surge: the coils' own waves, and the harmonics of the cam that drive them.
//!
//! Model: a helical spring held at both ends is a bar for waves along its coils; its first frequency
//! is half of the root of rate over mass. The cam drives it with every harmonic of the lift. An
//! estimate: damper, friction and the changing number of free coils are left out, and nested springs
//! surge each for itself.
//!
//! # Source
//! Wahl, *Mechanical Springs* (from memory).

use super::error::ValveTrainError;
use crate::cam::LiftCurve;
use crate::possible::above_zero;
use std::f64::consts::PI;

/// First surge frequency, Hz, of a spring held at both ends, from rate (N/m) and the mass of its
/// active coils (kg).
///
/// # Errors
/// [`ValveTrainError::NotPossible`] for zero or negative numbers.
pub fn surge_frequency_hz(rate_n_m: f64, active_mass_kg: f64) -> Result<f64, ValveTrainError> {
    above_zero("a spring rate", rate_n_m, " N/m")?;
    above_zero("a mass of active coils", active_mass_kg, " kg")?;
    Ok(0.5 * (rate_n_m / active_mass_kg).sqrt())
}

/// Round wire of a helical spring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoundWire {
    /// Wire diameter, m.
    pub wire_diameter_m: f64,
    /// Mean coil diameter, m.
    pub coil_diameter_m: f64,
    /// Active coils.
    pub active_coils: f64,
    /// Shear modulus, Pa (steel: about 79e9, from memory).
    pub shear_modulus_pa: f64,
    /// Density, kg/m³ (steel: about 7850, from memory).
    pub density_kg_m3: f64,
}

/// Rate, N/m, and mass of the active coils, kg, from the wire.
///
/// # Errors
/// [`ValveTrainError::NotPossible`] for zero or negative numbers.
pub fn rate_and_mass(wire: &RoundWire) -> Result<(f64, f64), ValveTrainError> {
    above_zero("a wire diameter", wire.wire_diameter_m, " m")?;
    above_zero("a coil diameter", wire.coil_diameter_m, " m")?;
    above_zero("a number of active coils", wire.active_coils, "")?;
    above_zero("a shear modulus", wire.shear_modulus_pa, " Pa")?;
    above_zero("a density", wire.density_kg_m3, " kg/m³")?;
    let (d, coil, n) = (wire.wire_diameter_m, wire.coil_diameter_m, wire.active_coils);
    let rate_n_m = wire.shear_modulus_pa * d.powi(4) / (8.0 * coil.powi(3) * n);
    let mass_kg = wire.density_kg_m3 * 0.25 * PI * d * d * PI * coil * n;
    Ok((rate_n_m, mass_kg))
}

/// One harmonic of the lift and the engine speed at which it meets the spring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurgePoint {
    /// Harmonic of the camshaft.
    pub order: u32,
    /// Engine speed at which it meets the surge frequency, rpm.
    pub engine_rpm: f64,
    /// Amplitude of that harmonic of the lobe lift, m.
    pub amplitude_m: f64,
}

/// Harmonic of the cam (a plain number, seldom whole) that meets a frequency at an engine speed.
/// The four-stroke camshaft turns at half engine speed.
pub fn meeting_harmonic(frequency_hz: f64, engine_rpm: f64) -> f64 {
    frequency_hz / (engine_rpm / 120.0)
}

/// Speeds up to `limit_rpm` at which a harmonic of the lift meets the frequency, the highest speed (the
/// lowest and strongest harmonic) first, for harmonics up to 40.
///
/// # Errors
/// [`ValveTrainError::NotPossible`] for zero or negative numbers.
pub fn surge_points(frequency_hz: f64, curve: &LiftCurve, limit_rpm: f64) -> Result<Vec<SurgePoint>, ValveTrainError> {
    above_zero("a surge frequency", frequency_hz, " Hz")?;
    above_zero("a speed limit", limit_rpm, " rpm")?;
    Ok((1..=40)
        .map(|order| (order, 120.0 * frequency_hz / f64::from(order)))
        .filter(|(_, engine_rpm)| *engine_rpm <= limit_rpm)
        .map(|(order, engine_rpm)| SurgePoint { order, engine_rpm, amplitude_m: harmonic_m(curve, order) })
        .collect())
}

/// Amplitude, m, of a harmonic of the lift over one turn of the cam (720 crank degrees).
///
/// Trapezoidal rule in half degrees: for a smooth periodic function its error falls faster than any
/// power of the step.
pub fn harmonic_m(curve: &LiftCurve, order: u32) -> f64 {
    const STEPS: u32 = 1440;
    let (mut cosine, mut sine) = (0.0, 0.0);
    for k in 0..STEPS {
        let turn = f64::from(k) / f64::from(STEPS);
        let angle_deg = curve.start_deg() + 720.0 * turn;
        let lift_m = curve.lift_m(angle_deg);
        let phase = 2.0 * PI * f64::from(order) * turn;
        cosine += lift_m * phase.cos();
        sine += lift_m * phase.sin();
    }
    2.0 * cosine.hypot(sine) / f64::from(STEPS)
}

//! SAE J1349, spark ignition: dry pressure 99 kPa, 25 °C.
//!
//! `x = (99 / p_dry[kPa]) · √((t + 273)/298)` scales indicated torque. Friction torque does not
//! scale with the air, so the factor on brake torque needs the mechanical efficiency; without a
//! motoring dyno it is taken as 85 % at the observed point: `x/0.85 − (1/0.85 − 1)`, printed
//! rounded as `1.180 x − 0.180`. The two differ by less than 0.001 over the usual weather.
//! Temperatures are counted as printed, t + 273.
//!
//! Left out: intake restriction, fuel corrections, and everything a certified rating needs.

use super::AmbientAir;

pub(super) const REFERENCE: &str = "99.0 kPa dry, 25 °C";
/// Stated from memory, with low confidence; later editions are said to be tighter.
pub(super) const FACTOR_RANGE: (f64, f64) = (0.93, 1.07);
/// 15 to 35 °C; from memory, with low confidence.
pub(super) const TEMPERATURE_RANGE_K: (f64, f64) = (288.15, 308.15);
/// 90 to 105 kPa dry; from memory, with low confidence.
pub(super) const PRESSURE_RANGE_PA: (f64, f64) = (90_000.0, 105_000.0);
pub(super) const SOURCE: &str =
    "SAE J1349 (June 1990), formula as quoted in public text; ranges from memory, low confidence";
pub(super) const SOURCE_UNROUNDED: &str =
    "SAE J1349 (June 1990), its 85 % assumption worked out without rounding; ranges from memory, low confidence";
pub(super) const SOURCE_KNOWN_FRICTION: &str = "SAE J1349, form with known friction, from memory";

/// The factor on indicated torque.
pub(super) fn bare(air: &AmbientAir) -> f64 {
    (99_000.0 / air.dry_pressure_pa()) * ((air.temperature_k - 273.15 + 273.0) / 298.0).sqrt()
}

/// The factor on brake torque, coefficients as printed.
pub(super) fn printed(air: &AmbientAir) -> f64 {
    1.180 * bare(air) - 0.180
}

/// The factor on brake torque, 85 % without rounding.
pub(super) fn unrounded(air: &AmbientAir) -> f64 {
    bare(air) / 0.85 - (1.0 / 0.85 - 1.0)
}

//! How surely a factor is known, given how surely the air is known.
//!
//! First order (GUM, JCGM 100:2008, 5.1.2; from memory), slopes by central differences. The
//! vapour pressure is an input of its own where a dew point or a vapour pressure was measured. Where
//! it comes from relative humidity, the thermometer's error enters twice with the same sign, and
//! [`factor_uncertainty_from_humidity`] counts it so. Left out: other correlation, curvature.

use super::{AmbientAir, CorrectionError, Standard, factor};
use crate::humid_air::{self, Surface};

/// Standard uncertainties (k = 1) of the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirUncertainty {
    /// Of the station pressure, Pa.
    pub pressure_pa: f64,
    /// Of the inlet temperature, K.
    pub temperature_k: f64,
    /// Of the vapour pressure, Pa.
    pub vapour_pressure_pa: f64,
}

/// Standard uncertainty of a factor, absolute, and what each input gives to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FactorUncertainty {
    /// Combined, k = 1.
    pub total: f64,
    /// From the station pressure.
    pub from_pressure: f64,
    /// From the inlet temperature.
    pub from_temperature: f64,
    /// From the vapour pressure.
    pub from_vapour: f64,
}

/// Standard uncertainty of the factor of a standard in this air.
///
/// # Errors
/// [`CorrectionError::Air`] for unusable air.
pub fn factor_uncertainty(
    standard: Standard,
    air: &AmbientAir,
    u: &AirUncertainty,
) -> Result<FactorUncertainty, CorrectionError> {
    air.check()?;
    Ok(combined(
        slope(standard, air, |air, step| air.pressure_pa += step, PRESSURE_STEP_PA) * u.pressure_pa,
        slope(standard, air, |air, step| air.temperature_k += step, TEMPERATURE_STEP_K) * u.temperature_k,
        slope(standard, air, |air, step| air.vapour_pressure_pa += step, VAPOUR_STEP_PA) * u.vapour_pressure_pa,
    ))
}

/// Standard uncertainties (k = 1) of air whose humidity is measured as relative humidity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HumidityUncertainty {
    /// Of the station pressure, Pa.
    pub pressure_pa: f64,
    /// Of the inlet temperature, K.
    pub temperature_k: f64,
    /// Of the relative humidity, 0 … 1.
    pub humidity: f64,
}

/// Standard uncertainty of the factor of a standard where the vapour pressure comes from relative
/// humidity and the same thermometer. `from_temperature` holds the thermometer's direct part and
/// its part through the saturation pressure, added; `from_vapour` holds the humidity's part.
///
/// # Errors
/// [`CorrectionError::Air`] for unusable air.
pub fn factor_uncertainty_from_humidity(
    standard: Standard,
    air: &AmbientAir,
    u: &HumidityUncertainty,
) -> Result<FactorUncertainty, CorrectionError> {
    air.check()?;
    let humidity = air.humidity()?;
    let saturation = humid_air::saturation_pressure_pa(air.temperature_k, Surface::Water)?;
    let saturation_slope = humid_air::vapour_pressure_uncertainty_pa(1.0, air.temperature_k, 0.0, 1.0)?;
    let warmer = |air: &mut AmbientAir, step: f64| {
        air.temperature_k += step;
        air.vapour_pressure_pa += humidity * saturation_slope * step;
    };
    Ok(combined(
        slope(standard, air, |air, step| air.pressure_pa += step, PRESSURE_STEP_PA) * u.pressure_pa,
        slope(standard, air, warmer, TEMPERATURE_STEP_K) * u.temperature_k,
        slope(standard, air, |air, step| air.vapour_pressure_pa += step, VAPOUR_STEP_PA) * saturation * u.humidity,
    ))
}

// Steps far above rounding (1e-16 of the factor over a step) and far below curvature.
const PRESSURE_STEP_PA: f64 = 10.0;
const TEMPERATURE_STEP_K: f64 = 0.01;
const VAPOUR_STEP_PA: f64 = 1.0;

/// Slope of the factor by a central difference. The step may leave the checked ranges by a hair, so
/// the formula is called without the check.
fn slope(standard: Standard, air: &AmbientAir, change: impl Fn(&mut AmbientAir, f64), step: f64) -> f64 {
    let (mut up, mut down) = (*air, *air);
    change(&mut up, step);
    change(&mut down, -step);
    (factor::unchecked(standard, &up) - factor::unchecked(standard, &down)) / (2.0 * step)
}

fn combined(pressure: f64, temperature: f64, vapour: f64) -> FactorUncertainty {
    FactorUncertainty {
        total: pressure.hypot(temperature).hypot(vapour),
        from_pressure: pressure.abs(),
        from_temperature: temperature.abs(),
        from_vapour: vapour.abs(),
    }
}

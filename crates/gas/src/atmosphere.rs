//! The standard atmosphere, the barometer setting reduced to sea level, and doubt about a barometer.
//!
//! Model: ISO 2533 / US Standard Atmosphere 1976 below 11 km of geopotential height.
//! Left out: weather, which is why a barometer is questioned and never replaced.

use crate::error::{AirError, within};
use crate::humid_air::{STATION_HINT, STATION_RANGE_PA};

/// Sea-level temperature of the standard atmosphere, K.
pub const SEA_LEVEL_K: f64 = 288.15;
/// Sea-level pressure of the standard atmosphere, Pa.
pub const SEA_LEVEL_PA: f64 = 101_325.0;
const LAPSE_K_M: f64 = 0.0065;
const AIR_J_KG_K: f64 = 287.052_87;
const GRAVITY_M_S2: f64 = 9.806_65;
const EARTH_RADIUS_M: f64 = 6_356_766.0;
const HEIGHT_RANGE_M: (f64, f64) = (-500.0, 11_000.0);
/// g₀ / (lapse × R) = 5.25588.
const EXPONENT: f64 = GRAVITY_M_S2 / (LAPSE_K_M * AIR_J_KG_K);

/// Standard temperature at a geopotential height, K. Range −500 … 11 000 m.
///
/// # Errors
/// [`AirError::OutsideModel`] outside the range.
pub fn temperature_k(height_m: f64) -> Result<f64, AirError> {
    within("a height", height_m, " m", HEIGHT_RANGE_M, "")?;
    Ok(SEA_LEVEL_K - LAPSE_K_M * height_m)
}

/// Standard pressure at a geopotential height, Pa. Range −500 … 11 000 m.
///
/// # Errors
/// [`AirError::OutsideModel`] outside the range.
pub fn pressure_pa(height_m: f64) -> Result<f64, AirError> {
    Ok(SEA_LEVEL_PA * (temperature_k(height_m)? / SEA_LEVEL_K).powf(EXPONENT))
}

/// Standard density at a geopotential height, kg/m³. Range −500 … 11 000 m.
///
/// # Errors
/// [`AirError::OutsideModel`] outside the range.
pub fn density_kg_m3(height_m: f64) -> Result<f64, AirError> {
    Ok(pressure_pa(height_m)? / (AIR_J_KG_K * temperature_k(height_m)?))
}

/// Geopotential height for a height above the sea, m. At 1600 m the difference is 0.4 m.
pub fn geopotential_m(height_m: f64) -> f64 {
    EARTH_RADIUS_M * height_m / (EARTH_RADIUS_M + height_m)
}

/// Station pressure from a weather service's figure reduced to sea level (altimeter setting), Pa.
///
/// A weather service gives the pressure as it would be at sea level; the engine breathes the
/// pressure in the room. At 1600 m the two differ by 18 kPa.
///
/// # Errors
/// [`AirError::OutsideModel`] for a setting outside 85 … 112 kPa or a height outside −500 … 11 000 m.
pub fn station_from_altimeter_pa(setting_pa: f64, height_m: f64) -> Result<f64, AirError> {
    within("an altimeter setting", setting_pa, " Pa", (85_000.0, 112_000.0), "; it is near 101 325 Pa everywhere")?;
    within("a height", height_m, " m", HEIGHT_RANGE_M, "")?;
    let n = EXPONENT.recip();
    Ok((setting_pa.powf(n) - SEA_LEVEL_PA.powf(n) * LAPSE_K_M * height_m / SEA_LEVEL_K).powf(EXPONENT))
}

/// The altimeter setting that belongs to a station pressure, Pa: the inverse of [`station_from_altimeter_pa`].
///
/// # Errors
/// [`AirError::OutsideModel`] for a station pressure outside 45 … 112 kPa or a height outside the range.
pub fn altimeter_from_station_pa(station_pa: f64, height_m: f64) -> Result<f64, AirError> {
    within("a station pressure", station_pa, " Pa", STATION_RANGE_PA, STATION_HINT)?;
    within("a height", height_m, " m", HEIGHT_RANGE_M, "")?;
    let n = EXPONENT.recip();
    Ok((station_pa.powf(n) + SEA_LEVEL_PA.powf(n) * LAPSE_K_M * height_m / SEA_LEVEL_K).powf(EXPONENT))
}

/// Reduced to sea level, ordinary weather stays within these, Pa (common practice, no source).
pub const ORDINARY_SEA_LEVEL_PA: (f64, f64) = (98_000.0, 104_000.0);
/// Reduced to sea level, hardly any weather in inhabited places is beyond these, Pa (common practice, no source).
pub const EXTREME_SEA_LEVEL_PA: (f64, f64) = (94_000.0, 106_500.0);

/// How a barometer fails to fit the height.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum DoubtKind {
    /// The figure looks like one reduced to sea level, from a weather service or an airport.
    LooksLikeSeaLevel,
    /// Higher than the weather can make it at this height.
    TooHigh,
    /// Lower than the weather can make it at this height.
    TooLow,
    /// Possible in rare weather only.
    Unusual,
    /// No station pressure at all (outside 45 … 112 kPa), or no height (outside −500 … 11 000 m).
    NotUsable,
}

/// A barometer reading that does not fit the stated height. It is a question, never a correction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarometerDoubt {
    /// What is the matter.
    pub kind: DoubtKind,
    /// The reading, Pa.
    pub station_pa: f64,
    /// The stated height, m.
    pub altitude_m: f64,
    /// What belongs to that height; `None` if the reading or the height is not usable.
    pub expected: Option<Expected>,
}

/// What belongs to a height, and what a reading there would mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Standard pressure at the height, Pa.
    pub standard_pa: f64,
    /// Station pressures of ordinary weather at the height, Pa.
    pub ordinary_pa: (f64, f64),
    /// What the reading would be reduced to sea level, Pa.
    pub implied_sea_level_pa: f64,
    /// If the reading looks like one reduced to sea level: the station pressure behind it, Pa.
    pub station_behind_pa: Option<f64>,
}

impl std::fmt::Display for BarometerDoubt {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let kpa = |pa: f64| format!("{:.1} kPa ({:.2} inHg)", pa / 1e3, pa / 3_386.388_64);
        write!(f, "the barometer reads {}, and the cell stands at {:.0} m", kpa(self.station_pa), self.altitude_m)?;
        let Some(expected) = &self.expected else {
            return f.write_str(
                "; a station pressure lies between 45 and 112 kPa and a height between −500 and 11 000 m. \
                 Check both and their units",
            );
        };
        let (low, high) = expected.ordinary_pa;
        write!(f, ", where ordinary weather gives {:.1} to {:.1} kPa. ", low / 1e3, high / 1e3)?;
        match (self.kind, expected.station_behind_pa) {
            (DoubtKind::LooksLikeSeaLevel, Some(behind)) => write!(
                f,
                "The figure looks like one reduced to sea level; if it is, the station pressure was {}. \
                 Read the barometer in the cell, or convert the figure",
                kpa(behind)
            ),
            (DoubtKind::Unusual, _) => {
                f.write_str("Rare weather can do that; check the barometer and the height of the cell")
            }
            _ => f.write_str("No weather explains it; check the barometer, its unit, and the height of the cell"),
        }
    }
}

/// Doubt about a station pressure at a stated height above the sea, or `None` if it fits.
///
/// The reading is reduced to sea level with the standard atmosphere. If the result lies within
/// [`ORDINARY_SEA_LEVEL_PA`] there is no doubt; within [`EXTREME_SEA_LEVEL_PA`] it is unusual;
/// beyond that it is too high or too low. A reading that comes out high, at 150 m or more, and
/// that would itself be ordinary at sea level, looks like a figure reduced to sea level. A
/// standard day's figure is told so from about 230 m upwards; lower down it passes as a high.
pub fn barometer_doubt(station_pa: f64, altitude_m: f64) -> Option<BarometerDoubt> {
    match compare(station_pa, altitude_m) {
        Ok((_, None)) => None,
        Ok((expected, Some(kind))) => Some(BarometerDoubt { kind, station_pa, altitude_m, expected: Some(expected) }),
        Err(_) => Some(BarometerDoubt { kind: DoubtKind::NotUsable, station_pa, altitude_m, expected: None }),
    }
}

fn compare(station_pa: f64, altitude_m: f64) -> Result<(Expected, Option<DoubtKind>), AirError> {
    let height_m = geopotential_m(altitude_m);
    let implied = altimeter_from_station_pa(station_pa, height_m)?;
    let at_height = |setting_pa| station_from_altimeter_pa(setting_pa, height_m);
    let ordinary = |pa: f64| (ORDINARY_SEA_LEVEL_PA.0..=ORDINARY_SEA_LEVEL_PA.1).contains(&pa);
    let kind = if ordinary(implied) {
        None
    } else if implied > ORDINARY_SEA_LEVEL_PA.1 && altitude_m >= 150.0 && ordinary(station_pa) {
        Some(DoubtKind::LooksLikeSeaLevel)
    } else if implied > EXTREME_SEA_LEVEL_PA.1 {
        Some(DoubtKind::TooHigh)
    } else if implied < EXTREME_SEA_LEVEL_PA.0 {
        Some(DoubtKind::TooLow)
    } else {
        Some(DoubtKind::Unusual)
    };
    let station_behind_pa =
        if kind == Some(DoubtKind::LooksLikeSeaLevel) { Some(at_height(station_pa)?) } else { None };
    let expected = Expected {
        standard_pa: pressure_pa(height_m)?,
        ordinary_pa: (at_height(ORDINARY_SEA_LEVEL_PA.0)?, at_height(ORDINARY_SEA_LEVEL_PA.1)?),
        implied_sea_level_pa: implied,
        station_behind_pa,
    };
    Ok((expected, kind))
}

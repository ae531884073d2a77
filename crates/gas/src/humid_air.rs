//! Humid air: saturation pressure, vapour pressure from what a shop can read, humidity ratio, density.
//!
//! Model: dry air and water vapour as ideal gases, gas constants 287.042 and 461.524 J/(kg·K).
//! Source: ASHRAE Handbook of Fundamentals 2017, chapter 1 (equations 5 and 6 for saturation; the
//! psychrometer equations 33 and 35). Checked against the tables in `validation/humid_air`.
//! Left out: the real-gas enhancement of the saturation pressure in air (+0.4 to 0.5 %); the
//! correction standards do not use it either. Real-gas density is 0.02 to 0.08 % higher.

use crate::error::{AirError, within};

/// Gas constant of dry air, J/(kg·K). ASHRAE 2017.
pub const DRY_AIR_J_KG_K: f64 = 287.042;
/// Gas constant of water vapour, J/(kg·K). ASHRAE 2017.
pub const WATER_VAPOUR_J_KG_K: f64 = 461.524;
/// Molar mass of water over that of dry air. ASHRAE 2017.
pub const MASS_RATIO: f64 = 0.621_945;

const ZERO_C_K: f64 = 273.15;
const HUMIDITY_HINT: &str = "; relative humidity is a share here, 0.55 for 55 %";
const KELVIN_HINT: &str = "; the temperature is in kelvin here";

/// What the vapour is in balance with. Below 0 °C the two differ (by 22 % at −20 °C).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surface {
    /// Liquid water, also below 0 °C. Relative humidity from an electronic sensor is counted so.
    Water,
    /// Ice; only at and below the triple point.
    Ice,
}

/// Saturation pressure of water vapour, Pa.
///
/// | input | unit | range |
/// |---|---|---|
/// | `temperature_k` over water | K | 233.15 … 473.15 |
/// | `temperature_k` over ice | K | 173.15 … 273.16 |
///
/// The source gives the formula over water from 0 °C upwards. Below it we go on with the same
/// formula for supercooled water, which stays within 0.3 % of the Magnus form down to −20 °C.
///
/// # Errors
/// [`AirError::OutsideModel`] outside these ranges.
///
/// # Source
/// ASHRAE Fundamentals 2017, chapter 1, equation 6 (water) and 5 (ice).
pub fn saturation_pressure_pa(temperature_k: f64, over: Surface) -> Result<f64, AirError> {
    let t = temperature_k;
    let ln_pressure = match over {
        Surface::Water => {
            within("an air temperature", t, " K", (233.15, 473.15), KELVIN_HINT)?;
            -5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t + 4.176_476_8e-5 * t * t - 1.445_209_3e-8 * t.powi(3)
                + 6.545_967_3 * t.ln()
        }
        Surface::Ice => {
            within("a temperature over ice", t, " K", (173.15, 273.16), KELVIN_HINT)?;
            -5.674_535_9e3 / t + 6.392_524_7 - 9.677_843e-3 * t + 6.221_570_1e-7 * t * t + 2.074_782_5e-9 * t.powi(3)
                - 9.484_024e-13 * t.powi(4)
                + 4.163_501_9 * t.ln()
        }
    };
    Ok(ln_pressure.exp())
}

/// Vapour pressure from relative humidity (0 … 1), Pa.
///
/// # Errors
/// [`AirError::OutsideModel`] for a humidity outside 0 … 1 or a temperature outside the model.
pub fn vapour_pressure_pa(humidity: f64, temperature_k: f64, over: Surface) -> Result<f64, AirError> {
    within("a relative humidity", humidity, "", (0.0, 1.0), HUMIDITY_HINT)?;
    Ok(humidity * saturation_pressure_pa(temperature_k, over)?)
}

/// Vapour pressure from the dew point (over water), Pa.
///
/// # Errors
/// [`AirError::OutsideModel`] for a dew point outside the model.
pub fn vapour_pressure_from_dew_point_pa(dew_point_k: f64) -> Result<f64, AirError> {
    saturation_pressure_pa(dew_point_k, Surface::Water)
}

/// Dew point (over water), K, of air with this vapour pressure.
///
/// # Errors
/// [`AirError::OutsideModel`] for a vapour pressure outside 19 Pa … 1.55 MPa, the range of the
/// saturation formula; dry air has no dew point.
pub fn dew_point_k(vapour_pressure_pa: f64) -> Result<f64, AirError> {
    let (mut low, mut high) = (233.15, 473.15);
    let range = (saturation_pressure_pa(low, Surface::Water)?, saturation_pressure_pa(high, Surface::Water)?);
    within("a vapour pressure", vapour_pressure_pa, " Pa", range, "; drier air has no dew point in this range")?;
    // The pressure rises with temperature all the way, so halving finds it: 60 halvings of 240 K.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if saturation_pressure_pa(middle, Surface::Water)? < vapour_pressure_pa {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(0.5 * (low + high))
}

/// Vapour pressure from the wet-bulb temperature, Pa.
///
/// The wet bulb is taken as wetted with liquid water at and above 0 °C and iced below.
/// Range of the dry bulb: −20 … 70 °C.
///
/// # Errors
/// [`AirError::WetBulbNotPossible`] for a wet bulb above the dry bulb or colder than dry air
/// makes it; [`AirError::OutsideModel`] outside the saturation formula.
///
/// # Source
/// ASHRAE Fundamentals 2017, chapter 1, equations 33 (water) and 35 (ice).
pub fn vapour_pressure_from_wet_bulb_pa(dry_bulb_k: f64, wet_bulb_k: f64, pressure_pa: f64) -> Result<f64, AirError> {
    within("a dry bulb", dry_bulb_k, " K", (253.15, 343.15), KELVIN_HINT)?;
    within("a station pressure", pressure_pa, " Pa", STATION_RANGE_PA, STATION_HINT)?;
    let (dry_c, wet_c) = (dry_bulb_k - ZERO_C_K, wet_bulb_k - ZERO_C_K);
    let impossible = AirError::WetBulbNotPossible { wet_c, dry_c };
    if wet_bulb_k.is_nan() || wet_bulb_k > dry_bulb_k {
        return Err(impossible);
    }
    let surface = if wet_c >= 0.0 { Surface::Water } else { Surface::Ice };
    let at_wet = humidity_ratio(saturation_pressure_pa(wet_bulb_k, surface)?, pressure_pa);
    let ratio = if wet_c >= 0.0 {
        ((2501.0 - 2.326 * wet_c) * at_wet - 1.006 * (dry_c - wet_c)) / (2501.0 + 1.86 * dry_c - 4.186 * wet_c)
    } else {
        ((2830.0 - 0.24 * wet_c) * at_wet - 1.006 * (dry_c - wet_c)) / (2830.0 + 1.86 * dry_c - 2.1 * wet_c)
    };
    if ratio < 0.0 {
        return Err(impossible);
    }
    Ok(pressure_pa * ratio / (MASS_RATIO + ratio))
}

/// Humidity ratio, kg of water per kg of dry air. `vapour_pressure_pa` must be below `pressure_pa`.
pub fn humidity_ratio(vapour_pressure_pa: f64, pressure_pa: f64) -> f64 {
    MASS_RATIO * vapour_pressure_pa / (pressure_pa - vapour_pressure_pa)
}

/// Density of humid air, kg/m³, ideal gases.
pub fn density_kg_m3(pressure_pa: f64, temperature_k: f64, vapour_pressure_pa: f64) -> f64 {
    dry_density_kg_m3(pressure_pa, temperature_k, vapour_pressure_pa)
        + vapour_pressure_pa / (WATER_VAPOUR_J_KG_K * temperature_k)
}

/// Mass of dry air per volume of humid air, kg/m³: what the engine can burn with.
pub fn dry_density_kg_m3(pressure_pa: f64, temperature_k: f64, vapour_pressure_pa: f64) -> f64 {
    (pressure_pa - vapour_pressure_pa) / (DRY_AIR_J_KG_K * temperature_k)
}

/// Standard uncertainty of a vapour pressure worked out from humidity and temperature, Pa:
/// the humidity's share and the temperature's share through the saturation pressure, uncorrelated.
///
/// # Errors
/// As [`vapour_pressure_pa`], and at the very ends of the temperature range.
pub fn vapour_pressure_uncertainty_pa(
    humidity: f64,
    temperature_k: f64,
    u_humidity: f64,
    u_temperature_k: f64,
) -> Result<f64, AirError> {
    let saturation = saturation_pressure_pa(temperature_k, Surface::Water)?;
    let step = 0.01;
    let slope = (saturation_pressure_pa(temperature_k + step, Surface::Water)?
        - saturation_pressure_pa(temperature_k - step, Surface::Water)?)
        / (2.0 * step);
    Ok((saturation * u_humidity).hypot(humidity * slope * u_temperature_k))
}

/// Station pressures that are taken as such: from 6000 m up to the highest ever recorded and a margin.
pub(crate) const STATION_RANGE_PA: (f64, f64) = (45_000.0, 112_000.0);
pub(crate) const STATION_HINT: &str =
    "; the station pressure is absolute and in pascals here: 98 700 Pa is 98.7 kPa or 29.15 inHg";

//! The air at the engine's inlet.

use crate::error::{AirError, within};
use crate::humid_air::{self, STATION_HINT, STATION_RANGE_PA, Surface};
use serde::{Deserialize, Serialize};

const TEMPERATURE_RANGE_K: (f64, f64) = (233.15, 343.15);

/// Air at the engine's inlet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct AmbientAir {
    /// Absolute station pressure, Pa.
    pub pressure_pa: f64,
    /// Inlet air temperature, K.
    pub temperature_k: f64,
    /// Partial pressure of water vapour, Pa.
    pub vapour_pressure_pa: f64,
}

impl AmbientAir {
    /// Air of known vapour pressure.
    ///
    /// | input | unit | range |
    /// |---|---|---|
    /// | `pressure_pa` | Pa absolute, in the cell | 45 000 … 112 000 |
    /// | `temperature_k` | K, at the inlet | 233.15 … 343.15 (−40 … 70 °C) |
    /// | `vapour_pressure_pa` | Pa | 0 … saturation over water (+2 % for gauge error) |
    ///
    /// # Errors
    /// [`AirError`] outside these ranges. Nothing is clamped.
    pub fn new(pressure_pa: f64, temperature_k: f64, vapour_pressure_pa: f64) -> Result<Self, AirError> {
        let air = Self { pressure_pa, temperature_k, vapour_pressure_pa };
        air.check()?;
        Ok(air)
    }

    /// Air of known relative humidity (0 … 1), counted over liquid water also below 0 °C, as
    /// electronic sensors do.
    ///
    /// # Errors
    /// [`AirError`] outside the ranges of [`AmbientAir::new`] or for a humidity outside 0 … 1.
    pub fn from_humidity(pressure_pa: f64, temperature_k: f64, humidity: f64) -> Result<Self, AirError> {
        Self::new(pressure_pa, temperature_k, humid_air::vapour_pressure_pa(humidity, temperature_k, Surface::Water)?)
    }

    /// Air of known dew point.
    ///
    /// # Errors
    /// [`AirError`], as [`AmbientAir::new`].
    pub fn from_dew_point(pressure_pa: f64, temperature_k: f64, dew_point_k: f64) -> Result<Self, AirError> {
        Self::new(pressure_pa, temperature_k, humid_air::vapour_pressure_from_dew_point_pa(dew_point_k)?)
    }

    /// Air of known wet-bulb temperature.
    ///
    /// # Errors
    /// [`AirError`], as [`AmbientAir::new`] and
    /// [`humid_air::vapour_pressure_from_wet_bulb_pa`].
    pub fn from_wet_bulb(pressure_pa: f64, temperature_k: f64, wet_bulb_k: f64) -> Result<Self, AirError> {
        Self::new(
            pressure_pa,
            temperature_k,
            humid_air::vapour_pressure_from_wet_bulb_pa(temperature_k, wet_bulb_k, pressure_pa)?,
        )
    }

    /// Pressure of the dry part of the air, Pa.
    pub fn dry_pressure_pa(&self) -> f64 {
        self.pressure_pa - self.vapour_pressure_pa
    }

    /// Relative humidity over liquid water, 0 … 1.
    ///
    /// # Errors
    /// [`AirError::OutsideModel`] for a temperature outside the saturation formula.
    pub fn humidity(&self) -> Result<f64, AirError> {
        Ok(self.vapour_pressure_pa / humid_air::saturation_pressure_pa(self.temperature_k, Surface::Water)?)
    }

    /// Density of the humid air, kg/m³.
    pub fn density_kg_m3(&self) -> f64 {
        humid_air::density_kg_m3(self.pressure_pa, self.temperature_k, self.vapour_pressure_pa)
    }

    /// Whether the values are usable; the fields are public and may have been filled from a file.
    ///
    /// # Errors
    /// [`AirError`], as [`AmbientAir::new`].
    pub fn check(&self) -> Result<(), AirError> {
        within("a station pressure", self.pressure_pa, " Pa", STATION_RANGE_PA, STATION_HINT)?;
        within(
            "an inlet air temperature",
            self.temperature_k,
            " K",
            TEMPERATURE_RANGE_K,
            "; the temperature is in kelvin here",
        )?;
        within("a vapour pressure", self.vapour_pressure_pa, " Pa", (0.0, 32_000.0), "")?;
        let saturation_pa = humid_air::saturation_pressure_pa(self.temperature_k, Surface::Water)?;
        if self.vapour_pressure_pa > 1.02 * saturation_pa {
            return Err(AirError::Oversaturated {
                vapour_pa: self.vapour_pressure_pa,
                saturation_pa,
                temperature_c: self.temperature_k - 273.15,
            });
        }
        Ok(())
    }
}

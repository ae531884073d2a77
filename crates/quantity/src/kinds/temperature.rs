//! A temperature and a difference of temperatures: 10 °C is 283.15 K, a rise of 10 °C is 10 K.

use super::{Quantity, not_negative, private::Raw, quantity};
use crate::unit::Dimension;

const ZERO_C_K: f64 = 273.15;
const ZERO_F_R: f64 = 459.67;

/// A temperature.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Temperature(f64);

impl Temperature {
    /// From kelvin.
    pub fn from_kelvin(kelvin: f64) -> Self {
        Self(kelvin)
    }
    /// In kelvin.
    pub fn kelvin(self) -> f64 {
        self.0
    }
    /// From °C.
    pub fn from_celsius(celsius: f64) -> Self {
        Self(celsius + ZERO_C_K)
    }
    /// In °C.
    pub fn celsius(self) -> f64 {
        self.0 - ZERO_C_K
    }
    /// From °F.
    pub fn from_fahrenheit(fahrenheit: f64) -> Self {
        Self((fahrenheit + ZERO_F_R) / 1.8)
    }
    /// In °F.
    pub fn fahrenheit(self) -> f64 {
        self.0 * 1.8 - ZERO_F_R
    }
    /// How much warmer this is than another.
    pub fn above(self, other: Self) -> TemperatureDifference {
        TemperatureDifference::from_kelvin(self.0 - other.0)
    }
}

impl Quantity for Temperature {
    const DIMENSION: Dimension = Dimension::Temperature;
    const NAME: &'static str = "a temperature";
    const OFFERED: &'static str = "°F, °C or K";
}

impl Raw for Temperature {
    fn from_si(si: f64) -> Self {
        Self(si)
    }
    fn si(self) -> f64 {
        self.0
    }
    fn impossible(si: f64) -> Option<&'static str> {
        not_negative(si, "it lies below absolute zero")
    }
}

quantity! {
    /// A difference of temperatures.
    TemperatureDifference, TemperatureDifference, "a temperature difference", "°F, °C or K";
    from_kelvin kelvin "K" 1.0, from_fahrenheit fahrenheit "°F" 1.0 / 1.8,;
}

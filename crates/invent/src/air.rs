//! The air of the story, and the factor between observed and corrected.
//!
//! Written here a second time on purpose and from other formulas than the crate `gas` uses (Magnus instead of
//! ASHRAE for the saturation pressure, kelvin from 273.15): what the two ways agree on is not one mistake made twice.
//! They differ by less than 2e-4 of the factor between 0 and 40 °C.

/// Which factor turns the story's corrected torque into what was observed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// SAE J1349, printed form 1.18 x − 0.18 with x = (99 kPa / dry)·√(T/298.15 K).
    J1349,
    /// ISO 1585, positive ignition: (99 kPa / dry)^1.2 · (T/298.15 K)^0.6.
    Iso1585,
    /// SAE J607, bare: (29.92 inHg / dry)·√(T/519.67 °R).
    J607,
}

/// Air at the engine's inlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Station pressure, Pa.
    pub pressure_pa: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Relative humidity over water, 0…1.
    pub humidity: f64,
}

impl Air {
    /// Air from the readings of an American cell: inches of mercury, °F, percent.
    pub fn us(baro_in_hg: f64, temperature_f: f64, humidity_percent: f64) -> Self {
        Self {
            pressure_pa: baro_in_hg * 3386.389,
            temperature_k: (temperature_f + 459.67) / 1.8,
            humidity: humidity_percent / 100.0,
        }
    }

    /// Partial pressure of water vapour, Pa: Magnus over water, 611.2·exp(17.62 t/(243.12 + t)), t in °C.
    pub fn vapour_pa(&self) -> f64 {
        let t = self.temperature_k - 273.15;
        self.humidity * 611.2 * (17.62 * t / (243.12 + t)).exp()
    }

    /// Pressure without the water vapour, Pa.
    pub fn dry_pa(&self) -> f64 {
        self.pressure_pa - self.vapour_pa()
    }

    /// Corrected torque over observed torque.
    pub fn factor(&self, form: Form) -> f64 {
        let (dry, t) = (self.dry_pa(), self.temperature_k);
        match form {
            Form::J1349 => 1.18 * (99_000.0 / dry) * (t / 298.15).sqrt() - 0.18,
            Form::Iso1585 => (99_000.0 / dry).powf(1.2) * (t / 298.15).powf(0.6),
            Form::J607 => (29.92 * 3386.389 / dry) * (t * 1.8 / 519.67).sqrt(),
        }
    }
}

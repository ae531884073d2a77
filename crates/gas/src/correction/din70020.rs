//! DIN 70020 (part 6), superseded: total pressure 1013 mbar, 20 °C, humidity left out.
//!
//! `K = (1013 / p[mbar]) · √((273 + t)/293)`.

use super::AmbientAir;

pub(super) const REFERENCE: &str = "1013 mbar total, 20 °C";
pub(super) const SOURCE: &str = "DIN 70020 part 6 as quoted in public German text; part and date from memory";

/// The factor on brake torque.
pub(super) fn factor(air: &AmbientAir) -> f64 {
    (101_300.0 / air.pressure_pa) * ((air.temperature_k - 273.15 + 273.0) / 293.0).sqrt()
}

//! SAE J607 ("STD"), withdrawn: dry pressure 29.92 inHg, 60 °F.
//!
//! `y = (29.92 / p_dry[inHg]) · √((t_F + 459.7)/519.7)`. In most sheets `y` multiplies brake torque
//! as it is. An older practice adds the friction torque first and takes it off afterwards, which
//! gives another figure; both are offered, neither as the other.

use super::AmbientAir;

pub(super) const REFERENCE: &str = "29.92 inHg dry, 60 °F";
pub(super) const SOURCE: &str =
    "SAE J607 as described in a public mailing-list text of 1995; edition and clause not known";

const CONVENTIONAL_INHG_PA: f64 = 3_386.388_64;

/// The factor as printed.
pub(super) fn bare(air: &AmbientAir) -> f64 {
    let fahrenheit = (air.temperature_k - 273.15) * 1.8 + 32.0;
    (29.92 * CONVENTIONAL_INHG_PA / air.dry_pressure_pa()) * ((fahrenheit + 459.7) / 519.7).sqrt()
}

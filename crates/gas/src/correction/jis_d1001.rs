//! JIS D 1001, spark ignition: the same formula as ISO 1585, from memory.
//!
//! No range of its own is known to us, so none is checked against; the customary one still flags.

use super::{AmbientAir, iso1585};

pub(super) const REFERENCE: &str = "99.0 kPa dry, 25 °C";
pub(super) const SOURCE: &str = "JIS D 1001, from memory: the same formula as ISO 1585";

/// The factor on brake torque.
pub(super) fn factor(air: &AmbientAir) -> f64 {
    iso1585::factor(air)
}

//! ISO 1585 / UN R85, positive ignition: dry pressure 99 kPa, 298 K.
//!
//! `α = (99 / p_dry[kPa])^1.2 · (T/298)^0.6`, which is the bare J1349 factor to the power 1.2: the
//! exponent stands for the mechanical efficiency. Inside 0.93 … 1.07 the corrected figure stands by
//! itself; outside, the test's pressure and temperature must be stated with it.
//! Left out: compression ignition, and the change of 2015 that gives factor 1 to engines whose
//! boost control makes up for the air; [`super::decide`] covers the latter.

use super::{AmbientAir, sae_j1349};

pub(super) const REFERENCE: &str = "99.0 kPa dry, 25 °C";
/// From memory; the rule for reporting outside is public (EU 134/2014 uses the same wording).
pub(super) const FACTOR_RANGE: (f64, f64) = (0.93, 1.07);
/// From memory.
pub(super) const TEMPERATURE_RANGE_K: (f64, f64) = (288.0, 308.0);
/// From memory.
pub(super) const PRESSURE_RANGE_PA: (f64, f64) = (80_000.0, 110_000.0);
pub(super) const SOURCE: &str =
    "UN R85 Annex 5 § 5.4.1 and ISO 1585, positive ignition; formula and ranges from memory";

/// The factor on brake torque.
pub(super) fn factor(air: &AmbientAir) -> f64 {
    sae_j1349::bare(air).powf(1.2)
}

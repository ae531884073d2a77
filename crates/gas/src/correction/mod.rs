//! Correction of torque and power to standard air.
//!
//! A pull on a hot day at altitude makes less torque than the same pull on a cool day by the sea.
//! The standards here multiply the observed torque with a factor made of pressure and temperature
//! of the inlet air. How to choose:
//!
//! - [`Standard::SaeJ1349`] is the default of a shop that works in its terms: dry pressure, and an
//!   assumed mechanical efficiency of 85 %. [`Standard::SaeJ1349Unrounded`] is the same assumption
//!   with unrounded coefficients; [`Standard::SaeJ1349KnownFriction`] takes the friction measured
//!   on a motoring dyno in place of the assumption.
//! - [`Standard::SaeJ607`] ("STD") is long withdrawn and reads about 4 % higher near sea level. It
//!   is there to read old sheets. Its second form adds friction before and takes it off after.
//! - [`Standard::Iso1585`] and [`Standard::JisD1001`] give the same numbers as one another.
//! - [`Standard::Din70020`] counts total pressure and leaves humidity out; for old sheets.
//!
//! The ratio of two standards depends on the weather, so a corrected figure is never converted:
//! every standard is worked out from the observed torque. Fuel flow and lambda are not corrected.
//! Whether a correction may be applied at all depends on how the manifold pressure answers the
//! barometer: see [`decide`].
//!
//! The standards' own texts were not at hand. Formulae are from public text or from memory, as
//! said at each; nobody may claim conformity on the strength of this code.

mod air;
mod decision;
mod din70020;
mod factor;
pub mod friction;
mod iso1585;
mod jis_d1001;
mod range;
mod sae_j1349;
mod sae_j607;
mod standard;
mod uncertainty;

pub use air::AmbientAir;
pub use decision::{Decision, InductionResponse, decide};
pub use factor::{CorrectionError, corrected_torque_nm, factor};
pub use friction::FrictionTorque;
pub use range::{CUSTOMARY_RANGE, is_extrapolated, range_remarks, range_verdict};
pub use standard::Standard;
pub use uncertainty::{
    AirUncertainty, FactorUncertainty, HumidityUncertainty, factor_uncertainty, factor_uncertainty_from_humidity,
};

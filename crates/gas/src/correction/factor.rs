//! The factor of a standard, and the corrected torque.

use super::{AmbientAir, FrictionTorque, Standard, din70020, iso1585, jis_d1001, sae_j607, sae_j1349};
use crate::AirError;

/// Why a correction gives no figure.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CorrectionError {
    /// The air is not usable.
    #[error(transparent)]
    Air(#[from] AirError),
    /// The form needs a friction torque and none is given.
    #[error("{} needs the friction torque at each speed; measure it on a motoring dyno, state a friction mean \
             effective pressure with the swept volume, or take a form without friction", standard.label())]
    FrictionMissing {
        /// The form.
        standard: Standard,
    },
    /// The observed torque is not a finite number.
    #[error("the observed torque must be a finite number; found {observed_nm}")]
    TorqueNotFinite {
        /// What was given.
        observed_nm: f64,
    },
}

/// The factor of a standard for this air. For the forms with friction it is the bare factor, which
/// multiplies observed torque plus friction torque; [`corrected_torque_nm`] does the whole.
/// As observed, the factor is 1.
///
/// # Errors
/// [`CorrectionError::Air`] for air outside the ranges of [`AmbientAir::new`]. A factor outside the
/// standard's own range is given all the same; [`super::range_verdict`] says so.
///
/// # Source
/// As [`Standard::source`] says for each.
pub fn factor(standard: Standard, air: &AmbientAir) -> Result<f64, CorrectionError> {
    air.check()?;
    Ok(unchecked(standard, air))
}

/// The formula alone, for slopes at the edge of the checked ranges.
pub(super) fn unchecked(standard: Standard, air: &AmbientAir) -> f64 {
    match standard {
        Standard::Observed => 1.0,
        Standard::SaeJ1349 => sae_j1349::printed(air),
        Standard::SaeJ1349Unrounded => sae_j1349::unrounded(air),
        Standard::SaeJ1349KnownFriction => sae_j1349::bare(air),
        Standard::SaeJ607 | Standard::SaeJ607WithFriction => sae_j607::bare(air),
        Standard::Iso1585 => iso1585::factor(air),
        Standard::Din70020 => din70020::factor(air),
        Standard::JisD1001 => jis_d1001::factor(air),
    }
}

/// Corrected torque, N·m, from the observed torque at the crank and, for the forms that need it,
/// the friction torque at the same speed: `(T + T_f) · x − T_f`. Other forms leave `friction_nm` unused.
///
/// # Errors
/// [`CorrectionError`]: unusable air, a torque that is no number, a missing or negative friction torque.
pub fn corrected_torque_nm(
    standard: Standard,
    air: &AmbientAir,
    observed_nm: f64,
    friction_nm: Option<f64>,
) -> Result<f64, CorrectionError> {
    let factor = factor(standard, air)?;
    if !observed_nm.is_finite() {
        return Err(CorrectionError::TorqueNotFinite { observed_nm });
    }
    if !standard.needs_friction() {
        return Ok(observed_nm * factor);
    }
    let friction = FrictionTorque::from_nm(friction_nm.ok_or(CorrectionError::FrictionMissing { standard })?)?;
    Ok((observed_nm + friction.nm()) * factor - friction.nm())
}

//! Lengths of intake runners and exhaust primaries to start from.
//!
//! Every figure here is common practice and weak: it says where to begin, and a simulation and the
//! brake say where to end. Model: a wave runs out and back along a straight pipe at the speed of sound.
//! Left out: the flow's own speed, end corrections, taper, the cylinder's volume, and collectors.
//!
//! # Source
//! The return time is geometry. The primary rule, the ranges by kind of manifold and the factors for
//! collector and plenum: common practice, no source.

use crate::possible::{NotPossible, above_zero};

/// Why a length is not possible.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LengthError {
    /// A number is not finite, or outside what can be.
    #[error(transparent)]
    NotPossible(#[from] NotPossible),
}

/// What every figure of this module is worth, for print beside it.
pub const STANDING: &str = "common practice, weak";

/// A kind of intake manifold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Manifold {
    /// One plenum under the carburettor, short runners.
    SinglePlane,
    /// Straight tall runners.
    TunnelRam,
    /// Two plenums, long runners.
    DualPlane,
    /// Long runners of an injected engine.
    LongRunner,
}

impl Manifold {
    /// Usual length from valve to plenum, m, least and greatest.
    pub fn usual_length_m(self) -> (f64, f64) {
        let (low, high) = match self {
            Self::SinglePlane => (9.0, 12.0),
            Self::TunnelRam => (11.0, 15.0),
            Self::DualPlane => (12.0, 16.0),
            Self::LongRunner => (14.0, 20.0),
        };
        (low * 0.0254, high * 0.0254)
    }
}

/// Crank degrees that pass while a wave runs out and back `trips` times along a length, m.
///
/// # Errors
/// [`LengthError::NotPossible`] for numbers that are not above zero.
pub fn return_deg(length_m: f64, trips: u32, rpm: f64, sound_m_s: f64) -> Result<f64, LengthError> {
    above_zero("a length", length_m, " m")?;
    Ok(length_m * deg_per_m(trips, rpm, sound_m_s)?)
}

/// Length, m, from valve to plenum at which a wave comes back after so many crank degrees and trips.
///
/// The second to fourth return is used in practice.
///
/// # Errors
/// [`LengthError::NotPossible`] for numbers that are not above zero.
pub fn runner_length_m(return_deg: f64, trips: u32, rpm: f64, sound_m_s: f64) -> Result<f64, LengthError> {
    above_zero("a return angle", return_deg, "° crank")?;
    Ok(return_deg / deg_per_m(trips, rpm, sound_m_s)?)
}

/// Length, m, of an exhaust primary from valve to collector: 850 × (180 + exhaust opening before bottom
/// dead centre) / rpm − 3, in inches.
///
/// # Errors
/// [`LengthError::NotPossible`] for an opening outside 20 to 120° and a speed at which the rule gives no
/// length.
pub fn primary_length_m(exhaust_opens_bbdc_deg: f64, rpm: f64) -> Result<f64, LengthError> {
    above_zero("an engine speed", rpm, " rpm")?;
    if !(20.0..=120.0).contains(&exhaust_opens_bbdc_deg) {
        let (what, value) = ("an exhaust opening", exhaust_opens_bbdc_deg);
        let expected = "20 to 120° crank before bottom dead centre";
        return Err(NotPossible { what, value, unit: "° crank", expected }.into());
    }
    let inches = 850.0 * (180.0 + exhaust_opens_bbdc_deg) / rpm - 3.0;
    if inches > 0.0 {
        return Ok(inches * 0.0254);
    }
    let expected = "a speed at which the rule leaves a length";
    Err(NotPossible { what: "an engine speed", value: rpm, unit: " rpm", expected }.into())
}

/// Diameter of a collector, m, from that of the primary: 1.75 times.
///
/// # Errors
/// [`LengthError::NotPossible`] for a diameter that is not above zero.
pub fn collector_diameter_m(primary_diameter_m: f64) -> Result<f64, LengthError> {
    above_zero("a primary diameter", primary_diameter_m, " m")?;
    Ok(1.75 * primary_diameter_m)
}

/// Plenum volume, m³, least and greatest, for an engine without boost: 0.8 to 1.5 times its displacement.
///
/// # Errors
/// [`LengthError::NotPossible`] for a displacement that is not above zero.
pub fn plenum_volume_m3(displacement_m3: f64) -> Result<(f64, f64), LengthError> {
    above_zero("a displacement", displacement_m3, " m³")?;
    Ok((0.8 * displacement_m3, 1.5 * displacement_m3))
}

/// Crank degrees per metre: 2 L n / c seconds at 6 rpm degrees a second.
fn deg_per_m(trips: u32, rpm: f64, sound_m_s: f64) -> Result<f64, LengthError> {
    above_zero("a number of trips", f64::from(trips), "")?;
    above_zero("an engine speed", rpm, " rpm")?;
    above_zero("a speed of sound", sound_m_s, " m/s")?;
    Ok(12.0 * f64::from(trips) * rpm / sound_m_s)
}

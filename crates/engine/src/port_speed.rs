//! Speed of the air in a port, and the inlet Mach index of an engine.
//!
//! Model: volume flow over area; and the index of Taylor, which sets the speed that the piston asks of
//! the mean effective valve area against the speed of sound. Left out: unsteady flow, valve timing
//! (two cams with one mean area have one index), and local speed, which is greater at the short turn.
//!
//! # Source
//! C. F. Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, chapter 6, from memory.
//! That filling falls beyond an index of about 0.55 to 0.6 is from there and from trade pages.

use crate::flow_bench::{FlowError, Gas};
use crate::possible::above_zero;
use std::f64::consts::PI;

/// Mean velocity, m/s, of a volume flow, m³/s, through a mean cross-section, m².
///
/// # Errors
/// [`FlowError::NotPossible`] for numbers that are not above zero.
pub fn mean_velocity_m_s(flow_m3_s: f64, area_m2: f64) -> Result<f64, FlowError> {
    above_zero("a flow", flow_m3_s, " m³/s")?;
    above_zero("a cross-section", area_m2, " m²")?;
    Ok(flow_m3_s / area_m2)
}

/// Speed of sound, m/s, of a gas at an absolute temperature, K.
///
/// # Errors
/// [`FlowError::NotPossible`] for a temperature that is not above zero.
pub fn speed_of_sound_m_s(temperature_k: f64, gas: Gas) -> Result<f64, FlowError> {
    above_zero("an absolute temperature", temperature_k, " K")?;
    Ok((gas.heat_ratio * gas.gas_constant_j_kg_k * temperature_k).sqrt())
}

/// What the inlet Mach index of one cylinder stands on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inlet {
    /// Bore, m.
    pub bore_m: f64,
    /// Stroke, m.
    pub stroke_m: f64,
    /// Mean effective area of all intake valves of one cylinder over the time they are open, m²: the
    /// mean discharge coefficient times its reference area, from
    /// [`mean_over_use`](crate::flow_bench::FlowCurve::mean_over_use).
    pub mean_effective_area_m2: f64,
    /// Speed of sound in the inlet, m/s.
    pub sound_m_s: f64,
}

impl Inlet {
    /// Mean inlet Mach index at an engine speed, rpm: piston area times mean piston speed, over mean
    /// effective area times speed of sound.
    ///
    /// # Errors
    /// [`FlowError`] for numbers that cannot be, and for an effective area that is not below the piston.
    pub fn mach_index(&self, rpm: f64) -> Result<f64, FlowError> {
        above_zero("an engine speed", rpm, " rpm")?;
        Ok(self.index_per_rpm()? * rpm)
    }

    /// Engine speed, rpm, at which the index reaches a value.
    ///
    /// # Errors
    /// As [`Inlet::mach_index`].
    pub fn rpm_at_index(&self, index: f64) -> Result<f64, FlowError> {
        above_zero("an inlet Mach index", index, "")?;
        Ok(index / self.index_per_rpm()?)
    }

    fn index_per_rpm(&self) -> Result<f64, FlowError> {
        above_zero("a bore", self.bore_m, " m")?;
        above_zero("a stroke", self.stroke_m, " m")?;
        above_zero("a mean effective area", self.mean_effective_area_m2, " m²")?;
        above_zero("a speed of sound", self.sound_m_s, " m/s")?;
        let piston_m2 = 0.25 * PI * self.bore_m.powi(2);
        if self.mean_effective_area_m2 >= piston_m2 {
            return Err(FlowError::Clash {
                first: format!("a mean effective area of {:.0} mm²", self.mean_effective_area_m2 * 1e6),
                second: format!("a piston of {:.0} mm²", piston_m2 * 1e6),
                why: "the valves lie within the bore",
            });
        }
        Ok(piston_m2 * self.stroke_m / 30.0 / (self.mean_effective_area_m2 * self.sound_m_s))
    }
}

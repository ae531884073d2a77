//! The bench itself: leak, calibration plate, and the air of the room.

use super::error::FlowError;
use super::nozzle::{Gas, nozzle_mass_flow_kg_s};
use crate::possible::{above_zero, not_negative};

/// Mass flow, kg/s, of a volume flow of gas that is stated at a pressure and temperature.
///
/// # Errors
/// [`FlowError::NotPossible`] for numbers that are not above zero.
pub fn mass_flow_kg_s(flow_m3_s: f64, stated_pa: f64, stated_k: f64, gas: Gas) -> Result<f64, FlowError> {
    above_zero("a flow", flow_m3_s, " m³/s")?;
    Ok(flow_m3_s * density_kg_m3(stated_pa, stated_k, gas)?)
}

/// Flow of the port alone: what was read less the leak of bench and fixture.
///
/// The leak is read at the same test pressure with the port sealed, so that the two flows are beside
/// each other and their difference is the port's.
///
/// # Errors
/// [`FlowError::Clash`] for a leak that is not below the reading; [`FlowError::NotPossible`] for
/// numbers that cannot be.
pub fn without_leak_m3_s(read_m3_s: f64, leak_m3_s: f64) -> Result<f64, FlowError> {
    above_zero("a flow read", read_m3_s, " m³/s")?;
    not_negative("a leak", leak_m3_s, " m³/s")?;
    if leak_m3_s < read_m3_s {
        return Ok(read_m3_s - leak_m3_s);
    }
    Err(FlowError::Clash {
        first: format!("a leak of {leak_m3_s} m³/s"),
        second: format!("{read_m3_s} m³/s read"),
        why: "the reading contains the leak, and the port passes nothing less than zero",
    })
}

/// Leak as a share of the least flow of a test. Common practice asks for 1 % or less, no source.
///
/// # Errors
/// [`FlowError`] for an empty test and numbers that cannot be.
pub fn leak_share(leak_m3_s: f64, reads_m3_s: &[f64]) -> Result<f64, FlowError> {
    not_negative("a leak", leak_m3_s, " m³/s")?;
    for &read in reads_m3_s {
        above_zero("a flow read", read, " m³/s")?;
    }
    let least = reads_m3_s.iter().copied().fold(f64::INFINITY, f64::min);
    if least.is_finite() {
        return Ok(leak_m3_s / least);
    }
    Err(FlowError::TooFew { what: "readings", found: 0, needed: 1 })
}

/// A calibration plate of known effective area, and what the bench showed on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plate {
    /// Effective area of the plate from its certificate, m².
    pub effective_area_m2: f64,
    /// Standard uncertainty of that area, m².
    pub u_effective_area_m2: f64,
    /// Flow that the bench showed, at the upstream state, m³/s.
    pub shown_m3_s: f64,
    /// Standard uncertainty of that reading, m³/s.
    pub u_shown_m3_s: f64,
    /// Pressure drop over the plate, Pa.
    pub drop_pa: f64,
    /// Standard uncertainty of the drop, Pa.
    pub u_drop_pa: f64,
}

/// Factor on every reading of the bench, from a calibration plate, with its standard uncertainty.
///
/// The factor is the flow that the plate passes over the flow that was shown. Uncorrelated inputs,
/// first order (GUM, JCGM 100:2008, 5.1.2, from memory); the drop counts half, because the flow goes
/// with its root to well within the uncertainty.
///
/// # Errors
/// [`FlowError`] for numbers that cannot be.
pub fn bench_factor(plate: &Plate, upstream_pa: f64, upstream_k: f64, gas: Gas) -> Result<(f64, f64), FlowError> {
    above_zero("a flow shown", plate.shown_m3_s, " m³/s")?;
    above_zero("a test pressure", plate.drop_pa, " Pa")?;
    not_negative("the uncertainty of an effective area", plate.u_effective_area_m2, " m²")?;
    not_negative("the uncertainty of a flow", plate.u_shown_m3_s, " m³/s")?;
    not_negative("the uncertainty of a test pressure", plate.u_drop_pa, " Pa")?;
    let due_kg_s =
        nozzle_mass_flow_kg_s(plate.effective_area_m2, upstream_pa, upstream_k, upstream_pa - plate.drop_pa, gas)?;
    let due_m3_s = due_kg_s / density_kg_m3(upstream_pa, upstream_k, gas)?;
    let factor = due_m3_s / plate.shown_m3_s;
    let relative = (plate.u_effective_area_m2 / plate.effective_area_m2)
        .hypot(plate.u_shown_m3_s / plate.shown_m3_s)
        .hypot(0.5 * plate.u_drop_pa / plate.drop_pa);
    Ok((factor, factor * relative))
}

/// Volume flow that the same port passes at the same drop from air of another density.
///
/// Thin air is lighter to move: at one drop the volume flow goes with the inverse root of the density.
/// Incompressible: at 28 inH2O between rooms of 101.3 and 83.5 kPa the neglected part is 0.85 % of the
/// flow, between 101.3 and 98 kPa 0.13 %. The effective area neglects nothing of it.
///
/// # Errors
/// [`FlowError::NotPossible`] for numbers that are not above zero.
pub fn in_standard_air_m3_s(
    flow_m3_s: f64,
    room_density_kg_m3: f64,
    standard_density_kg_m3: f64,
) -> Result<f64, FlowError> {
    above_zero("a flow", flow_m3_s, " m³/s")?;
    above_zero("a density", room_density_kg_m3, " kg/m³")?;
    above_zero("a density", standard_density_kg_m3, " kg/m³")?;
    Ok(flow_m3_s * (room_density_kg_m3 / standard_density_kg_m3).sqrt())
}

fn density_kg_m3(pressure_pa: f64, temperature_k: f64, gas: Gas) -> Result<f64, FlowError> {
    above_zero("an absolute pressure", pressure_pa, " Pa")?;
    above_zero("an absolute temperature", temperature_k, " K")?;
    above_zero("a gas constant", gas.gas_constant_j_kg_k, " J/(kg·K)")?;
    Ok(pressure_pa / (gas.gas_constant_j_kg_k * temperature_k))
}

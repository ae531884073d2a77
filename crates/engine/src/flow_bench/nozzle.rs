//! Isentropic flow of an ideal gas from rest through an area, and what follows for test pressures.
//!
//! # Source
//! One-dimensional nozzle flow, any textbook of gas dynamics; the square-root rule is common practice
//! and holds for an incompressible fluid.

use super::error::FlowError;
use crate::possible::{NotPossible, above_zero};

/// An ideal gas with constant specific heats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gas {
    /// Ratio of specific heats, above 1.
    pub heat_ratio: f64,
    /// Gas constant, J/(kg·K).
    pub gas_constant_j_kg_k: f64,
}

impl Gas {
    /// Dry air at room temperature: 1.4 and 287.05 J/(kg·K).
    pub const AIR: Self = Self { heat_ratio: 1.4, gas_constant_j_kg_k: 287.05 };

    fn check(self) -> Result<(), FlowError> {
        above_zero("a gas constant", self.gas_constant_j_kg_k, " J/(kg·K)")?;
        if self.heat_ratio.is_finite() && self.heat_ratio > 1.0 {
            return Ok(());
        }
        Err(NotPossible {
            what: "a ratio of specific heats",
            value: self.heat_ratio,
            unit: "",
            expected: "a number above 1",
        }
        .into())
    }
}

/// Downstream over upstream pressure below which the flow is choked, from the ratio of specific heats.
pub fn critical_pressure_ratio(heat_ratio: f64) -> f64 {
    (2.0 / (heat_ratio + 1.0)).powf(heat_ratio / (heat_ratio - 1.0))
}

/// Mass flow, kg/s, through an effective area from gas at rest upstream.
///
/// `effective_area_m2` is discharge coefficient times area; pressures are absolute; the downstream
/// pressure is that of the space behind, which the throat reaches unless it chokes.
///
/// # Errors
/// [`FlowError`] for numbers that cannot be and for a downstream pressure above the upstream one.
pub fn nozzle_mass_flow_kg_s(
    effective_area_m2: f64,
    upstream_pa: f64,
    upstream_k: f64,
    downstream_pa: f64,
    gas: Gas,
) -> Result<f64, FlowError> {
    above_zero("an effective area", effective_area_m2, " m²")?;
    Ok(effective_area_m2 * mass_flux_kg_m2_s(upstream_pa, upstream_k, downstream_pa, gas)?)
}

/// Effective area, m², from a mass flow: the inverse of [`nozzle_mass_flow_kg_s`].
///
/// # Errors
/// As there; also for equal pressures, which give no flow to divide by.
pub fn effective_area_m2(
    mass_flow_kg_s: f64,
    upstream_pa: f64,
    upstream_k: f64,
    downstream_pa: f64,
    gas: Gas,
) -> Result<f64, FlowError> {
    above_zero("a mass flow", mass_flow_kg_s, " kg/s")?;
    let flux = mass_flux_kg_m2_s(upstream_pa, upstream_k, downstream_pa, gas)?;
    if flux > 0.0 {
        return Ok(mass_flow_kg_s / flux);
    }
    Err(FlowError::Clash {
        first: format!("a mass flow of {mass_flow_kg_s} kg/s"),
        second: "no pressure drop".to_owned(),
        why: "nothing flows without one",
    })
}

/// Volume flow at another test pressure by the trade's rule: the flow goes with the root of the drop.
///
/// It leaves out that air thins on its way through: from 10 to 28 inH2O it gives 2.5 % too much, from
/// 25 to 28 inH2O 0.4 %. [`at_other_drop_m3_s`] does not.
///
/// # Errors
/// [`FlowError::NotPossible`] for numbers that are not above zero.
pub fn by_square_root(flow_m3_s: f64, from_drop_pa: f64, to_drop_pa: f64) -> Result<f64, FlowError> {
    above_zero("a flow", flow_m3_s, " m³/s")?;
    above_zero("a test pressure", from_drop_pa, " Pa")?;
    above_zero("a test pressure", to_drop_pa, " Pa")?;
    Ok(flow_m3_s * (to_drop_pa / from_drop_pa).sqrt())
}

/// Volume flow (at the upstream state) that the same effective area passes at another drop.
///
/// The upstream state is the same for both; for a bench that draws through the port it is the room.
///
/// # Errors
/// As [`nozzle_mass_flow_kg_s`]; also for a drop that reaches the upstream pressure.
pub fn at_other_drop_m3_s(
    flow_m3_s: f64,
    from_drop_pa: f64,
    to_drop_pa: f64,
    upstream_pa: f64,
    gas: Gas,
) -> Result<f64, FlowError> {
    above_zero("a flow", flow_m3_s, " m³/s")?;
    above_zero("a test pressure", from_drop_pa, " Pa")?;
    above_zero("a test pressure", to_drop_pa, " Pa")?;
    // The temperature cancels out of the ratio.
    let flux = |drop_pa: f64| mass_flux_kg_m2_s(upstream_pa, 300.0, upstream_pa - drop_pa, gas);
    Ok(flow_m3_s * flux(to_drop_pa)? / flux(from_drop_pa)?)
}

fn mass_flux_kg_m2_s(upstream_pa: f64, upstream_k: f64, downstream_pa: f64, gas: Gas) -> Result<f64, FlowError> {
    gas.check()?;
    above_zero("an absolute pressure upstream", upstream_pa, " Pa")?;
    above_zero("an absolute temperature upstream", upstream_k, " K")?;
    above_zero("an absolute pressure downstream", downstream_pa, " Pa")?;
    if downstream_pa > upstream_pa {
        return Err(FlowError::Clash {
            first: format!("{downstream_pa} Pa downstream"),
            second: format!("{upstream_pa} Pa upstream"),
            why: "the flow goes from the greater pressure to the lesser",
        });
    }
    let g = gas.heat_ratio;
    let per_area = upstream_pa / (gas.gas_constant_j_kg_k * upstream_k).sqrt();
    let ratio = downstream_pa / upstream_pa;
    if ratio <= critical_pressure_ratio(g) {
        return Ok(per_area * g.sqrt() * (2.0 / (g + 1.0)).powf((g + 1.0) / (2.0 * (g - 1.0))));
    }
    let speed = (2.0 * g / (g - 1.0) * (1.0 - ratio.powf((g - 1.0) / g))).sqrt();
    Ok(per_area * ratio.powf(1.0 / g) * speed)
}

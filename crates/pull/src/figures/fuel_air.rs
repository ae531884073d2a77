//! Fuel and air where the log has them: consumption, volumetric efficiency, air flow.
//!
//! Fuel flow, air flow and lambda are never corrected to standard air; consumption is observed fuel over
//! observed power. Volumetric efficiency is referred to the density of the ambient air of the run.

use super::{Inputs, band_mean, power_w};
use crate::analysis::ChannelCurve;
use crate::bins::Grid;
use crate::role::Role;

/// Fuel and air flow on the curve's grid.
#[derive(Debug, Clone, Copy, Default)]
pub struct Flows<'a> {
    /// Fuel mass flow, kg/s.
    pub fuel_kg_s: Option<&'a [f64]>,
    /// Air mass flow, kg/s.
    pub air_kg_s: Option<&'a [f64]>,
    /// Density of the ambient air, kg/m³.
    pub ambient_density_kg_m3: Option<f64>,
}

/// Picks fuel and air flow from the channel curves.
pub fn flows(channels: &[ChannelCurve], ambient_density_kg_m3: Option<f64>) -> Flows<'_> {
    let of = |role: Role| {
        let key = role.key();
        channels.iter().find(|c| c.role == key).map(|c| c.mean.as_slice())
    };
    Flows { fuel_kg_s: of(Role::FuelFlow), air_kg_s: of(Role::AirFlow), ambient_density_kg_m3 }
}

pub(super) struct FuelAir {
    pub(super) bsfc_kg_j: Option<f64>,
    pub(super) volumetric_efficiency: Option<f64>,
    pub(super) air_flow_kg_s: Option<f64>,
}

pub(super) fn figures(x: &Inputs<'_>, grid: Grid) -> FuelAir {
    let mean = |values: &[f64]| band_mean(grid, values, x.band, |_, v| v);
    let bsfc_kg_j = x.flows.fuel_kg_s.and_then(|fuel| {
        let ratio: Vec<f64> =
            (0..grid.points).map(|i| fuel[i] / power_w(x.observed.torque_nm[i], grid.rpm(i))).collect();
        mean(&ratio)
    });
    let air_flow_kg_s = x.flows.air_kg_s.and_then(mean);
    let volumetric_efficiency = match (x.flows.air_kg_s, x.flows.ambient_density_kg_m3, &x.setup.displacement_m3) {
        (Some(air), Some(density), Some(v)) => {
            let cycles_per_rev = if x.setup.four_stroke { 0.5 } else { 1.0 };
            let ve: Vec<f64> =
                (0..grid.points).map(|i| air[i] / (density * v.value * grid.rpm(i) / 60.0 * cycles_per_rev)).collect();
            mean(&ve)
        }
        _ => None,
    };
    FuelAir { bsfc_kg_j, volumetric_efficiency, air_flow_kg_s }
}

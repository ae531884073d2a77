//! What goes into a step of a cylinder, what comes out, and what a cycle came to.

use super::burn_plan::{BurnPlan, Trapped};
use crate::lane::Lane;

/// What went through the valves of a cylinder in one step. Masses kg, energies J, all zero or above in size.
#[derive(Debug, Clone, Copy)]
pub struct Exchange<L> {
    /// Mass that came in.
    pub in_m: L,
    /// Burned gas in it.
    pub in_yb_m: L,
    /// Fuel vapour in it.
    pub in_yf_m: L,
    /// Its stagnation enthalpy.
    pub in_h: L,
    /// Air (neither burned nor fuel) that came in through intake valves: gets its fuel here.
    pub fresh_in_m: L,
    /// Fuel vapour that came in with it through intake valves.
    pub fresh_in_yf_m: L,
    /// Mass that left, of the cylinder's own composition.
    pub out_m: L,
    /// Its stagnation enthalpy.
    pub out_h: L,
}

impl<L: Lane> Exchange<L> {
    /// Valves shut.
    pub fn none() -> Self {
        let z = L::zero();
        Self { in_m: z, in_yb_m: z, in_yf_m: z, in_h: z, fresh_in_m: z, fresh_in_yf_m: z, out_m: z, out_h: z }
    }
}

/// What one step did, for the ledger: `ΔU = in_h − out_h − work − wall_heat + heat_released + fuel_h − blowby_h`.
#[derive(Debug, Clone, Copy)]
pub struct StepParts<L> {
    /// Work on the piston, J.
    pub work: L,
    /// Heat to the walls, J.
    pub wall_heat: L,
    /// Heat of burning, J.
    pub heat_released: L,
    /// Fuel added, kg.
    pub fuel_added: L,
    /// Enthalpy that it brought, J: below zero by the latent heat that the charge gives.
    pub fuel_h: L,
    /// Gas past the rings, kg.
    pub blowby_m: L,
    /// Enthalpy of that, J.
    pub blowby_h: L,
}

/// What a cycle of one cylinder came to, for one lane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CycleSummary {
    /// Highest pressure, Pa.
    pub p_max_pa: f64,
    /// Where it was, degrees after top dead centre.
    pub p_max_deg: f64,
    /// Highest mean temperature, K.
    pub t_max_k: f64,
    /// Highest temperature of the unburned gas, K.
    pub t_unburned_max_k: f64,
    /// Burning as planned.
    pub plan: BurnPlan,
    /// Knock integral, calibrated: 1 is the border.
    pub knock_integral: f64,
    /// How much later than best torque it burned because of knock, degrees.
    pub later_deg: f64,
    /// What was in it when the intake valve shut.
    pub trapped: Trapped,
    /// Lambda of the fresh part.
    pub lambda: f64,
    /// Temperature when the exhaust valve opened, K.
    pub t_evo_k: f64,
    /// Pressure when the exhaust valve opened, Pa.
    pub p_evo_pa: f64,
}

//! Charge cooler: takes a share of the temperature that could be taken, and some pressure.
//!
//! Model: effectiveness constant; pressure drop with the square of the mass flow over density, from one stated point.
//! The arithmetic of effectiveness is [`engine::charge_cooler`]. Left out: heat soak over a pull, condensed water.

/// A cooler with one known point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cooler {
    /// Effectiveness, 0 to 1.
    pub effectiveness: f64,
    /// Temperature of what cools, K.
    pub coolant_k: f64,
    /// Pressure drop at the point, Pa.
    pub drop_pa: f64,
    /// Mass flow of the point, kg/s.
    pub flow_kg_s: f64,
}

impl Cooler {
    /// Temperature of the charge behind it, K, from that before it.
    pub fn outlet_k(&self, inlet_k: f64) -> f64 {
        inlet_k - self.effectiveness * (inlet_k - self.coolant_k)
    }

    /// Pressure drop, Pa, at a mass flow, kg/s.
    pub fn drop_pa(&self, flow_kg_s: f64) -> f64 {
        if self.flow_kg_s > 0.0 { self.drop_pa * (flow_kg_s / self.flow_kg_s).powi(2) } else { 0.0 }
    }
}

//! Centrifugal wheel: pressure with the square of the speed, flow from the head that is left.
//!
//! Model: head coefficient `ψ = ψ0 (1 − (φ/φ_choke)²)` over the flow coefficient, efficiency a parabola about the best
//! flow, both set by one stated point (flow, pressure ratio, efficiency, speed). The shape is common practice, no source;
//! a maker's map is better. At an instant the flow follows from the head that the pressures ask for; more head than
//! the wheel has means surge, where flow is put at zero and the caller is told. Left out: surge as an oscillation.

use super::Delivery;

/// A wheel with one known point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wheel {
    /// Speed of the point, rad/s.
    pub speed_rad_s: f64,
    /// Volume flow at the inlet at the point, m³/s.
    pub flow_m3_s: f64,
    /// Pressure ratio at the point.
    pub ratio: f64,
    /// Efficiency at the point, the best of the wheel.
    pub efficiency: f64,
    /// Temperature at the inlet at the point, K.
    pub inlet_k: f64,
}

/// Head at no flow over head at the best point.
const SHUT_OFF: f64 = 1.25;

impl Wheel {
    /// Flow, outlet temperature and power at a wheel speed (rad/s) and the pressures on both sides.
    ///
    /// `None` where the pressures ask for more head than the wheel has at that speed: surge.
    pub fn at(&self, speed_rad_s: f64, in_pa: f64, in_k: f64, out_pa: f64, r: f64, gamma: f64) -> Option<Delivery> {
        let cp = gamma * r / (gamma - 1.0);
        let head = |ratio: f64, t: f64| cp * t * (ratio.powf((gamma - 1.0) / gamma) - 1.0);
        let speed = speed_rad_s / self.speed_rad_s;
        let asked = head((out_pa / in_pa).max(1.0), in_k);
        let summit = SHUT_OFF * head(self.ratio, self.inlet_k) * speed * speed;
        let left = 1.0 - asked / summit.max(1.0);
        if left < 0.0 {
            return None;
        }
        // The best point lies where the head has fallen from the summit to its own: that sets the choke flow.
        let choke = self.flow_m3_s / (1.0 - 1.0 / SHUT_OFF).sqrt();
        let volume = choke * speed * left.sqrt();
        let off = volume / (self.flow_m3_s * speed).max(1e-9) - 1.0;
        let efficiency = self.efficiency * (1.0 - 0.6 * off * off).max(0.4);
        let flow_kg_s = volume * in_pa / (r * in_k);
        let heated = asked / (cp * efficiency);
        Some(Delivery { flow_kg_s, outlet_k: in_k + heated, gas_w: flow_kg_s * cp * heated, efficiency })
    }
}

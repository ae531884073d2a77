//! Positive-displacement blower: a volume a turn, less what leaks back.
//!
//! Model: flow is displacement times speed less a leak through a gap, which is as large as at the reference point
//! (speed and pressure ratio where volumetric efficiency is stated) and grows with the root of the pressure rise:
//! efficiency falls at low speed and high pressure, as on every map. Work per mass is that of a blower which opens
//! to the outlet after compressing inside to a share of the pressure rise, plus churning that grows with the square
//! of speed. Roots: no compression inside, so the isentropic efficiency cannot pass the bound of
//! [`engine::blower::roots_bound`]; screw: most of it. Where the build states efficiencies or a map, those set the
//! reference point. Left out: pulses at the ports, heat soak, and clearance that closes as the case warms.

use super::Delivery;

/// Kind of rotors.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rotors {
    /// No compression inside.
    Roots,
    /// Compression inside.
    Screw,
}

/// A blower with its reference point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Displacement {
    /// Kind.
    pub rotors: Rotors,
    /// Volume a turn, m³.
    pub per_turn_m3: f64,
    /// Volumetric efficiency at the reference point.
    pub volumetric: f64,
    /// Isentropic efficiency at the reference point.
    pub isentropic: f64,
    /// Speed of the reference point, rad/s.
    pub reference_rad_s: f64,
    /// Pressure ratio of the reference point.
    pub reference_ratio: f64,
}

impl Displacement {
    /// Flow, outlet temperature and power at a rotor speed (rad/s), inlet pressure (Pa) and temperature (K) and outlet
    /// pressure (Pa), with the gas constant and the ratio of heats of the gas.
    ///
    /// Outlet pressure below inlet pressure lets gas through with a small rise of temperature and gives no power back.
    pub fn at(&self, speed_rad_s: f64, in_pa: f64, in_k: f64, out_pa: f64, r: f64, gamma: f64) -> Delivery {
        let ratio = out_pa / in_pa;
        let density = in_pa / (r * in_k);
        let swept = self.per_turn_m3 * speed_rad_s / std::f64::consts::TAU;
        let swept_ref = self.per_turn_m3 * self.reference_rad_s / std::f64::consts::TAU;
        // The gap that leaks as much at the reference as its efficiency says.
        let reference_rise = (self.reference_ratio - 1.0).max(0.05);
        let gap = (1.0 - self.volumetric) * swept_ref / reference_rise.sqrt();
        let rise = ratio - 1.0;
        let leak = gap * rise.abs().sqrt() * rise.signum();
        let flow = density * (swept - leak).max(0.0);
        let cp = gamma * r / (gamma - 1.0);
        // Efficiency: falls from the reference along the work of the kind of rotor and with churning.
        let efficiency = self.efficiency(speed_rad_s, ratio, gamma);
        let ideal = if ratio > 1.0 { ratio.powf((gamma - 1.0) / gamma) - 1.0 } else { 0.0 };
        let heated = in_k * ideal / efficiency;
        // What leaks back has been heated once and is pressed again; it is in the stated efficiency.
        Delivery { flow_kg_s: flow, outlet_k: in_k + heated, gas_w: flow * cp * heated, efficiency }
    }

    fn efficiency(&self, speed_rad_s: f64, ratio: f64, gamma: f64) -> f64 {
        let ratio = ratio.max(1.02);
        let shape = |x: f64| {
            let isentropic = gamma / (gamma - 1.0) * (x.powf((gamma - 1.0) / gamma) - 1.0);
            let rectangle = x - 1.0;
            match self.rotors {
                Rotors::Roots => isentropic / rectangle,
                // Ports that fit one pressure ratio: a shallow loss to both sides of the reference.
                Rotors::Screw => 1.0 - 0.10 * (x / self.reference_ratio - 1.0).powi(2),
            }
        };
        let leak_share = |speed: f64, x: f64| {
            let rise = ((x - 1.0) / (self.reference_ratio - 1.0).max(0.05)).max(0.0).sqrt();
            (1.0 - self.volumetric) * rise * self.reference_rad_s / speed.max(0.05 * self.reference_rad_s)
        };
        // Gas that leaks back takes its work with it.
        let leaks = (1.0 - leak_share(speed_rad_s, ratio)).max(0.2) / self.volumetric;
        let churn = 1.0 + 0.06 * ((speed_rad_s / self.reference_rad_s).powi(2) - 1.0);
        let found = self.isentropic * shape(ratio) / shape(self.reference_ratio.max(1.02)) * leaks / churn.max(0.8);
        found.clamp(0.15, 0.85)
    }
}

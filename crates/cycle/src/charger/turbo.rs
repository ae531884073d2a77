//! Turbocharger: the turbine's power against the compressor's, and a wastegate that holds the boost.
//!
//! Model: once a cycle the shaft is in balance. The compressor asks for a power at the boost that is wanted; the
//! turbine, a nozzle with an efficiency, can give so much from the flow, the temperature and the back pressure there is.
//! If it can give more the wastegate lets the rest by, if it gives less the boost is lower. Back pressure follows from
//! the power that is asked for. Left out: inertia of the shaft (no lag: a steady pull), pulses at the turbine (a steady
//! turbine takes less from them than a real one), and the limits of a wheel's map.

/// A turbine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turbine {
    /// Isentropic efficiency, total to static.
    pub efficiency: f64,
    /// Mechanical efficiency of the shaft.
    pub mechanical: f64,
    /// Effective area of the nozzle, m².
    pub area_m2: f64,
}

/// What the turbine side comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Pressure before the turbine, Pa.
    pub before_pa: f64,
    /// Share of the exhaust past the turbine.
    pub wastegate: f64,
    /// Power given to the compressor, W.
    pub power_w: f64,
    /// Whether the power asked for could be given.
    pub holds: bool,
}

impl Turbine {
    /// Balance at an exhaust flow (kg/s), temperature (K) and pressure behind (Pa), for a power that the compressor
    /// asks for (W): with wastegate if there is more than enough, at most what the nozzle gives if not.
    pub fn balance(&self, flow_kg_s: f64, t_k: f64, behind_pa: f64, asked_w: f64, r: f64, gamma: f64) -> Balance {
        let whole = self.before_pa(flow_kg_s, t_k, behind_pa, r, gamma);
        let power_whole = self.power_w(flow_kg_s, t_k, whole / behind_pa, r, gamma);
        if power_whole <= asked_w {
            return Balance {
                before_pa: whole,
                wastegate: 0.0,
                power_w: power_whole,
                holds: power_whole >= 0.999 * asked_w,
            };
        }
        // Less gas through the nozzle is less pressure and less power: halving finds the share that is enough.
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            let through = middle * flow_kg_s;
            let before = self.before_pa(through, t_k, behind_pa, r, gamma);
            if self.power_w(through, t_k, before / behind_pa, r, gamma) < asked_w {
                low = middle
            } else {
                high = middle
            }
        }
        let through = high * flow_kg_s;
        let before_pa = self.before_pa(through, t_k, behind_pa, r, gamma);
        Balance { before_pa, wastegate: 1.0 - high, power_w: asked_w, holds: true }
    }

    /// Power to the compressor, W.
    fn power_w(&self, flow_kg_s: f64, t_k: f64, ratio: f64, r: f64, gamma: f64) -> f64 {
        let cp = gamma * r / (gamma - 1.0);
        let fall = 1.0 - ratio.max(1.0).powf(-(gamma - 1.0) / gamma);
        self.mechanical * self.efficiency * flow_kg_s * cp * t_k * fall
    }

    /// Pressure before a nozzle that passes this flow, Pa.
    fn before_pa(&self, flow_kg_s: f64, t_k: f64, behind_pa: f64, r: f64, gamma: f64) -> f64 {
        let critical = ((gamma + 1.0) / 2.0).powf(gamma / (gamma - 1.0));
        let flow = |before: f64| {
            let ratio = (before / behind_pa).clamp(1.0, critical);
            let x = 1.0 / ratio;
            let psi =
                (2.0 * gamma / (gamma - 1.0) * (x.powf(2.0 / gamma) - x.powf((gamma + 1.0) / gamma))).max(0.0).sqrt();
            self.area_m2 * before / (r * t_k).sqrt() * psi
        };
        let (mut low, mut high) = (behind_pa, 20.0 * behind_pa);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if flow(middle) < flow_kg_s { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }
}

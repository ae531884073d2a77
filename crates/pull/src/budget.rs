//! What instruments and weather add to the uncertainty of a torque: the type-B part of the budget.
//!
//! All parts are taken as uncorrelated (JCGM 100:2008, 5.1.2) and each as the same over the whole run:
//! they move the whole curve, so they do not shrink with more pulls nor with a wider band.

use crate::analysis::BudgetLine;
use crate::cell::Uncertainties;
use serde::{Deserialize, Serialize};

/// Parts of the budget that come from instruments and weather.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct System {
    /// Instruments of the cell.
    pub cell: Uncertainties,
    /// Relative standard uncertainty of the factor from pressure, temperature and humidity.
    pub factor_rel: [f64; 3],
    /// Mean inertia torque added over the pulls in use, N·m (0 when none).
    pub inertia_nm: f64,
}

impl System {
    /// Parts for a torque, N·m each, in the order load cell, zero, arm, pressure, temperature, humidity,
    /// inertia.
    pub fn parts_nm(&self, torque_nm: f64) -> [f64; 7] {
        let t = torque_nm.abs();
        [
            t * self.cell.torque_rel,
            self.cell.torque_zero_nm,
            t * self.cell.arm_rel,
            t * self.factor_rel[0],
            t * self.factor_rel[1],
            t * self.factor_rel[2],
            self.inertia_nm.abs() * self.cell.inertia_rel,
        ]
    }

    /// Standard uncertainty of a torque from all parts, N·m.
    pub fn torque_nm(&self, torque_nm: f64) -> f64 {
        self.parts_nm(torque_nm).iter().map(|p| p * p).sum::<f64>().sqrt()
    }

    /// Relative standard uncertainty of power: that of torque and of speed.
    pub fn power_rel(&self, torque_nm: f64) -> f64 {
        (self.torque_nm(torque_nm) / torque_nm.abs().max(1e-9)).hypot(self.cell.speed_rel)
    }

    /// Lines of the budget for a torque.
    pub fn lines(&self, torque_nm: f64) -> Vec<BudgetLine> {
        let c = &self.cell;
        let p = self.parts_nm(torque_nm);
        let percent = |v: f64| format!("{:.2} %", 100.0 * v);
        [
            ("load cell and weights", p[0], format!("{} of reading", percent(c.torque_rel))),
            ("load-cell zero", p[1], format!("{:.2} N·m", c.torque_zero_nm)),
            ("torque arm", p[2], percent(c.arm_rel)),
            ("barometer", p[3], format!("{:.0} Pa", c.pressure_pa)),
            ("intake air temperature", p[4], format!("{:.2} K", c.temperature_k)),
            ("humidity", p[5], format!("{:.0} points", 100.0 * c.humidity)),
            ("inertia", p[6], percent(c.inertia_rel)),
        ]
        .into_iter()
        .map(|(name, u_nm, input)| BudgetLine { name: name.to_owned(), u_nm, input, kind: 'B' })
        .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The handbook's typical cell (k = 2: 0.4 % cell and arm, 0.1 % zero, 0.1 % barometer, 0.3 %
    /// temperature, 0.4 % humidity, 0.5 % inertia) comes to about 0.8 % (common practice, no source).
    #[test]
    fn a_typical_cell_comes_to_eight_tenths_of_a_percent() {
        let cell = Uncertainties {
            torque_rel: 0.002,
            torque_zero_nm: 0.0005 * 400.0,
            arm_rel: 0.0,
            speed_rel: 0.0005,
            inertia_rel: 0.0025 * 400.0 / 12.6,
            ..Uncertainties::default()
        };
        let s = System { cell, factor_rel: [0.0005, 0.0015, 0.002], inertia_nm: 12.6 };
        let k2 = 2.0 * s.torque_nm(400.0) / 400.0;
        assert!((k2 - 0.0083).abs() < 0.0002, "{k2}");
        assert!(s.power_rel(400.0) > k2 / 2.0);
        assert_eq!(s.lines(400.0).len(), 7);
    }
}

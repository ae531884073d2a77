//! What turning the engine over costs: rubbing parts and what the crank drives, as a mean pressure.
//!
//! Two forms. The total of Chen and Flynn (SAE 650733, 1965) with constants for spark-ignition engines is what a
//! prediction uses: it hangs on peak pressure and mean piston speed. The component form of Patton, Nitschke and
//! Heywood (SAE 890836, 1989), with the changes of Sandoval and Heywood (SAE 2003-01-0725, 2003), shows where it goes;
//! its constants are from memory, those of the valve gear with low confidence, so it is not the default.
//!
//! Left out: oil temperature, ring tension of one's own, accessories beyond water and oil pump. Pumping is not in it:
//! that comes from the cycle.

use crate::constants::Constants;

/// Constants of the total form, SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChenFlynn {
    /// Pa.
    pub constant_pa: f64,
    /// Per Pa of peak pressure.
    pub per_peak: f64,
    /// Pa per m/s of mean piston speed.
    pub per_speed: f64,
    /// Pa per (m/s)².
    pub per_speed_squared: f64,
}

/// Friction in parts, Pa of mean pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parts {
    /// Always there: valve gear, seals, accessories.
    pub constant_pa: f64,
    /// From gas pressure on rings and bearings.
    pub pressure_pa: f64,
    /// From speed.
    pub speed_pa: f64,
}

impl Parts {
    /// All of it, Pa.
    pub fn total_pa(&self) -> f64 {
        self.constant_pa + self.pressure_pa + self.speed_pa
    }
}

impl ChenFlynn {
    /// From the table of constants.
    pub fn from_constants(constants: &Constants) -> Self {
        Self {
            constant_pa: constants.get("friction.constant"),
            per_peak: constants.get("friction.peak_pressure"),
            per_speed: constants.get("friction.speed"),
            per_speed_squared: constants.get("friction.speed_squared"),
        }
    }

    /// The original constants, fitted to a diesel engine.
    pub fn original() -> Self {
        Self { constant_pa: 13_700.0, per_peak: 0.005, per_speed: 16_200.0, per_speed_squared: 0.0 }
    }

    /// Friction from peak pressure, Pa, and mean piston speed, m/s, both zero or above.
    pub fn mean_pressure(&self, peak_pa: f64, piston_m_s: f64) -> Parts {
        Parts {
            constant_pa: self.constant_pa,
            pressure_pa: self.per_peak * peak_pa,
            speed_pa: piston_m_s * (self.per_speed + self.per_speed_squared * piston_m_s),
        }
    }
}

/// Motored total with pumping of Barnes-Moss for engines of 0.8 to 2 l, wide open, Pa, at rpm (textbook, from memory).
pub fn barnes_moss_pa(rpm: f64) -> f64 {
    1e5 * (0.97 + 0.15e-3 * rpm + 0.05e-6 * rpm * rpm)
}

/// Sizes for the component form, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    /// Bore and stroke.
    pub bore_m: f64,
    /// Stroke.
    pub stroke_m: f64,
    /// Cylinders.
    pub cylinders: f64,
    /// Main and rod journal diameters.
    pub journal_m: [f64; 2],
    /// Main and rod bearing lengths.
    pub bearing_m: [f64; 2],
    /// Main, rod and camshaft bearings.
    pub bearings: [f64; 3],
    /// Compression ratio.
    pub ratio: f64,
    /// Valves of the whole engine.
    pub valves: f64,
    /// Valve lift.
    pub lift_m: f64,
}

/// Valve gear coefficients: flat and roller follower, oscillating hydrodynamic and mixed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Follower {
    /// Flat follower.
    pub flat: f64,
    /// Roller follower.
    pub roller: f64,
    /// Oscillating, hydrodynamic.
    pub hydrodynamic: f64,
    /// Oscillating, mixed.
    pub mixed: f64,
}

impl Follower {
    /// Pushrods on flat lifters.
    pub const PUSHROD_FLAT: Self = Self { flat: 400.0, roller: 0.0, hydrodynamic: 0.5, mixed: 32.1 };
    /// Pushrods on roller lifters.
    pub const PUSHROD_ROLLER: Self = Self { flat: 0.0, roller: 0.0151, hydrodynamic: 0.5, mixed: 32.1 };
}

/// Friction by component, Pa of mean pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Components {
    /// Crankshaft: seals, main bearings, windage.
    pub crankshaft_pa: f64,
    /// Pistons, rings and rod bearings.
    pub reciprocating_pa: f64,
    /// Rings under gas load.
    pub gas_load_pa: f64,
    /// Valve gear.
    pub valve_gear_pa: f64,
    /// Oil pump, water pump, unloaded alternator.
    pub auxiliary_pa: f64,
}

impl Components {
    /// All of it, Pa.
    pub fn total_pa(&self) -> f64 {
        self.crankshaft_pa + self.reciprocating_pa + self.gas_load_pa + self.valve_gear_pa + self.auxiliary_pa
    }
}

/// The component form of 1989 (`later` false) or 2003 (`later` true) at rpm and a manifold over air pressure.
pub fn components(s: &Sizes, f: &Follower, rpm: f64, load: f64, later: bool) -> Components {
    let (b, st, n) = (s.bore_m * 1e3, s.stroke_m * 1e3, s.cylinders);
    let piston = 2.0 * s.stroke_m * rpm / 60.0;
    let k = if later { 500.0 } else { 1000.0 };
    let volume = b * b * st * n;
    let [dm, dr] = s.journal_m.map(|d| d * 1e3);
    let [lm, lr] = s.bearing_m.map(|l| l * 1e3);
    let [nm, nr, nc] = s.bearings;
    let lift = s.lift_m * 1e3;
    let crank =
        1.22e5 * dm / volume + 3.03e-4 * rpm * dm.powi(3) * lm * nm / volume + 1.35e-10 * dm * dm * rpm * rpm * nm / n;
    let reciprocating =
        2.94e2 * piston / b + 4.06e4 * (1.0 + k / rpm) / (b * b) + 3.03e-4 * rpm * dr.powi(3) * lr * nr / volume;
    let gas = 6.89 * load * (0.088 * s.ratio + 0.182 * s.ratio.powf(1.33 - 2.38e-2 * piston));
    let mut valve = 244.0 * rpm * nc / volume
        + f.flat * (1.0 + k / rpm) * s.valves / (st * n)
        + f.roller * rpm * s.valves / (st * n)
        + f.hydrodynamic * lift.powf(1.5) * rpm.sqrt() * s.valves / (b * st * n)
        + f.mixed * (1.0 + k / rpm) * lift * s.valves / (st * n);
    if later {
        valve += 4.12;
    }
    let auxiliary =
        if later { 8.32 + 1.86e-3 * rpm + 7.45e-7 * rpm * rpm } else { 6.23 + 5.22e-3 * rpm - 1.79e-7 * rpm * rpm };
    Components {
        crankshaft_pa: 1e3 * crank,
        reciprocating_pa: 1e3 * reciprocating,
        gas_load_pa: 1e3 * gas,
        valve_gear_pa: 1e3 * valve,
        auxiliary_pa: 1e3 * auxiliary,
    }
}

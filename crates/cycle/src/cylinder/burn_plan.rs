//! When and how long a cylinder burns, settled once a cycle when the intake valve shuts.
//!
//! Model: a Wiebe function whose duration is half the bore over the turbulent flame speed, times one constant for all
//! engines; flame speed at the temperature and pressure of an unfired top dead centre, with the mixture's lambda and
//! the residual gas that is in it. Half burned at the angle of best torque, or later as knock asks, or as given.
//! Knock: each cycle's integral moves the next cycle's angle by what its logarithm is worth in degrees, so that the angle has
//! settled when the cycle has.
//!
//! Left out: the shape of the chamber and the place of the plug (the constant is that of usual chambers), and the
//! spread from cycle to cycle, see [`crate::idle`].

use super::flame::{FlameFuel, laminar_m_s, turbulent_m_s, viscosity_pa_s};
use super::point::CylinderPoint;
use super::wiebe;
use crate::constants::Constants;
use crate::knock;

/// When it burns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Phasing {
    /// It does not burn.
    None,
    /// Half burned at the angle of best torque, knock or not.
    Best,
    /// As best torque, or later, so that the spark stays this many degrees from knock.
    KnockLimited {
        /// Margin, crank degrees.
        margin_deg: f64,
    },
    /// Half burned at this angle, degrees after top dead centre.
    Ca50 {
        /// The angle.
        deg: f64,
    },
    /// Half burned at this angle, degrees after top dead centre, or later, so that the spark is no earlier than a limit.
    Within {
        /// The angle.
        ca50_deg: f64,
        /// Earliest spark, degrees before top dead centre.
        most_btdc_deg: f64,
    },
    /// Spark at this angle, degrees before top dead centre.
    Spark {
        /// The angle.
        btdc_deg: f64,
    },
    /// A Wiebe function as given, with `a = 5` and `m = 2`, releasing this heat without changing the gas: for checks.
    Given {
        /// Start, degrees after top dead centre.
        start_deg: f64,
        /// Duration, degrees.
        duration_deg: f64,
        /// Heat of a whole function, J.
        heat_j: f64,
    },
}

/// Constants of burning and knock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BurnModel {
    /// Time from 10 to 90 % burned over half the bore and the turbulent flame speed.
    pub time_factor: f64,
    /// Half burned at best torque, degrees after top dead centre.
    pub best_ca50_deg: f64,
    /// From spark to the start of the function, share of its duration.
    pub spark_lag: f64,
    /// Multiplies the published rate of the knock integral.
    pub knock_factor: f64,
    /// Whose flame speed.
    pub flame_fuel: FlameFuel,
}

impl BurnModel {
    /// From the table of constants; gasoline.
    pub fn from_constants(constants: &Constants) -> Self {
        Self {
            time_factor: constants.get("burn.time_factor"),
            best_ca50_deg: constants.get("burn.best_ca50"),
            spark_lag: constants.get("burn.spark_lag"),
            knock_factor: constants.get("knock.rate_factor"),
            flame_fuel: FlameFuel::Gasoline,
        }
    }
}

/// What is in the cylinder when the intake valve shuts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trapped {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Share of burned gas.
    pub yb: f64,
    /// Share of fuel vapour.
    pub yf: f64,
    /// Temperature, K.
    pub t_k: f64,
    /// Pressure, Pa.
    pub p_pa: f64,
    /// Volume, m³.
    pub v_m3: f64,
}

impl Trapped {
    /// Lambda of the fresh part; infinite without fuel.
    pub fn lambda(&self, point: &CylinderPoint) -> f64 {
        let air = 1.0 - self.yb - self.yf;
        air * point.charge.fuel_per_air / self.yf.max(1e-12) * point.charge.lambda
    }
}

/// Burning of one cycle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BurnPlan {
    /// Start of the function, rad after top dead centre.
    pub start_rad: f64,
    /// Duration of the function, rad.
    pub duration_rad: f64,
    /// `a` of the function.
    pub a: f64,
    /// What the function is multiplied with.
    pub whole: f64,
    /// Share of the fresh gas that turns to burned gas: 1, or 0 where heat is given.
    pub converts: f64,
    /// Heat given beside that of the fuel, J.
    pub given_j: f64,
    /// Half burned, degrees after top dead centre.
    pub ca50_deg: f64,
    /// Spark, degrees before top dead centre.
    pub spark_btdc_deg: f64,
    /// From 10 to 90 % burned, degrees.
    pub duration_10_90_deg: f64,
    /// From spark to 10 % burned, degrees.
    pub duration_0_10_deg: f64,
    /// Laminar flame speed, m/s.
    pub laminar_m_s: f64,
    /// Turbulent flame speed, m/s.
    pub turbulent_m_s: f64,
}

impl BurnPlan {
    /// A cycle that does not burn.
    pub fn none() -> Self {
        Self {
            start_rad: 100.0,
            duration_rad: 1.0,
            a: wiebe::A,
            whole: 1.0 / (1.0 - (-wiebe::A).exp()),
            converts: 0.0,
            given_j: 0.0,
            ca50_deg: f64::NAN,
            spark_btdc_deg: f64::NAN,
            duration_10_90_deg: f64::NAN,
            duration_0_10_deg: f64::NAN,
            laminar_m_s: f64::NAN,
            turbulent_m_s: f64::NAN,
        }
    }

    /// For a cycle that begins with this charge; `later_deg` is how far knock has moved the middle of burning so far.
    pub fn new(point: &CylinderPoint, trapped: &Trapped, later_deg: f64) -> Self {
        match point.phasing {
            Phasing::None => return Self::none(),
            Phasing::Given { start_deg, duration_deg, heat_j } => {
                let start_rad = start_deg.to_radians();
                let duration_rad = duration_deg.to_radians();
                return Self { start_rad, duration_rad, a: 5.0, whole: 1.0, given_j: heat_j, ..Self::none() };
            }
            _ => {}
        }
        if !(trapped.yf > 1e-6) {
            return Self::none();
        }
        let (laminar, turbulent) = flame_speeds(point, trapped);
        let time_s = point.burn.time_factor * 0.5 * point.bore_m / turbulent;
        let main_rad = time_s * point.speed_rad_s;
        let duration_rad = main_rad / (wiebe::Y90 - wiebe::Y10);
        let to_half = wiebe::Y50 * duration_rad;
        let lag = point.burn.spark_lag * duration_rad;
        let start_rad = match point.phasing {
            Phasing::Spark { btdc_deg } => lag - btdc_deg.to_radians(),
            Phasing::Ca50 { deg } => deg.to_radians() - to_half,
            Phasing::Within { ca50_deg, most_btdc_deg } => {
                (ca50_deg.to_radians() - to_half).max(lag - most_btdc_deg.to_radians())
            }
            Phasing::KnockLimited { .. } => (point.burn.best_ca50_deg + later_deg).to_radians() - to_half,
            _ => point.burn.best_ca50_deg.to_radians() - to_half,
        };
        Self {
            start_rad,
            duration_rad,
            converts: 1.0,
            ca50_deg: (start_rad + to_half).to_degrees(),
            spark_btdc_deg: (lag - start_rad).to_degrees(),
            duration_10_90_deg: main_rad.to_degrees(),
            duration_0_10_deg: (lag + wiebe::Y10 * duration_rad).to_degrees(),
            laminar_m_s: laminar,
            turbulent_m_s: turbulent,
            ..Self::none()
        }
    }
}

/// How much later than best torque the next cycle burns, from this cycle's knock integral and how late it was.
///
/// Never earlier than best torque, never later than 40 degrees beyond it: an engine that would need more is past what
/// spark can mend, and its integral stays above the limit and says so.
pub fn next_later_deg(point: &CylinderPoint, later_deg: f64, integral: f64) -> f64 {
    let Phasing::KnockLimited { margin_deg } = point.phasing else { return 0.0 };
    if !(integral > 0.0) {
        return later_deg;
    }
    let ask = knock::degrees_to_border(point.burn.best_ca50_deg + later_deg, integral) + margin_deg;
    (later_deg + ask.clamp(-12.0, 12.0)).clamp(0.0, 40.0)
}

/// Laminar and turbulent flame speed at an unfired top dead centre, m/s.
fn flame_speeds(point: &CylinderPoint, trapped: &Trapped) -> (f64, f64) {
    // Polytropic exponent of a compression with heat to and from the walls: common practice, 1.30 to 1.33.
    const EXPONENT: f64 = 1.32;
    let ratio = trapped.v_m3 / point.clearance_m3;
    let t_k = trapped.t_k * ratio.powf(EXPONENT - 1.0);
    let p_pa = trapped.p_pa * ratio.powf(EXPONENT);
    let charge = &point.charge;
    let r_burned = charge.burned.r_j_kg_k;
    let r_all = charge.r_j_kg_k(trapped.yb, trapped.yf);
    let residual_mol = trapped.yb * r_burned / r_all;
    let phi = 1.0 / trapped.lambda(point).clamp(0.4, 3.0);
    let laminar = laminar_m_s(point.burn.flame_fuel, phi, t_k, p_pa, residual_mol);
    let turbulence = 0.5 * point.piston_m_s();
    let eddy = 0.2 * point.clearance_m3 / point.area_m2();
    let viscosity = viscosity_pa_s(t_k) * r_all * t_k / p_pa;
    (laminar, turbulent_m_s(laminar, turbulence, eddy, viscosity))
}

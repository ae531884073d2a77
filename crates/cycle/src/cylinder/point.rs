//! Everything a cylinder has to know at one operating point.

use super::burn_plan::{BurnModel, Phasing};
use super::heat_transfer::HeatModel;
use super::kinematics::Kinematics;
use crate::constants::Constants;
use crate::gas_state::Charge;
use crate::lane::Lane;
use engine::kinematics::SliderCrank;
use std::sync::Arc;

/// One cylinder at one speed, plain numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct CylinderPoint {
    /// Crank, rod and pin offset.
    pub crank: SliderCrank,
    /// Bore, m.
    pub bore_m: f64,
    /// Clearance volume, m³.
    pub clearance_m3: f64,
    /// Angular speed of the crank, rad/s.
    pub speed_rad_s: f64,
    /// The valves are shut from here, rad after firing top dead centre, negative.
    pub ivc_rad: f64,
    /// To here, rad after firing top dead centre.
    pub evo_rad: f64,
    /// Temperatures of head, piston and liner, K.
    pub wall_k: [f64; 3],
    /// Multiplies the heat transfer coefficient.
    pub heat_factor: f64,
    /// Leak past the rings, effective area, m².
    pub blowby_m2: f64,
    /// Pressure under the piston, Pa.
    pub crankcase_pa: f64,
    /// Share of the fuel's latent heat that the charge gives.
    pub evaporation_share: f64,
    /// Share of the heat that the oxygen allows which is released.
    pub combustion_efficiency: f64,
    /// Whether fuel is added to the air that comes in.
    pub fuelled: bool,
    /// Octane number that counts.
    pub octane: f64,
    /// When it burns.
    pub phasing: Phasing,
    /// How it burns.
    pub burn: BurnModel,
    /// Gas of the point.
    pub charge: Arc<Charge>,
}

impl CylinderPoint {
    /// A point with the shipped constants: sizes, speed, valve events and mixture are the engine's.
    ///
    /// `clearance_m3`, `bore_m` and `speed_rad_s` above zero; `ivc_rad` before and `evo_rad` after top dead centre.
    pub fn new(
        crank: SliderCrank,
        bore_m: f64,
        clearance_m3: f64,
        speed_rad_s: f64,
        closed_rad: (f64, f64),
        charge: Arc<Charge>,
        constants: &Constants,
    ) -> Self {
        Self {
            crank,
            bore_m,
            clearance_m3,
            speed_rad_s,
            ivc_rad: closed_rad.0,
            evo_rad: closed_rad.1,
            wall_k: [
                constants.get("cylinder.head_temperature"),
                constants.get("cylinder.piston_temperature"),
                constants.get("cylinder.liner_temperature"),
            ],
            heat_factor: constants.get("cylinder.heat_factor"),
            blowby_m2: constants.get("cylinder.blowby_area") * bore_m,
            crankcase_pa: 101_325.0,
            evaporation_share: evaporation_share(&charge, constants),
            combustion_efficiency: constants.get("cylinder.combustion_efficiency"),
            fuelled: true,
            octane: 91.0,
            phasing: Phasing::KnockLimited { margin_deg: 0.0 },
            burn: BurnModel::from_constants(constants),
            charge,
        }
    }

    /// The same cylinder turned over without fuel, heat loss or leak, for checks.
    pub fn motored(mut self) -> Self {
        self.fuelled = false;
        self.heat_factor = 0.0;
        self.blowby_m2 = 0.0;
        self.phasing = Phasing::None;
        self
    }

    /// Mean piston speed, m/s.
    pub fn piston_m_s(&self) -> f64 {
        self.crank.mean_speed_m_s(self.speed_rad_s)
    }

    /// Piston area, m².
    pub fn area_m2(&self) -> f64 {
        std::f64::consts::FRAC_PI_4 * self.bore_m * self.bore_m
    }

    /// Displaced volume, m³.
    pub fn displaced_m3(&self) -> f64 {
        self.area_m2() * self.crank.stroke_m()
    }
}

/// Share of the latent heat that the charge gives: the constant, as long as it cools air by no more than the limit.
fn evaporation_share(charge: &Charge, constants: &Constants) -> f64 {
    // Air takes about 1005 J/(kg·K).
    let most = 1005.0 * constants.get("cylinder.evaporation_limit") / (charge.fuel_per_air * charge.latent_j_kg);
    constants.get("cylinder.evaporation_share").min(most)
}

/// The points of all lanes.
#[derive(Debug, Clone)]
pub struct CylinderSpec<L> {
    /// Heat transfer: the same form in every lane.
    pub heat_model: HeatModel,
    /// Volume over crank angle.
    pub kinematics: Kinematics<L>,
    pub(super) ivc: L,
    pub(super) evo: L,
    pub(super) speed: L,
    pub(super) piston_speed: L,
    pub(super) bore: L,
    pub(super) displaced: L,
    pub(super) head_k: L,
    pub(super) piston_k: L,
    pub(super) liner_k: L,
    pub(super) heat_factor: L,
    pub(super) blowby: L,
    pub(super) crankcase: L,
    pub(super) latent: L,
    pub(super) efficiency: L,
    pub(super) fuelled: L,
    pub(super) knock_ln: L,
    pub(super) points: Vec<CylinderPoint>,
}

impl<L: Lane> CylinderSpec<L> {
    /// One point for each lane; the last one fills lanes beyond them.
    ///
    /// # Panics
    /// Without a point.
    pub fn from_points(points: &[&CylinderPoint], heat_model: HeatModel) -> Self {
        let zero = L::zero();
        let first = points[0];
        let mut made = Self {
            heat_model,
            kinematics: Kinematics::splat(first.crank, first.bore_m, first.clearance_m3),
            ivc: zero,
            evo: zero,
            speed: zero,
            piston_speed: zero,
            bore: zero,
            displaced: zero,
            head_k: zero,
            piston_k: zero,
            liner_k: zero,
            heat_factor: zero,
            blowby: zero,
            crankcase: zero,
            latent: zero,
            efficiency: zero,
            fuelled: zero,
            knock_ln: zero,
            points: vec![first.clone(); L::WIDTH],
        };
        for i in 0..L::WIDTH {
            made.set_lane(i, points[i.min(points.len() - 1)]);
        }
        made
    }

    /// Writes the point of lane `i`.
    pub fn set_lane(&mut self, i: usize, point: &CylinderPoint) {
        self.kinematics.set_lane(i, point.crank, point.bore_m, point.clearance_m3);
        self.ivc.set(i, point.ivc_rad);
        self.evo.set(i, point.evo_rad);
        self.speed.set(i, point.speed_rad_s);
        self.piston_speed.set(i, point.piston_m_s());
        self.bore.set(i, point.bore_m);
        self.displaced.set(i, point.displaced_m3());
        self.head_k.set(i, point.wall_k[0]);
        self.piston_k.set(i, point.wall_k[1]);
        self.liner_k.set(i, point.wall_k[2]);
        self.heat_factor.set(i, point.heat_factor);
        self.blowby.set(i, point.blowby_m2);
        self.crankcase.set(i, point.crankcase_pa);
        self.latent.set(i, point.evaporation_share * point.charge.latent_j_kg);
        self.efficiency.set(i, point.combustion_efficiency);
        self.fuelled.set(i, if point.fuelled { 1.0 } else { 0.0 });
        self.knock_ln.set(i, crate::knock::ln_rate(point.octane, point.burn.knock_factor));
        self.points[i] = point.clone();
    }

    /// The point of lane `i`.
    pub fn point(&self, i: usize) -> &CylinderPoint {
        &self.points[i]
    }
}

//! The figures of one operating point, from the sums of its last cycle.

use crate::constants::Constants;
use crate::friction::{ChenFlynn, Parts as FrictionParts};
use crate::idle::cycle_spread;
use crate::knock;
use crate::model::Operating;
use crate::parts::{ChargerParts, EngineParts};
use crate::solve::layout::Sizes;
use crate::solve::run::{Ran, Settled};
use std::f64::consts::PI;

/// One cylinder at one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CylinderFigures {
    /// Number as the shop counts.
    pub number: u32,
    /// Indicated mean pressure of the whole cycle, Pa.
    pub imep_pa: f64,
    /// Mass of charge when the intake valve shuts, kg.
    pub trapped_kg: f64,
    /// Share of burned gas in it.
    pub residual: f64,
    /// Lambda of the fresh part.
    pub lambda: f64,
    /// Highest pressure, Pa.
    pub p_max_pa: f64,
    /// Where, degrees after top dead centre.
    pub p_max_deg: f64,
    /// Half burned, degrees after top dead centre.
    pub ca50_deg: f64,
    /// Spark, degrees before top dead centre.
    pub spark_btdc_deg: f64,
    /// From 10 to 90 % burned, degrees.
    pub burn_deg: f64,
    /// Degrees that the spark is away from knock; below zero past the border.
    pub knock_margin_deg: f64,
    /// How much later than best torque it burns because of knock, degrees.
    pub held_back_deg: f64,
    /// Temperature of the gas when the exhaust valve opens, K.
    pub t_evo_k: f64,
    /// Highest mean temperature, K.
    pub t_max_k: f64,
    /// Highest temperature of the unburned gas, K.
    pub t_unburned_k: f64,
    /// Spread of mean pressure from cycle to cycle, share.
    pub spread: f64,
}

/// Where the heat of the fuel goes, shares of what burning releases.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnergyShares {
    /// At the flywheel.
    pub brake: f64,
    /// Rubbing and accessories.
    pub friction: f64,
    /// Blower.
    pub blower: f64,
    /// Walls of the cylinders.
    pub walls: f64,
    /// What is left: out with the exhaust and past the rings, less what came in.
    pub exhaust: f64,
}

/// One operating point.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// Torque at the flywheel, N·m.
    pub torque_nm: f64,
    /// Power at the flywheel, W.
    pub power_w: f64,
    /// Brake mean pressure, Pa.
    pub bmep_pa: f64,
    /// Indicated mean pressure of the whole cycle, Pa.
    pub imep_pa: f64,
    /// Of that, gas exchange, Pa: below zero where it costs.
    pub pmep_pa: f64,
    /// Friction.
    pub friction: FrictionParts,
    /// Mean pressure that the blower takes, Pa.
    pub blower_pa: f64,
    /// Power that the blower takes, W.
    pub blower_w: f64,
    /// Air, kg/s.
    pub air_kg_s: f64,
    /// Air over what the displacement holds at the state outside.
    pub filling: f64,
    /// Fuel, kg/s.
    pub fuel_kg_s: f64,
    /// Fuel per energy at the flywheel, kg/J.
    pub specific_fuel_kg_j: f64,
    /// Lambda.
    pub lambda: f64,
    /// Pressure in the manifold, Pa; `None` without one.
    pub manifold_pa: Option<f64>,
    /// Temperature there, K.
    pub manifold_k: Option<f64>,
    /// Pressure where the primaries end, Pa.
    pub back_pa: f64,
    /// Mean temperature of what leaves through the exhaust valves, K.
    pub exhaust_k: f64,
    /// Temperature behind the blower or compressor, before a cooler, K.
    pub charger_k: Option<f64>,
    /// Pressure of the manifold over the air, where something presses it in, Pa.
    pub boost_pa: Option<f64>,
    /// Cylinders in the order of their numbers.
    pub cylinders: Vec<CylinderFigures>,
    /// Least knock margin of the cylinders, degrees.
    pub knock_margin_deg: f64,
    /// Where the heat goes.
    pub energy: EnergyShares,
}

impl Figures {
    /// Figures of a run; `None` where a number was lost.
    pub(super) fn new(
        parts: &EngineParts,
        constants: &Constants,
        operating: &Operating,
        sizes: &Sizes,
        ran: &Ran,
    ) -> Option<Self> {
        if ran.settled == Settled::Lost {
            return None;
        }
        let t = &ran.totals;
        let speed = operating.speed_rad_s;
        // Cycles a second of a four-stroke.
        let rate = speed / (4.0 * PI);
        let v = parts.displacement_m3;
        let sum = |f: &dyn Fn(&crate::solve::totals::CylinderTotals) -> f64| t.cylinders.iter().map(f).sum::<f64>();
        let work = sum(&|c| c.work_j);
        let exchange = sum(&|c| c.exchange_work_j);
        let released = sum(&|c| c.released_j);
        let fuel = sum(&|c| c.fuel_kg);
        let walls = sum(&|c| c.wall_j);
        let (out_kg, out_h) = (sum(&|c| c.out_kg), sum(&|c| c.out_h_j));
        // Air that is gone from the room: what was pushed back and drawn again counts once.
        let air = -t.reservoirs.first().map_or(f64::NAN, |r| r[0]);
        let cylinders = cylinders(parts, ran, v / parts.cylinders.len() as f64)?;
        let peak = cylinders.iter().map(|c| c.p_max_pa).sum::<f64>() / cylinders.len() as f64;
        let piston_m_s = parts.crank.mean_speed_m_s(speed);
        let friction = ChenFlynn::from_constants(constants).mean_pressure(peak, piston_m_s);
        let shaft = match parts.charger {
            ChargerParts::Displacement(_) | ChargerParts::Centrifugal(_) => t.charger[2],
            ChargerParts::None | ChargerParts::Turbo(_) => 0.0,
        };
        let friction_j = friction.total_pa() * v;
        let brake = work - friction_j - shaft;
        let density = gas::humid_air::density_kg_m3(
            parts.ambient.p_pa,
            parts.ambient.t_k,
            vapour_pa(parts.ambient.p_pa, parts.ambient.water_per_dry_air),
        );
        // Without a manifold its sums stay at zero.
        let manifold = (!parts.intake.individual && t.manifold[0].is_finite()).then_some(t.manifold);
        let charged = parts.charger.is_some();
        let exhaust_k = temperature_of(&sizes.charge, out_h / out_kg);
        let made = Self {
            torque_nm: brake / (4.0 * PI),
            power_w: brake * rate,
            bmep_pa: brake / v,
            imep_pa: work / v,
            pmep_pa: exchange / v,
            friction,
            blower_pa: shaft / v,
            blower_w: shaft * rate,
            air_kg_s: air * rate,
            filling: air / (density * v),
            fuel_kg_s: fuel * rate,
            specific_fuel_kg_j: if brake > 0.0 { fuel / brake } else { f64::NAN },
            lambda: sizes.charge.lambda,
            manifold_pa: manifold.map(|m| m[0]),
            manifold_k: manifold.map(|m| m[1]),
            back_pa: t.back_pa,
            exhaust_k,
            charger_k: charged.then_some(t.charger[3]),
            boost_pa: if charged { manifold.map(|m| m[0] - parts.ambient.p_pa) } else { None },
            knock_margin_deg: cylinders.iter().map(|c| c.knock_margin_deg).fold(f64::INFINITY, f64::min),
            cylinders,
            energy: EnergyShares {
                brake: brake / released,
                friction: friction_j / released,
                blower: shaft / released,
                walls: walls / released,
                exhaust: (released - work - walls) / released,
            },
        };
        // Nothing that is not a number leaves as one.
        (made.torque_nm.is_finite() && made.air_kg_s.is_finite() && made.exhaust_k.is_finite()).then_some(made)
    }
}

fn cylinders(parts: &EngineParts, ran: &Ran, swept_m3: f64) -> Option<Vec<CylinderFigures>> {
    let mut found = Vec::with_capacity(parts.cylinders.len());
    for ((own, totals), summary) in parts.cylinders.iter().zip(&ran.totals.cylinders).zip(&ran.cylinders) {
        let s = summary.as_ref()?;
        let plan = &s.plan;
        let margin = if s.knock_integral > 0.0 {
            -knock::degrees_to_border(plan.ca50_deg, s.knock_integral)
        } else {
            f64::INFINITY
        };
        found.push(CylinderFigures {
            number: own.number,
            imep_pa: totals.work_j / swept_m3,
            trapped_kg: s.trapped.mass_kg,
            residual: s.trapped.yb,
            lambda: s.lambda,
            p_max_pa: s.p_max_pa,
            p_max_deg: s.p_max_deg,
            ca50_deg: plan.ca50_deg,
            spark_btdc_deg: plan.spark_btdc_deg,
            burn_deg: plan.duration_10_90_deg,
            knock_margin_deg: margin,
            held_back_deg: s.later_deg,
            t_evo_k: s.t_evo_k,
            t_max_k: s.t_max_k,
            t_unburned_k: s.t_unburned_max_k,
            spread: cycle_spread(plan.duration_0_10_deg, plan.ca50_deg),
        });
    }
    Some(found)
}

fn vapour_pa(p_pa: f64, water_per_dry_air: f64) -> f64 {
    // From W = 0.621945 p_v / (p − p_v).
    p_pa * water_per_dry_air / (0.621_945 + water_per_dry_air)
}

/// Temperature of burned gas that holds this enthalpy, J/kg, K.
fn temperature_of(charge: &crate::gas_state::Charge, h_j_kg: f64) -> f64 {
    let (mut low, mut high) = (200.0, 3500.0);
    if !h_j_kg.is_finite() {
        return f64::NAN;
    }
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if charge.burned.h_j_kg(middle) < h_j_kg { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

//! The charger of an engine as the solver asks for it.

use super::assemble::Operating;
use crate::charger::Delivery;
use crate::parts::{BlowerParts, ChargerParts, EngineParts, TurboParts, WheelParts};
use crate::solve::layout::{Charging, Control};
use crate::solve::totals::CycleTotals;
use std::sync::Arc;

const GAMMA: f64 = 1.4;
const R: f64 = 287.05;

/// Pressure ratio that a charged engine is thought to start with.
pub(super) fn guess_ratio(parts: &EngineParts, operating: &Operating) -> Option<f64> {
    let open = operating.throttle.min(1.0);
    match &parts.charger {
        ChargerParts::None => None,
        ChargerParts::Displacement(b) => {
            let sizes = 2.0 * b.blower.per_turn_m3 * b.ratio / parts.displacement_m3;
            Some((1.0 + (1.05 * sizes - 1.0) * open).clamp(0.4, 3.0))
        }
        ChargerParts::Centrifugal(w) => {
            let share = operating.speed_rad_s * w.ratio / w.wheel.speed_rad_s;
            Some(1.0 + (w.wheel.ratio - 1.0) * share * share * open)
        }
        ChargerParts::Turbo(t) => Some(1.0 + 0.7 * t.boost_pa / parts.ambient.p_pa * open),
    }
}

/// The charger at a speed; `None` without one.
pub(super) fn charging(parts: &EngineParts, operating: &Operating) -> Option<Arc<dyn Charging>> {
    let air_pa = parts.ambient.p_pa;
    let speed = operating.speed_rad_s;
    match parts.charger {
        ChargerParts::None => None,
        ChargerParts::Displacement(parts) => Some(Arc::new(Blower { parts, rotor_rad_s: speed * parts.ratio, air_pa })),
        ChargerParts::Centrifugal(parts) => Some(Arc::new(Centrifugal { parts, rad_s: speed * parts.ratio, air_pa })),
        ChargerParts::Turbo(turbo) => {
            let drawn = parts.displacement_m3 * speed / (4.0 * std::f64::consts::PI);
            Some(Arc::new(Turbo {
                parts: turbo,
                air_pa,
                drawn_m3_s: drawn,
                plenum_m3: parts.intake.plenum_m3.max(5e-4),
            }))
        }
    }
}

/// What a bypass lets back of what is delivered: nothing below its opening pressure, all of it a tenth above.
fn held_back(flow: f64, boost_pa: f64, opens_pa: Option<f64>) -> f64 {
    match opens_pa {
        Some(opens) if opens > 0.0 => flow * (1.0 - ((boost_pa - opens) / (0.1 * opens)).clamp(0.0, 1.0)),
        _ => flow,
    }
}

fn cooled(cooler: Option<&crate::charger::cooler::Cooler>, outlet_k: f64) -> f64 {
    cooler.map_or(outlet_k, |c| c.outlet_k(outlet_k))
}

fn drop_pa(cooler: Option<&crate::charger::cooler::Cooler>, flow: f64) -> f64 {
    cooler.map_or(0.0, |c| c.drop_pa(flow))
}

#[derive(Debug)]
struct Blower {
    parts: BlowerParts,
    rotor_rad_s: f64,
    air_pa: f64,
}

impl Charging for Blower {
    fn deliver(&self, inlet_pa: f64, inlet_k: f64, outlet_pa: f64, _: &Control) -> Delivery {
        let b = &self.parts.blower;
        // the cooler's drop stands between blower and manifold; the flow that sets it is nearly the swept one
        let swept = b.per_turn_m3 * self.rotor_rad_s / std::f64::consts::TAU * inlet_pa / (R * inlet_k);
        let behind = outlet_pa + drop_pa(self.parts.cooler.as_ref(), b.volumetric * swept);
        let mut d = b.at(self.rotor_rad_s, inlet_pa, inlet_k, behind, R, GAMMA);
        d.gas_w /= self.parts.mechanical;
        d.flow_kg_s = held_back(d.flow_kg_s, outlet_pa - self.air_pa, self.parts.bypass_opens_pa);
        d
    }

    fn cooled_k(&self, outlet_k: f64) -> f64 {
        cooled(self.parts.cooler.as_ref(), outlet_k)
    }
}

#[derive(Debug)]
struct Centrifugal {
    parts: WheelParts,
    rad_s: f64,
    air_pa: f64,
}

impl Charging for Centrifugal {
    fn deliver(&self, inlet_pa: f64, inlet_k: f64, outlet_pa: f64, _: &Control) -> Delivery {
        let wheel = &self.parts.wheel;
        let first = wheel.at(self.rad_s, inlet_pa, inlet_k, outlet_pa, R, GAMMA);
        let flow = first.map_or(0.0, |d| d.flow_kg_s);
        let behind = outlet_pa + drop_pa(self.parts.cooler.as_ref(), flow);
        let mut d = wheel.at(self.rad_s, inlet_pa, inlet_k, behind, R, GAMMA).unwrap_or(Delivery {
            flow_kg_s: 0.0,
            outlet_k: inlet_k,
            gas_w: 0.0,
            efficiency: 0.0,
        });
        d.gas_w /= self.parts.mechanical;
        d.flow_kg_s = held_back(d.flow_kg_s, outlet_pa - self.air_pa, self.parts.bypass_opens_pa);
        d
    }

    fn cooled_k(&self, outlet_k: f64) -> f64 {
        cooled(self.parts.cooler.as_ref(), outlet_k)
    }
}

/// The control at the start: all the boost, the nozzle and as much again open beside it.
pub(super) fn start(parts: &EngineParts) -> Control {
    let turbine_m2 = match &parts.charger {
        ChargerParts::Turbo(t) => 1.5 * t.turbine.area_m2,
        _ => 0.0,
    };
    Control { share: 1.0, offset_pa: 0.0, turbine_m2 }
}

/// Exhaust gas before a turbine.
const EXHAUST_GAMMA: f64 = 1.32;
const EXHAUST_R: f64 = 290.0;

/// Compressor and turbine on one shaft. Within a cycle the compressor holds the boost; after each cycle the shaft is
/// balanced: the wastegate lets by what the compressor does not need, and where all of the exhaust is too little the
/// boost comes down.
#[derive(Debug)]
struct Turbo {
    parts: TurboParts,
    air_pa: f64,
    /// Volume that the engine draws, m³/s.
    drawn_m3_s: f64,
    plenum_m3: f64,
}

impl Charging for Turbo {
    fn deliver(&self, inlet_pa: f64, inlet_k: f64, outlet_pa: f64, control: &Control) -> Delivery {
        let boost = self.parts.boost_pa * control.share;
        let want = self.air_pa + boost + control.offset_pa;
        // what the engine takes at that pressure, and a share of what is missing: evens out within about ten steps
        let expected = 0.95 * self.drawn_m3_s * (self.air_pa + boost) / (R * 320.0);
        let gain = self.plenum_m3 / (GAMMA * R * 320.0 * 5e-4);
        // no wheel draws its inlet empty: below six tenths of the air outside it passes nothing
        let fed = ((inlet_pa / self.air_pa - 0.6) / 0.2).clamp(0.0, 1.0);
        let flow = fed * (expected + gain * (want - outlet_pa)).clamp(0.0, 4.0 * expected);
        let ratio = ((outlet_pa + drop_pa(self.parts.cooler.as_ref(), flow)) / inlet_pa).max(1.0);
        let rise = inlet_k * (ratio.powf((GAMMA - 1.0) / GAMMA) - 1.0) / self.parts.compressor;
        let cp = GAMMA * R / (GAMMA - 1.0);
        Delivery {
            flow_kg_s: flow,
            outlet_k: inlet_k + rise,
            gas_w: flow * cp * rise,
            efficiency: self.parts.compressor,
        }
    }

    fn between(&self, totals: &CycleTotals, control: &Control) -> Control {
        let Some([passed_kg, passed_j, _]) = totals.reservoirs.last().copied() else { return *control };
        let flow = passed_kg / totals.time_s;
        let asked = totals.charger[2] / totals.time_s;
        if !(flow > 0.0 && asked.is_finite() && passed_j.is_finite()) {
            return *control;
        }
        let cp = EXHAUST_GAMMA * EXHAUST_R / (EXHAUST_GAMMA - 1.0);
        let t_k = 298.15 + passed_j / passed_kg / cp;
        let turbine = &self.parts.turbine;
        // what all of the exhaust through the nozzle could give, over what the compressor took
        let all = turbine.balance(flow, t_k, self.air_pa, f64::INFINITY, EXHAUST_R, EXHAUST_GAMMA);
        let enough = all.power_w / asked.max(1.0);
        let share = (control.share * enough.powf(0.3).clamp(0.85, 1.15)).clamp(0.05, 1.0);
        let wastegate = if share < 1.0 {
            0.0
        } else {
            turbine.balance(flow, t_k, self.air_pa, asked, EXHAUST_R, EXHAUST_GAMMA).wastegate
        };
        let area = turbine.area_m2 / (1.0 - wastegate).max(0.05);
        let miss = self.air_pa + self.parts.boost_pa * control.share - totals.manifold[0];
        let offset_pa = if share == control.share { control.offset_pa + 0.7 * miss } else { control.offset_pa };
        Control { share, offset_pa, turbine_m2: control.turbine_m2 + 0.6 * (area - control.turbine_m2) }
    }

    fn cooled_k(&self, outlet_k: f64) -> f64 {
        cooled(self.parts.cooler.as_ref(), outlet_k)
    }
}

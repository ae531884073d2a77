//! The charger of an engine as the solver asks for it.

use super::assemble::Operating;
use crate::charger::Delivery;
use crate::parts::{BlowerParts, ChargerParts, EngineParts, TurboParts, WheelParts};
use crate::solve::layout::Charging;
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
        ChargerParts::Turbo(parts) => Some(Arc::new(Turbo { parts, air_pa })),
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
    fn deliver(&self, inlet_pa: f64, inlet_k: f64, outlet_pa: f64) -> Delivery {
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
    fn deliver(&self, inlet_pa: f64, inlet_k: f64, outlet_pa: f64) -> Delivery {
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

/// Compressor whose control holds the boost; the turbine's side is the exhaust's.
#[derive(Debug)]
struct Turbo {
    parts: TurboParts,
    air_pa: f64,
}

impl Charging for Turbo {
    fn deliver(&self, inlet_pa: f64, inlet_k: f64, outlet_pa: f64) -> Delivery {
        // the control: as much as keeps the manifold at its boost, by a gain that settles within a few steps
        let want = self.air_pa + self.parts.boost_pa;
        let gain = 4e-6;
        let flow = (gain * (want - outlet_pa) + 0.0).max(0.0);
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

    fn cooled_k(&self, outlet_k: f64) -> f64 {
        cooled(self.parts.cooler.as_ref(), outlet_k)
    }
}

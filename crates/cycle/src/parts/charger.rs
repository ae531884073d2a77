//! Blower or turbocharger of a build.

use super::take::Take;
use super::{AmbientParts, PartsError, lack};
use crate::charger::centrifugal::Wheel;
use crate::charger::cooler::Cooler;
use crate::charger::displacement::{Displacement, Rotors};
use crate::charger::turbo::Turbine;
use engine::blower::Drive;
use engine::build::facts::Lack;
use std::f64::consts::{PI, TAU};

/// A positive-displacement blower on the crank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlowerParts {
    /// The blower.
    pub blower: Displacement,
    /// Rotor turns a crank turn.
    pub ratio: f64,
    /// Mechanical efficiency of blower and drive.
    pub mechanical: f64,
    /// Boost at which the bypass opens, Pa gauge.
    pub bypass_opens_pa: Option<f64>,
    /// Charge cooler, when there is one.
    pub cooler: Option<Cooler>,
}

/// A centrifugal blower on the crank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WheelParts {
    /// The wheel.
    pub wheel: Wheel,
    /// Wheel turns a crank turn.
    pub ratio: f64,
    /// Mechanical efficiency of blower and drive.
    pub mechanical: f64,
    /// Boost at which the bypass opens, Pa gauge.
    pub bypass_opens_pa: Option<f64>,
    /// Charge cooler, when there is one.
    pub cooler: Option<Cooler>,
}

/// A turbocharger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurboParts {
    /// Boost that the control holds, Pa gauge.
    pub boost_pa: f64,
    /// Isentropic efficiency of the compressor.
    pub compressor: f64,
    /// The turbines together.
    pub turbine: Turbine,
    /// Charge cooler, when there is one.
    pub cooler: Option<Cooler>,
}

/// What presses the air in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ChargerParts {
    /// Nothing.
    None,
    /// Roots or screw.
    Displacement(BlowerParts),
    /// Centrifugal, on a belt.
    Centrifugal(WheelParts),
    /// Turbocharger.
    Turbo(TurboParts),
}

impl ChargerParts {
    /// Whether there is one.
    pub fn is_some(&self) -> bool {
        !matches!(self, Self::None)
    }

    pub(super) fn new(take: &Take<'_, '_>, displacement_m3: f64, air: &AmbientParts) -> Result<Self, PartsError> {
        let build = take.facts.build();
        match (&build.blower, &build.turbo) {
            (Some(_), Some(_)) => Err(PartsError::NoEngine {
                what: "an engine".into(),
                found: "a blower and a turbocharger".into(),
                expected: "one of the two; both together are not computed",
            }),
            (Some(_), None) => blower(take, displacement_m3, air),
            (None, Some(_)) => turbo(take, displacement_m3, air),
            (None, None) => Ok(Self::None),
        }
    }
}

fn cooler(
    take: &Take<'_, '_>,
    section: &str,
    flow_kg_s: f64,
    air: &AmbientParts,
) -> Result<Option<Cooler>, PartsError> {
    let facts = take.facts;
    let key = |k: &str| format!("{section}.{k}");
    let effectiveness = facts.get(&key("cooler_effectiveness")).map_err(lack("charge cooler"))?;
    if !(effectiveness > 0.0) {
        return Ok(None);
    }
    let drop_pa = facts.get(&key("cooler_drop")).map_err(lack("charge cooler"))?;
    let coolant_k = facts.stated(&key("coolant_temperature")).unwrap_or_else(|| {
        let text = format!("{:.0} °C", air.t_k + 10.0 - 273.15);
        take.note(&key("coolant_temperature"), &text, "10 K above the air", "C");
        air.t_k + 10.0
    });
    Ok(Some(Cooler { effectiveness, coolant_k, drop_pa, flow_kg_s }))
}

/// Speed of the crank that reference points stand on: of the expected power, else nine tenths of the rev limit.
fn reference_speed(take: &Take<'_, '_>) -> f64 {
    let facts = take.facts;
    let limit = facts.stated("engine.rev_limit").map(|s| 0.9 * s);
    facts.stated("engine.expected_power_speed").or(limit).unwrap_or(6000.0 * PI / 30.0)
}

/// Middle speed over the reference speed.
const MIDDLE_SPEED: f64 = 0.5;

fn drive_ratio(take: &Take<'_, '_>) -> Result<f64, PartsError> {
    let facts = take.facts;
    if let Some(stated) = facts.stated("blower.ratio") {
        return Ok(stated);
    }
    let keys = ["blower.crank_pulley", "blower.blower_pulley", "blower.step_up"];
    let [crank_pulley, blower_pulley, step_up] = facts.all(keys).map_err(lack("blower drive"))?;
    let ratio = Drive { crank_pulley, blower_pulley, step_up }.ratio();
    ratio.map_err(|e| PartsError::Lack { what: "blower drive", why: Lack::Refused(e.to_string()) })
}

fn blower(take: &Take<'_, '_>, displacement_m3: f64, air: &AmbientParts) -> Result<ChargerParts, PartsError> {
    let facts = take.facts;
    let Some(stated) = &facts.build().blower else { return Ok(ChargerParts::None) };
    let kind = stated.kind.clone().unwrap_or_default().to_lowercase();
    let ratio = drive_ratio(take)?;
    if !(ratio > 0.0 && ratio < 60.0) {
        return Err(PartsError::NoEngine {
            what: "a blower ratio".into(),
            found: format!("{ratio}"),
            expected: "above 0 and below 60",
        });
    }
    let mechanical = facts.get("blower.mechanical_efficiency").map_err(lack("blower"))?;
    let bypass_opens_pa = facts.stated("blower.bypass_opens");
    let crank = reference_speed(take);
    // What the engine draws at the reference speed, for the cooler's drop.
    let density = air.p_pa / (287.0 * air.t_k);
    let drawn = 1.4 * density * displacement_m3 * crank / (2.0 * TAU);
    let cooler = cooler(take, "blower", drawn, air)?;
    // The row of a map in its middle is the reference point.
    let middle = (!stated.map_speed.is_empty()).then_some(stated.map_speed.len() / 2);
    if kind.contains("centrifugal") {
        let Some(_) = middle else { return Err(lack("centrifugal blower")(missing("blower.map_flow"))) };
        let best = (0..stated.map_efficiency.len())
            .max_by(|&a, &b| stated.map_efficiency[a].si.total_cmp(&stated.map_efficiency[b].si))
            .unwrap_or(0);
        let wheel = Wheel {
            speed_rad_s: stated.map_speed[best].si,
            flow_m3_s: stated.map_flow[best].si,
            ratio: stated.map_pressure_ratio[best].si,
            efficiency: stated.map_efficiency[best].si,
            inlet_k: 298.15,
        };
        return Ok(ChargerParts::Centrifugal(WheelParts { wheel, ratio, mechanical, bypass_opens_pa, cooler }));
    }
    let rotors = if kind.contains("screw") { Rotors::Screw } else { Rotors::Roots };
    if kind.is_empty() {
        take.note("blower.kind", "roots", "the commonest kind", "C");
    }
    let per_turn_m3 = facts.get("blower.displacement").map_err(lack("blower"))?;
    if !(per_turn_m3 > 0.0) {
        let (what, found) = ("a blower".to_owned(), "no displacement".to_owned());
        return Err(PartsError::NoEngine { what, found, expected: "a displacement above zero" });
    }
    let (volumetric, isentropic, reference_rad_s, reference_ratio) = match middle {
        Some(n) => {
            let speed = stated.map_speed[n].si;
            let volumetric = stated.map_flow[n].si / (per_turn_m3 * speed / TAU);
            (volumetric, stated.map_efficiency[n].si, speed, stated.map_pressure_ratio[n].si)
        }
        None => {
            let [v, i] =
                facts.all(["blower.volumetric_efficiency", "blower.isentropic_efficiency"]).map_err(lack("blower"))?;
            // The ratio that volumes and speeds ask for, without leaks and heat: near enough for a reference point.
            let sizes = 2.0 * per_turn_m3 * ratio / displacement_m3;
            // The assumed one is that of middle speeds; at the reference speed the same leak is a smaller share.
            let stated = facts.stated("blower.volumetric_efficiency").is_some();
            let v = if stated { v } else { 1.0 - MIDDLE_SPEED * (1.0 - v) };
            (v, i, crank * ratio, (1.15 * sizes).clamp(1.2, 2.6))
        }
    };
    let blower = Displacement { rotors, per_turn_m3, volumetric, isentropic, reference_rad_s, reference_ratio };
    Ok(ChargerParts::Displacement(BlowerParts { blower, ratio, mechanical, bypass_opens_pa, cooler }))
}

fn turbo(take: &Take<'_, '_>, displacement_m3: f64, air: &AmbientParts) -> Result<ChargerParts, PartsError> {
    let facts = take.facts;
    let boost_pa = facts.get("turbo.boost").map_err(lack("turbocharger"))?;
    let compressor = facts.get("turbo.compressor_efficiency").map_err(lack("turbocharger"))?;
    if !(boost_pa > 0.0 && compressor > 0.2) {
        return Err(PartsError::NoEngine {
            what: "a turbocharger".into(),
            found: format!("{:.0} kPa of boost and {:.0} % efficiency", boost_pa / 1e3, compressor * 100.0),
            expected: "a boost above zero and an efficiency above 20 %",
        });
    }
    let efficiency = take.or("turbo.turbine_efficiency", 0.65, "65 %", "a matched turbine", "C");
    // Flow at the reference speed: the cylinders full at boost.
    let speed = reference_speed(take);
    let plenum_pa = air.p_pa + boost_pa;
    let flow = 0.95 * plenum_pa / (287.0 * 320.0) * displacement_m3 * speed / (2.0 * TAU) * 1.08;
    let cooler = cooler(take, "turbo", flow, air)?;
    // A nozzle that needs as much pressure before it as there is boost, at a share of that flow, is a usual match: boost is
    // there well before the speed of best power, and the wastegate lets the rest by.
    const SIZED: f64 = 0.6;
    let t_k = 1150.0;
    let (gamma, r) = (1.32f64, 290.0f64);
    let before = plenum_pa;
    let x = (air.p_pa * 1.1 / before).max((2.0 / (gamma + 1.0)).powf(gamma / (gamma - 1.0)));
    let psi = (2.0 * gamma / (gamma - 1.0) * (x.powf(2.0 / gamma) - x.powf((gamma + 1.0) / gamma))).sqrt();
    let area_m2 = SIZED * flow * (r * t_k).sqrt() / (before * psi);
    let text = format!("{:.1} cm² of nozzle", area_m2 * 1e4);
    take.note(
        "turbo turbine",
        &text,
        "matched: as much pressure before the turbine as boost at six tenths of the flow of best power",
        "C",
    );
    let turbine = Turbine { efficiency, mechanical: 0.97, area_m2 };
    Ok(ChargerParts::Turbo(TurboParts { boost_pa, compressor, turbine, cooler }))
}

fn missing(key: &str) -> Lack {
    Lack::Missing { keys: vec![key.to_owned()] }
}

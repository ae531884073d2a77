//! A build as plain numbers: what the cycle is computed from.
//!
//! Model: every input of the build goes through [`engine::build::Facts`], so that it can be moved by its uncertainty;
//! what the build does not state is assumed, and each assumption is listed with its reason. What makes no running
//! engine is refused by name. Left out: differences between the ports of one engine (their mean stands for all).

mod charger;
mod exhaust;
mod intake;
mod mixture;
mod take;
mod valves;

pub use charger::{BlowerParts, ChargerParts, TurboParts, WheelParts};
pub use exhaust::{ExhaustParts, Joined, Tail};
pub use intake::{InletDuct, IntakeParts};
pub use mixture::{Mixture as MixtureParts, SpeedTable};
pub use valves::ValveTable;

use crate::constants::Constants;
use crate::gas_state::ChargeError;
use engine::build::facts::{Facts, Lack, UsedAssumption};
use engine::build::{Build, each};
use engine::cam::Valve;
use engine::kinematics::SliderCrank;
use take::Take;

/// Why a build cannot be run.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PartsError {
    /// An input is missing or the arithmetic refuses it.
    #[error("{what}: {why}")]
    Lack {
        /// What it is needed for.
        what: &'static str,
        /// Which input, or why it is refused.
        why: Lack,
    },
    /// The parts make no engine that runs.
    #[error("{what} of {found} cannot run: expected {expected}")]
    NoEngine {
        /// Which part.
        what: String,
        /// What the build says.
        found: String,
        /// What is expected.
        expected: &'static str,
    },
    /// The fuel or the mixture.
    #[error(transparent)]
    Charge(#[from] ChargeError),
}

/// One cylinder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CylinderParts {
    /// Number as the shop counts, from 1.
    pub number: u32,
    /// Bore, m.
    pub bore_m: f64,
    /// Clearance volume, m³.
    pub clearance_m3: f64,
    /// Crank angle after the firing top dead centre of the first in the firing order at which it fires, rad.
    pub fires_rad: f64,
    /// Bank, counted from 0.
    pub bank: usize,
}

/// Air that the engine stands in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AmbientParts {
    /// Absolute pressure, Pa.
    pub p_pa: f64,
    /// Temperature, K.
    pub t_k: f64,
    /// Relative humidity, share.
    pub humidity: f64,
    /// Water vapour, kg in a kg of dry air.
    pub water_per_dry_air: f64,
}

/// An engine as plain numbers, SI.
#[derive(Debug, Clone, PartialEq)]
pub struct EngineParts {
    /// Name, where stated.
    pub name: String,
    /// Cylinders in the order of their numbers.
    pub cylinders: Vec<CylinderParts>,
    /// Crank, rod and pin offset.
    pub crank: SliderCrank,
    /// Displacement of the whole engine, m³.
    pub displacement_m3: f64,
    /// Compression ratio of the first cylinder.
    pub ratio: f64,
    /// Intake valves of a cylinder.
    pub intake_valve: ValveTable,
    /// Exhaust valves of a cylinder.
    pub exhaust_valve: ValveTable,
    /// Intake side.
    pub intake: IntakeParts,
    /// Exhaust side.
    pub exhaust: ExhaustParts,
    /// What presses the air in.
    pub charger: ChargerParts,
    /// Fuel, mixture, spark.
    pub mixture: MixtureParts,
    /// Air.
    pub ambient: AmbientParts,
    /// Speed at which the ignition is cut, rad/s; `None` where not stated.
    pub rev_limit_rad_s: Option<f64>,
    /// What had to be assumed.
    pub assumptions: Vec<UsedAssumption>,
}

impl EngineParts {
    /// From a build, with the shipped constants.
    ///
    /// # Errors
    /// [`PartsError`] naming what is missing or makes no engine.
    pub fn from_build(build: &Build) -> Result<Self, PartsError> {
        Self::from_facts(&Facts::new(build), Constants::shipped())
    }

    /// From facts, whose inputs may be moved, and a set of constants.
    ///
    /// # Errors
    /// As [`EngineParts::from_build`].
    pub fn from_facts(facts: &Facts<'_>, constants: &Constants) -> Result<Self, PartsError> {
        let take = Take::new(facts, constants);
        let build = facts.build();
        let crank = facts.crank().map_err(lack("crank"))?;
        let cylinders = cylinders(&take)?;
        let displacement_m3: f64 =
            cylinders.iter().map(|c| std::f64::consts::FRAC_PI_4 * c.bore_m * c.bore_m * crank.stroke_m()).sum();
        let swept = displacement_m3 / cylinders.len() as f64;
        let ratio = 1.0 + swept / cylinders[0].clearance_m3;
        if !(3.0..=25.0).contains(&ratio) {
            return Err(PartsError::NoEngine {
                what: "a compression ratio".into(),
                found: format!("{ratio:.1}"),
                expected: "3 to 25: check chamber, gasket, deck and crown volume",
            });
        }
        let intake_valve = ValveTable::new(&take, Valve::Intake, &cylinders)?;
        let exhaust_valve = ValveTable::new(&take, Valve::Exhaust, &cylinders)?;
        timing(&intake_valve, &exhaust_valve)?;
        let ambient = ambient(&take)?;
        let charger = ChargerParts::new(&take, displacement_m3, &ambient)?;
        let intake = IntakeParts::new(&take, displacement_m3, cylinders.len(), &intake_valve, charger.is_some())?;
        let exhaust = ExhaustParts::new(&take, &cylinders, &exhaust_valve, displacement_m3)?;
        let mixture = MixtureParts::new(&take, charger.is_some())?;
        let mut assumptions = facts.assumptions();
        assumptions.extend(take.into_assumptions());
        Ok(Self {
            name: build.engine.name.clone().unwrap_or_else(|| "engine".to_owned()),
            cylinders,
            crank,
            displacement_m3,
            ratio,
            intake_valve,
            exhaust_valve,
            intake,
            exhaust,
            charger,
            mixture,
            ambient,
            rev_limit_rad_s: facts.stated("engine.rev_limit"),
            assumptions,
        })
    }
}

/// The value at a place: straight between rows of place and value by rising place, level beyond the ends; `None` without
/// rows.
pub(crate) fn between(rows: &[(f64, f64)], at: f64) -> Option<f64> {
    let (first, last) = (rows.first()?, rows.last()?);
    if at <= first.0 {
        return Some(first.1);
    }
    let pair = rows.windows(2).find(|w| at <= w[1].0);
    Some(pair.map_or(last.1, |w| w[0].1 + (w[1].1 - w[0].1) * (at - w[0].0) / (w[1].0 - w[0].0)))
}

/// Both valves are shut about firing top dead centre, for 20 degrees at least on either side: else nothing is compressed or
/// nothing expands.
fn timing(intake: &ValveTable, exhaust: &ValveTable) -> Result<(), PartsError> {
    let none = |what: &str, found: String, expected| PartsError::NoEngine { what: what.to_owned(), found, expected };
    // Degrees after firing top dead centre, −360 to 360.
    let about = |rad: f64| (rad.to_degrees() + 360.0).rem_euclid(720.0) - 360.0;
    let (shuts, opens) = (about(intake.closes_rad), about(exhaust.opens_rad));
    if !(-340.0..=-20.0).contains(&shuts) {
        let found = format!("{shuts:.0}° after firing top dead centre");
        return Err(none("an intake closing", found, "20 to 340° before it: check duration and lobe separation"));
    }
    if !(20.0..=340.0).contains(&opens) {
        let found = format!("{opens:.0}° after firing top dead centre");
        return Err(none("an exhaust opening", found, "20 to 340° after it: check duration and lobe separation"));
    }
    Ok(())
}

fn lack(what: &'static str) -> impl Fn(Lack) -> PartsError {
    move |why| PartsError::Lack { what, why }
}

/// Sizes of every cylinder, its place in the firing order and its bank.
fn cylinders(take: &Take<'_, '_>) -> Result<Vec<CylinderParts>, PartsError> {
    let facts = take.facts;
    let build = facts.build();
    let count = facts.cylinders().map_err(lack("cylinders"))?;
    if !(1..=24).contains(&count) {
        let (what, found) = ("a number of cylinders".to_owned(), count.to_string());
        return Err(PartsError::NoEngine { what, found, expected: "1 to 24" });
    }
    let order = firing_order(take, count)?;
    let two_sided = two_sided(build) && count > 1;
    if two_sided && build.block.banks.is_empty() {
        take.note("block.banks", "odd and even numbers", "two banks, counted from side to side", "C");
    }
    let mean_m3 = facts.clearance_m3().map_err(lack("clearance volume"))?;
    let mean_bore_m = facts.get("block.bore").map_err(lack("bore"))?;
    let mut found = Vec::new();
    for number in 1..=count {
        let n = (number - 1) as usize;
        // A cylinder's own readings count by what they are off the mean, so that a moved mean moves them all.
        let own = each::of_cylinder(build, n);
        let (mut bore_m, mut clearance_m3) = (mean_bore_m, mean_m3);
        if own != *build {
            let (own, mean) = (Facts::new(&own), Facts::new(build));
            if let (Ok(a), Ok(b)) = (own.clearance_m3(), mean.clearance_m3()) {
                clearance_m3 += a - b;
            }
            if let (Ok(a), Ok(b)) = (own.get("block.bore"), mean.get("block.bore")) {
                bore_m += a - b;
            }
        }
        if !(bore_m > 0.0 && clearance_m3 > 0.0) {
            let found = format!("{bore_m} m and {clearance_m3} m³");
            return Err(PartsError::NoEngine {
                what: format!("bore and clearance volume of cylinder {number}"),
                found,
                expected: "both above zero",
            });
        }
        let place = order.iter().position(|&c| c == number).unwrap_or(0);
        let bank = match build.block.banks.iter().position(|b| b.contains(&number)) {
            Some(bank) => bank,
            // Odd numbers on one side and even ones on the other, as most are counted.
            None if two_sided && build.block.banks.is_empty() => n % 2,
            None => 0,
        };
        let fires_rad = 4.0 * std::f64::consts::PI * place as f64 / f64::from(count);
        found.push(CylinderParts { number, bore_m, clearance_m3, fires_rad, bank });
    }
    Ok(found)
}

/// Whether the cylinders stand in two banks.
fn two_sided(build: &Build) -> bool {
    let layout = build.block.layout.as_deref().unwrap_or_default().to_lowercase();
    layout.starts_with('v') || ["vee", "flat", "boxer", "opposed"].iter().any(|word| layout.contains(word))
}

/// The firing order as stated; evenly spaced. Without one, cylinders fire in the order of usual cranks.
fn firing_order(take: &Take<'_, '_>, count: u32) -> Result<Vec<u32>, PartsError> {
    let stated = &take.facts.build().block.firing_order;
    if !stated.is_empty() {
        let mut sorted = stated.clone();
        sorted.sort_unstable();
        if sorted != (1..=count).collect::<Vec<_>>() {
            return Err(PartsError::NoEngine {
                what: "a firing order".into(),
                found: format!("{stated:?}"),
                expected: "every cylinder once",
            });
        }
        return Ok(stated.clone());
    }
    let usual: Vec<u32> = match count {
        // flat: the two of one side follow each other
        4 if two_sided(take.facts.build()) => vec![1, 3, 2, 4],
        4 => vec![1, 3, 4, 2],
        6 if two_sided(take.facts.build()) => vec![1, 2, 3, 4, 5, 6],
        6 => vec![1, 5, 3, 6, 2, 4],
        8 => vec![1, 8, 4, 3, 6, 5, 7, 2],
        _ => (1..=count).collect(),
    };
    take.note("block.firing_order", &format!("{usual:?}"), "a usual order for this number of cylinders", "C");
    Ok(usual)
}

fn ambient(take: &Take<'_, '_>) -> Result<AmbientParts, PartsError> {
    let facts = take.facts;
    let p_pa = facts.ambient_pa().map_err(lack("ambient pressure"))?;
    let t_k = facts.get("ambient.temperature").map_err(lack("ambient temperature"))?;
    let humidity = take.or("ambient.humidity", 0.4, "40 %", "a day neither dry nor damp", "C");
    let refused = |e: gas::AirError| PartsError::Lack { what: "humidity", why: Lack::Refused(e.to_string()) };
    let vapour = gas::humid_air::vapour_pressure_pa(humidity, t_k, gas::humid_air::Surface::Water).map_err(refused)?;
    Ok(AmbientParts { p_pa, t_k, humidity, water_per_dry_air: gas::humid_air::humidity_ratio(vapour, p_pa) })
}

//! A blower driven from the crank: ratio, speed, flow, boost, heat and power.
//!
//! Model: constant efficiencies, ideal gas with constant heat, steady flow. The boost estimate balances
//! what the blower delivers against what the engine draws. Left out: maps (efficiency falls at both
//! ends of a blower's range), heat soak, the bypass, belt creep, and evaporation of fuel.
//!
//! Blower drive power lies within the torque a dyno reads; it is not added back.
//!
//! # Source
//! Definitions of volumetric and isentropic efficiency and the work of a Roots blower without internal
//! compression: thermodynamics of steady flow. Ratios, the square rule and belt figures: common
//! practice, no source. Tip-speed limits are the maker's.

use crate::flow_bench::Gas;
use crate::possible::{NotPossible, above_zero};
use quantity::{Limits, Verdict, verdict};
use std::f64::consts::PI;

/// Why a blower figure is not possible. A clash names both facts.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BlowerError {
    /// A number is not finite, or outside what can be.
    #[error(transparent)]
    NotPossible(#[from] NotPossible),
    /// Two facts exclude each other.
    #[error("{first} and {second} cannot both hold: {why}")]
    Clash {
        /// The first fact.
        first: String,
        /// The second fact.
        second: String,
        /// Why not.
        why: &'static str,
    },
    /// The blower delivers less than the engine draws, so there is no boost.
    #[error(
        "the blower delivers {delivers_kg_s:.4} kg/s and the engine draws {draws_kg_s:.4} kg/s without boost: \
         no boost is made; a greater drive ratio or displacement is needed"
    )]
    NoBoost {
        /// What the blower delivers, kg/s.
        delivers_kg_s: f64,
        /// What the engine draws at ambient pressure, kg/s.
        draws_kg_s: f64,
    },
}

pub(crate) fn efficiency(what: &'static str, value: f64) -> Result<(), BlowerError> {
    if value > 0.0 && value <= 1.0 {
        return Ok(());
    }
    Err(NotPossible { what, value, unit: "", expected: "a share above 0 and up to 1" }.into())
}

/// The drive: pulleys measured over the belt's pitch line, and gears inside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drive {
    /// Pitch diameter of the crank pulley, m, or its number of teeth.
    pub crank_pulley: f64,
    /// Pitch diameter of the blower pulley, m, or its number of teeth.
    pub blower_pulley: f64,
    /// Turns of the rotors or impeller per turn of the input shaft; 1 without gears.
    pub step_up: f64,
}

impl Drive {
    /// Blower turns per crank turn.
    ///
    /// # Errors
    /// [`BlowerError::NotPossible`] for numbers that are not above zero.
    pub fn ratio(&self) -> Result<f64, BlowerError> {
        above_zero("a crank pulley", self.crank_pulley, "")?;
        above_zero("a blower pulley", self.blower_pulley, "")?;
        above_zero("an internal step-up", self.step_up, "")?;
        Ok(self.crank_pulley / self.blower_pulley * self.step_up)
    }

    /// Blower speed, rpm, at a crank speed without slip.
    ///
    /// # Errors
    /// As [`Drive::ratio`].
    pub fn blower_rpm(&self, crank_rpm: f64) -> Result<f64, BlowerError> {
        above_zero("a crank speed", crank_rpm, " rpm")?;
        Ok(self.ratio()? * crank_rpm)
    }

    /// Blower pulley, in the measure of the crank pulley, for a blower speed at a crank speed.
    ///
    /// # Errors
    /// [`BlowerError::NotPossible`] for numbers that are not above zero.
    pub fn blower_pulley_for(&self, blower_rpm: f64, crank_rpm: f64) -> Result<f64, BlowerError> {
        above_zero("a crank pulley", self.crank_pulley, "")?;
        above_zero("an internal step-up", self.step_up, "")?;
        above_zero("a blower speed", blower_rpm, " rpm")?;
        above_zero("a crank speed", crank_rpm, " rpm")?;
        Ok(self.crank_pulley * self.step_up * crank_rpm / blower_rpm)
    }
}

/// Share of speed lost between drive ratio and a measured blower speed; below zero if it turns faster.
///
/// # Errors
/// [`BlowerError::NotPossible`] for numbers that are not above zero.
pub fn slip(due_rpm: f64, measured_rpm: f64) -> Result<f64, BlowerError> {
    above_zero("a blower speed due", due_rpm, " rpm")?;
    above_zero("a blower speed", measured_rpm, " rpm")?;
    Ok(1.0 - measured_rpm / due_rpm)
}

/// Boost of a centrifugal blower at another speed: it goes with the square of the speed.
///
/// `boost_pa` is a gauge pressure. An estimate near a known point: the square belongs to the work per
/// mass, and the engine's own draw moves the point on the map.
///
/// # Errors
/// [`BlowerError::NotPossible`] for numbers that are not above zero.
pub fn boost_by_square_pa(boost_pa: f64, at_rpm: f64, to_rpm: f64) -> Result<f64, BlowerError> {
    above_zero("a boost", boost_pa, " Pa")?;
    above_zero("a blower speed", at_rpm, " rpm")?;
    above_zero("a blower speed", to_rpm, " rpm")?;
    Ok(boost_pa * (to_rpm / at_rpm).powi(2))
}

/// Speed of a rotor or impeller tip, m/s, from its diameter, m. What is allowed is the maker's to say.
///
/// # Errors
/// [`BlowerError::NotPossible`] for numbers that are not above zero.
pub fn tip_speed_m_s(tip_diameter_m: f64, blower_rpm: f64) -> Result<f64, BlowerError> {
    above_zero("a tip diameter", tip_diameter_m, " m")?;
    above_zero("a blower speed", blower_rpm, " rpm")?;
    Ok(PI * tip_diameter_m * blower_rpm / 60.0)
}

/// Volume flow, m³/s at the blower's inlet, of a positive-displacement blower.
///
/// # Errors
/// [`BlowerError::NotPossible`] for numbers that cannot be.
pub fn displaced_flow_m3_s(
    displacement_m3_rev: f64,
    blower_rpm: f64,
    volumetric_efficiency: f64,
) -> Result<f64, BlowerError> {
    above_zero("a blower displacement", displacement_m3_rev, " m³/rev")?;
    above_zero("a blower speed", blower_rpm, " rpm")?;
    efficiency("a blower's volumetric efficiency", volumetric_efficiency)?;
    Ok(displacement_m3_rev * blower_rpm / 60.0 * volumetric_efficiency)
}

/// Temperature, K, of the gas leaving a compressor.
///
/// # Errors
/// [`BlowerError::NotPossible`] for numbers that cannot be.
pub fn discharge_k(
    inlet_k: f64,
    pressure_ratio: f64,
    isentropic_efficiency: f64,
    gas: Gas,
) -> Result<f64, BlowerError> {
    above_zero("an absolute temperature", inlet_k, " K")?;
    efficiency("an isentropic efficiency", isentropic_efficiency)?;
    Ok(inlet_k + (isentropic_k(inlet_k, pressure_ratio, gas)? - inlet_k) / isentropic_efficiency)
}

/// Isentropic efficiency from measured temperatures.
///
/// # Errors
/// [`BlowerError::Clash`] for an outlet not hotter than the inlet; [`BlowerError::NotPossible`] for
/// other numbers. A value above 1 is given back as it is: it says that a thermometer reads wrong.
pub fn isentropic_efficiency(inlet_k: f64, outlet_k: f64, pressure_ratio: f64, gas: Gas) -> Result<f64, BlowerError> {
    above_zero("an absolute temperature", inlet_k, " K")?;
    above_zero("an absolute temperature", outlet_k, " K")?;
    let due = isentropic_k(inlet_k, pressure_ratio, gas)?;
    if outlet_k > inlet_k {
        return Ok((due - inlet_k) / (outlet_k - inlet_k));
    }
    Err(BlowerError::Clash {
        first: format!("an outlet of {:.1} °C", outlet_k - 273.15),
        second: format!("an inlet of {:.1} °C", inlet_k - 273.15),
        why: "compression heats the gas; a thermometer reads wrong or fuel evaporates between them",
    })
}

/// Shaft power, W, of a compressor: enthalpy rise over mechanical efficiency.
///
/// # Errors
/// [`BlowerError`] for numbers that cannot be.
pub fn shaft_power_w(
    mass_flow_kg_s: f64,
    inlet_k: f64,
    outlet_k: f64,
    mechanical_efficiency: f64,
    gas: Gas,
) -> Result<f64, BlowerError> {
    above_zero("a mass flow", mass_flow_kg_s, " kg/s")?;
    efficiency("a mechanical efficiency", mechanical_efficiency)?;
    if outlet_k < inlet_k {
        return Err(BlowerError::Clash {
            first: format!("an outlet of {outlet_k} K"),
            second: format!("an inlet of {inlet_k} K"),
            why: "compression heats the gas",
        });
    }
    Ok(mass_flow_kg_s * heat_j_kg_k(gas) * (outlet_k - inlet_k) / mechanical_efficiency)
}

/// Power, W, that a Roots blower without internal compression puts into the air: flow times pressure rise.
///
/// # Errors
/// [`BlowerError::NotPossible`] for numbers that cannot be.
pub fn roots_power_w(
    displaced_m3_s: f64,
    pressure_rise_pa: f64,
    mechanical_efficiency: f64,
) -> Result<f64, BlowerError> {
    above_zero("a displaced flow", displaced_m3_s, " m³/s")?;
    above_zero("a pressure rise", pressure_rise_pa, " Pa")?;
    efficiency("a mechanical efficiency", mechanical_efficiency)?;
    Ok(displaced_m3_s * pressure_rise_pa / mechanical_efficiency)
}

/// Greatest isentropic efficiency of a blower without internal compression at a pressure ratio.
///
/// # Errors
/// [`BlowerError::NotPossible`] for a pressure ratio not above 1.
pub fn roots_bound(pressure_ratio: f64, gas: Gas) -> Result<f64, BlowerError> {
    // Work over p1 v1: γ/(γ−1)·(PR^((γ−1)/γ) − 1) against PR − 1.
    let g = gas.heat_ratio;
    Ok(g / (g - 1.0) * (isentropic_k(1.0, pressure_ratio, gas)? - 1.0) / (pressure_ratio - 1.0))
}

/// Whether a measured efficiency can be that of a Roots blower. `Outside` means that a thermometer or a
/// gauge reads wrong, or that the blower compresses inside.
///
/// # Errors
/// As [`roots_bound`]; also for an uncertainty below zero.
pub fn judge_roots_efficiency(measured: f64, u: f64, pressure_ratio: f64, gas: Gas) -> Result<Verdict, BlowerError> {
    if !(u >= 0.0 && measured.is_finite()) {
        let what = "an efficiency's standard uncertainty";
        return Err(NotPossible { what, value: u, unit: "", expected: "zero or a number above it" }.into());
    }
    Ok(verdict(measured, u, Limits::at_most(roots_bound(pressure_ratio, gas)?)))
}

/// Whether a belt carries a power, from its width and what one metre of width carries (a row of the
/// limit table, or the belt maker's figure).
///
/// # Errors
/// [`BlowerError::NotPossible`] for numbers that are not above zero.
pub fn judge_belt(power_w: f64, u_power_w: f64, width_m: f64, per_width_w_m: f64) -> Result<Verdict, BlowerError> {
    above_zero("a drive power", power_w, " W")?;
    above_zero("a belt width", width_m, " m")?;
    above_zero("a belt capacity", per_width_w_m, " W/m")?;
    Ok(verdict(power_w, u_power_w, Limits::at_most(width_m * per_width_w_m)))
}

/// A positive-displacement blower on an engine, for the boost estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlownEngine {
    /// Volume flow of the blower at its inlet, m³/s, from [`displaced_flow_m3_s`].
    pub blower_m3_s: f64,
    /// Isentropic efficiency of the blower.
    pub isentropic_efficiency: f64,
    /// Effectiveness of a charge cooler, 0 without one.
    pub cooler_effectiveness: f64,
    /// Temperature of what cools it, K; taken no notice of at effectiveness 0.
    pub coolant_k: f64,
    /// Pressure drop of the cooler, Pa.
    pub cooler_drop_pa: f64,
    /// Displacement of the engine, m³.
    pub engine_m3: f64,
    /// Engine speed, rpm (four-stroke).
    pub rpm: f64,
    /// Volumetric efficiency of the engine at manifold state.
    pub engine_volumetric_efficiency: f64,
    /// Absolute pressure before the blower, Pa.
    pub inlet_pa: f64,
    /// Temperature before the blower, K.
    pub inlet_k: f64,
}

/// What the boost estimate finds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoostEstimate {
    /// Absolute pressure in the manifold, Pa.
    pub manifold_pa: f64,
    /// Pressure ratio of the blower.
    pub pressure_ratio: f64,
    /// Temperature behind the blower, K.
    pub discharge_k: f64,
    /// Temperature in the manifold, K.
    pub manifold_k: f64,
    /// Mass flow, kg/s.
    pub mass_flow_kg_s: f64,
}

impl BlownEngine {
    /// Manifold state at which the engine draws what the blower delivers.
    ///
    /// # Errors
    /// [`BlowerError::NoBoost`] for a blower that delivers less than the engine draws;
    /// [`BlowerError::NotPossible`] for numbers that cannot be, and for a pressure ratio above 5.
    pub fn boost(&self, gas: Gas) -> Result<BoostEstimate, BlowerError> {
        above_zero("a blower flow", self.blower_m3_s, " m³/s")?;
        above_zero("a displacement", self.engine_m3, " m³")?;
        above_zero("an engine speed", self.rpm, " rpm")?;
        above_zero("a volumetric efficiency", self.engine_volumetric_efficiency, "")?;
        above_zero("an absolute pressure", self.inlet_pa, " Pa")?;
        above_zero("an absolute temperature", self.inlet_k, " K")?;
        above_zero("an absolute temperature of a coolant", self.coolant_k, " K")?;
        efficiency("an isentropic efficiency", self.isentropic_efficiency)?;
        let heat_share = (gas.heat_ratio - 1.0) / gas.heat_ratio;
        if self.isentropic_efficiency <= heat_share {
            let (what, value) = ("an isentropic efficiency", self.isentropic_efficiency);
            let expected = "more than (γ − 1)/γ, 0.286 for air; below it density falls as pressure rises";
            return Err(NotPossible { what, value, unit: "", expected }.into());
        }
        if !(0.0..=1.0).contains(&self.cooler_effectiveness) {
            let (what, value) = ("a cooler's effectiveness", self.cooler_effectiveness);
            return Err(NotPossible { what, value, unit: "", expected: "a share from 0 to 1" }.into());
        }
        if !(self.cooler_drop_pa >= 0.0 && self.cooler_drop_pa < self.inlet_pa) {
            let (what, value) = ("a cooler's pressure drop", self.cooler_drop_pa);
            let expected = "zero or more, below the inlet pressure";
            return Err(NotPossible { what, value, unit: " Pa", expected }.into());
        }
        let delivers = self.blower_m3_s * self.inlet_pa / (gas.gas_constant_j_kg_k * self.inlet_k);
        let at = |ratio: f64| -> Result<BoostEstimate, BlowerError> {
            let out_k = match ratio > 1.0 {
                true => discharge_k(self.inlet_k, ratio, self.isentropic_efficiency, gas)?,
                false => self.inlet_k,
            };
            let manifold_k = out_k - self.cooler_effectiveness * (out_k - self.coolant_k);
            let manifold_pa = self.inlet_pa * ratio - self.cooler_drop_pa;
            let draws = self.engine_volumetric_efficiency * self.engine_m3 * self.rpm / 120.0 * manifold_pa
                / (gas.gas_constant_j_kg_k * manifold_k);
            Ok(BoostEstimate {
                manifold_pa,
                pressure_ratio: ratio,
                discharge_k: out_k,
                manifold_k,
                mass_flow_kg_s: draws,
            })
        };
        let (mut low, mut high) = (1.0, 5.0);
        let without = at(low)?.mass_flow_kg_s;
        if without >= delivers {
            return Err(BlowerError::NoBoost { delivers_kg_s: delivers, draws_kg_s: without });
        }
        if at(high)?.mass_flow_kg_s < delivers {
            let (what, value) = ("a blower flow", self.blower_m3_s);
            let expected = "a flow that this engine takes at a pressure ratio of 5 or less";
            return Err(NotPossible { what, value, unit: " m³/s", expected }.into());
        }
        // 60 halvings of a width of 4 reach the last digit.
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if at(middle)?.mass_flow_kg_s < delivers { low = middle } else { high = middle }
        }
        at(0.5 * (low + high))
    }
}

fn isentropic_k(inlet_k: f64, pressure_ratio: f64, gas: Gas) -> Result<f64, BlowerError> {
    if !(pressure_ratio.is_finite() && pressure_ratio > 1.0) {
        let expected = "a number above 1: absolute pressure out over absolute pressure in";
        return Err(NotPossible { what: "a pressure ratio", value: pressure_ratio, unit: "", expected }.into());
    }
    Ok(inlet_k * pressure_ratio.powf((gas.heat_ratio - 1.0) / gas.heat_ratio))
}

fn heat_j_kg_k(gas: Gas) -> f64 {
    gas.heat_ratio / (gas.heat_ratio - 1.0) * gas.gas_constant_j_kg_k
}

//! Injectors and fuel pump: flow needed, duty, flow at another pressure or fuel, pump at rail pressure.
//!
//! Model: an injector is an orifice, its volume flow goes with the root of the pressure difference over
//! it and with the inverse root of the density. Duty is the share of time open. Left out: opening and
//! closing time, which takes a greater share at high speed, so a duty near 1 is reached earlier than
//! this says; the fall of rail pressure along the rail; fuel temperature.
//!
//! # Source
//! Orifice flow; a duty of 0.80 to 0.85 at most is common practice, no source.

use crate::fuel::FuelError;
use crate::possible::{NotPossible, above_zero};

/// Fuel mass flow, kg/s, from observed power, W, and specific consumption, kg/J. The observed power is
/// meant: fuel is not corrected to standard air.
///
/// # Errors
/// [`FuelError::NotPossible`] for numbers that are not above zero.
pub fn fuel_flow_kg_s(power_w: f64, specific_fuel_kg_j: f64) -> Result<f64, FuelError> {
    above_zero("a power", power_w, " W")?;
    above_zero("a specific fuel consumption", specific_fuel_kg_j, " kg/J")?;
    Ok(power_w * specific_fuel_kg_j)
}

/// A flow figure of an injector with what it was measured with; a figure without them means nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rated {
    /// Volume flow held open, m³/s.
    pub flow_m3_s: f64,
    /// Pressure difference over the injector, Pa.
    pub difference_pa: f64,
    /// Density of the fluid of the test, kg/m³.
    pub density_kg_m3: f64,
}

impl Rated {
    /// From a mass flow, kg/s, at a pressure difference with a fluid.
    ///
    /// # Errors
    /// [`FuelError::NotPossible`] for numbers that are not above zero.
    pub fn by_mass(flow_kg_s: f64, difference_pa: f64, density_kg_m3: f64) -> Result<Self, FuelError> {
        above_zero("an injector flow", flow_kg_s, " kg/s")?;
        above_zero("a density", density_kg_m3, " kg/m³")?;
        let rated = Self { flow_m3_s: flow_kg_s / density_kg_m3, difference_pa, density_kg_m3 };
        rated.check()?;
        Ok(rated)
    }

    /// Mass flow of the test, kg/s.
    pub fn mass_flow_kg_s(&self) -> f64 {
        self.flow_m3_s * self.density_kg_m3
    }

    /// The same injector at another pressure difference and with another fluid.
    ///
    /// # Errors
    /// [`FuelError::NotPossible`] for numbers that are not above zero.
    pub fn at(&self, difference_pa: f64, density_kg_m3: f64) -> Result<Self, FuelError> {
        self.check()?;
        above_zero("a pressure difference", difference_pa, " Pa")?;
        above_zero("a density", density_kg_m3, " kg/m³")?;
        let factor = (difference_pa / self.difference_pa * self.density_kg_m3 / density_kg_m3).sqrt();
        Ok(Self { flow_m3_s: self.flow_m3_s * factor, difference_pa, density_kg_m3 })
    }

    fn check(&self) -> Result<(), FuelError> {
        above_zero("an injector flow", self.flow_m3_s, " m³/s")?;
        above_zero("a pressure difference", self.difference_pa, " Pa")?;
        Ok(above_zero("a density", self.density_kg_m3, " kg/m³")?)
    }
}

/// Pressure difference over an injector, Pa: rail less manifold, both gauge or both absolute.
///
/// A rail whose regulator follows the manifold keeps it constant under boost; one that does not loses
/// the boost from it.
///
/// # Errors
/// [`FuelError::Clash`] for a rail that is not above the manifold.
pub fn difference_pa(rail_pa: f64, manifold_pa: f64) -> Result<f64, FuelError> {
    let difference = rail_pa - manifold_pa;
    if difference.is_finite() && difference > 0.0 {
        return Ok(difference);
    }
    Err(FuelError::Clash {
        first: format!("{:.0} kPa in the rail", rail_pa / 1e3),
        second: format!("{:.0} kPa in the manifold", manifold_pa / 1e3),
        why: "fuel flows only towards the lesser pressure",
    })
}

/// Duty of each injector for a total fuel flow. A value above 1 is given as it is: the engine runs lean.
///
/// # Errors
/// [`FuelError::NotPossible`] for numbers that are not above zero and for no injectors.
pub fn duty(fuel_kg_s: f64, injectors: u32, each_kg_s: f64) -> Result<f64, FuelError> {
    above_zero("a fuel flow", fuel_kg_s, " kg/s")?;
    above_zero("a number of injectors", f64::from(injectors), "")?;
    above_zero("an injector flow", each_kg_s, " kg/s")?;
    Ok(fuel_kg_s / (f64::from(injectors) * each_kg_s))
}

/// Mass flow, kg/s, that each injector must pass held open to stay at a duty.
///
/// # Errors
/// [`FuelError::NotPossible`] for numbers that cannot be and a duty outside 0 to 1.
pub fn size_kg_s(fuel_kg_s: f64, injectors: u32, duty: f64) -> Result<f64, FuelError> {
    above_zero("a fuel flow", fuel_kg_s, " kg/s")?;
    above_zero("a number of injectors", f64::from(injectors), "")?;
    if duty > 0.0 && duty <= 1.0 {
        return Ok(fuel_kg_s / (f64::from(injectors) * duty));
    }
    Err(NotPossible { what: "a duty", value: duty, unit: "", expected: "a share above 0 and up to 1" }.into())
}

/// Gauge pressure, Pa, against which the pump works: base pressure plus boost for a rail that follows
/// the manifold.
///
/// # Errors
/// [`FuelError::NotPossible`] for a base pressure not above zero or a boost below zero.
pub fn pump_pressure_pa(base_pa: f64, boost_pa: f64) -> Result<f64, FuelError> {
    above_zero("a base fuel pressure", base_pa, " Pa")?;
    if boost_pa.is_finite() && boost_pa >= 0.0 {
        return Ok(base_pa + boost_pa);
    }
    let expected = "a gauge pressure of zero or more";
    Err(NotPossible { what: "a boost", value: boost_pa, unit: " Pa", expected }.into())
}

/// Volume flow, m³/s, asked of the pump, with a margin as a share (0.15 to 0.25 is common practice).
///
/// # Errors
/// [`FuelError::NotPossible`] for numbers that cannot be.
pub fn pump_flow_m3_s(fuel_kg_s: f64, density_kg_m3: f64, margin: f64) -> Result<f64, FuelError> {
    above_zero("a fuel flow", fuel_kg_s, " kg/s")?;
    above_zero("a density", density_kg_m3, " kg/m³")?;
    if margin.is_finite() && margin >= 0.0 {
        return Ok(fuel_kg_s / density_kg_m3 * (1.0 + margin));
    }
    let expected = "a share of zero or more";
    Err(NotPossible { what: "a margin", value: margin, unit: "", expected }.into())
}

/// Flow, m³/s, of a pump at a pressure, from its measured table of gauge pressure (rising) and flow at
/// one supply voltage; straight between the rows.
///
/// # Errors
/// [`FuelError::PressureNotMeasured`] outside the table; [`FuelError::Clash`] for pressures that do not rise.
pub fn pump_delivers_m3_s(table: &[(f64, f64)], pressure_pa: f64) -> Result<f64, FuelError> {
    if let Some(pair) = table.windows(2).find(|w| !(w[1].0 > w[0].0)) {
        return Err(FuelError::Clash {
            first: format!("{} Pa in one row", pair[0].0),
            second: format!("{} Pa in the next", pair[1].0),
            why: "pressures rise from row to row",
        });
    }
    for row in table {
        if !(row.1.is_finite() && row.1 >= 0.0) {
            let expected = "zero or a number above it";
            return Err(NotPossible { what: "a pump flow", value: row.1, unit: " m³/s", expected }.into());
        }
    }
    let between = table.windows(2).find(|w| (w[0].0..=w[1].0).contains(&pressure_pa));
    match between {
        Some(w) => Ok(w[0].1 + (w[1].1 - w[0].1) * (pressure_pa - w[0].0) / (w[1].0 - w[0].0)),
        None => Err(FuelError::PressureNotMeasured {
            asked_kpa: pressure_pa / 1e3,
            from_kpa: table.first().map_or(f64::NAN, |r| r.0 / 1e3),
            to_kpa: table.last().map_or(f64::NAN, |r| r.0 / 1e3),
        }),
    }
}

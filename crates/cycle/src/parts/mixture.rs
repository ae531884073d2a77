//! Fuel, mixture and spark.

use super::take::Take;
use super::{PartsError, lack};
use crate::cylinder::flame::FlameFuel;
use crate::gas_state::Fuel;

/// A value over speed: straight between rows, level beyond the ends.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeedTable {
    /// Rows of speed, rad/s, and value, by rising speed.
    pub rows: Vec<(f64, f64)>,
}

impl SpeedTable {
    /// The value at a speed, rad/s; `None` for a table without rows.
    pub fn at(&self, speed_rad_s: f64) -> Option<f64> {
        super::between(&self.rows, speed_rad_s)
    }
}

/// Fuel, mixture and spark at full load.
#[derive(Debug, Clone, PartialEq)]
pub struct Mixture {
    /// The fuel.
    pub fuel: Fuel,
    /// Whose flame speed.
    pub flame_fuel: FlameFuel,
    /// Research octane number.
    pub ron: f64,
    /// Motor octane number.
    pub mon: f64,
    /// Lambda over speed.
    pub lambda: SpeedTable,
    /// Spark over speed, degrees before top dead centre; no rows where it is not stated.
    pub spark_btdc_deg: SpeedTable,
}

impl Mixture {
    pub(super) fn new(take: &Take<'_, '_>, charged: bool) -> Result<Self, PartsError> {
        let facts = take.facts;
        let [ethanol, methanol] = facts.all(["fuel.ethanol", "fuel.methanol"]).map_err(lack("fuel"))?;
        let (ethanol, methanol) = (ethanol.clamp(0.0, 1.0), methanol.clamp(0.0, 1.0));
        let properties = facts.fuel().map_err(lack("fuel"))?;
        let mut fuel = Fuel::blend(&properties, ethanol, methanol.min(1.0 - ethanol))?;
        if let Some(stated) = facts.stated("fuel.stoichiometric") {
            // The fuel sheet's own figure: hydrogen to carbon that gives it.
            fuel = with_stoichiometric(fuel, stated);
        }
        let alcohol = ethanol + methanol;
        let assumed = if alcohol > 0.5 { (108.0, 89.0) } else { (95.0, 85.0) };
        let why = if alcohol > 0.5 { "an alcohol" } else { "pump gasoline of a middle grade" };
        let ron = take.or("fuel.ron", assumed.0, &format!("{}", assumed.0), why, "M");
        let mon = take.or("fuel.mon", assumed.1, &format!("{}", assumed.1), why, "M");
        // Rows of full load: at each speed the one with the highest manifold pressure.
        let rows = &facts.build().schedule;
        let mut speeds: Vec<f64> = rows.iter().filter_map(|r| r.speed.as_ref().map(|s| s.si)).collect();
        speeds.sort_by(f64::total_cmp);
        speeds.dedup_by(|a, b| (*a - *b).abs() < 0.5);
        let (mut lambda, mut spark) = (Vec::new(), Vec::new());
        for speed in speeds {
            let here = rows.iter().filter(|r| r.speed.as_ref().is_some_and(|s| (s.si - speed).abs() < 0.5));
            let load = |r: &&engine::build::SchedulePoint| r.manifold_pressure.as_ref().map_or(f64::MAX, |p| p.si);
            let Some(full) = here.max_by(|a, b| load(a).total_cmp(&load(b))) else { continue };
            if let Some(value) = &full.lambda {
                lambda.push((speed, value.si));
            }
            if let Some(value) = &full.spark {
                spark.push((speed, value.deg()));
            }
        }
        if lambda.is_empty() {
            let key = if charged { "mixture.lambda_charged" } else { "mixture.lambda_full_load" };
            let value = take.constant(key);
            take.note("schedule lambda", &format!("{value:.2}"), "a usual full-load mixture", "C");
            lambda.push((0.0, value));
        }
        let flame_fuel = if methanol > 0.5 { FlameFuel::Methanol } else { FlameFuel::Gasoline };
        Ok(Self {
            fuel,
            flame_fuel,
            ron,
            mon,
            lambda: SpeedTable { rows: lambda },
            spark_btdc_deg: SpeedTable { rows: spark },
        })
    }
}

/// The same fuel with hydrogen to carbon such that its stoichiometric ratio is the one given.
fn with_stoichiometric(fuel: Fuel, wanted: f64) -> Fuel {
    let (mut low, mut high) = (0.1, 8.0);
    let at = |h: f64| Fuel { hydrogen_per_carbon: h, ..fuel.clone() };
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if at(middle).stoichiometric() < wanted { low = middle } else { high = middle }
    }
    at(0.5 * (low + high))
}

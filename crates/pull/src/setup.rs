//! What a person states about a run: weather if the log has none, the standard, the band of use, the engine.

use crate::cell::Known;
use gas::correction::{InductionResponse, Standard};
use serde::{Deserialize, Serialize};

/// A range of engine speed, rpm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// Lower end, rpm.
    pub from_rpm: f64,
    /// Upper end, rpm; above `from_rpm`.
    pub to_rpm: f64,
}

/// What is stated about a run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Setup {
    /// Correction asked for.
    pub standard: Standard,
    /// How the manifold pressure answers the barometer.
    pub induction: InductionResponse,
    /// Station pressure, Pa, when the log has no barometer or the person overrules it.
    pub barometer_pa: Option<Known>,
    /// Inlet air temperature, K.
    pub air_temperature_k: Option<Known>,
    /// Relative humidity 0…1.
    pub humidity: Option<Known>,
    /// Vapour pressure, Pa (instead of humidity).
    pub vapour_pressure_pa: Option<Known>,
    /// Band in which the owner will use the engine; `None` means the whole span that all pulls cover.
    pub band: Option<Band>,
    /// Share of best torque that still counts as plateau (0.95).
    pub plateau_share: f64,
    /// Half width of the local regression, rpm.
    pub half_width_rpm: f64,
    /// Distance of the grid points, rpm.
    pub grid_rpm: f64,
    /// Friction mean effective pressure, Pa, for the forms that need friction; `None` if not known.
    pub friction_fmep_pa: Option<Known>,
    /// Swept volume of the engine, m³.
    pub displacement_m3: Option<Known>,
    /// Stroke, m.
    pub stroke_m: Option<Known>,
    /// Four-stroke (`true`) or two-stroke.
    pub four_stroke: bool,
    /// Number of cylinders.
    pub cylinders: Option<u32>,
    /// Fuel in words, as stated: "93 AKI pump".
    pub fuel: Option<String>,
    /// Stoichiometric air–fuel ratio of the fuel, by mass; needed to turn an air–fuel ratio into lambda.
    pub fuel_stoich: Option<Known>,
    /// Fuel density, kg/m³; needed to turn a volume flow into a mass flow.
    pub fuel_density_kg_m3: Option<Known>,
    /// Blower speed over crank speed, from pulleys and internal gears.
    pub blower_ratio: Option<Known>,
    /// Key of a use profile (`street`, `tow`, `hill_climb`, …) for the use-weighted mean.
    pub use_profile: Option<String>,
    /// Marine or aircraft use: J1349 is not written for it, and the report says so.
    pub marine_or_aircraft: bool,
    /// Inertia to be accelerated in the time-to-accelerate figure, kg·m² at the crank, with speeds.
    pub accelerate: Option<Accelerate>,
    /// Lag found and applied by role key, s; wins over the cell file.
    pub lags_s: std::collections::BTreeMap<String, f64>,
    /// Find lags of channels by laying sweeps up and down over each other, where a log has both.
    pub find_lags: bool,
    /// Shop limit on the mean spread of pulls over the band, relative (0.01).
    pub repeat_limit: f64,
    /// Pulls left out by a person: number (from 1) and the reason.
    #[serde(deserialize_with = "pull_numbers")]
    pub left_out: std::collections::BTreeMap<usize, String>,
    /// Give the power peak beyond the data when power was still climbing.
    pub extrapolate: bool,
}

/// "How long from n1 to n2 with this inertia."
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Accelerate {
    /// Moment of inertia seen at the crank, kg·m².
    pub inertia_kg_m2: Known,
    /// From, rpm.
    pub from_rpm: f64,
    /// To, rpm.
    pub to_rpm: f64,
}

/// Keys of JSON objects are texts, and a flattened struct hands them on as such.
fn pull_numbers<'de, D: serde::Deserializer<'de>>(
    from: D,
) -> Result<std::collections::BTreeMap<usize, String>, D::Error> {
    std::collections::BTreeMap::<String, String>::deserialize(from)?
        .into_iter()
        .map(|(number, reason)| Ok((number.parse().map_err(serde::de::Error::custom)?, reason)))
        .collect()
}

impl Default for Setup {
    fn default() -> Self {
        Self {
            standard: Standard::SaeJ1349,
            induction: InductionResponse::Unknown,
            barometer_pa: None,
            air_temperature_k: None,
            humidity: None,
            vapour_pressure_pa: None,
            band: None,
            plateau_share: 0.95,
            half_width_rpm: 75.0,
            grid_rpm: 25.0,
            friction_fmep_pa: None,
            displacement_m3: None,
            stroke_m: None,
            four_stroke: true,
            cylinders: None,
            fuel: None,
            fuel_stoich: None,
            fuel_density_kg_m3: None,
            blower_ratio: None,
            use_profile: None,
            marine_or_aircraft: false,
            accelerate: None,
            lags_s: std::collections::BTreeMap::new(),
            find_lags: false,
            repeat_limit: 0.01,
            left_out: std::collections::BTreeMap::new(),
            extrapolate: false,
        }
    }
}

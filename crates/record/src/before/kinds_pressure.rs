//! Cranking compression and leak-down, as written down.

use crate::{InstrumentUsed, Stated};
use serde::{Deserialize, Serialize};

/// Cranking compression. What was not noted is `None`; it is named as not noted, and never taken as done.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Cranking {
    /// Each cylinder.
    pub cylinders: Vec<CrankingCylinder>,
    /// The engine was at running temperature.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warm: Option<bool>,
    /// The throttle stood wide open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub throttle_open: Option<bool>,
    /// All plugs were out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plugs_out: Option<bool>,
    /// Ignition and injectors were off.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ignition_and_injectors_off: Option<bool>,
    /// Compression strokes of each cylinder, where all had the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strokes: Option<u32>,
    /// Cranking speed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub speed: Option<Stated>,
    /// Oil temperature.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub oil_temperature: Option<Stated>,
    /// Barometer on the spot, not reduced to sea level; see [`super::barometer`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub station_pressure: Option<Stated>,
    /// Height above the sea, where there is no barometer; see [`super::height`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub altitude: Option<Stated>,
    /// Oil poured in for the wet test.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wet_oil: Option<Stated>,
    /// The gauge; one gauge for all cylinders.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentUsed>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Cranking compression of one cylinder.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct CrankingCylinder {
    /// Its number.
    pub cylinder: u32,
    /// After the first stroke.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first: Option<Stated>,
    /// After the last stroke.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub last: Option<Stated>,
    /// After the last stroke with oil poured in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wet: Option<Stated>,
    /// Strokes of this cylinder, where they differ from the others.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strokes: Option<u32>,
    /// A remark; why there is no reading.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Where the piston stood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tdc {
    /// At top dead centre between compression and power: both valves closed.
    Firing,
    /// At top dead centre between exhaust and intake: both valves off their seats.
    Overlap,
    /// Nobody looked.
    NotChecked,
}

/// Where the air was heard or seen to go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AirAt {
    /// Throttle or intake.
    Throttle,
    /// Exhaust pipe.
    Exhaust,
    /// Oil filler, dipstick, breather.
    Filler,
    /// Bubbles in the radiator or header tank.
    Radiator,
    /// Plug hole of a neighbour.
    NextPlugHole,
    /// Listened at every place, nothing heard.
    Nowhere,
}

impl AirAt {
    /// Every place.
    pub const ALL: [Self; 6] =
        [Self::Throttle, Self::Exhaust, Self::Filler, Self::Radiator, Self::NextPlugHole, Self::Nowhere];

    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::Throttle => "throttle",
            Self::Exhaust => "exhaust pipe",
            Self::Filler => "oil filler",
            Self::Radiator => "bubbles in the radiator",
            Self::NextPlugHole => "next plug hole",
            Self::Nowhere => "nowhere to be heard",
        }
    }
}

/// What the tester showed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum LeakReading {
    /// Percent lost, as the scale has it.
    Lost(Stated),
    /// Percent held, as the scale has it.
    Held(Stated),
    /// Two gauges: before and behind the orifice.
    Gauges {
        /// Before the orifice.
        supply: Stated,
        /// Behind it, at the cylinder.
        cylinder: Stated,
    },
}

/// Leak-down in percent.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LeakDown {
    /// Each cylinder.
    pub cylinders: Vec<LeakCylinder>,
    /// Supply pressure, regulated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub supply: Option<Stated>,
    /// Orifice of the tester, diameter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub orifice: Option<Stated>,
    /// The engine was hot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hot: Option<bool>,
    /// Where the pistons stood.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tdc: Option<Tdc>,
    /// The crank was locked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crank_locked: Option<bool>,
    /// The tester.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentUsed>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Leak-down of one cylinder.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LeakCylinder {
    /// Its number.
    pub cylinder: u32,
    /// What the tester showed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reading: Option<LeakReading>,
    /// Where the air went; empty: nobody listened.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub air_at: Vec<AirAt>,
    /// The neighbour whose plug hole blew.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heard_in_cylinder: Option<u32>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Leak-down in the form of aircraft engines.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LeakDownAircraft {
    /// Each cylinder.
    pub cylinders: Vec<AircraftCylinder>,
    /// Supply pressure; the form is written for 80 psi.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub supply: Option<Stated>,
    /// Orifice of the tester, diameter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub orifice: Option<Stated>,
    /// Bore of the engine, where no description of it says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bore: Option<Stated>,
    /// The engine was hot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hot: Option<bool>,
    /// Where the pistons stood.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tdc: Option<Tdc>,
    /// The tester.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentUsed>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// What one cylinder held.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct AircraftCylinder {
    /// Its number.
    pub cylinder: u32,
    /// Pressure behind the orifice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub held: Option<Stated>,
    /// Where the air went.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub air_at: Vec<AirAt>,
    /// The neighbour whose plug hole blew.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heard_in_cylinder: Option<u32>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

//! Units as they are written in shops and logs, and their conversion to SI.
//!
//! A unit is looked up by its text, tolerant of case, spacing, dots, hyphens and raised digits
//! (`lb-ft`, `LBF·FT`, `ft lb`). Where a text has two readings in the trade (`lb`, `gal`, `ton`)
//! the look-up is an error that names the choices, unless the kind of quantity asked for settles it.
//!
//! Left out: units that need more than a number to become SI. `scfm` needs the gas condition it is
//! stated at, an equivalence ratio is the inverse of lambda; both are refused with the reason.

mod lookup;
pub(crate) mod table;

pub use lookup::{UnitError, find_unit, find_unit_in, is_unit};
pub use table::all_units;

use serde::{Deserialize, Serialize};

/// The kind of quantity that a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
#[allow(missing_docs)]
pub enum Dimension {
    Length,
    Area,
    Volume,
    Mass,
    Force,
    Torque,
    Power,
    Energy,
    SpecificEnergy,
    Pressure,
    Temperature,
    TemperatureDifference,
    Time,
    RotationalSpeed,
    AngularAcceleration,
    Velocity,
    Acceleration,
    Angle,
    Inertia,
    MassFlow,
    VolumeFlow,
    Density,
    SpecificFuel,
    SpringRate,
    Fraction,
    AirFuelRatio,
    Lambda,
    Voltage,
    Current,
    Frequency,
    // The last one: tables by kind are as long as its number.
    Count,
}

impl Dimension {
    /// What a person reads: "rotational speed".
    pub fn name(self) -> &'static str {
        match self {
            Self::Length => "length",
            Self::Area => "area",
            Self::Volume => "volume",
            Self::Mass => "mass",
            Self::Force => "force",
            Self::Torque => "torque",
            Self::Power => "power",
            Self::Energy => "energy",
            Self::SpecificEnergy => "energy per mass",
            Self::Pressure => "pressure",
            Self::Temperature => "temperature",
            Self::TemperatureDifference => "temperature difference",
            Self::Time => "time",
            Self::RotationalSpeed => "rotational speed",
            Self::AngularAcceleration => "angular acceleration",
            Self::Velocity => "velocity",
            Self::Acceleration => "acceleration",
            Self::Angle => "angle",
            Self::Inertia => "moment of inertia",
            Self::MassFlow => "mass flow",
            Self::VolumeFlow => "volume flow",
            Self::Density => "density",
            Self::SpecificFuel => "specific fuel consumption",
            Self::SpringRate => "spring rate",
            Self::Fraction => "fraction",
            Self::AirFuelRatio => "air–fuel ratio",
            Self::Lambda => "lambda",
            Self::Voltage => "voltage",
            Self::Current => "current",
            Self::Frequency => "frequency",
            Self::Count => "count",
        }
    }

    /// The unit of the SI value that [`Unit::to_si`] gives for this kind: "Pa", "rad/s", "1".
    pub fn si_symbol(self) -> &'static str {
        match self {
            Self::Length => "m",
            Self::Area => "m²",
            Self::Volume => "m³",
            Self::Mass => "kg",
            Self::Force => "N",
            Self::Torque => "N·m",
            Self::Power => "W",
            Self::Energy => "J",
            Self::SpecificEnergy => "J/kg",
            Self::Pressure => "Pa",
            Self::Temperature | Self::TemperatureDifference => "K",
            Self::Time => "s",
            Self::RotationalSpeed => "rad/s",
            Self::AngularAcceleration => "rad/s²",
            Self::Velocity => "m/s",
            Self::Acceleration => "m/s²",
            Self::Angle => "rad",
            Self::Inertia => "kg·m²",
            Self::MassFlow => "kg/s",
            Self::VolumeFlow => "m³/s",
            Self::Density => "kg/m³",
            Self::SpecificFuel => "kg/J",
            Self::SpringRate => "N/m",
            Self::Fraction | Self::AirFuelRatio | Self::Lambda | Self::Count => "1",
            Self::Voltage => "V",
            Self::Current => "A",
            Self::Frequency => "Hz",
        }
    }
}

impl std::fmt::Display for Dimension {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}

/// What a pressure is counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PressureReference {
    /// Above the air around (psig).
    Gauge,
    /// Above nothing at all (psia).
    Absolute,
    /// Below the air around (inHg vac). The SI value is a gauge pressure and negative.
    Vacuum,
    /// Not said, or the unit is no pressure.
    Unstated,
}

/// Which shaft an angle is counted on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Shaft {
    /// Degrees of the crank.
    Crank,
    /// Degrees of the camshaft, which turns at half speed in a four-stroke.
    Cam,
    /// Not said, or the unit is no angle.
    Unstated,
}

/// A unit: `si = written × scale + offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// How we print it: "lb-ft".
    pub symbol: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Factor to SI. Negative for a vacuum, which counts downwards.
    pub scale: f64,
    /// Added after the factor; zero except for °C and °F.
    pub offset: f64,
    /// What a pressure is counted from.
    pub reference: PressureReference,
    /// Which shaft an angle is counted on.
    pub shaft: Shaft,
    /// Other spellings. For a pressure these are the spellings of the plain unit; the words for
    /// gauge, absolute and vacuum are put behind them by the look-up.
    pub aliases: &'static [&'static str],
    /// Found only when its kind is asked for: a load cell in `kg`, energy in `ft-lb`.
    pub only_when_asked: bool,
}

impl Unit {
    /// The SI value of a number written in this unit.
    pub fn to_si(&self, written: f64) -> f64 {
        written * self.scale + self.offset
    }

    /// The number to write in this unit for an SI value.
    pub fn from_si(&self, si: f64) -> f64 {
        (si - self.offset) / self.scale
    }
}

/// The units of one kind of quantity, in the order in which choices are offered.
pub fn units_of(dimension: Dimension) -> impl Iterator<Item = &'static Unit> {
    all_units().filter(move |unit| unit.dimension == dimension)
}

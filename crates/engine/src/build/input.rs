//! One input of a build: its value, how surely it is known, the words it was typed in, and its origin.

use crate::propagate::Estimate;
use quantity::Dimension;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Where an input comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "origin")]
#[non_exhaustive]
pub enum Origin {
    /// Read from an instrument in this shop.
    Measured {
        /// Name or register number of the instrument.
        instrument: String,
        /// Who read it.
        by: Option<String>,
        /// When, as written.
        when: Option<String>,
    },
    /// Said by somebody, not checked.
    Claimed {
        /// Who said it.
        by: String,
    },
    /// Printed in a source.
    Published {
        /// The source.
        source: String,
    },
    /// Taken for granted.
    Assumed {
        /// Why.
        why: String,
    },
    /// The file does not say.
    NotStated,
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Measured { instrument, by, when } => {
                write!(f, "measured by {instrument}")?;
                if let Some(by) = by {
                    write!(f, ", read by {by}")?;
                }
                when.as_ref().map_or(Ok(()), |when| write!(f, ", {when}"))
            }
            Self::Claimed { by } => write!(f, "claimed by {by}"),
            Self::Published { source } => write!(f, "published in {source}"),
            Self::Assumed { why } => write!(f, "assumed because {why}"),
            Self::NotStated => f.write_str("origin not stated"),
        }
    }
}

/// A value in SI with its standard uncertainty, the text as typed, and its origin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Input {
    /// The value, SI; angles in rad.
    pub si: f64,
    /// Standard uncertainty (k = 1), same unit. What stands behind "±" is taken as 95 % and halved; without
    /// it, the last digit typed counts as a rounding: half a step either way, evenly likely, `step / √12`.
    pub u: f64,
    /// The text as typed.
    pub text: String,
    /// Where it comes from.
    pub origin: Origin,
}

impl Input {
    /// Value and standard uncertainty for a kernel.
    pub fn estimate(&self) -> Estimate {
        Estimate { value: self.si, u: self.u }
    }

    /// The value of an angle in degrees.
    pub fn deg(&self) -> f64 {
        self.si.to_degrees()
    }
}

/// What a field of the build holds, and so which units it takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
#[allow(missing_docs)]
pub enum Kind {
    Length,
    /// A length that cannot be zero or below.
    Size,
    Area,
    /// Zero or more.
    Volume,
    /// Either sign.
    SignedVolume,
    Mass,
    Force,
    SpringRate,
    Inertia,
    Power,
    Speed,
    CrankAngle,
    CamAngle,
    /// Above the air around.
    Gauge,
    Absolute,
    /// Between two places.
    Drop,
    Temperature,
    Share,
    Number,
    /// A plain number as printed: its last digit is no rounding.
    Nominal,
    VolumeFlow,
    MassFlow,
    SpecificFuel,
    HeatingValue,
    Density,
    Height,
    Lambda,
}

impl Kind {
    /// The dimension of the units it takes.
    pub fn dimension(self) -> Dimension {
        match self {
            Self::Length | Self::Size | Self::Height => Dimension::Length,
            Self::Area => Dimension::Area,
            Self::Volume | Self::SignedVolume => Dimension::Volume,
            Self::Mass => Dimension::Mass,
            Self::Force => Dimension::Force,
            Self::SpringRate => Dimension::SpringRate,
            Self::Inertia => Dimension::Inertia,
            Self::Power => Dimension::Power,
            Self::Speed => Dimension::RotationalSpeed,
            Self::CrankAngle | Self::CamAngle => Dimension::Angle,
            Self::Gauge | Self::Absolute | Self::Drop => Dimension::Pressure,
            Self::Temperature => Dimension::Temperature,
            Self::Share => Dimension::Fraction,
            Self::Number | Self::Nominal => Dimension::Count,
            Self::VolumeFlow => Dimension::VolumeFlow,
            Self::MassFlow => Dimension::MassFlow,
            Self::SpecificFuel => Dimension::SpecificFuel,
            Self::HeatingValue => Dimension::SpecificEnergy,
            Self::Density => Dimension::Density,
            Self::Lambda => Dimension::Lambda,
        }
    }

    /// What a person reads, with an example: "a length, such as \"4.030 in\" or \"102.4 mm\"".
    pub fn expected(self) -> &'static str {
        match self {
            Self::Length => "a length, such as \"0.041 in\" or \"1.04 mm\"",
            Self::Size => "a size above zero, such as \"4.030 in\" or \"102.4 mm\"",
            Self::Area => "an area, such as \"2.4 in²\" or \"15.5 cm²\"",
            Self::Volume => "a volume of zero or more, such as \"64 cc\"",
            Self::SignedVolume => "a volume, dish positive and dome negative, such as \"12 cc\" or \"-26 cc\"",
            Self::Mass => "a mass, such as \"560 g\"",
            Self::Force => "a force, such as \"130 lbf\" or \"580 N\"",
            Self::SpringRate => "a spring rate, such as \"350 lb/in\" or \"61 N/mm\"",
            Self::Inertia => "a moment of inertia, such as \"0.00005 kg·m²\"",
            Self::Power => "a power, such as \"400 hp\" or \"298 kW\"",
            Self::Speed => "a speed above zero, such as \"6000 rpm\"",
            Self::CrankAngle => "crank degrees, such as \"4 deg\"",
            Self::CamAngle => "cam degrees, such as \"110 deg\"",
            Self::Gauge => "a gauge pressure, such as \"43.5 psig\" or \"300 kPa gauge\"",
            Self::Absolute => "an absolute pressure, such as \"98.0 kPa abs\" or \"29.12 inHg abs\"",
            Self::Drop => "a pressure difference, such as \"28 inH2O\" or \"300 kPa\"",
            Self::Temperature => "a temperature, such as \"77 °F\" or \"25 °C\"",
            Self::Share => "a share in percent, such as \"62 %\"",
            Self::Number | Self::Nominal => "a plain number, such as \"1.5\"",
            Self::VolumeFlow => "a volume flow, such as \"248 cfm\" or \"550 cc/min\"",
            Self::MassFlow => "a mass flow, such as \"42 lb/h\"",
            Self::SpecificFuel => "a specific fuel consumption, such as \"0.50 lb/hp-h\"",
            Self::HeatingValue => "an energy per mass, such as \"43.4 MJ/kg\"",
            Self::Density => "a density, such as \"745 kg/m³\"",
            Self::Height => "a height above the sea, such as \"5,300 ft\"",
            Self::Lambda => "lambda, such as \"0.88\"",
        }
    }
}

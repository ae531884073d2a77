//! The forms of correction that a person can choose, and what is to be said about each.

use super::{din70020, iso1585, jis_d1001, sae_j607, sae_j1349};
use serde::{Deserialize, Serialize};

/// A form of correction that a person can choose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Standard {
    /// No correction: as observed.
    Observed,
    /// SAE J1349, printed form 1.180 x − 0.180.
    SaeJ1349,
    /// SAE J1349, the 85 % assumption without rounding.
    SaeJ1349Unrounded,
    /// SAE J1349 with known friction torque.
    SaeJ1349KnownFriction,
    /// SAE J607, bare factor ("STD").
    SaeJ607,
    /// SAE J607 with friction torque added before and taken off after.
    SaeJ607WithFriction,
    /// ISO 1585 / UN R85, positive ignition.
    Iso1585,
    /// DIN 70020 (total pressure, humidity ignored).
    Din70020,
    /// JIS D 1001.
    JisD1001,
}

impl Standard {
    /// Every form, in the order in which they are offered.
    pub const ALL: [Standard; 9] = [
        Self::Observed,
        Self::SaeJ1349,
        Self::SaeJ1349Unrounded,
        Self::SaeJ1349KnownFriction,
        Self::SaeJ607,
        Self::SaeJ607WithFriction,
        Self::Iso1585,
        Self::Din70020,
        Self::JisD1001,
    ];

    /// Stable key, as in files and flags; the same as the serialised form.
    pub fn key(self) -> &'static str {
        match self {
            Self::Observed => "observed",
            Self::SaeJ1349 => "sae_j1349",
            Self::SaeJ1349Unrounded => "sae_j1349_unrounded",
            Self::SaeJ1349KnownFriction => "sae_j1349_known_friction",
            Self::SaeJ607 => "sae_j607",
            Self::SaeJ607WithFriction => "sae_j607_with_friction",
            Self::Iso1585 => "iso1585",
            Self::Din70020 => "din70020",
            Self::JisD1001 => "jis_d1001",
        }
    }

    /// The form of a key, or `None` if no form is called that.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|standard| standard.key() == key)
    }

    /// Short name for lists and axis titles.
    pub fn label(self) -> &'static str {
        match self {
            Self::Observed => "as observed",
            Self::SaeJ1349 => "SAE J1349",
            Self::SaeJ1349Unrounded => "SAE J1349, 85 % unrounded",
            Self::SaeJ1349KnownFriction => "SAE J1349, known friction",
            Self::SaeJ607 => "SAE J607 (STD)",
            Self::SaeJ607WithFriction => "SAE J607 (STD), with friction",
            Self::Iso1585 => "ISO 1585 / UN R85",
            Self::Din70020 => "DIN 70020",
            Self::JisD1001 => "JIS D 1001",
        }
    }

    /// How a sheet says it. It says which factor was used and claims nothing beyond that.
    pub fn wording(self) -> &'static str {
        match self {
            Self::Observed => "as observed, not corrected for weather",
            Self::SaeJ1349 => "corrected with the J1349 factor",
            Self::SaeJ1349Unrounded => "corrected with the J1349 factor, 85 % form unrounded",
            Self::SaeJ1349KnownFriction => "corrected with the J1349 factor, known friction",
            Self::SaeJ607 => "corrected with the J607 (STD) factor",
            Self::SaeJ607WithFriction => {
                "corrected with the J607 (STD) factor, friction added before and taken off after"
            }
            Self::Iso1585 => "corrected with the ISO 1585 factor",
            Self::Din70020 => "corrected with the DIN 70020 factor",
            Self::JisD1001 => "corrected with the JIS D 1001 factor",
        }
    }

    /// The air to which the figures are referred.
    pub fn reference(self) -> &'static str {
        match self {
            Self::Observed => "the air of the day",
            Self::SaeJ1349 | Self::SaeJ1349Unrounded | Self::SaeJ1349KnownFriction => sae_j1349::REFERENCE,
            Self::SaeJ607 | Self::SaeJ607WithFriction => sae_j607::REFERENCE,
            Self::Iso1585 => iso1585::REFERENCE,
            Self::Din70020 => din70020::REFERENCE,
            Self::JisD1001 => jis_d1001::REFERENCE,
        }
    }

    /// Factors for which the form is meant; `None` where no range of the form is known to us.
    pub fn factor_range(self) -> Option<(f64, f64)> {
        match self {
            Self::SaeJ1349 | Self::SaeJ1349Unrounded | Self::SaeJ1349KnownFriction => Some(sae_j1349::FACTOR_RANGE),
            Self::Iso1585 => Some(iso1585::FACTOR_RANGE),
            Self::Observed | Self::SaeJ607 | Self::SaeJ607WithFriction | Self::Din70020 | Self::JisD1001 => None,
        }
    }

    /// Inlet air temperatures for which the form is meant, K; `None` where not known to us.
    pub fn temperature_range_k(self) -> Option<(f64, f64)> {
        match self {
            Self::SaeJ1349 | Self::SaeJ1349Unrounded | Self::SaeJ1349KnownFriction => {
                Some(sae_j1349::TEMPERATURE_RANGE_K)
            }
            Self::Iso1585 => Some(iso1585::TEMPERATURE_RANGE_K),
            Self::Observed | Self::SaeJ607 | Self::SaeJ607WithFriction | Self::Din70020 | Self::JisD1001 => None,
        }
    }

    /// Dry pressures for which the form is meant, Pa; `None` where not known to us.
    pub fn pressure_range_pa(self) -> Option<(f64, f64)> {
        match self {
            Self::SaeJ1349 | Self::SaeJ1349Unrounded | Self::SaeJ1349KnownFriction => {
                Some(sae_j1349::PRESSURE_RANGE_PA)
            }
            Self::Iso1585 => Some(iso1585::PRESSURE_RANGE_PA),
            Self::Observed | Self::SaeJ607 | Self::SaeJ607WithFriction | Self::Din70020 | Self::JisD1001 => None,
        }
    }

    /// Where the formula is from, and how surely.
    pub fn source(self) -> &'static str {
        match self {
            Self::Observed => "no formula",
            Self::SaeJ1349 => sae_j1349::SOURCE,
            Self::SaeJ1349Unrounded => sae_j1349::SOURCE_UNROUNDED,
            Self::SaeJ1349KnownFriction => sae_j1349::SOURCE_KNOWN_FRICTION,
            Self::SaeJ607 | Self::SaeJ607WithFriction => sae_j607::SOURCE,
            Self::Iso1585 => iso1585::SOURCE,
            Self::Din70020 => din70020::SOURCE,
            Self::JisD1001 => jis_d1001::SOURCE,
        }
    }

    /// Whether the form works only with a friction torque.
    pub fn needs_friction(self) -> bool {
        matches!(self, Self::SaeJ1349KnownFriction | Self::SaeJ607WithFriction)
    }

    /// What belongs beside a figure of this form; `None` if nothing does.
    pub fn caution(self) -> Option<&'static str> {
        match self {
            Self::Observed => None,
            Self::SaeJ1349 | Self::SaeJ1349Unrounded | Self::SaeJ1349KnownFriction => Some(
                "J1349 is written for road engines, not for marine or aircraft engines. \
                 The figures are the shop's own and not a certified rating.",
            ),
            Self::SaeJ607 => Some(
                "J607 is long withdrawn. Near sea level it reads about 4 % above J1349, and the ratio \
                 changes with the weather.",
            ),
            Self::SaeJ607WithFriction => {
                Some("J607 is long withdrawn, and its friction form is not its bare form: do not compare the two.")
            }
            Self::Iso1585 => Some(
                "Outside factors of 0.93 to 1.07 the pressure and temperature of the test must stand beside the figure.",
            ),
            Self::Din70020 => Some("DIN 70020 leaves humidity out and is superseded; it is here for old sheets."),
            Self::JisD1001 => Some("Older editions had other reference conditions, which we do not know."),
        }
    }
}

impl std::fmt::Display for Standard {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.label())
    }
}

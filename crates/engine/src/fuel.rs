//! Fuels and their blends: air needed, energy, cooling, octane.
//!
//! Model: a fuel is CHₓO_y with a density, a heating value and a latent heat; blends mix by volume
//! without change of volume, or by mass. Left out: water in ethanol, change of volume on mixing (below
//! 0.5 %), and octane of blends, which does not mix in proportion and is not computed.
//!
//! # Source
//! Stoichiometry in dry air of 20.95 % oxygen and 28.9644 g/mol. Properties of the pure fuels: heats of
//! formation and latent heats of the Python package chemicals 1.5.2, densities of CoolProp 8.0.0, as
//! listed in `validation/fuels`. Gasoline is an assumed CH1.87 from memory; a fuel sheet is better.

use crate::possible::{NotPossible, above_zero};

/// Molar masses, g/mol.
const CARBON: f64 = 12.011;
const HYDROGEN: f64 = 1.007_94;
const OXYGEN: f64 = 15.999_4;
/// Share of oxygen in dry air by mole, and its molar mass, g/mol.
const OXYGEN_IN_AIR: f64 = 0.2095;
const AIR: f64 = 28.964_4;
/// Heat capacities of the evaporation estimate, J/(kg·K): air and fuel vapour.
const AIR_HEAT: f64 = 1006.0;
const VAPOUR_HEAT: f64 = 1700.0;

/// Why a fuel figure is not possible. A clash names both facts.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FuelError {
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
    /// Shares of a blend do not make a whole.
    #[error("the shares of the blend make {sum_percent:.2} %, 100 % were expected; nothing was scaled")]
    SharesNotWhole {
        /// Their sum, %.
        sum_percent: f64,
    },
    /// A pressure was asked for that the pump's table does not hold.
    #[error(
        "a pressure of {asked_kpa:.0} kPa was not measured: the pump's table runs from {from_kpa:.0} to {to_kpa:.0} kPa; \
         nothing is drawn out beyond it"
    )]
    PressureNotMeasured {
        /// Pressure asked for, kPa gauge.
        asked_kpa: f64,
        /// Least pressure of the table, kPa gauge.
        from_kpa: f64,
        /// Greatest pressure of the table, kPa gauge.
        to_kpa: f64,
    },
}

/// A fuel, pure or blended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Properties {
    /// Hydrogen atoms per carbon atom.
    pub hydrogen_per_carbon: f64,
    /// Oxygen atoms per carbon atom.
    pub oxygen_per_carbon: f64,
    /// Density at 15 °C, kg/m³.
    pub density_kg_m3: f64,
    /// Lower heating value of the liquid, J/kg.
    pub heating_j_kg: f64,
    /// Latent heat at 25 °C, J/kg.
    pub latent_j_kg: f64,
}

/// Gasoline without ethanol: assumed, from memory.
pub const GASOLINE: Properties = Properties {
    hydrogen_per_carbon: 1.87,
    oxygen_per_carbon: 0.0,
    density_kg_m3: 745.0,
    heating_j_kg: 43.4e6,
    latent_j_kg: 350e3,
};
/// Pure ethanol.
pub const ETHANOL: Properties = Properties {
    hydrogen_per_carbon: 3.0,
    oxygen_per_carbon: 0.5,
    density_kg_m3: 793.689_06,
    heating_j_kg: 26_818_099.0,
    latent_j_kg: 918_633.23,
};
/// Pure methanol.
pub const METHANOL: Properties = Properties {
    hydrogen_per_carbon: 4.0,
    oxygen_per_carbon: 1.0,
    density_kg_m3: 795.690_8,
    heating_j_kg: 19_935_235.0,
    latent_j_kg: 1_168_159.4,
};

impl Properties {
    /// Mass of air over mass of fuel at which nothing is left over.
    pub fn stoichiometric(&self) -> f64 {
        let oxygen_mol = 1.0 + 0.25 * self.hydrogen_per_carbon - 0.5 * self.oxygen_per_carbon;
        oxygen_mol / OXYGEN_IN_AIR * AIR / self.g_per_carbon_mol()
    }

    /// Heat per volume of liquid, J/m³.
    pub fn heating_j_m3(&self) -> f64 {
        self.heating_j_kg * self.density_kg_m3
    }

    /// Heat per mass of air at lambda 1, J/kg: nearly the same for all fuels here.
    pub fn heating_per_air_j_kg(&self) -> f64 {
        self.heating_j_kg / self.stoichiometric()
    }

    /// Drop of the charge's temperature, K, if all fuel evaporates into dry air without outside heat, at
    /// a lambda. An upper bound; heat capacities 1006 and 1700 J/(kg·K).
    ///
    /// # Errors
    /// [`FuelError::NotPossible`] for a lambda that is not above zero.
    pub fn evaporation_drop_k(&self, lambda: f64) -> Result<f64, FuelError> {
        above_zero("lambda", lambda, "")?;
        let per_air = 1.0 / (lambda * self.stoichiometric());
        Ok(per_air * self.latent_j_kg / (AIR_HEAT + per_air * VAPOUR_HEAT))
    }

    fn g_per_carbon_mol(&self) -> f64 {
        CARBON + HYDROGEN * self.hydrogen_per_carbon + OXYGEN * self.oxygen_per_carbon
    }

    fn check(&self) -> Result<(), FuelError> {
        above_zero("hydrogen per carbon", self.hydrogen_per_carbon, "")?;
        above_zero("a density", self.density_kg_m3, " kg/m³")?;
        above_zero("a heating value", self.heating_j_kg, " J/kg")?;
        above_zero("a latent heat", self.latent_j_kg, " J/kg")?;
        if self.oxygen_per_carbon >= 0.0 && self.oxygen_per_carbon <= 2.0 {
            return Ok(());
        }
        let (what, value) = ("oxygen per carbon", self.oxygen_per_carbon);
        Err(NotPossible { what, value, unit: "", expected: "a number from 0 to 2" }.into())
    }
}

/// A blend by volume: fuels and their shares, which make 1. "E85" of a pump varies; measure it.
///
/// # Errors
/// [`FuelError::SharesNotWhole`] for shares that do not make 1 within 1e-6; [`FuelError::NotPossible`].
pub fn blend_by_volume(parts: &[(Properties, f64)]) -> Result<Properties, FuelError> {
    check_shares(parts)?;
    let mass: Vec<(Properties, f64)> = parts.iter().map(|&(p, share)| (p, share * p.density_kg_m3)).collect();
    let density: f64 = mass.iter().map(|part| part.1).sum();
    Ok(mixed(&mass.iter().map(|&(p, m)| (p, m / density)).collect::<Vec<_>>()))
}

/// A blend by mass: fuels and their shares, which make 1.
///
/// # Errors
/// As [`blend_by_volume`].
pub fn blend_by_mass(parts: &[(Properties, f64)]) -> Result<Properties, FuelError> {
    check_shares(parts)?;
    Ok(mixed(parts))
}

fn check_shares(parts: &[(Properties, f64)]) -> Result<(), FuelError> {
    for (properties, share) in parts {
        properties.check()?;
        if !(0.0..=1.0).contains(share) {
            let expected = "a share from 0 to 1";
            return Err(NotPossible { what: "a share of a blend", value: *share, unit: "", expected }.into());
        }
    }
    let sum: f64 = parts.iter().map(|part| part.1).sum();
    if (sum - 1.0).abs() <= 1e-6 { Ok(()) } else { Err(FuelError::SharesNotWhole { sum_percent: sum * 100.0 }) }
}

fn mixed(by_mass: &[(Properties, f64)]) -> Properties {
    let sum = |of: &dyn Fn(&Properties) -> f64| by_mass.iter().map(|(p, share)| share * of(p)).sum::<f64>();
    let carbon = sum(&|p| 1.0 / p.g_per_carbon_mol());
    Properties {
        hydrogen_per_carbon: sum(&|p| p.hydrogen_per_carbon / p.g_per_carbon_mol()) / carbon,
        oxygen_per_carbon: sum(&|p| p.oxygen_per_carbon / p.g_per_carbon_mol()) / carbon,
        density_kg_m3: 1.0 / sum(&|p| 1.0 / p.density_kg_m3),
        heating_j_kg: sum(&|p| p.heating_j_kg),
        latent_j_kg: sum(&|p| p.latent_j_kg),
    }
}

/// Octane numbers of a fuel. A pump in one country shows their mean (AKI), in another RON: never the same label.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Octane {
    /// Research octane number.
    pub ron: f64,
    /// Motor octane number.
    pub mon: f64,
}

impl Octane {
    /// From RON and MON; RON is not below MON for fuels of engines.
    ///
    /// # Errors
    /// [`FuelError::Clash`] for a RON below the MON, which are then likely exchanged.
    pub fn new(ron: f64, mon: f64) -> Result<Self, FuelError> {
        for (what, value) in [("a RON", ron), ("a MON", mon)] {
            if !(0.0..=150.0).contains(&value) {
                return Err(NotPossible { what, value, unit: "", expected: "a number from 0 to 150" }.into());
            }
        }
        if ron >= mon {
            return Ok(Self { ron, mon });
        }
        Err(FuelError::Clash {
            first: format!("RON {ron}"),
            second: format!("MON {mon}"),
            why: "the motor method is the harder one; the two are likely exchanged",
        })
    }

    /// From the number on a pump that shows (R+M)/2, and the sensitivity RON less MON.
    ///
    /// # Errors
    /// As [`Octane::new`].
    pub fn from_aki(aki: f64, sensitivity: f64) -> Result<Self, FuelError> {
        Self::new(aki + 0.5 * sensitivity, aki - 0.5 * sensitivity)
    }

    /// Anti-knock index, (R+M)/2.
    pub fn aki(&self) -> f64 {
        0.5 * (self.ron + self.mon)
    }

    /// RON less MON.
    pub fn sensitivity(&self) -> f64 {
        self.ron - self.mon
    }

    /// Octane index RON − K × sensitivity (Kalghatgi, from memory): K 0.5 gives the AKI, boosted engines
    /// of today have K of 0 and below.
    pub fn index(&self, k: f64) -> f64 {
        self.ron - k * self.sensitivity()
    }
}

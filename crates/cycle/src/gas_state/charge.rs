//! The three gases of one engine: its air, the vapour of its fuel, and what its mixture burns to.
//!
//! Model: burned gas of a lean mixture is carbon dioxide, water and left-over oxygen; of a rich one it holds carbon
//! monoxide and hydrogen in the proportion of the water–gas reaction, frozen at 1740 K, `K = 3.5` (a fit in general
//! use, quoted from memory; against equilibrium it is within 1 kJ/kg at 1800 K). What splits at higher temperature is
//! added by [`super::dissociation`]. Left out: soot, hydrocarbons and nitrogen oxides in the exhaust.
//!
//! # Source
//! Dry air of 20.95 % oxygen, 78.08 % nitrogen and 0.97 % argon by mole. Heat capacities: [`super::species`].

use super::dissociation::DissociationFit;
use super::equilibrium::{Elements, EquilibriumError};
use super::species::{BREAK_K, GAS_CONSTANT, Nasa7, REFERENCE_K, Species};
use engine::fuel::{ETHANOL, GASOLINE, METHANOL, Properties};

/// Dry air, moles of oxygen, nitrogen and argon per mole.
const AIR: [f64; 3] = [0.2095, 0.7808, 0.0097];
/// Molar masses of the elements, kg/mol, as the table of gases adds them up.
const CARBON: f64 = 0.012_011;
const HYDROGEN: f64 = 0.001_008;
const OXYGEN: f64 = 0.015_999;

/// Why a charge cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ChargeError {
    /// A lambda outside what burns in an engine.
    #[error("a lambda of {lambda} is not possible: expected 0.6 to 1.8")]
    Lambda {
        /// What was given.
        lambda: f64,
    },
    /// Water vapour outside what air holds.
    #[error("water vapour of {water} kg in a kg of dry air is not possible: expected 0 to 0.2")]
    Water {
        /// What was given.
        water: f64,
    },
    /// A fuel whose numbers cannot be.
    #[error("a fuel with {what} of {value} is not possible: expected {expected}")]
    Fuel {
        /// Which number.
        what: &'static str,
        /// What was given.
        value: f64,
        /// What is expected.
        expected: &'static str,
    },
    /// The composition of burned gas was not found.
    #[error(transparent)]
    Equilibrium(#[from] EquilibriumError),
}

/// A fuel as the cylinder sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fuel {
    /// Hydrogen atoms per carbon atom.
    pub hydrogen_per_carbon: f64,
    /// Oxygen atoms per carbon atom.
    pub oxygen_per_carbon: f64,
    /// Lower heating value of the vapour at 25 °C, J/kg.
    pub heating_vapour_j_kg: f64,
    /// Latent heat at 25 °C, J/kg.
    pub latent_j_kg: f64,
    /// Molar mass of the vapour, kg/mol.
    pub molar_mass_kg_mol: f64,
    /// Gases whose heat capacity stands for the vapour's, with their shares by mass.
    pub vapour: Vec<(Species, f64)>,
}

/// Molar mass of gasoline vapour, kg/mol: from memory, 0.10 to 0.11.
const GASOLINE_MOLAR_MASS: f64 = 0.107;

impl Fuel {
    /// A blend of gasoline with ethanol and methanol by volume (shares 0 to 1), with the properties its fuel sheet or
    /// the blend gives. Gasoline vapour is given the heat capacity of iso-octane.
    ///
    /// # Errors
    /// [`ChargeError::Fuel`] for shares outside 0 to 1 or that pass the whole, and for a heating value not above zero.
    pub fn blend(properties: &Properties, ethanol: f64, methanol: f64) -> Result<Self, ChargeError> {
        for (what, value) in [("an ethanol share", ethanol), ("a methanol share", methanol)] {
            if !(0.0..=1.0).contains(&value) {
                return Err(ChargeError::Fuel { what, value, expected: "a share from 0 to 1" });
            }
        }
        if ethanol + methanol > 1.0 + 1e-9 {
            let value = ethanol + methanol;
            return Err(ChargeError::Fuel { what: "alcohol shares", value, expected: "together not above 1" });
        }
        let checks = [
            ("hydrogen per carbon", properties.hydrogen_per_carbon),
            ("a heating value", properties.heating_j_kg),
            ("a latent heat", properties.latent_j_kg),
        ];
        for (what, value) in checks {
            if !(value > 0.0 && value.is_finite()) {
                return Err(ChargeError::Fuel { what, value, expected: "a number above zero" });
            }
        }
        let gasoline = (1.0 - ethanol - methanol).max(0.0);
        let masses =
            [gasoline * GASOLINE.density_kg_m3, ethanol * ETHANOL.density_kg_m3, methanol * METHANOL.density_kg_m3];
        let whole: f64 = masses.iter().sum();
        let gases = [Species::Isooctane, Species::Ethanol, Species::Methanol];
        let molar = [
            GASOLINE_MOLAR_MASS,
            Species::Ethanol.data().molar_mass_kg_mol,
            Species::Methanol.data().molar_mass_kg_mol,
        ];
        Ok(Self {
            hydrogen_per_carbon: properties.hydrogen_per_carbon,
            oxygen_per_carbon: properties.oxygen_per_carbon,
            heating_vapour_j_kg: properties.heating_j_kg + properties.latent_j_kg,
            latent_j_kg: properties.latent_j_kg,
            molar_mass_kg_mol: whole / masses.iter().zip(molar).map(|(m, molar)| m / molar).sum::<f64>(),
            vapour: gases.into_iter().zip(masses).filter(|(_, m)| *m > 0.0).map(|(g, m)| (g, m / whole)).collect(),
        })
    }

    /// Pure iso-octane, its heating value from the heats of formation of the table of gases.
    pub fn isooctane() -> Self {
        let h = |gas: Species| gas.data().formation_j_mol();
        let molar_mass_kg_mol = Species::Isooctane.data().molar_mass_kg_mol;
        let heat = h(Species::Isooctane) + 12.5 * h(Species::O2) - 8.0 * h(Species::Co2) - 9.0 * h(Species::H2o);
        Self {
            hydrogen_per_carbon: 2.25,
            oxygen_per_carbon: 0.0,
            heating_vapour_j_kg: heat / molar_mass_kg_mol,
            latent_j_kg: 307_628.95,
            molar_mass_kg_mol,
            vapour: vec![(Species::Isooctane, 1.0)],
        }
    }

    fn per_carbon_kg(&self) -> f64 {
        CARBON + HYDROGEN * self.hydrogen_per_carbon + OXYGEN * self.oxygen_per_carbon
    }

    fn oxygen_mol(&self) -> f64 {
        1.0 + 0.25 * self.hydrogen_per_carbon - 0.5 * self.oxygen_per_carbon
    }

    /// Mass of dry air over mass of fuel with nothing left over.
    pub fn stoichiometric(&self) -> f64 {
        self.oxygen_mol() / AIR[0] * air_molar_mass() / self.per_carbon_kg()
    }
}

fn air_molar_mass() -> f64 {
    let gases = [Species::O2, Species::N2, Species::Ar];
    gases.iter().zip(AIR).map(|(g, x)| x * g.data().molar_mass_kg_mol).sum()
}

/// One of the three gases: gas constant and energy.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// Gas constant, J/(kg·K).
    pub r_j_kg_k: f64,
    /// Energy below 1000 K as a polynomial in thousands of kelvins, J/kg.
    pub low: [f64; 6],
    /// The same above.
    pub high: [f64; 6],
}

impl Component {
    /// From gases and their shares by mass, and the molar mass where it is not theirs.
    fn of(parts: &[(Species, f64)], molar_mass_kg_mol: Option<f64>) -> Self {
        let mut moles = 0.0;
        let (mut low, mut high) = ([0.0; 6], [0.0; 6]);
        for &(species, share) in parts {
            let gas: &Nasa7 = species.data();
            let per_kg = share / gas.molar_mass_kg_mol;
            moles += per_kg;
            let r = per_kg * GAS_CONSTANT;
            let formation = per_kg * gas.formation_j_mol();
            for (to, a) in [(&mut low, &gas.low), (&mut high, &gas.high)] {
                to[0] += r * a[5] - formation;
                for k in 0..5 {
                    to[k + 1] += r * a[k] * 1000f64.powi(k as i32 + 1) / (k as f64 + 1.0);
                }
            }
        }
        let r_j_kg_k = molar_mass_kg_mol.map_or(GAS_CONSTANT * moles, |molar| GAS_CONSTANT / molar);
        // Energy is enthalpy less R T.
        low[1] -= 1000.0 * r_j_kg_k;
        high[1] -= 1000.0 * r_j_kg_k;
        Self { r_j_kg_k, low, high }
    }

    /// Sensible energy, J/kg: enthalpy is zero at 25 °C.
    pub fn e_j_kg(&self, t_k: f64) -> f64 {
        let (c, x) = (self.range(t_k), 1e-3 * t_k);
        c[0] + x * (c[1] + x * (c[2] + x * (c[3] + x * (c[4] + x * c[5]))))
    }

    /// Heat capacity at constant volume, J/(kg·K).
    pub fn cv_j_kg_k(&self, t_k: f64) -> f64 {
        let (c, x) = (self.range(t_k), 1e-3 * t_k);
        1e-3 * (c[1] + x * (2.0 * c[2] + x * (3.0 * c[3] + x * (4.0 * c[4] + x * 5.0 * c[5]))))
    }

    /// Sensible enthalpy, J/kg.
    pub fn h_j_kg(&self, t_k: f64) -> f64 {
        self.e_j_kg(t_k) + self.r_j_kg_k * t_k
    }

    fn range(&self, t_k: f64) -> &[f64; 6] {
        if t_k < BREAK_K { &self.low } else { &self.high }
    }
}

/// Air, fuel vapour and burned gas of one engine at one lambda.
#[derive(Debug, Clone, PartialEq)]
pub struct Charge {
    /// Lambda.
    pub lambda: f64,
    /// Air with its water vapour.
    pub air: Component,
    /// Fuel vapour.
    pub fuel: Component,
    /// Burned gas, as frozen at 1740 K.
    pub burned: Component,
    /// Mass of fuel for a mass of humid air at this lambda.
    pub fuel_per_air: f64,
    /// Heat released where fuel vapour burns to the frozen burned gas, J per kg of fuel at 25 °C.
    pub heat_j_kg: f64,
    /// Heat of the fuel that could be had with enough air, J/kg of vapour.
    pub heating_vapour_j_kg: f64,
    /// Latent heat, J/kg.
    pub latent_j_kg: f64,
    /// Elements in a kilogram of the mixture.
    pub elements: Elements,
    /// What hot burned gas holds beyond [`Charge::burned`].
    pub dissociation: DissociationFit,
    /// Enthalpy of formation of the frozen burned gas at 25 °C, J/kg.
    pub formation_j_kg: f64,
    /// Moles of the frozen burned gas from one mole of carbon: CO2, H2O, CO, H2, O2, N2, Ar.
    pub burned_moles: [f64; 7],
}

impl Charge {
    /// From the fuel, lambda (0.6 to 1.8) and the mass of water vapour in a mass of dry air.
    ///
    /// # Errors
    /// [`ChargeError`] for numbers outside.
    pub fn new(fuel: &Fuel, lambda: f64, water_per_dry_air: f64) -> Result<Self, ChargeError> {
        if !(0.6..=1.8).contains(&lambda) {
            return Err(ChargeError::Lambda { lambda });
        }
        if !(0.0..=0.2).contains(&water_per_dry_air) {
            return Err(ChargeError::Water { water: water_per_dry_air });
        }
        let (h, o) = (fuel.hydrogen_per_carbon, fuel.oxygen_per_carbon);
        let oxygen = lambda * fuel.oxygen_mol();
        let air_mol = oxygen / AIR[0];
        let air_kg = air_mol * air_molar_mass();
        let water = air_kg * water_per_dry_air / Species::H2o.data().molar_mass_kg_mol;
        let (co, h2) = water_gas(h, o, lambda, oxygen);
        let burned_moles = [
            1.0 - co,
            0.5 * h - h2 + water,
            co,
            h2,
            (oxygen - fuel.oxygen_mol()).max(0.0),
            air_mol * AIR[1],
            air_mol * AIR[2],
        ];
        let gases = [Species::Co2, Species::H2o, Species::Co, Species::H2, Species::O2, Species::N2, Species::Ar];
        let masses: Vec<(Species, f64)> =
            gases.iter().zip(burned_moles).map(|(&g, n)| (g, n * g.data().molar_mass_kg_mol)).collect();
        let whole: f64 = masses.iter().map(|m| m.1).sum();
        let burned = Component::of(&masses.iter().map(|&(g, m)| (g, m / whole)).collect::<Vec<_>>(), None);
        let formation_j_kg =
            gases.iter().zip(burned_moles).map(|(g, n)| n * g.data().formation_j_mol()).sum::<f64>() / whole;
        let left = |of: Species, to: Species, oxygen: f64| {
            of.data().formation_j_mol() + oxygen * Species::O2.data().formation_j_mol() - to.data().formation_j_mol()
        };
        let unburned_j_mol = co * left(Species::Co, Species::Co2, 0.5) + h2 * left(Species::H2, Species::H2o, 0.5);
        let dry = 1.0 / (1.0 + water_per_dry_air);
        let air_parts = [
            (Species::O2, dry * AIR[0] * Species::O2.data().molar_mass_kg_mol / air_molar_mass()),
            (Species::N2, dry * AIR[1] * Species::N2.data().molar_mass_kg_mol / air_molar_mass()),
            (Species::Ar, dry * AIR[2] * Species::Ar.data().molar_mass_kg_mol / air_molar_mass()),
            (Species::H2o, 1.0 - dry),
        ];
        let elements = [
            1.0 / whole,
            (h + 2.0 * water) / whole,
            (o + 2.0 * oxygen + water) / whole,
            2.0 * air_mol * AIR[1] / whole,
            air_mol * AIR[2] / whole,
        ];
        Ok(Self {
            lambda,
            air: Component::of(&air_parts, None),
            fuel: Component::of(&fuel.vapour, Some(fuel.molar_mass_kg_mol)),
            burned,
            fuel_per_air: 1.0 / (lambda * fuel.stoichiometric() * (1.0 + water_per_dry_air)),
            heat_j_kg: fuel.heating_vapour_j_kg - unburned_j_mol / fuel.per_carbon_kg(),
            heating_vapour_j_kg: fuel.heating_vapour_j_kg,
            latent_j_kg: fuel.latent_j_kg,
            elements,
            dissociation: DissociationFit::new(&elements, &burned, formation_j_kg)?,
            formation_j_kg,
            burned_moles,
        })
    }

    /// Gas constant of a mixture with these shares of burned gas and fuel vapour, J/(kg·K).
    pub fn r_j_kg_k(&self, yb: f64, yf: f64) -> f64 {
        (1.0 - yb - yf) * self.air.r_j_kg_k + yf * self.fuel.r_j_kg_k + yb * self.burned.r_j_kg_k
    }

    /// Sensible energy of such a mixture, J/kg.
    pub fn e_j_kg(&self, t_k: f64, yb: f64, yf: f64) -> f64 {
        (1.0 - yb - yf) * self.air.e_j_kg(t_k) + yf * self.fuel.e_j_kg(t_k) + yb * self.burned.e_j_kg(t_k)
    }

    /// Heat capacity at constant volume of such a mixture, J/(kg·K).
    pub fn cv_j_kg_k(&self, t_k: f64, yb: f64, yf: f64) -> f64 {
        (1.0 - yb - yf) * self.air.cv_j_kg_k(t_k) + yf * self.fuel.cv_j_kg_k(t_k) + yb * self.burned.cv_j_kg_k(t_k)
    }

    /// Heat released per kg of fuel at another lambda of the same fuel and air, J/kg: rich mixtures lack oxygen.
    /// Straight between the heat at this lambda and all of it, by the oxygen there is; a small correction.
    pub fn heat_at_j_kg(&self, lambda: f64) -> f64 {
        if self.lambda >= 1.0 {
            return self.heat_j_kg * lambda.min(1.0);
        }
        let slope = (self.heating_vapour_j_kg - self.heat_j_kg) / (1.0 - self.lambda);
        self.heating_vapour_j_kg - slope * (1.0 - lambda).max(0.0)
    }

    /// Sensible enthalpy of the liquid fuel, J/kg, near 25 °C: that of the vapour less the latent heat.
    pub fn liquid_h_j_kg(&self, t_k: f64) -> f64 {
        // Liquids of this kind hold about 2.2 kJ/(kg·K), from memory; only a few kelvins are asked of it.
        -self.latent_j_kg + 2200.0 * (t_k - REFERENCE_K)
    }
}

/// Carbon monoxide and hydrogen, moles for one of carbon.
fn water_gas(h: f64, o: f64, lambda: f64, oxygen: f64) -> (f64, f64) {
    if lambda >= 1.0 {
        return (0.0, 0.0);
    }
    let t = 1740.0f64;
    let k = (2.743 - 1.761e3 / t - 1.611e6 / (t * t) + 0.2803e9 / (t * t * t)).exp();
    // Oxygen: 2·O2 + o = 2 − CO + H2O, so that H2O = spare + CO.
    let spare = 2.0 * oxygen + o - 2.0;
    let f = |co: f64| (spare + co) * co - k * (1.0 - co) * (0.5 * h - spare - co);
    let (mut low, mut high) = ((-spare).max(0.0), (0.5 * h - spare).min(1.0));
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if f(middle) < 0.0 { low = middle } else { high = middle }
    }
    let co = 0.5 * (low + high);
    (co, 0.5 * h - spare - co)
}

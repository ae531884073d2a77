//! Heat capacity, enthalpy and entropy of single gases.
//!
//! Model: ideal gases with the seven-coefficient polynomials of NASA TM-4513 (McBride, Gordon, Reno, 1993), two
//! ranges that meet at 1000 K. The table is `data/thermo/nasa7.csv`, compiled in. Left out: pressure.
//! Real air is about 1 % less compressible than this at the pressures of a motored top dead centre.

use std::sync::LazyLock;

/// Universal gas constant, J/(mol·K), 2018 CODATA as rounded there.
pub const GAS_CONSTANT: f64 = 8.314_462_618;
/// Temperature at which sensible enthalpies are zero, K.
pub const REFERENCE_K: f64 = 298.15;
/// Pressure that the entropies of the table stand on, Pa.
pub const REFERENCE_PA: f64 = 101_325.0;
/// Where the two ranges of a polynomial meet, K.
pub const BREAK_K: f64 = 1000.0;

/// A gas of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Species {
    N2,
    O2,
    Ar,
    Co2,
    H2o,
    Co,
    H2,
    Oh,
    O,
    H,
    No,
    N,
    Isooctane,
    Toluene,
    Heptane,
    Ethanol,
    Methanol,
}

impl Species {
    /// What burned gas is made of, in the order of every composition here.
    pub const BURNED: [Self; 12] = [
        Self::N2,
        Self::O2,
        Self::Ar,
        Self::Co2,
        Self::H2o,
        Self::Co,
        Self::H2,
        Self::Oh,
        Self::O,
        Self::H,
        Self::No,
        Self::N,
    ];

    fn name(self) -> &'static str {
        match self {
            Self::N2 => "N2",
            Self::O2 => "O2",
            Self::Ar => "Ar",
            Self::Co2 => "CO2",
            Self::H2o => "H2O",
            Self::Co => "CO",
            Self::H2 => "H2",
            Self::Oh => "OH",
            Self::O => "O",
            Self::H => "H",
            Self::No => "NO",
            Self::N => "N",
            Self::Isooctane => "iC8H18",
            Self::Toluene => "C7H8",
            Self::Heptane => "nC7H16",
            Self::Ethanol => "C2H5OH",
            Self::Methanol => "CH3OH",
        }
    }

    /// The row of the table.
    pub fn data(self) -> &'static Nasa7 {
        &TABLE[self as usize]
    }
}

/// One gas as the table has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nasa7 {
    /// Molar mass, kg/mol.
    pub molar_mass_kg_mol: f64,
    /// Coefficients below [`BREAK_K`].
    pub low: [f64; 7],
    /// Coefficients above it.
    pub high: [f64; 7],
}

impl Nasa7 {
    fn range(&self, t_k: f64) -> &[f64; 7] {
        if t_k < BREAK_K { &self.low } else { &self.high }
    }

    /// Heat capacity at constant pressure over the gas constant. 200 to 6000 K.
    pub fn cp_over_r(&self, t_k: f64) -> f64 {
        let a = self.range(t_k);
        a[0] + t_k * (a[1] + t_k * (a[2] + t_k * (a[3] + t_k * a[4])))
    }

    /// Enthalpy with heat of formation over gas constant and temperature. 200 to 6000 K.
    pub fn h_over_rt(&self, t_k: f64) -> f64 {
        let a = self.range(t_k);
        a[0] + t_k * (a[1] / 2.0 + t_k * (a[2] / 3.0 + t_k * (a[3] / 4.0 + t_k * a[4] / 5.0))) + a[5] / t_k
    }

    /// Entropy at [`REFERENCE_PA`] over the gas constant. 200 to 6000 K.
    pub fn s_over_r(&self, t_k: f64) -> f64 {
        let a = self.range(t_k);
        a[0] * t_k.ln() + t_k * (a[1] + t_k * (a[2] / 2.0 + t_k * (a[3] / 3.0 + t_k * a[4] / 4.0))) + a[6]
    }

    /// Heat of formation at 25 °C, J/mol.
    pub fn formation_j_mol(&self) -> f64 {
        self.h_over_rt(REFERENCE_K) * GAS_CONSTANT * REFERENCE_K
    }
}

const TEXT: &str = include_str!("../../../../data/thermo/nasa7.csv");

// The table is compiled in and a test reads every row, so that a fault cannot reach a shop.
static TABLE: LazyLock<Vec<Nasa7>> = LazyLock::new(|| {
    use Species::{Ethanol, Heptane, Isooctane, Methanol, Toluene};
    Species::BURNED.into_iter().chain([Isooctane, Toluene, Heptane, Ethanol, Methanol]).map(read).collect()
});

fn read(species: Species) -> Nasa7 {
    let mut found = Nasa7 { molar_mass_kg_mol: f64::NAN, low: [f64::NAN; 7], high: [f64::NAN; 7] };
    for line in TEXT.lines().skip(1) {
        let cells: Vec<&str> = line.trim_end().split(',').collect();
        if cells[0] != species.name() {
            continue;
        }
        let number = |i: usize| cells[i].parse::<f64>().unwrap_or(f64::NAN);
        let row: [f64; 7] = std::array::from_fn(|k| number(6 + k));
        found.molar_mass_kg_mol = number(2);
        if cells[3] != "high" {
            found.low = row;
        }
        if cells[3] != "low" {
            found.high = row;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read() {
        for gas in TABLE.iter() {
            let numbers = gas.low.iter().chain(&gas.high).chain([&gas.molar_mass_kg_mol]);
            assert!(numbers.into_iter().all(|x| x.is_finite()), "{gas:?}");
            // The ranges meet: a row read into the wrong gas would not.
            assert!((gas.cp_over_r(BREAK_K - 1e-9) - gas.cp_over_r(BREAK_K)).abs() < 1e-3 * gas.cp_over_r(BREAK_K));
        }
    }
}

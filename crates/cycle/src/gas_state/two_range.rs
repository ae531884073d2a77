//! The gas of a cylinder: polynomials of two ranges, side by side in lanes.
//!
//! The same numbers as [`super::charge::Component`], to the last digit of the table; used where temperatures pass
//! from 300 to 3000 K and a cycle has to come out right.

use super::charge::{Charge, Component};
use super::dissociation::Dissociation;
use super::species::BREAK_K;
use crate::lane::Lane;

/// Energy over temperature in two ranges: polynomials in thousands of kelvins, J/kg.
#[derive(Debug, Clone, Copy)]
pub struct TwoRange<L> {
    low: [L; 6],
    high: [L; 6],
}

impl<L: Lane> TwoRange<L> {
    fn splat(gas: &Component) -> Self {
        Self { low: gas.low.map(L::splat), high: gas.high.map(L::splat) }
    }

    fn set_lane(&mut self, i: usize, gas: &Component) {
        for k in 0..6 {
            self.low[k].set(i, gas.low[k]);
            self.high[k].set(i, gas.high[k]);
        }
    }

    /// Energy, J/kg, and heat capacity at constant volume, J/(kg·K).
    #[inline(always)]
    pub fn e_cv(&self, t_k: L) -> (L, L) {
        let below = t_k.lt(L::splat(BREAK_K));
        let x = t_k * L::splat(1e-3);
        let c = |k: usize| L::select(below, self.low[k], self.high[k]);
        let (c1, c2, c3, c4, c5) = (c(1), c(2), c(3), c(4), c(5));
        let e = c(0) + x * (c1 + x * (c2 + x * (c3 + x * (c4 + x * c5))));
        let (two, three, four, five) = (L::splat(2.0), L::splat(3.0), L::splat(4.0), L::splat(5.0));
        let slope = c1 + x * (two * c2 + x * (three * c3 + x * (four * c4 + x * (five * c5))));
        (e, slope * L::splat(1e-3))
    }
}

/// The three gases of the engines in the lanes.
#[derive(Debug, Clone, Copy)]
pub struct CylinderGas<L> {
    /// Gas constants of air, fuel vapour and burned gas, J/(kg·K).
    pub r: [L; 3],
    /// Their energies.
    pub e: [TwoRange<L>; 3],
    /// What hot burned gas holds beyond that.
    pub extra: Dissociation<L>,
    /// Mass of fuel for a mass of air.
    pub fuel_per_air: L,
    /// Heat released per kg of fuel, J/kg.
    pub heat: L,
    /// Latent heat of the fuel, J/kg.
    pub latent: L,
}

impl<L: Lane> CylinderGas<L> {
    /// One charge for each lane; the last one fills lanes beyond them.
    ///
    /// # Panics
    /// Without a charge.
    pub fn from_charges(charges: &[&Charge]) -> Self {
        let first = charges[0];
        let mut made = Self {
            r: [first.air, first.fuel, first.burned].map(|c| L::splat(c.r_j_kg_k)),
            e: [first.air, first.fuel, first.burned].map(|c| TwoRange::splat(&c)),
            extra: Dissociation::splat(&first.dissociation),
            fuel_per_air: L::splat(first.fuel_per_air),
            heat: L::splat(first.heat_j_kg),
            latent: L::splat(first.latent_j_kg),
        };
        for i in 0..L::WIDTH {
            made.set_lane(i, charges[i.min(charges.len() - 1)]);
        }
        made
    }

    /// Writes the charge of lane `i`.
    pub fn set_lane(&mut self, i: usize, charge: &Charge) {
        for (k, gas) in [charge.air, charge.fuel, charge.burned].iter().enumerate() {
            self.r[k].set(i, gas.r_j_kg_k);
            self.e[k].set_lane(i, gas);
        }
        self.extra.set_lane(i, &charge.dissociation);
        self.fuel_per_air.set(i, charge.fuel_per_air);
        self.heat.set(i, charge.heat_j_kg);
        self.latent.set(i, charge.latent_j_kg);
    }

    /// Gas constant of a mixture, J/(kg·K).
    #[inline(always)]
    pub fn r_of(&self, yb: L, yf: L) -> L {
        self.r[0] + yf * (self.r[1] - self.r[0]) + yb * (self.r[2] - self.r[0])
    }

    /// The energy polynomials of a mixture.
    #[inline(always)]
    pub fn mixed(&self, yb: L, yf: L) -> TwoRange<L> {
        let ya = L::one() - yb - yf;
        let mut made = self.e[0];
        for k in 0..6 {
            made.low[k] = ya * self.e[0].low[k] + yf * self.e[1].low[k] + yb * self.e[2].low[k];
            made.high[k] = ya * self.e[0].high[k] + yf * self.e[1].high[k] + yb * self.e[2].high[k];
        }
        made
    }
}

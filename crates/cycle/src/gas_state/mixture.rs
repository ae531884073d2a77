//! The gas of a duct: one short polynomial of energy for each of the three gases, side by side in lanes.
//!
//! Model: heat capacity at constant volume as a polynomial of fourth degree in temperature, fitted to the table of gases between 220 and
//! 2000 K when the lanes are filled, so that energy is one of fifth degree. Enthalpy is zero at 25 °C as
//! everywhere. Within 0.5 % of the table's heat capacity between 250 and 1800 K (test). Left out: splitting of hot
//! gas, which matters above 2000 K only.

use super::charge::{Charge, Component};
use super::species::REFERENCE_K;
use crate::lane::Lane;

/// One gas, or a mixture: gas constant and energy.
#[derive(Debug, Clone, Copy)]
pub struct Poly<L> {
    /// Gas constant, J/(kg·K).
    pub r: L,
    /// Energy, J/kg, as a polynomial of fifth degree in thousands of kelvins.
    pub c: [L; 6],
}

impl<L: Lane> Poly<L> {
    /// Sensible energy, J/kg, at a temperature, K.
    #[inline(always)]
    pub fn e(&self, t_k: L) -> L {
        let x = t_k * L::splat(1e-3);
        let c = &self.c;
        c[0] + x * (c[1] + x * (c[2] + x * (c[3] + x * (c[4] + x * c[5]))))
    }

    /// Heat capacity at constant volume, J/(kg·K).
    #[inline(always)]
    pub fn cv(&self, t_k: L) -> L {
        let x = t_k * L::splat(1e-3);
        let c = &self.c;
        let (two, three, four, five) = (L::splat(2.0), L::splat(3.0), L::splat(4.0), L::splat(5.0));
        (c[1] + x * (two * c[2] + x * (three * c[3] + x * (four * c[4] + x * (five * c[5]))))) * L::splat(1e-3)
    }

    /// Temperature, K, that holds an energy, J/kg: two Newton steps from a guess. From within 50 K of it the error is
    /// below 1e-6 of the temperature (test).
    #[inline(always)]
    pub fn t_from_e(&self, e: L, t_guess_k: L) -> L {
        let t = t_guess_k + (e - self.e(t_guess_k)) / self.cv(t_guess_k);
        t + (e - self.e(t)) / self.cv(t)
    }

    /// One Newton step of the same: enough where the guess is within a few kelvins, error below 3e-4 from 15 K (test), four times less from half of that.
    #[inline(always)]
    pub fn t_from_e_near(&self, e: L, t_guess_k: L) -> L {
        t_guess_k + (e - self.e(t_guess_k)) / self.cv(t_guess_k)
    }
}

/// The three gases of the engines in the lanes.
#[derive(Debug, Clone, Copy)]
pub struct Mixture<L> {
    /// Air with its water vapour.
    pub air: Poly<L>,
    /// Fuel vapour.
    pub fuel: Poly<L>,
    /// Burned gas.
    pub burned: Poly<L>,
}

impl<L: Lane> Mixture<L> {
    /// One charge for each lane; the last one fills lanes beyond them.
    ///
    /// # Panics
    /// Without a charge.
    pub fn from_charges(charges: &[&Charge]) -> Self {
        let mut made = Self::perfect(1.0, 2.0);
        for i in 0..L::WIDTH {
            made.set_lane(i, charges[i.min(charges.len() - 1)]);
        }
        made
    }

    /// Writes the charge of lane `i`.
    pub fn set_lane(&mut self, i: usize, charge: &Charge) {
        let gases = [(&mut self.air, charge.air), (&mut self.fuel, charge.fuel), (&mut self.burned, charge.burned)];
        for (to, gas) in gases {
            to.r.set(i, gas.r_j_kg_k);
            for (to, c) in to.c.iter_mut().zip(fit(&gas)) {
                to.set(i, c);
            }
        }
    }

    /// One gas of constant heat capacity whatever its shares: for checks against closed forms.
    pub fn perfect(r_j_kg_k: f64, gamma: f64) -> Self {
        let cv = r_j_kg_k / (gamma - 1.0);
        let c = [-(cv + r_j_kg_k) * REFERENCE_K, 1e3 * cv, 0.0, 0.0, 0.0, 0.0].map(L::splat);
        let gas = Poly { r: L::splat(r_j_kg_k), c };
        Self { air: gas, fuel: gas, burned: gas }
    }

    /// Gas constant, J/(kg·K), with these shares of burned gas and fuel vapour.
    #[inline(always)]
    pub fn r(&self, yb: L, yf: L) -> L {
        self.air.r + yf * (self.fuel.r - self.air.r) + yb * (self.burned.r - self.air.r)
    }

    /// The mixture with these shares.
    #[inline(always)]
    pub fn poly(&self, yb: L, yf: L) -> Poly<L> {
        let mut c = self.air.c;
        for k in 0..6 {
            c[k] = c[k] + yf * (self.fuel.c[k] - self.air.c[k]) + yb * (self.burned.c[k] - self.air.c[k]);
        }
        Poly { r: self.r(yb, yf), c }
    }

    /// Sensible energy, J/kg.
    #[inline(always)]
    pub fn e(&self, t_k: L, yb: L, yf: L) -> L {
        self.poly(yb, yf).e(t_k)
    }

    /// Heat capacity at constant volume, J/(kg·K).
    #[inline(always)]
    pub fn cv(&self, t_k: L, yb: L, yf: L) -> L {
        self.poly(yb, yf).cv(t_k)
    }

    /// Temperature, K, of an energy, J/kg; see [`Poly::t_from_e`].
    #[inline(always)]
    pub fn t_from_e(&self, e: L, yb: L, yf: L, t_guess_k: L) -> L {
        self.poly(yb, yf).t_from_e(e, t_guess_k)
    }
}

/// Least squares of the heat capacity by a polynomial of fourth degree over 220 to 2000 K, energy set right at 25 °C.
fn fit(gas: &Component) -> [f64; 6] {
    const N: usize = 5;
    let mut a = [[0.0; N + 1]; N];
    let points = 90;
    for i in 0..=points {
        let t_k = 220.0 + (2000.0 - 220.0) * f64::from(i) / f64::from(points);
        let x = 1e-3 * t_k;
        // Most of the air in an engine is near the temperature outside.
        let weight = (400.0 / t_k).min(1.0).powi(2);
        let basis = [1.0, x, x * x, x * x * x, x * x * x * x];
        for r in 0..N {
            for c in 0..N {
                a[r][c] += weight * basis[r] * basis[c];
            }
            a[r][N] += weight * basis[r] * gas.cv_j_kg_k(t_k);
        }
    }
    for c in 0..N {
        for r in c + 1..N {
            let f = a[r][c] / a[c][c];
            for k in c..=N {
                a[r][k] -= f * a[c][k];
            }
        }
    }
    let mut cv = [0.0; N];
    for c in (0..N).rev() {
        let rest: f64 = (c + 1..N).map(|k| a[c][k] * cv[k]).sum();
        cv[c] = (a[c][N] - rest) / a[c][c];
    }
    let mut e = [0.0; 6];
    for (k, c) in cv.iter().enumerate() {
        e[k + 1] = 1e3 * c / (k as f64 + 1.0);
    }
    let x = 1e-3 * REFERENCE_K;
    e[0] = gas.e_j_kg(REFERENCE_K) - x * (e[1] + x * (e[2] + x * (e[3] + x * (e[4] + x * e[5]))));
    e
}

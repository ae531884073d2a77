//! What hot burned gas holds as fragments: energy and moles beyond the frozen composition.
//!
//! Above 1700 K part of the carbon dioxide and water is split. The split takes up heat and makes more moles, so peak
//! temperature and pressure would come out high without it. Model: the logarithm of the extra energy and of the extra
//! moles as a polynomial in inverse temperature and logarithm of pressure, fitted when a charge is made to
//! [`super::equilibrium`] between 1700 and 3300 K and 3 and 200 bar. Faded out from 1900 to 1500 K: at the cold end real
//! burned gas is frozen. Beyond the ends of the fit the value at the end is taken; a cylinder does not get there.

use super::charge::Component;
use super::equilibrium::{Elements, Equilibrium, EquilibriumError};
use crate::lane::Lane;

const TERMS: usize = 9;
/// Middle of the fit, K and Pa.
const MIDDLE_K: f64 = 2500.0;
const MIDDLE_PA: f64 = 5e6;
/// Where the extra begins and where it is whole, K.
const FADE_K: [f64; 2] = [1500.0, 1900.0];
const HOTTEST_K: f64 = 3500.0;

#[inline(always)]
fn terms<L: Lane>(x: L, y: L) -> [L; TERMS] {
    let one = L::one();
    [one, x, x * x, x * x * x, y, x * y, x * x * y, y * y, x * y * y]
}

/// The fit for one charge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DissociationFit {
    /// Logarithm of the extra energy, J/kg.
    pub energy: [f64; TERMS],
    /// Logarithm of the extra moles as a share.
    pub moles: [f64; TERMS],
}

impl DissociationFit {
    /// Fits what equilibrium holds beyond a frozen composition of the same elements, whose enthalpy of formation at
    /// 25 °C is given in J/kg.
    ///
    /// # Errors
    /// [`EquilibriumError`] when an equilibrium is not found.
    pub fn new(elements: &Elements, frozen: &Component, formation_j_kg: f64) -> Result<Self, EquilibriumError> {
        let mut rows: Vec<([f64; TERMS], f64, f64)> = Vec::new();
        let mut guess: Option<[f64; 12]> = None;
        for p_bar in [3.0, 10.0, 30.0, 75.0, 200.0] {
            for t_k in [3300.0, 3000.0, 2750.0, 2500.0, 2300.0, 2100.0, 1900.0, 1750.0] {
                let p_pa = p_bar * 1e5;
                let state = match guess {
                    Some(near) => Equilibrium::from_guess(elements, t_k, p_pa, &near)?,
                    None => Equilibrium::at(elements, t_k, p_pa)?,
                };
                guess = Some(state.moles);
                let energy = state.u_absolute_j_kg() - formation_j_kg - frozen.e_j_kg(t_k);
                let moles = state.r_j_kg_k() / frozen.r_j_kg_k - 1.0;
                rows.push((terms(MIDDLE_K / t_k - 1.0, (p_pa / MIDDLE_PA).ln()), energy, moles));
            }
        }
        Ok(Self {
            energy: least_squares(&rows.iter().map(|r| (r.0, r.1, 6e4)).collect::<Vec<_>>()),
            moles: least_squares(&rows.iter().map(|r| (r.0, r.2, 3e-3)).collect::<Vec<_>>()),
        })
    }
}

/// Fit of ln(value), each row weighted by value / (value + floor): rows well below the floor do not matter.
fn least_squares(rows: &[([f64; TERMS], f64, f64)]) -> [f64; TERMS] {
    let mut a = [[0.0; TERMS + 1]; TERMS];
    for (basis, value, floor) in rows {
        // A rich mixture's water-gas shift can take the small values at the cold end below zero.
        let value = value.max(3e-3 * floor);
        let w = (value / (value + floor)).powi(2).max(2e-4);
        for i in 0..TERMS {
            for j in 0..TERMS {
                a[i][j] += w * basis[i] * basis[j];
            }
            a[i][TERMS] += w * basis[i] * value.ln();
        }
    }
    for c in 0..TERMS {
        a[c][c] += 1e-9;
        let pivot = (c..TERMS).max_by(|&i, &j| a[i][c].abs().total_cmp(&a[j][c].abs())).unwrap_or(c);
        a.swap(c, pivot);
        for r in c + 1..TERMS {
            let f = a[r][c] / a[c][c];
            for k in c..=TERMS {
                a[r][k] -= f * a[c][k];
            }
        }
    }
    let mut x = [0.0; TERMS];
    for c in (0..TERMS).rev() {
        let rest: f64 = (c + 1..TERMS).map(|k| a[c][k] * x[k]).sum();
        x[c] = (a[c][TERMS] - rest) / a[c][c];
    }
    x
}

/// The fit side by side.
#[derive(Debug, Clone, Copy)]
pub struct Dissociation<L> {
    energy: [L; TERMS],
    moles: [L; TERMS],
}

/// Extra energy and moles at a state.
#[derive(Debug, Clone, Copy)]
pub struct Extra<L> {
    /// Energy beyond the frozen gas, J/kg of burned gas.
    pub e: L,
    /// Its slope with temperature, J/(kg·K).
    pub e_slope: L,
    /// Gas constant beyond the frozen gas, as a share of it.
    pub r: L,
}

impl<L: Lane> Dissociation<L> {
    /// No extra: for gases that do not split.
    pub fn none() -> Self {
        let mut never = [L::zero(); TERMS];
        never[0] = L::splat(-80.0);
        Self { energy: never, moles: never }
    }

    /// The same fit in every lane.
    pub fn splat(fit: &DissociationFit) -> Self {
        Self { energy: fit.energy.map(L::splat), moles: fit.moles.map(L::splat) }
    }

    /// Writes the fit of lane `i`.
    pub fn set_lane(&mut self, i: usize, fit: &DissociationFit) {
        for k in 0..TERMS {
            self.energy[k].set(i, fit.energy[k]);
            self.moles[k].set(i, fit.moles[k]);
        }
    }

    /// Extra at temperature, K, and the logarithm of pressure, Pa.
    #[inline(always)]
    pub fn at(&self, t_k: L, ln_p: L) -> Extra<L> {
        let t = t_k.max(L::splat(FADE_K[0])).min(L::splat(HOTTEST_K));
        let over = t.recip();
        let x = L::splat(MIDDLE_K) * over - L::one();
        let y = (ln_p - L::splat(MIDDLE_PA.ln())).max(L::splat(-4.0)).min(L::splat(1.7));
        let basis = terms(x, y);
        let sum = |c: &[L; TERMS]| {
            let mut s = c[0];
            for k in 1..TERMS {
                s = c[k].mul_add(basis[k], s);
            }
            s
        };
        let fade = ((t - L::splat(FADE_K[0])) * L::splat(1.0 / (FADE_K[1] - FADE_K[0]))).min(L::one());
        let c = &self.energy;
        let two = L::splat(2.0);
        // d ln e / dx, times dx/dT
        let dx = c[1] + two * c[2] * x + L::splat(3.0) * c[3] * x * x + c[5] * y + two * c[6] * x * y + c[8] * y * y;
        let e = fade * sum(c).exp();
        let e_slope = e * (-dx) * L::splat(MIDDLE_K) * over * over;
        let ramp = L::select(
            fade.lt(L::one()),
            e / fade.max(L::splat(1e-3)) * L::splat(1.0 / (FADE_K[1] - FADE_K[0])),
            L::zero(),
        );
        Extra { e, e_slope: (e_slope + ramp).max(L::zero()), r: fade * sum(&self.moles).exp() }
    }
}

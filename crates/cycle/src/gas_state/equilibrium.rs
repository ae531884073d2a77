//! Burned gas in chemical equilibrium: twelve gases of carbon, hydrogen, oxygen, nitrogen and argon.
//!
//! Model: least Gibbs energy of an ideal mixture at temperature and pressure, by Newton steps on the logarithms of
//! the moles with one multiplier an element (the method of Gordon and McBride, NASA RP-1311, 1994; equations from
//! memory). Steps are shortened so that no amount grows more than e² at once. Used to fit what the cylinder kernels
//! evaluate, and as the reference in the fuel–air cycle; it is not called while an engine runs.
//! Left out: soot, other nitrogen oxides, and how fast composition follows: below about 1700 K real burned gas keeps
//! the composition it had there.
//!
//! # Checked by
//! `validation/equilibrium`: composition, energy and heat capacity at 120 states.

use super::species::{GAS_CONSTANT, REFERENCE_PA, Species};

/// Amounts of the elements, mol per kg or any other basis: C, H, O, N, Ar.
pub type Elements = [f64; 5];

/// Elements in each of the twelve gases, in the order of [`Species::BURNED`].
const MATRIX: [[f64; 5]; 12] = [
    [0.0, 0.0, 0.0, 2.0, 0.0],
    [0.0, 0.0, 2.0, 0.0, 0.0],
    [0.0, 0.0, 0.0, 0.0, 1.0],
    [1.0, 0.0, 2.0, 0.0, 0.0],
    [0.0, 2.0, 1.0, 0.0, 0.0],
    [1.0, 0.0, 1.0, 0.0, 0.0],
    [0.0, 2.0, 0.0, 0.0, 0.0],
    [0.0, 1.0, 1.0, 0.0, 0.0],
    [0.0, 0.0, 1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0, 0.0, 0.0],
    [0.0, 0.0, 1.0, 1.0, 0.0],
    [0.0, 0.0, 0.0, 1.0, 0.0],
];

/// Why there is no equilibrium.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum EquilibriumError {
    /// An input outside what the model covers.
    #[error(
        "equilibrium at {t_k} K and {p_pa} Pa is not covered: expected 600 to 5000 K, a pressure above zero, and some of each of C, H, O and N"
    )]
    Outside {
        /// Temperature, K.
        t_k: f64,
        /// Pressure, Pa.
        p_pa: f64,
    },
    /// The steps did not settle.
    #[error("equilibrium at {t_k} K and {p_pa} Pa did not settle within {steps} steps")]
    NotSettled {
        /// Temperature, K.
        t_k: f64,
        /// Pressure, Pa.
        p_pa: f64,
        /// Steps taken.
        steps: u32,
    },
}

/// A mixture in equilibrium.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Equilibrium {
    /// Temperature, K.
    pub t_k: f64,
    /// Pressure, Pa.
    pub p_pa: f64,
    /// Moles of each gas on the basis of the elements, in the order of [`Species::BURNED`].
    pub moles: [f64; 12],
}

impl Equilibrium {
    /// Composition at temperature and pressure.
    ///
    /// # Errors
    /// [`EquilibriumError`] outside 600 to 5000 K or without one of C, H, O, N, and when the steps do not settle.
    pub fn at(elements: &Elements, t_k: f64, p_pa: f64) -> Result<Self, EquilibriumError> {
        let total: f64 = elements.iter().sum();
        Self::from_guess(elements, t_k, p_pa, &[total / 24.0; 12])
    }

    /// As [`Equilibrium::at`], from a composition that is likely near.
    ///
    /// # Errors
    /// As [`Equilibrium::at`].
    pub fn from_guess(elements: &Elements, t_k: f64, p_pa: f64, guess: &[f64; 12]) -> Result<Self, EquilibriumError> {
        let covered = (600.0..=5000.0).contains(&t_k) && p_pa > 0.0 && p_pa.is_finite();
        if !covered || elements[..4].iter().any(|&b| !(b > 0.0)) || !(elements[4] >= 0.0) {
            return Err(EquilibriumError::Outside { t_k, p_pa });
        }
        let argon = if elements[4] > 0.0 { elements[4] } else { 1e-12 * elements[3] };
        let elements = [elements[0], elements[1], elements[2], elements[3], argon];
        let scale: f64 = elements.iter().sum();
        let standard: [f64; 12] = std::array::from_fn(|j| {
            let gas = Species::BURNED[j].data();
            gas.h_over_rt(t_k) - gas.s_over_r(t_k) + (p_pa / REFERENCE_PA).ln()
        });
        let mut ln_n: [f64; 12] = guess.map(|n| n.max(1e-30 * scale).ln());
        let mut ln_total = guess.iter().sum::<f64>().max(1e-30).ln();
        const STEPS: u32 = 300;
        for _ in 0..STEPS {
            let n = ln_n.map(f64::exp);
            let total = ln_total.exp();
            let mu: [f64; 12] = std::array::from_fn(|j| standard[j] + ln_n[j] - ln_total);
            let mut a = [[0.0; 7]; 6];
            for j in 0..12 {
                for k in 0..5 {
                    let share = MATRIX[j][k] * n[j];
                    for i in 0..5 {
                        a[k][i] += share * MATRIX[j][i];
                    }
                    a[k][5] += share;
                    a[5][k] += share;
                    a[k][6] += share * mu[j] - share;
                }
                a[5][5] += n[j];
                a[5][6] += n[j] * mu[j] - n[j];
            }
            for k in 0..5 {
                a[k][6] += elements[k];
            }
            a[5][5] -= total;
            a[5][6] += total;
            let Some(x) = solve(a) else { break };
            let step: [f64; 12] =
                std::array::from_fn(|j| x[5] + (0..5).map(|i| MATRIX[j][i] * x[i]).sum::<f64>() - mu[j]);
            // Large amounts may move by e², traces by whatever keeps them below a ten-thousandth.
            let mut largest = 5.0 * x[5].abs();
            for j in 0..12 {
                if ln_n[j] - ln_total > -18.4 {
                    largest = largest.max(step[j].abs());
                } else if step[j] > 0.0 {
                    let room = (-9.212 - ln_n[j] + ln_total) / (step[j] - x[5]).max(1e-9);
                    largest = largest.max(2.0 / room.max(1e-3));
                }
            }
            let factor = (2.0 / largest.max(1e-300)).min(1.0);
            for j in 0..12 {
                ln_n[j] += factor * step[j];
            }
            ln_total += factor * x[5];
            let moved = (0..12).map(|j| n[j] * step[j].abs()).fold(0.0, f64::max);
            if factor == 1.0 && moved < 1e-12 * total && x[5].abs() < 1e-12 {
                return Ok(Self { t_k, p_pa, moles: ln_n.map(f64::exp) });
            }
        }
        Err(EquilibriumError::NotSettled { t_k, p_pa, steps: STEPS })
    }

    /// Mass on the basis of the elements, kg.
    pub fn mass_kg(&self) -> f64 {
        self.sum(|j, n| n * Species::BURNED[j].data().molar_mass_kg_mol)
    }

    /// Gas constant per mass, J/(kg·K).
    pub fn r_j_kg_k(&self) -> f64 {
        GAS_CONSTANT * self.moles.iter().sum::<f64>() / self.mass_kg()
    }

    /// Enthalpy with heats of formation, J/kg.
    pub fn h_absolute_j_kg(&self) -> f64 {
        let h = self.sum(|j, n| n * Species::BURNED[j].data().h_over_rt(self.t_k));
        h * GAS_CONSTANT * self.t_k / self.mass_kg()
    }

    /// Energy with heats of formation, J/kg.
    pub fn u_absolute_j_kg(&self) -> f64 {
        self.h_absolute_j_kg() - self.r_j_kg_k() * self.t_k
    }

    /// Entropy, J/(kg·K).
    pub fn s_j_kg_k(&self) -> f64 {
        let total: f64 = self.moles.iter().sum();
        let s = self.sum(|j, n| {
            let own = Species::BURNED[j].data().s_over_r(self.t_k) - (self.p_pa / REFERENCE_PA).ln();
            if n > 0.0 { n * (own - (n / total).ln()) } else { 0.0 }
        });
        GAS_CONSTANT * s / self.mass_kg()
    }

    fn sum(&self, f: impl Fn(usize, f64) -> f64) -> f64 {
        self.moles.iter().enumerate().map(|(j, &n)| f(j, n)).sum()
    }
}

/// Composition at temperature and specific volume (m³/kg): the pressure is found with it.
///
/// # Errors
/// As [`Equilibrium::at`].
pub fn at_volume(elements: &Elements, t_k: f64, v_m3_kg: f64) -> Result<Equilibrium, EquilibriumError> {
    let mut found = Equilibrium::at(elements, t_k, 290.0 * t_k / v_m3_kg)?;
    for _ in 0..60 {
        let p_pa = found.r_j_kg_k() * t_k / v_m3_kg;
        if (p_pa / found.p_pa - 1.0).abs() < 1e-13 {
            break;
        }
        found = Equilibrium::from_guess(elements, t_k, p_pa, &found.moles)?;
    }
    Ok(found)
}

/// State at specific volume where a function of the equilibrium (energy or entropy, rising with temperature) takes a
/// value: bisection with secant steps between 1000 and 4500 K.
///
/// # Errors
/// As [`Equilibrium::at`].
pub fn at_volume_with(
    elements: &Elements,
    v_m3_kg: f64,
    wanted: f64,
    of: impl Fn(&Equilibrium) -> f64,
) -> Result<Equilibrium, EquilibriumError> {
    let (mut low, mut high) = (1000.0, 4500.0);
    let mut f_low = of(&at_volume(elements, low, v_m3_kg)?) - wanted;
    let mut f_high = of(&at_volume(elements, high, v_m3_kg)?) - wanted;
    let mut found = at_volume(elements, 0.5 * (low + high), v_m3_kg)?;
    for turn in 0..200 {
        let secant = low - f_low * (high - low) / (f_high - f_low);
        let middle = 0.5 * (low + high);
        let t_k = if turn % 3 == 2 || !(secant > low && secant < high) { middle } else { secant };
        found = at_volume(elements, t_k, v_m3_kg)?;
        let f = of(&found) - wanted;
        if f < 0.0 {
            (low, f_low) = (t_k, f);
        } else {
            (high, f_high) = (t_k, f);
        }
        if f == 0.0 || high - low < 1e-9 * t_k || f.abs() < 1e-12 * wanted.abs() {
            break;
        }
    }
    Ok(found)
}

/// Gauss with the largest pivot of each column.
fn solve(mut a: [[f64; 7]; 6]) -> Option<[f64; 6]> {
    for c in 0..6 {
        let pivot = (c..6).max_by(|&i, &j| a[i][c].abs().total_cmp(&a[j][c].abs()))?;
        a.swap(c, pivot);
        if !(a[c][c].abs() > 1e-300) {
            return None;
        }
        for r in c + 1..6 {
            let f = a[r][c] / a[c][c];
            for k in c..7 {
                a[r][k] -= f * a[c][k];
            }
        }
    }
    let mut x = [0.0; 6];
    for c in (0..6).rev() {
        let rest: f64 = (c + 1..6).map(|k| a[c][k] * x[k]).sum();
        x[c] = (a[c][6] - rest) / a[c][c];
    }
    Some(x)
}

//! The gas of a pipe: heat capacity as a parabola of temperature for each of air, burned gas and fuel vapour.
//!
//! Model: cv of each gas is fitted by least squares to the table of gases ([`crate::gas_state`]) over 240 to 1800 K,
//! weighted towards what ducts hold most; energies follow by integration with the zero of the house (sensible
//! enthalpy zero at 25 °C). What passes from a cylinder into a pipe is energy, so that the two descriptions never have
//! to agree for a balance to close; they differ by about half a percent of cv. Left out: splitting of hot gas.

use crate::gas_state::Charge;
use crate::lane::Lane;

const REFERENCE_K: f64 = 298.15;

/// Energy of a gas, J/kg, as a polynomial of temperature in thousands of kelvins, and its gas constant.
#[derive(Debug, Clone, Copy)]
pub struct Poly<L> {
    /// Gas constant, J/(kg·K).
    pub r: L,
    /// Coefficients of energy, J/kg.
    pub c: [L; 4],
}

impl<L: Lane> Poly<L> {
    /// Sensible energy, J/kg, at a temperature, K.
    #[inline(always)]
    pub fn e(&self, t_k: L) -> L {
        let x = t_k * L::splat(1e-3);
        self.c[0] + x * (self.c[1] + x * (self.c[2] + x * self.c[3]))
    }

    /// Heat capacity at constant volume, J/(kg·K).
    #[inline(always)]
    pub fn cv(&self, t_k: L) -> L {
        let x = t_k * L::splat(1e-3);
        (self.c[1] + x * (L::splat(2.0) * self.c[2] + x * (L::splat(3.0) * self.c[3]))) * L::splat(1e-3)
    }

    /// Sensible enthalpy, J/kg.
    #[inline(always)]
    pub fn h(&self, t_k: L) -> L {
        self.e(t_k) + self.r * t_k
    }
}

/// The gases of a pipe: air, and what burned gas and fuel vapour differ from it by.
#[derive(Debug, Clone, Copy)]
pub struct Gas<L> {
    /// Air.
    pub air: Poly<L>,
    /// Burned gas less air.
    pub burned_less_air: Poly<L>,
    /// Fuel vapour less air.
    pub fuel_less_air: Poly<L>,
}

impl<L: Lane> Gas<L> {
    /// One gas of constant heat capacity whatever its shares, for checks against closed forms.
    pub fn constant(r_j_kg_k: f64, gamma: f64) -> Self {
        let cv = r_j_kg_k / (gamma - 1.0);
        let zero = Poly { r: L::zero(), c: [L::zero(); 4] };
        let c = [-(cv + r_j_kg_k) * REFERENCE_K, 1e3 * cv, 0.0, 0.0].map(L::splat);
        Self { air: Poly { r: L::splat(r_j_kg_k), c }, burned_less_air: zero, fuel_less_air: zero }
    }

    /// Writes the gases of one engine into a lane.
    pub fn set_lane(&mut self, lane: usize, charge: &Charge) {
        let of = |r: f64, cv: &dyn Fn(f64) -> f64| (r, fit(r, cv));
        let air = of(charge.air.r_j_kg_k, &|t| charge.air.cv_j_kg_k(t));
        let burned = of(charge.burned.r_j_kg_k, &|t| charge.burned.cv_j_kg_k(t));
        let fuel = of(charge.fuel.r_j_kg_k, &|t| charge.fuel.cv_j_kg_k(t));
        let put = |poly: &mut Poly<L>, (r, c): (f64, [f64; 4]), less: (f64, [f64; 4])| {
            poly.r.set(lane, r - less.0);
            for i in 0..4 {
                poly.c[i].set(lane, c[i] - less.1[i]);
            }
        };
        put(&mut self.air, air, (0.0, [0.0; 4]));
        put(&mut self.burned_less_air, burned, air);
        put(&mut self.fuel_less_air, fuel, air);
    }

    /// The polynomial of a mixture.
    #[inline(always)]
    pub fn poly(&self, yb: L, yf: L) -> Poly<L> {
        let (a, b, f) = (&self.air, &self.burned_less_air, &self.fuel_less_air);
        let mix = |a: L, b: L, f: L| a + yb * b + yf * f;
        Poly {
            r: mix(a.r, b.r, f.r),
            c: [
                mix(a.c[0], b.c[0], f.c[0]),
                mix(a.c[1], b.c[1], f.c[1]),
                mix(a.c[2], b.c[2], f.c[2]),
                mix(a.c[3], b.c[3], f.c[3]),
            ],
        }
    }
}

/// Least squares of cv by a parabola, integrated; enthalpy zero at 25 °C.
fn fit(r_j_kg_k: f64, cv: &dyn Fn(f64) -> f64) -> [f64; 4] {
    let mut a = [[0.0; 4]; 3];
    let points = 78;
    for i in 0..=points {
        let t_k = 240.0 + (1800.0 - 240.0) * f64::from(i) / f64::from(points);
        let x = 1e-3 * t_k;
        // intake air is near 300 K, exhaust near 1000 K; little is above
        let weight = if t_k < 420.0 { 3.0 } else { (1200.0 / t_k).min(1.0).powi(2) };
        let basis = [1.0, x, x * x];
        let value = cv(t_k);
        for row in 0..3 {
            for col in 0..3 {
                a[row][col] += weight * basis[row] * basis[col];
            }
            a[row][3] += weight * basis[row] * value;
        }
    }
    for c in 0..3 {
        for r in c + 1..3 {
            let f = a[r][c] / a[c][c];
            for k in c..4 {
                a[r][k] -= f * a[c][k];
            }
        }
    }
    let mut q = [0.0; 3];
    for c in (0..3).rev() {
        let rest: f64 = (c + 1..3).map(|k| a[c][k] * q[k]).sum();
        q[c] = (a[c][3] - rest) / a[c][c];
    }
    let e = [0.0, 1e3 * q[0], 1e3 * q[1] / 2.0, 1e3 * q[2] / 3.0];
    let x = 1e-3 * REFERENCE_K;
    [-r_j_kg_k * REFERENCE_K - x * (e[1] + x * (e[2] + x * e[3])), e[1], e[2], e[3]]
}

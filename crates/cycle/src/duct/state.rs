//! What a cell of a pipe holds, and the point values that follow from it.

pub use super::gas::{Gas, Poly};
use crate::lane::Lane;

/// Temperature from sensible energy, by Newton steps from a near guess: one in single precision, three in double.
/// The error of a step is about 1e-4 K⁻¹ of its square, so that 20 K off become 0.04 K, then less than 1e-6 K.
#[inline(always)]
pub fn temperature<L: Lane>(poly: &Poly<L>, e: L, guess: L) -> L {
    let mut t = guess - (poly.e(guess) - e) / poly.cv(guess);
    if L::EPSILON < 1e-10 {
        t -= (poly.e(t) - e) / poly.cv(t);
        t -= (poly.e(t) - e) / poly.cv(t);
    }
    t
}

/// Mass, momentum, energy, burned gas and fuel vapour in a cubic metre, and the temperature that follows.
#[derive(Debug, Clone, Copy)]
pub struct Cell<L> {
    /// Density, kg/m³.
    pub rho: L,
    /// Momentum, kg/(m²·s); positive from the first cell to the last.
    pub mom: L,
    /// Sensible and kinetic energy, J/m³.
    pub en: L,
    /// Burned gas, kg/m³.
    pub burned: L,
    /// Fuel vapour, kg/m³.
    pub fuel: L,
    /// Temperature, K.
    pub t: L,
}

/// Pressure, velocity, temperature and shares at a place.
#[derive(Debug, Clone, Copy)]
pub struct Point<L> {
    /// Pressure, Pa.
    pub p: L,
    /// Velocity, m/s; positive from the first cell to the last.
    pub u: L,
    /// Temperature, K.
    pub t: L,
    /// Mass share of burned gas.
    pub yb: L,
    /// Mass share of fuel vapour.
    pub yf: L,
}

impl<L: Lane> Point<L> {
    /// At rest.
    pub fn at_rest(p: L, t: L, yb: L, yf: L) -> Self {
        Self { p, u: L::zero(), t, yb, yf }
    }
}

impl<L: Lane> Cell<L> {
    /// The cell that has these point values.
    #[inline(always)]
    pub fn from_point(gas: &Gas<L>, point: &Point<L>) -> Self {
        let poly = gas.poly(point.yb, point.yf);
        let rho = point.p / (poly.r * point.t);
        Self {
            rho,
            mom: rho * point.u,
            en: rho * (poly.e(point.t) + L::splat(0.5) * point.u * point.u),
            burned: rho * point.yb,
            fuel: rho * point.yf,
            t: point.t,
        }
    }
}

/// Point values of a cell with what its neighbours' fluxes need.
#[derive(Debug, Clone, Copy)]
pub struct Full<L> {
    /// Point values.
    pub at: Point<L>,
    /// Density, kg/m³.
    pub rho: L,
    /// One over density, m³/kg.
    pub inv_rho: L,
    /// One over temperature, 1/K.
    pub inv_t: L,
    /// Heat capacity at constant volume, J/(kg·K).
    pub cv: L,
    /// Ratio of heat capacities less one.
    pub gm1: L,
    /// Speed of sound, m/s.
    pub c: L,
    /// Polynomial of the mixture.
    pub poly: Poly<L>,
}

impl<L: Lane> Full<L> {
    /// From what a cell holds.
    #[inline(always)]
    pub fn of(gas: &Gas<L>, cell: &Cell<L>) -> Self {
        let t = cell.t;
        // one quotient for density and temperature
        let inv = (cell.rho * t).recip();
        let (inv_rho, inv_t) = (inv * t, inv * cell.rho);
        let u = cell.mom * inv_rho;
        let yb = cell.burned * inv_rho;
        let yf = cell.fuel * inv_rho;
        let poly = gas.poly(yb, yf);
        let cv = poly.cv(t);
        let gm1 = poly.r / cv;
        let rt = poly.r * t;
        let p = cell.rho * rt;
        let c = ((gm1 + L::one()) * rt).sqrt();
        Self { at: Point { p, u, t, yb, yf }, rho: cell.rho, inv_rho, inv_t, cv, gm1, c, poly }
    }
}

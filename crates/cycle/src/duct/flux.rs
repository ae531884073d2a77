//! Flux between two states of gas: HLLC.

use super::state::Point;
use crate::lane::Lane;

/// What passes a square metre in a second.
#[derive(Debug, Clone, Copy)]
pub struct Flux<L> {
    /// Mass, kg/(m²·s).
    pub mass: L,
    /// Momentum and pressure, Pa.
    pub mom: L,
    /// Sensible enthalpy with kinetic energy, W/m².
    pub en: L,
    /// Burned gas, kg/(m²·s).
    pub burned: L,
    /// Fuel vapour, kg/(m²·s).
    pub fuel: L,
}

impl<L: Lane> Flux<L> {
    /// Nothing passes; pressure acts.
    pub fn wall(p: L) -> Self {
        Self { mass: L::zero(), mom: p, en: L::zero(), burned: L::zero(), fuel: L::zero() }
    }
}

/// Flux through the end of a pipe and the point values there, which stand in for the neighbour that an end cell lacks.
#[derive(Debug, Clone, Copy)]
pub struct EndFlux<L> {
    /// The flux, positive from the first cell to the last.
    pub flux: Flux<L>,
    /// Point values at the face.
    pub face: Point<L>,
}

/// One side of a face.
#[derive(Debug, Clone, Copy)]
pub struct Side<L> {
    /// Point values.
    pub at: Point<L>,
    /// Density, kg/m³.
    pub rho: L,
    /// Sensible and kinetic energy, J/m³.
    pub en: L,
    /// Speed of sound, m/s.
    pub c: L,
}

/// HLLC flux. Outer wave speeds by Davis (1988): the least and greatest of u ∓ c on both sides; shares go with the
/// side that the contact comes from.
#[inline(always)]
pub fn hllc<L: Lane>(left: &Side<L>, right: &Side<L>) -> Flux<L> {
    let zero = L::zero();
    let (ul, ur) = (left.at.u, right.at.u);
    let s_left = (ul - left.c).min(ur - right.c);
    let s_right = (ul + left.c).max(ur + right.c);
    // mass that each outer wave runs into
    let ml = left.rho * (s_left - ul);
    let mr = right.rho * (s_right - ur);
    let s_mid = (right.at.p - left.at.p + ul * ml - ur * mr) / (ml - mr);
    let from_left = s_mid.ge(zero);
    let pick = |a: L, b: L| L::select(from_left, a, b);
    let rho = pick(left.rho, right.rho);
    let u = pick(ul, ur);
    let p = pick(left.at.p, right.at.p);
    let en = pick(left.en, right.en);
    let m = pick(ml, mr);
    let s = pick(s_left, s_right);
    // a wave that has left the face on this side adds nothing
    let s_in = pick(s_left.min(zero), s_right.max(zero));
    let inv = (s - s_mid).recip();
    let rho_star = m * inv;
    let push = s_mid - u;
    let mass = rho * u + s_in * (rho_star - rho);
    let mom = rho * u * u + p + s_in * (rho_star * s_mid - rho * u);
    // rho* E* = rho* (E/rho + push (s_mid + p/m))
    let en_star = (en * (s - u) - p * u + (p + m * push) * s_mid) * inv;
    let en_flux = u * (en + p) + s_in * (en_star - en);
    Flux {
        mass,
        mom,
        en: en_flux,
        burned: mass * pick(left.at.yb, right.at.yb),
        fuel: mass * pick(left.at.yf, right.at.yf),
    }
}

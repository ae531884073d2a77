//! Pipes that meet: one static pressure for what arrives, no more total pressure for what leaves.
//!
//! Model: each pipe's wave relation gives the velocity it brings at the common pressure; the pressure is the one at
//! which as much arrives as leaves (Newton steps). What arrives has the common pressure at its face. What leaves has
//! it too as long as it is no faster than what arrives on average (a constant-pressure junction, Benson 1982, from
//! memory); where it is faster, the speed that it gains comes out of pressure (Bernoulli at the density of the face),
//! at most sound speed. A junction of constant pressure alone would hand out total pressure for nothing. Stagnation
//! enthalpy and composition of what leaves are the mean of what arrives. Mass and energy are kept exactly: the last
//! step scales what leaves to what arrives.
//!
//! Left out: the momentum that one stream lends another (a merge that sucks), and losses by angle.

use super::wave::Wave;
use super::{Face, Which, outward};
use crate::duct::gas::Poly;
use crate::duct::state::{Full, Gas};
use crate::lane::{Lane, LaneMask};

/// A pipe's end at the junction.
#[derive(Debug, Clone, Copy)]
pub struct Branch<L> {
    /// State that the pipe brings.
    pub end: Full<L>,
    /// Which end of the pipe.
    pub which: Which,
    /// Area, m².
    pub area: L,
}

/// Most pipes that may meet.
pub const MOST: usize = 12;

/// What arrives, summed.
#[derive(Clone, Copy)]
struct Mixed<L> {
    m: L,
    h: L,
    v2: L,
    burned: L,
    fuel: L,
}

/// The gas that leaves a junction; the one of the step before starts the next.
#[derive(Debug, Clone, Copy)]
pub struct Leaving<L> {
    /// Stagnation temperature, K.
    pub t0: L,
    /// Density, kg/m³.
    pub rho: L,
    /// Mean square of the velocity of what arrives, m²/s².
    pub v2: L,
    /// Square of the sound speed in a throat, m²/s².
    pub sonic2: L,
}

impl<L: Lane> Leaving<L> {
    /// Before anything has arrived.
    pub fn at_rest(t0: L) -> Self {
        Self { t0, rho: L::splat(1.0), v2: L::zero(), sonic2: L::splat(1e12) }
    }
}

/// A branch at a trial pressure.
struct Trial<L: Lane> {
    arriving: L::Mask,
    /// Velocity out of the pipe, m/s.
    v: L,
    p: L,
    /// Density of what arrives, kg/m³.
    rho: L,
    /// Change of mass flux with pressure, over density and −1/(ρc).
    slope: L,
}

#[inline(always)]
fn trial<L: Lane>(branch: &Branch<L>, p: L, leaving: &Leaving<L>) -> Trial<L> {
    let (zero, one, two) = (L::zero(), L::one(), L::splat(2.0));
    let end = &branch.end;
    let wave = Wave::of(end);
    let free = outward(end, branch.which) - wave.delta(p);
    let arriving = free.gt(zero);
    // speed into the pipe: w = w₀ − d/Z, d = ½ρ (w² − v²)
    let w0 = (-free).max(zero);
    let z_inv = (end.rho * end.c).recip();
    let ratio = leaving.rho * z_inv;
    let b = one + ratio * w0;
    let c = L::splat(0.5) * leaving.rho * (w0 * w0 - leaving.v2).max(zero);
    let root = (b * b - two * ratio * z_inv * c).max(zero).sqrt();
    let d = two * c / (b + root);
    let w = w0 - d * z_inv;
    let sonic = leaving.sonic2.sqrt();
    let w = w.min(sonic);
    let p_leaving = (p - d).max(L::splat(0.5) * p);
    // A shock that the stream carries out of the pipe never reaches the face: the pipe's own state does. Behind it more
    // would flow than the pipe brings.
    let own = outward(end, branch.which);
    let rho = wave.density(p);
    let swept = (rho * free).gt(end.rho * own.max(zero));
    let swept = L::select(p.gt(end.at.p), L::select(swept, one, zero), zero).gt(zero);
    Trial {
        arriving,
        v: L::select(arriving, L::select(swept, own, free), -w),
        p: L::select(arriving, L::select(swept, end.at.p, p), p_leaving),
        rho: L::select(swept, end.rho, rho),
        slope: L::select(arriving, L::select(swept, zero, one), L::select(c.gt(zero), (one + ratio * w).recip(), one)),
    }
}

/// Faces of all pipes; `leaving` is the gas that left in the step before, and then that of this one. `faces` is filled
/// in the order of the branches.
///
/// # Panics
/// With more branches than room in `faces`.
#[inline(always)]
pub fn junction<L: Lane>(gas: &Gas<L>, branches: &[Branch<L>], leaving: &mut Leaving<L>, faces: &mut [Face<L>]) {
    let zero = L::zero();
    let half = L::splat(0.5);
    let tiny = L::splat(1e-25);
    let (mut top, mut yielding) = (zero, zero);
    for b in branches {
        let per_c = b.area / b.end.c;
        top += b.area * b.end.rho * outward(&b.end, b.which) + b.end.at.p * per_c;
        yielding += per_c;
    }
    let mut p = top / yielding;
    let steps = if L::EPSILON < 1e-10 { 25 } else { 2 };
    let mut mix = Mixed { m: zero, h: zero, v2: zero, burned: zero, fuel: zero };
    for n in 0..=steps {
        p = p.max(L::splat(1000.0));
        let (mut net, mut slope) = (zero, zero);
        mix = Mixed { m: zero, h: zero, v2: zero, burned: zero, fuel: zero };
        for b in branches {
            let x = trial(b, p, leaving);
            let rho = L::select(x.arriving, x.rho, leaving.rho);
            let m = b.area * rho * x.v;
            net += m;
            slope += b.area * rho * x.slope / (b.end.rho * b.end.c);
            let m_in = m.max(zero);
            let h0 = b.end.poly.h(L::select(x.arriving, x.p, p) / (b.end.r * x.rho)) + half * x.v * x.v;
            mix.m += m_in;
            mix.h += m_in * h0;
            mix.v2 += m_in * x.v * x.v;
            mix.burned += m_in * b.end.at.yb;
            mix.fuel += m_in * b.end.at.yf;
        }
        let inv = (mix.m + tiny).recip();
        let poly = gas.poly(mix.burned * inv, mix.fuel * inv);
        let some = mix.m.gt(tiny);
        let t0 = L::select(some, enthalpy_temperature(&poly, mix.h * inv, leaving.t0), leaving.t0);
        leaving.t0 = t0;
        let cp = poly.cv(t0) + poly.r;
        leaving.v2 = mix.v2 * inv;
        let t = t0 - half * leaving.v2 / cp;
        leaving.rho = L::select(some, p / (poly.r * t), leaving.rho);
        // γRT at the throat where speed is sound: 2 h0 (γ−1)/(γ+1) with h = cp T
        let gamma = cp / (cp - poly.r);
        leaving.sonic2 = L::splat(2.0) * gamma * poly.r * t0 / (gamma + L::one());
        if n == steps {
            break;
        }
        let step = net / slope;
        p += step;
        if L::EPSILON < 1e-10 && step.abs().le(p * L::splat(1e-14)).all() {
            break;
        }
    }
    finish(gas, branches, p, leaving, &mix, faces);
}

#[inline(always)]
fn enthalpy_temperature<L: Lane>(poly: &Poly<L>, h: L, guess: L) -> L {
    let mut t = guess - (poly.h(guess) - h) / (poly.cv(guess) + poly.r);
    if L::EPSILON < 1e-10 {
        t -= (poly.h(t) - h) / (poly.cv(t) + poly.r);
        t -= (poly.h(t) - h) / (poly.cv(t) + poly.r);
    }
    t
}

#[inline(always)]
fn finish<L: Lane>(
    gas: &Gas<L>,
    branches: &[Branch<L>],
    p: L,
    leaving: &Leaving<L>,
    mix: &Mixed<L>,
    faces: &mut [Face<L>],
) {
    let zero = L::zero();
    let half = L::splat(0.5);
    let tiny = L::splat(1e-25);
    let inv = (mix.m + tiny).recip();
    let (yb, yf, h0) = (mix.burned * inv, mix.fuel * inv, mix.h * inv);
    let poly = gas.poly(yb, yf);
    let t0 = leaving.t0;
    let cp = poly.cv(t0) + poly.r;
    let (mut arrives, mut leaves) = (zero, zero);
    for (b, face) in branches.iter().zip(faces.iter_mut()) {
        let x = trial(b, p, leaving);
        let own_t = L::select(x.arriving, x.p, p) / (b.end.r * x.rho);
        let t = L::select(x.arriving, own_t, t0 - half * x.v * x.v / cp);
        let rho = L::select(x.arriving, x.rho, x.p / (poly.r * t));
        let mass = rho * x.v;
        arrives += (b.area * mass).max(zero);
        leaves -= (b.area * mass).min(zero);
        *face = Face {
            mass,
            h0: L::select(x.arriving, b.end.poly.h(own_t) + half * x.v * x.v, h0),
            p: x.p,
            v: x.v,
            t,
            yb: L::select(x.arriving, b.end.at.yb, yb),
            yf: L::select(x.arriving, b.end.at.yf, yf),
        };
    }
    let scale = arrives / (leaves + tiny);
    for face in faces.iter_mut().take(branches.len()) {
        face.mass = L::select(face.mass.lt(zero), face.mass * scale, face.mass);
    }
}

//! Pipes that meet: one static pressure for all of them.
//!
//! Model: each pipe's wave relation gives the velocity it brings at the common pressure; the pressure is the one at
//! which as much arrives as leaves (Newton steps). What leaves has the mean stagnation enthalpy and composition of
//! what arrives (constant-pressure junction, Benson 1982, from memory). Mass and energy are kept exactly: the last
//! step scales what leaves to what arrives. Left out: the momentum that one stream lends another (a merge that sucks)
//! and losses by angle.

use super::wave::Wave;
use super::{Face, Which, outward};
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

/// Faces of all pipes; `guess_t` is a temperature near that of the mixture, K. `faces` is filled in the order of the
/// branches.
///
/// # Panics
/// With more branches than [`MOST`] or room in `faces`.
#[inline(always)]
pub fn junction<L: Lane>(gas: &Gas<L>, branches: &[Branch<L>], guess_t: &mut L, faces: &mut [Face<L>]) {
    let zero = L::zero();
    let tiny = L::splat(1e-25);
    let (mut top, mut yielding) = (zero, zero);
    for b in branches {
        let per_c = b.area / b.end.c;
        top += b.area * b.end.rho * outward(&b.end, b.which) + b.end.at.p * per_c;
        yielding += per_c;
    }
    let mut p = top / yielding;
    let steps = if L::EPSILON < 1e-10 { 12 } else { 2 };
    // density of the mixture, known better with every step
    let mut mix_rho = zero;
    for b in branches {
        mix_rho += b.end.rho * b.area / b.end.c;
    }
    mix_rho /= yielding;
    let mut mix: Mixed<L> = Mixed::none();
    for n in 0..=steps {
        p = p.max(L::splat(1000.0));
        let (mut net, mut slope) = (zero, zero);
        mix = Mixed::none();
        for b in branches {
            let wave = Wave::of(&b.end);
            let v = outward(&b.end, b.which) - wave.delta(p);
            let arriving = v.gt(zero);
            let rho_in = wave.density(p);
            let rho = L::select(arriving, rho_in, mix_rho);
            let m = b.area * rho * v;
            net += m;
            slope += b.area * rho / (b.end.rho * b.end.c);
            let m_in = m.max(zero);
            let h0 = b.end.poly.h(p / (b.end.r * rho_in)) + L::splat(0.5) * v * v;
            mix.m += m_in;
            mix.h += m_in * h0;
            mix.burned += m_in * b.end.at.yb;
            mix.fuel += m_in * b.end.at.yf;
        }
        let inv = (mix.m + tiny).recip();
        let poly = gas.poly(mix.burned * inv, mix.fuel * inv);
        let some = mix.m.gt(tiny);
        let t = L::select(some, enthalpy_temperature(&poly, mix.h * inv, *guess_t), *guess_t);
        *guess_t = t;
        mix_rho = L::select(some, p / (poly.r * t), mix_rho);
        if n == steps {
            break;
        }
        let step = net / slope;
        p += step;
        if L::EPSILON < 1e-10 && step.abs().le(p * L::splat(1e-15)).all() {
            break;
        }
    }
    finish(gas, branches, p, *guess_t, &mix, faces);
}

#[derive(Clone, Copy)]
struct Mixed<L> {
    m: L,
    h: L,
    burned: L,
    fuel: L,
}

impl<L: Lane> Mixed<L> {
    #[inline(always)]
    fn none() -> Self {
        let zero = L::zero();
        Self { m: zero, h: zero, burned: zero, fuel: zero }
    }
}

#[inline(always)]
fn enthalpy_temperature<L: Lane>(poly: &crate::duct::gas::Poly<L>, h: L, guess: L) -> L {
    let mut t = guess - (poly.h(guess) - h) / (poly.cv(guess) + poly.r);
    if L::EPSILON < 1e-10 {
        t -= (poly.h(t) - h) / (poly.cv(t) + poly.r);
        t -= (poly.h(t) - h) / (poly.cv(t) + poly.r);
    }
    t
}

#[inline(always)]
fn finish<L: Lane>(gas: &Gas<L>, branches: &[Branch<L>], p: L, t0: L, mix: &Mixed<L>, faces: &mut [Face<L>]) {
    let zero = L::zero();
    let tiny = L::splat(1e-25);
    let inv = (mix.m + tiny).recip();
    let (yb, yf, h0) = (mix.burned * inv, mix.fuel * inv, mix.h * inv);
    let poly = gas.poly(yb, yf);
    let cp = poly.cv(t0) + poly.r;
    let mut leaving = zero;
    for (b, face) in branches.iter().zip(faces.iter_mut()) {
        let wave = Wave::of(&b.end);
        let v = outward(&b.end, b.which) - wave.delta(p);
        let arriving = v.gt(zero);
        let own_rho = wave.density(p);
        let own_t = p / (b.end.r * own_rho);
        let t = L::select(arriving, own_t, t0 - L::splat(0.5) * v * v / cp);
        let rho = L::select(arriving, own_rho, p / (poly.r * t));
        let mass = rho * v;
        leaving -= (b.area * mass).min(zero);
        *face = Face {
            mass,
            h0: L::select(arriving, b.end.poly.h(own_t) + L::splat(0.5) * v * v, h0),
            p,
            v,
            t,
            yb: L::select(arriving, b.end.at.yb, yb),
            yf: L::select(arriving, b.end.at.yf, yf),
        };
    }
    let scale = mix.m / (leaving + tiny);
    for face in faces.iter_mut().take(branches.len()) {
        face.mass = L::select(face.mass.lt(zero), face.mass * scale, face.mass);
    }
}

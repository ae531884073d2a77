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
//! Where two pipes meet and the gas goes into the wider, it recovers the pressure that momentum gives it (a sudden
//! enlargement, Borda and Carnot).
//!
//! Left out: the momentum that streams of more than two pipes lend each other (a merge that sucks), and losses by angle.

use super::wave::Wave;
use super::{Face, Which, outward};
use crate::duct::gas::Poly;
use crate::duct::state::{Full, Gas};
use crate::lane::{Lane, LaneMask, apart};

/// A pipe's end at the junction.
#[derive(Debug, Clone, Copy)]
pub struct Branch<'a, L> {
    /// State that the pipe brings.
    pub end: &'a Full<L>,
    /// Which end of the pipe.
    pub which: Which,
    /// Area, m².
    pub area: &'a L,
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

/// Room to work in for a branch: what does not change while the pressure is searched, and the last trial.
#[derive(Debug, Clone, Copy)]
pub struct Arm<L> {
    wave: Wave<L>,
    outward: L,
    /// One over density and sound, m²·s/kg.
    z_inv: L,
    /// Area of the pipe whose stream widens into this one, over this one's; zero where that does not happen.
    widens: L,
    trial: Trial<L>,
}

/// A branch at a trial pressure.
#[derive(Debug, Clone, Copy)]
struct Trial<L> {
    /// Velocity out of the pipe, m/s: above zero for what arrives.
    v: L,
    p: L,
    /// Temperature of what arrives, K.
    t: L,
    /// Density of what arrives, kg/m³.
    rho: L,
    /// Its stagnation enthalpy, J/kg.
    h0: L,
    /// Change of mass flux with pressure, over density and −1/(ρc).
    slope: L,
}

impl<L: Lane> Arm<L> {
    /// Room that is not yet in use.
    pub fn idle() -> Self {
        let x = L::one();
        let trial = Trial { v: x, p: x, t: x, rho: x, h0: x, slope: x };
        Self { wave: Wave::idle(), outward: x, z_inv: x, widens: x, trial }
    }

    #[inline(always)]
    fn of(branch: &Branch<'_, L>, widens: L) -> Self {
        let z_inv = (branch.end.rho * branch.end.c).recip();
        let wave = Wave::of(branch.end);
        Self { wave, outward: outward(branch.end, branch.which), z_inv, widens, ..Self::idle() }
    }

    #[inline(always)]
    fn try_at(&mut self, end: &Full<L>, p: L, leaving: &Leaving<L>, sonic: L) {
        let (zero, one, two, half) = (L::zero(), L::one(), L::splat(2.0), L::splat(0.5));
        let (delta, rho) = self.wave.delta_and_density(p);
        let free = self.outward - delta;
        let arriving = free.gt(zero);
        // speed into the pipe: w = w₀ − d/Z, d = ½ρ (w² − v²)
        let w0 = (-free).max(zero);
        let ratio = leaving.rho * self.z_inv;
        let b = one + ratio * w0;
        let c = half * leaving.rho * (w0 * w0 - leaving.v2).max(zero);
        let root = (b * b - two * ratio * self.z_inv * c).max(zero).sqrt();
        let d = two * c / (b + root);
        // momentum over the step, with one density
        let recovered = leaving.rho * leaving.v2 * self.widens * (one - self.widens);
        let w = (w0 + (recovered - d) * self.z_inv).min(sonic);
        // A shock that the stream carries out of the pipe never reaches the face: the pipe's own state does. Behind it more
        // would flow than the pipe brings.
        let swept = (rho * free).gt(end.rho * self.outward.max(zero)).and(p.gt(end.at.p)).and(arriving);
        let v = L::select(arriving, L::select(swept, self.outward, free), -w);
        let rho = L::select(swept, end.rho, rho);
        let p_arriving = L::select(swept, end.at.p, p);
        let t = p_arriving / (end.poly.r * rho);
        let p_leaving = (p - d + recovered).max(half * p);
        let leaving_slope = L::select(c.gt(zero), (one + ratio * w).recip(), one);
        self.trial = Trial {
            v,
            p: L::select(arriving, p_arriving, p_leaving),
            t,
            rho,
            h0: end.poly.h(t) + half * v * v,
            slope: L::select(arriving, L::select(swept, zero, one), leaving_slope),
        };
    }
}

/// Faces of all pipes; `leaving` is the gas that left in the step before, and then that of this one. `faces` is filled
/// in the order of the branches.
///
/// # Panics
/// With more branches than room in `faces` or `arms`.
#[inline(always)]
pub fn junction<L: Lane>(
    gas: &Gas<L>,
    branches: &[Branch<'_, L>],
    leaving: &mut Leaving<L>,
    arms: &mut [Arm<L>],
    faces: &mut [Face<L>],
) {
    let zero = L::zero();
    let half = L::splat(0.5);
    let tiny = L::splat(1e-25);
    let arms = &mut arms[..branches.len()];
    let (mut top, mut yielding) = (zero, zero);
    for i in 0..branches.len() {
        let i = apart(i);
        let (b, arm) = (&branches[i], &mut arms[i]);
        // of two pipes the narrow one's stream fills the wide one: Borda and Carnot
        let widens = match branches {
            [x, y] => {
                let share = (*x.area / *y.area).min(*y.area / *x.area);
                L::select(b.area.gt(half * (*x.area + *y.area)), share, zero)
            }
            _ => zero,
        };
        *arm = Arm::of(b, widens);
        let per_c = *b.area * b.end.rho * arm.z_inv;
        top += *b.area * b.end.rho * arm.outward + b.end.at.p * per_c;
        yielding += per_c;
    }
    let mut p = top / yielding;
    let steps = if L::EPSILON < 1e-10 { 25 } else { 1 };
    let mut mix = Mixed { m: zero, h: zero, v2: zero, burned: zero, fuel: zero };
    for n in 0..=steps {
        p = p.max(L::splat(1000.0));
        let (mut net, mut slope) = (zero, zero);
        mix = Mixed { m: zero, h: zero, v2: zero, burned: zero, fuel: zero };
        let sonic = leaving.sonic2.sqrt();
        for i in 0..branches.len() {
            let i = apart(i);
            let (b, arm) = (&branches[i], &mut arms[i]);
            arm.try_at(b.end, p, leaving, sonic);
            let x = &arm.trial;
            let rho = L::select(x.v.gt(zero), x.rho, leaving.rho);
            let m = *b.area * rho * x.v;
            net += m;
            slope += *b.area * rho * x.slope * arm.z_inv;
            let m_in = m.max(zero);
            mix.m += m_in;
            mix.h += m_in * x.h0;
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
        let step = net / (slope + tiny);
        p += step;
        if L::EPSILON < 1e-10 && step.abs().le(p * L::splat(1e-14)).all() {
            break;
        }
    }
    finish(gas, branches, leaving, &mix, arms, faces);
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
    branches: &[Branch<'_, L>],
    leaving: &Leaving<L>,
    mix: &Mixed<L>,
    arms: &[Arm<L>],
    faces: &mut [Face<L>],
) {
    let zero = L::zero();
    let half = L::splat(0.5);
    let tiny = L::splat(1e-25);
    let inv = (mix.m + tiny).recip();
    let (yb, yf, h0) = (mix.burned * inv, mix.fuel * inv, mix.h * inv);
    let poly = gas.poly(yb, yf);
    let t0 = leaving.t0;
    let cp_inv = (poly.cv(t0) + poly.r).recip();
    let (mut arrives, mut leaves) = (zero, zero);
    for i in 0..branches.len() {
        let i = apart(i);
        let (b, x, face) = (&branches[i], &arms[i].trial, &mut faces[i]);
        let arriving = x.v.gt(zero);
        let t = L::select(arriving, x.t, t0 - half * x.v * x.v * cp_inv);
        let rho = L::select(arriving, x.rho, x.p / (poly.r * t));
        let mass = rho * x.v;
        arrives += (*b.area * mass).max(zero);
        leaves -= (*b.area * mass).min(zero);
        *face = Face {
            mass,
            h0: L::select(arriving, x.h0, h0),
            p: x.p,
            v: x.v,
            t,
            yb: L::select(arriving, b.end.at.yb, yb),
            yf: L::select(arriving, b.end.at.yf, yf),
        };
    }
    let scale = arrives / (leaves + tiny);
    for face in faces.iter_mut().take(branches.len()) {
        face.mass = L::select(face.mass.lt(zero), face.mass * scale, face.mass);
    }
}

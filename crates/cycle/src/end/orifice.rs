//! A vessel behind an opening: valve, plenum, open air, closed end.
//!
//! Into the pipe: isentropic from the vessel at rest to the static pressure of the pipe's face, or choked; the total
//! enthalpy stays, the kinetic energy of the jet is not recovered (constant-pressure model, Benson 1982, from memory).
//! The face of the pipe has sound speed at most; beyond that the throat's choked flux alone sets its state.
//! Out of the pipe: isentropic from the pipe's face to a throat at the vessel's pressure, or choked. The opening is
//! an effective area: discharge coefficient and reference area are in it.
//!
//! The unknown is the velocity at the face. A closed form for constant density starts it, Newton steps on the
//! difference of the squared mass fluxes (smooth both near shut and near no pressure difference) finish it, held
//! within zero and the velocity at which the pressures are equal. Single precision takes two steps, from the velocity of
//! the step of time before where that is near, double as many as it needs.

use super::wave::Wave;
use super::{Face, Vessel};
use crate::duct::state::Full;
use crate::lane::{Lane, LaneMask};

const STEPS_DOUBLE: usize = 40;
const STEPS_SINGLE: usize = 2;

/// x^k for x from 0.4 to 1 and k below 0.5, as `exp(k ln x)`.
#[inline(always)]
fn power<L: Lane>(x: L, k: L) -> L {
    (x.ln() * k).exp()
}

/// Pressure ratio at which an opening chokes. In single precision a parabola through 1.2, 1.3 and 1.4, within 1e-5: the mass flux
/// is level there.
#[inline(always)]
fn critical_ratio<L: Lane>(gamma: L) -> L {
    let (one, two) = (L::one(), L::splat(2.0));
    if L::EPSILON < 1e-10 {
        return power(two / (gamma + one), gamma / (gamma - one));
    }
    let x = gamma - L::splat(1.3);
    L::splat(0.545_728) + x * (x * L::splat(0.065_01) - L::splat(0.180_96))
}

/// The face between a pipe and a vessel. `outward` is the velocity out of the pipe that the end cell brings;
/// `share_in` and `share_out` are the effective area of the opening over the pipe's, for flow into and out of the
/// pipe, 0 to 1.
#[inline(always)]
pub fn orifice<L: Lane>(end: &Full<L>, outward: L, vessel: &Vessel<L>, share_in: L, share_out: L) -> Face<L> {
    let into_pipe = vessel.p.gt(Wave::of(end).reached(outward).p);
    let out = if into_pipe.all() { None } else { Some(leaving(end, outward, vessel.p, share_out, L::zero())) };
    let inn = if into_pipe.any() { Some(entering(end, outward, vessel, share_in, L::zero())) } else { None };
    // nothing is known from before, so that single precision looks twice
    let single = L::EPSILON > 1e-10;
    let out = out.map(|f| if single { leaving(end, outward, vessel.p, share_out, f.v) } else { f });
    let inn = inn.map(|f| if single { entering(end, outward, vessel, share_in, -f.v) } else { f });
    match (inn, out) {
        (Some(inn), Some(out)) => {
            let pick = |a, b| L::select(into_pipe, a, b);
            Face {
                mass: pick(inn.mass, out.mass),
                h0: pick(inn.h0, out.h0),
                p: pick(inn.p, out.p),
                v: pick(inn.v, out.v),
                t: pick(inn.t, out.t),
                yb: pick(inn.yb, out.yb),
                yf: pick(inn.yf, out.yf),
            }
        }
        (Some(face), None) | (None, Some(face)) => face,
        (None, None) => unreachable!("a lane flows in or does not"),
    }
}

/// A closed end.
#[inline(always)]
pub fn closed<L: Lane>(end: &Full<L>, outward: L) -> Face<L> {
    let wave = Wave::of(end);
    let p = wave.reached(outward).p;
    let t = p / (end.poly.r * wave.density(p));
    let zero = L::zero();
    Face { mass: zero, h0: zero, p, v: zero, t, yb: end.at.yb, yf: end.at.yf }
}

#[inline(always)]
fn settled<L: Lane>(step: L, of: L) -> bool {
    step.abs().le(L::splat(64.0 * L::EPSILON) * of + L::splat(1e-9)).all()
}

/// The start of the search: a velocity known from before, where it is near the estimate from above, else that.
#[inline(always)]
fn near<L: Lane>(most: L, guess: L) -> L {
    L::select(guess.gt(L::splat(0.5) * most), guess.min(most), most)
}

/// Flow into the pipe, where the vessel's pressure is above that of the stopped gas. `guess` is the velocity at the face,
/// m/s into the pipe, a step of time before, or zero. Of `end` pressure, density, sound and
/// ratio of heats are used.
#[inline(always)]
pub fn entering<L: Lane>(end: &Full<L>, outward: L, vessel: &Vessel<L>, share: L, guess: L) -> Face<L> {
    let wave = &Wave::of(end);
    let stopped_p = wave.reached(outward).p;
    let (one, two, zero) = (L::one(), L::splat(2.0), L::zero());
    let (p0, t0, r) = (vessel.p, vessel.t, vessel.r);
    let gamma = vessel.gm1 + one;
    let k = vessel.gm1 / gamma;
    let cp = r / k;
    let rt0 = r * t0;
    let rho0 = p0 / rt0;
    let s2 = share * share;
    let first = wave.reached(outward);
    let d = (p0 - stopped_p).max(zero);
    let tiny = L::splat(1e-20);
    let sz = s2 * first.slope;
    // ½ ρ²/ρ₀ v² + s² (Z v − D) = 0 with the density ρ of the stopped gas: an upper bound
    let thin = stopped_p / p0;
    let mut v = two * s2 * d / (sz + (sz * sz + two * rho0 * thin * thin * s2 * d).sqrt() + tiny);
    // where pressures are equal, and where the gas has sound speed at the face
    let sonic = (two * gamma * rt0 / (gamma + one)).sqrt();
    let most = (wave.delta(p0) - outward).max(zero).min(sonic);
    let critical = critical_ratio(gamma);
    let scale = p0 * rho0 * two / k;
    // the choked mass flux in gas of the vessel's temperature: an upper bound, and near where it is reached
    let most_mass = share * critical * (gamma + one) * L::splat(0.5) * (scale * (one - two / (gamma + one))).sqrt();
    let s4 = L::splat(4.0) * first.slope * most_mass * rt0;
    v = v.min(two * most_mass * rt0 / (stopped_p + (stopped_p * stopped_p + s4).sqrt()));
    v = near(v.min(most), guess);
    let mut reached = first;
    let mut t = t0;
    let mut rho = rho0;
    let steps = if L::EPSILON < 1e-10 { STEPS_DOUBLE } else { STEPS_SINGLE };
    for n in 0..=steps {
        reached = wave.reached(outward + v);
        t = t0 - L::splat(0.5) * v * v / cp;
        let rt = r * t;
        rho = reached.p / rt;
        if n == steps {
            break;
        }
        let ratio = (reached.p / p0).max(critical).min(one);
        let y = power(ratio, k);
        let inv_y2 = (y * y).recip();
        let jet2 = s2 * scale * ratio * ratio * inv_y2 * (one - y);
        let jet2_p = s2 * scale * ratio * inv_y2 * (two - two * k - (two - k) * y) / p0;
        let jet2_p = L::select(reached.p.gt(critical * p0), jet2_p, zero);
        let m = rho * v;
        let dm = rho + v * (reached.slope / rt + rho * v / (cp * t));
        let slope = two * m * dm - jet2_p * reached.slope;
        let next = (v - (m * m - jet2) / (slope + tiny)).max(zero).min(most);
        let step = next - v;
        v = next;
        if L::EPSILON < 1e-10 && settled(step, v) {
            // one more look, for pressure and density
            reached = wave.reached(outward + v);
            t = t0 - L::splat(0.5) * v * v / cp;
            rho = reached.p / (r * t);
            break;
        }
    }
    // At sound speed nothing of the pipe reaches the face: the throat's own flux sets density and pressure, which the
    // pipe then expands from.
    let at_sonic = v.ge(L::splat(0.9999) * sonic);
    let own = most_mass / sonic;
    let rho = L::select(at_sonic, own.max(rho), rho);
    let p = L::select(at_sonic, rho * r * t, reached.p);
    Face { mass: -(rho * v), h0: vessel.h, p, v: -v, t, yb: vessel.yb, yf: vessel.yf }
}

/// Flow out of the pipe (so is `guess`, see [`entering`]) into a vessel of the pressure `vessel_p`, where that is not above the pressure of the stopped gas.
#[inline(always)]
pub fn leaving<L: Lane>(end: &Full<L>, outward: L, vessel_p: L, share: L, guess: L) -> Face<L> {
    let wave = &Wave::of(end);
    let stopped_p = wave.reached(outward).p;
    let (one, two, zero) = (L::one(), L::splat(2.0), L::zero());
    let gamma = end.gm1 + one;
    let k = end.gm1 / gamma;
    let s2 = share * share;
    let d = (stopped_p - vessel_p).max(zero);
    let tiny = L::splat(1e-20);
    let first = wave.reached(outward);
    let sz = s2 * first.slope;
    let mut v = two * s2 * d / (sz + (sz * sz + two * end.rho * (one - s2).max(zero) * s2 * d).sqrt() + tiny);
    let most = (outward - wave.delta(vessel_p)).max(zero);
    // choked from the pressure of the stopped gas: an upper bound as well
    let critical_density = L::splat(0.5459) + L::splat(0.0629) * gamma;
    v = v.min(share * critical_density * (two * gamma / (gamma + one) * stopped_p * end.inv_rho).sqrt());
    v = near(v.min(most), guess);
    let steps = if L::EPSILON < 1e-10 { STEPS_DOUBLE } else { STEPS_SINGLE };
    let mut p = stopped_p;
    let mut rho = end.rho;
    for n in 0..=steps {
        let reached = wave.reached(outward - v);
        p = reached.p;
        rho = wave.density(p);
        if n == steps {
            break;
        }
        let c2 = gamma * p / rho;
        let h = c2 / end.gm1;
        let ratio = (vessel_p / p).min(one);
        let y_free = power(ratio.max(L::splat(0.05)), k);
        let y_choked = ((two * h + v * v) / ((gamma + one) * h)).min(one);
        let is_choked = y_free.lt(y_choked);
        let y = y_free.max(y_choked);
        let throat = if is_choked.any() {
            L::select(is_choked, power(y_choked, end.gm1.recip()), ratio / y_free)
        } else {
            ratio / y_free
        };
        let rho_throat = rho * throat;
        let speed2 = v * v + two * h * (one - y);
        let jet2 = s2 * rho_throat * rho_throat * speed2;
        // with less velocity at the face, both its pressure and what drives the jet rise
        let drive = v - reached.slope / rho;
        let free = two * s2 * rho_throat * rho_throat * drive;
        let choked = two * jet2 * (k.recip() - L::splat(0.5)) * drive / (h + L::splat(0.5) * v * v);
        let jet2_v = L::select(is_choked, choked, free);
        let m = rho * v;
        let dm = rho - v * reached.slope / c2;
        let slope = two * m * dm - jet2_v;
        let next = (v - (m * m - jet2) / (slope + tiny)).max(zero).min(most);
        let step = next - v;
        v = next;
        if L::EPSILON < 1e-10 && settled(step, v) {
            let reached = wave.reached(outward - v);
            p = reached.p;
            rho = wave.density(p);
            break;
        }
    }
    // A shock that the stream carries out of the pipe never reaches the face, and an expansion behind sound speed does not
    // either: the pipe's own state does. Behind the shock more would flow than the pipe brings.
    let swept = L::select((rho * v).gt(end.rho * outward).or(end.at.p.ge(p)), one, zero);
    let swept = L::select(outward.gt(end.c), swept, zero).gt(zero);
    let (v, p, rho) = (L::select(swept, outward, v), L::select(swept, end.at.p, p), L::select(swept, end.rho, rho));
    let t = p / (end.poly.r * rho);
    let h0 = end.poly.h(t) + L::splat(0.5) * v * v;
    Face { mass: rho * v, h0, p, v, t, yb: end.at.yb, yf: end.at.yf }
}

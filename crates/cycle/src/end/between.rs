//! An opening between two vessels: throttle, bypass, restrictor.

use super::Vessel;
use crate::lane::Lane;

/// Mass flow, kg/s, from vessel `a` to `b` through an effective area, m²; negative the other way.
///
/// Isentropic to the lower pressure, or choked. `stiffness` is by how much the difference of pressure changes with a
/// mass passed within one step, Pa per kg/s; it keeps a wide opening from passing more than evens the pressures out.
#[inline(always)]
pub fn mass_flow<L: Lane>(a: &Vessel<L>, b: &Vessel<L>, area_m2: L, stiffness: L) -> L {
    let (one, two, zero) = (L::one(), L::splat(2.0), L::zero());
    let forward = a.p.ge(b.p);
    let pick = |x, y| L::select(forward, x, y);
    let (p0, t0, r, gm1) = (pick(a.p, b.p), pick(a.t, b.t), pick(a.r, b.r), pick(a.gm1, b.gm1));
    let low = pick(b.p, a.p);
    let gamma = gm1 + one;
    let k = gm1 / gamma;
    let rho0 = p0 / (r * t0);
    let critical = ((two / (gamma + one)).ln() / k).exp();
    let ratio = (low / p0).max(critical).min(one);
    let y = (ratio.ln() * k).exp();
    let jet = ratio / y * (p0 * rho0 * two / k * (one - y).max(zero)).sqrt() * area_m2;
    // m = 2 D/(Z + √(Z² + 4 D D/m₀²)): the root of D (m/m₀)² + Z m − D = 0
    let d = p0 - low;
    let tiny = L::splat(1e-12);
    let inv = d / (jet + tiny);
    let held = two * d / (stiffness + (stiffness * stiffness + L::splat(4.0) * inv * inv).sqrt() + tiny);
    let m = held.min(jet);
    L::select(forward, m, -m)
}

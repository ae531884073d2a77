//! The wave that runs from the end of a pipe back into it: pressure over velocity.
//!
//! With Δ = u − v the change from the velocity u that the pipe brings to the velocity v at the face, the shock
//! relation solved for pressure is p = p₁ + ρ₁ (γ+1)/4 · Δ (Δ + √(Δ² + 16 c₁²/(γ+1)²)) (from the jump conditions;
//! E. F. Toro, chapter 4, from memory). It is used for rarefactions as well.

use crate::duct::state::Full;
use crate::lane::Lane;

/// The relation for one state.
#[derive(Debug, Clone, Copy)]
pub struct Wave<L> {
    p: L,
    rho: L,
    k: L,
    root: L,
    /// (γ − 1)/(γ + 1).
    b: L,
    a: L,
}

/// Pressure with its slope.
#[derive(Debug, Clone, Copy)]
pub struct Reached<L> {
    /// Pressure, Pa.
    pub p: L,
    /// Change of pressure with Δ, Pa·s/m.
    pub slope: L,
}

impl<L: Lane> Wave<L> {
    /// Of the state at the end of a pipe.
    #[inline(always)]
    pub fn of(end: &Full<L>) -> Self {
        let gp1 = end.gm1 + L::splat(2.0);
        let inv = gp1.recip();
        let c = L::splat(4.0) * end.c * inv;
        Self {
            p: end.at.p,
            rho: end.rho,
            k: L::splat(0.25) * end.rho * gp1,
            root: c * c,
            b: end.gm1 * inv,
            a: L::splat(2.0) * inv * end.inv_rho,
        }
    }

    /// Pressure after a change of velocity Δ, m/s; at least a hundredth of the pressure before.
    #[inline(always)]
    pub fn reached(&self, delta: L) -> Reached<L> {
        let s = (delta * delta + self.root).sqrt();
        let p = self.p + self.k * delta * (delta + s);
        let slope = self.k * (L::splat(2.0) * delta + s + delta * delta / s);
        Reached { p: p.max(L::splat(0.01) * self.p), slope }
    }

    /// Change of velocity Δ, m/s, that reaches a pressure.
    #[inline(always)]
    pub fn delta(&self, p: L) -> L {
        (p - self.p) * (self.a / (p + self.b * self.p)).sqrt()
    }

    /// [`Wave::delta`] and [`Wave::density`] together, with one quotient.
    #[inline(always)]
    pub fn delta_and_density(&self, p: L) -> (L, L) {
        let (top, bottom) = (p + self.b * self.p, self.b * p + self.p);
        let inv = (top * bottom).recip();
        ((p - self.p) * (self.a * (inv * bottom)).sqrt(), self.rho * top * (inv * top))
    }

    /// Before there is a state.
    pub fn idle() -> Self {
        let x = L::one();
        Self { p: x, rho: x, k: x, root: x, b: x, a: x }
    }

    /// Density, kg/m³, behind the wave at a pressure.
    #[inline(always)]
    pub fn density(&self, p: L) -> L {
        self.rho * (p + self.b * self.p) / (self.b * p + self.p)
    }
}

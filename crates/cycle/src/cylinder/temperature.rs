//! Temperature and pressure of a cylinder from its energy.
//!
//! While it burns, the burned part is what is left of volume and pressure when the unburned part, on its isentrope, has
//! its own; its temperature decides how far it splits. Energy is summed at the mean temperature.

use crate::gas_state::two_range::{CylinderGas, TwoRange};
use crate::lane::{Lane, LaneMask};

/// What the Newton steps hang on.
pub(super) struct Solve<'a, L: Lane> {
    pub(super) gas: &'a CylinderGas<L>,
    pub(super) mixed: &'a TwoRange<L>,
    pub(super) m: L,
    pub(super) v: L,
    pub(super) yb: L,
    pub(super) r: L,
    pub(super) burning: L::Mask,
    pub(super) x: L,
    pub(super) r_unburned: L,
    pub(super) t_unburned: L,
    pub(super) ln_p_old: L,
    pub(super) kappa: L,
    /// Hot enough for fragments to count; a lane's own answer, whatever its neighbours'.
    pub(super) hot: L::Mask,
}

/// A state at a trial temperature.
pub(super) struct State<L> {
    pub(super) p: L,
    pub(super) ln_p: L,
    pub(super) e: L,
    pub(super) cv: L,
    pub(super) t_unburned: L,
}

impl<L: Lane> Solve<'_, L> {
    #[inline(always)]
    pub(super) fn at(&self, t: L) -> State<L> {
        let (one, half) = (L::one(), L::splat(0.5));
        let (e, cv) = self.mixed.e_cv(t);
        let over_v = self.m / self.v;
        let p = over_v * self.r * t;
        let ln_p = p.ln();
        // The unburned gas follows its isentrope; the exponential of a small number by its series.
        let k = self.kappa * (ln_p - self.ln_p_old);
        let t_unburned = self.t_unburned * (one + k * (one + half * k * (one + k * L::splat(1.0 / 3.0))));
        if !self.hot.any() {
            return State { p, ln_p, e, cv, t_unburned };
        }
        // The burned part is what is left of volume and pressure when the unburned part has its own.
        let x = self.x.max(L::splat(0.02));
        let r_burned = self.gas.r[2];
        let own = (self.r * t - (one - x) * self.r_unburned * t_unburned) / (x * r_burned);
        let t_hot = L::select(self.burning, own.max(t).min(L::splat(3400.0)), t);
        let share = L::select(self.hot, L::select(self.burning, self.x, self.yb), L::zero());
        let extra = self.gas.extra.at(t_hot, ln_p);
        let more = share * r_burned * extra.r * t_hot / (self.r * t);
        let slope = L::select(self.burning.and(self.hot), extra.e_slope, share * extra.e_slope);
        State {
            p: p * (one + more),
            ln_p: ln_p + more * (one - half * more),
            e: e + share * extra.e,
            cv: cv + slope,
            t_unburned,
        }
    }
}

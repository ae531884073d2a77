//! A volume without length: plenum, muffler, air box.
//!
//! Model: mass, energy and composition of well-stirred gas; what passes its openings is added up and put in at the
//! end of a step. Left out: the momentum of what enters (it is lost), heat of the walls except as stated.

use super::Vessel;
use crate::duct::state::{Gas, temperature};
use crate::lane::Lane;

/// What a volume holds.
#[derive(Debug, Clone, Copy)]
pub struct Volume<L> {
    /// Volume, m³.
    pub v: L,
    /// Mass, kg.
    pub m: L,
    /// Sensible energy, J.
    pub e: L,
    /// Burned gas, kg.
    pub burned: L,
    /// Fuel vapour, kg.
    pub fuel: L,
    /// Temperature, K.
    pub t: L,
}

/// What enters in a step, less what leaves.
#[derive(Debug, Clone, Copy)]
pub struct Gain<L> {
    /// Mass, kg.
    pub m: L,
    /// Sensible stagnation enthalpy, J.
    pub h: L,
    /// Burned gas, kg.
    pub burned: L,
    /// Fuel vapour, kg.
    pub fuel: L,
}

impl<L: Lane> Gain<L> {
    /// Nothing.
    #[inline(always)]
    pub fn none() -> Self {
        Self { m: L::zero(), h: L::zero(), burned: L::zero(), fuel: L::zero() }
    }

    /// With what the lane beside gained, see [`Lane::with_neighbour`].
    pub fn with_neighbour(&self) -> Self {
        Self {
            m: self.m.with_neighbour(),
            h: self.h.with_neighbour(),
            burned: self.burned.with_neighbour(),
            fuel: self.fuel.with_neighbour(),
        }
    }

    /// Adds a mass with its enthalpy and shares.
    #[inline(always)]
    pub fn add(&mut self, m: L, h0: L, yb: L, yf: L) {
        self.m += m;
        self.h += m * h0;
        self.burned += m * yb;
        self.fuel += m * yf;
    }
}

impl<L: Lane> Volume<L> {
    /// Filled at a pressure, a temperature and shares.
    pub fn filled(gas: &Gas<L>, v: L, p: L, t: L, yb: L, yf: L) -> Self {
        let poly = gas.poly(yb, yf);
        let m = p * v / (poly.r * t);
        Self { v, m, e: m * poly.e(t), burned: m * yb, fuel: m * yf, t }
    }

    /// Half a step on, if as much enters as in the step before: keeps what its openings do of second order in time.
    #[inline(always)]
    pub fn half_step_on(&self, gas: &Gas<L>, last: &Gain<L>) -> Self {
        let half = L::splat(0.5);
        let gain = Gain { m: half * last.m, h: half * last.h, burned: half * last.burned, fuel: half * last.fuel };
        let mut on = *self;
        on.take(gas, &gain);
        on
    }

    /// Puts in what entered.
    #[inline(always)]
    pub fn take(&mut self, gas: &Gas<L>, gain: &Gain<L>) {
        self.m += gain.m;
        self.e += gain.h;
        self.burned += gain.burned;
        self.fuel += gain.fuel;
        let inv = self.m.recip();
        let poly = gas.poly(self.burned * inv, self.fuel * inv);
        self.t = temperature(&poly, self.e * inv, self.t);
    }

    /// As its openings see it.
    #[inline(always)]
    pub fn vessel(&self, gas: &Gas<L>) -> Vessel<L> {
        let inv = self.m.recip();
        let (yb, yf) = (self.burned * inv, self.fuel * inv);
        let poly = gas.poly(yb, yf);
        let p = self.m * poly.r * self.t / self.v;
        Vessel { p, t: self.t, r: poly.r, gm1: poly.r / poly.cv(self.t), h: poly.h(self.t), yb, yf }
    }
}

/// Open air or another reservoir that does not change.
pub fn reservoir<L: Lane>(gas: &Gas<L>, p: L, t: L, yb: L, yf: L) -> Vessel<L> {
    let poly = gas.poly(yb, yf);
    Vessel { p, t, r: poly.r, gm1: poly.r / poly.cv(t), h: poly.h(t), yb, yf }
}

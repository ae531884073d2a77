//! Ends of pipes: what the flux through the last face is.
//!
//! Every end knows the state that the pipe's last cell brings to the face, and the wave relation that ties velocity
//! and pressure there: a shock or its mirror image ([`wave`]), which differs from the exact rarefaction at the third
//! order only (0.3 % in velocity where pressure halves). What stands behind the face closes the problem:
//!
//! | module | what stands behind |
//! |---|---|
//! | [`orifice`] | a vessel behind an opening that is narrower than the pipe, or as wide: valve, plenum, open air |
//! | [`junction`] | other pipes at one pressure |
//! | [`between`] | no pipe at all: an opening between two vessels, such as a throttle |
//!
//! A closed end is an orifice with no opening.

pub mod between;
pub mod junction;
pub mod orifice;
pub mod volume;
pub mod wave;

use crate::duct::flux::{EndFlux, Flux};
use crate::duct::state::{Full, Point};
use crate::lane::Lane;

/// Gas at rest behind an opening.
#[derive(Debug, Clone, Copy)]
pub struct Vessel<L> {
    /// Pressure, Pa.
    pub p: L,
    /// Temperature, K.
    pub t: L,
    /// Gas constant, J/(kg·K).
    pub r: L,
    /// Ratio of heat capacities less one.
    pub gm1: L,
    /// Sensible enthalpy, J/kg: by the vessel's own description of its gas, so that its balance closes.
    pub h: L,
    /// Mass share of burned gas.
    pub yb: L,
    /// Mass share of fuel vapour.
    pub yf: L,
}

/// State at the face of a pipe, seen from the pipe: positive velocity leaves the pipe.
#[derive(Debug, Clone, Copy)]
pub struct Face<L> {
    /// Mass flux out of the pipe, kg/(m²·s).
    pub mass: L,
    /// Stagnation enthalpy of what passes, J/kg.
    pub h0: L,
    /// Pressure, Pa.
    pub p: L,
    /// Velocity out of the pipe, m/s.
    pub v: L,
    /// Temperature, K.
    pub t: L,
    /// Burned share of what passes.
    pub yb: L,
    /// Fuel vapour share of what passes.
    pub yf: L,
}

/// Which end of a pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// Before the first cell.
    First,
    /// After the last cell.
    Last,
}

impl Which {
    /// 1 where leaving the pipe is the positive direction, −1 where it is not.
    #[inline(always)]
    pub fn sign(self) -> f64 {
        match self {
            Self::First => -1.0,
            Self::Last => 1.0,
        }
    }
}

impl<L: Lane> Face<L> {
    /// As the pipe's sweep takes it.
    #[inline(always)]
    pub fn end_flux(&self, which: Which) -> EndFlux<L> {
        let sign = L::splat(which.sign());
        let mass = sign * self.mass;
        let flux = Flux {
            mass,
            mom: self.mass * self.v + self.p,
            en: mass * self.h0,
            burned: mass * self.yb,
            fuel: mass * self.yf,
        };
        EndFlux { flux, face: Point { p: self.p, u: sign * self.v, t: self.t, yb: self.yb, yf: self.yf } }
    }
}

/// Velocity out of the pipe that the end cell brings to the face.
#[inline(always)]
pub(crate) fn outward<L: Lane>(end: &Full<L>, which: Which) -> L {
    L::splat(which.sign()) * end.at.u
}

//! The pieces of a step that run on wide instructions, each as a call of its own.

use super::packed::Place;
use crate::cylinder::{Cylinder, CylinderSpec, Exchange, StepParts};
use crate::duct::flux::EndFlux;
use crate::duct::state::Full;
use crate::duct::sweep::{Room, Swept, end_points, sweep};
use crate::duct::{Cell, CellShape, DuctShape, Gas, Point};
use crate::end::between::mass_flow;
use crate::end::junction::{Arm, Branch, Leaving, junction};
use crate::end::orifice::{closed, entering, leaving};
use crate::end::volume::{Gain, Volume};
use crate::end::{Face, Vessel, outward};
use crate::gas_state::two_range::CylinderGas;
use crate::lane::{Kernel, Lane, apart};

pub(super) struct Sweep<'a, L: Lane> {
    pub gas: &'a Gas<L>,
    pub cells: &'a mut [Cell<L>],
    pub shapes: &'a [CellShape<L>],
    pub duct: &'a DuctShape<L>,
    pub ends: [&'a EndFlux<L>; 2],
    pub dt: L,
    pub room: &'a mut Room<L>,
}

impl<L: Lane> Kernel for Sweep<'_, L> {
    type Output = Swept<L>;
    #[inline(always)]
    fn run(self) -> Swept<L> {
        sweep(self.gas, self.cells, self.shapes, self.duct, self.ends, self.dt, self.room)
    }
}

pub(super) struct EndPoints<'a, L: Lane> {
    pub gas: &'a Gas<L>,
    pub cells: &'a [Cell<L>],
    pub shapes: &'a [CellShape<L>],
    pub duct: &'a DuctShape<L>,
    pub ghosts: [&'a Point<L>; 2],
    pub dt: L,
    pub to: &'a mut [Full<L>; 2],
}

impl<L: Lane> Kernel for EndPoints<'_, L> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        *self.to = end_points(self.gas, self.cells, self.shapes, self.duct, self.ghosts, self.dt);
    }
}

/// Faces of all ends as if they were shut: what the gas does that finds no opening, and the pressure that decides which
/// way it goes where there is one.
pub(super) struct Shut<'a, L: Lane> {
    pub ends: &'a [Place],
    pub points: &'a [[Full<L>; 2]],
    pub faces: &'a mut [Face<L>],
}

impl<L: Lane> Kernel for Shut<'_, L> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        for i in 0..self.ends.len() {
            let i = apart(i);
            let end = &self.ends[i];
            let full = &self.points[end.pipe][end.side()];
            self.faces[i] = closed(full, outward(full, end.which));
        }
    }
}

pub(super) struct Enter<'a, L: Lane> {
    pub end: &'a Full<L>,
    pub outward: L,
    pub vessel: &'a Vessel<L>,
    pub share: L,
}

impl<L: Lane> Kernel for Enter<'_, L> {
    type Output = Face<L>;
    #[inline(always)]
    fn run(self) -> Face<L> {
        entering(self.end, self.outward, self.vessel, self.share)
    }
}

pub(super) struct Leave<'a, L: Lane> {
    pub end: &'a Full<L>,
    pub outward: L,
    pub vessel_p: L,
    pub share: L,
}

impl<L: Lane> Kernel for Leave<'_, L> {
    type Output = Face<L>;
    #[inline(always)]
    fn run(self) -> Face<L> {
        leaving(self.end, self.outward, self.vessel_p, self.share)
    }
}

pub(super) struct Meet<'a, L: Lane> {
    pub gas: &'a Gas<L>,
    pub branches: &'a [Branch<'a, L>],
    pub leaving: &'a mut Leaving<L>,
    pub arms: &'a mut [Arm<L>],
    pub faces: &'a mut [Face<L>],
}

impl<L: Lane> Kernel for Meet<'_, L> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        junction(self.gas, self.branches, self.leaving, self.arms, self.faces);
    }
}

pub(super) struct Between<'a, L: Lane> {
    pub a: &'a Vessel<L>,
    pub b: &'a Vessel<L>,
    pub area: L,
    pub stiffness: L,
}

impl<L: Lane> Kernel for Between<'_, L> {
    type Output = L;
    #[inline(always)]
    fn run(self) -> L {
        mass_flow(self.a, self.b, self.area, self.stiffness)
    }
}

/// Volumes as their openings see them in the middle of the step; gains are cleared.
pub(super) struct Show<'a, L: Lane> {
    pub gas: &'a Gas<L>,
    pub volumes: &'a [Volume<L>],
    pub gains: &'a mut [Gain<L>],
    pub vessels: &'a mut [Vessel<L>],
}

impl<L: Lane> Kernel for Show<'_, L> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        for i in 0..self.volumes.len() {
            let i = apart(i);
            self.vessels[i] = self.volumes[i].half_step_on(self.gas, &self.gains[i]).vessel(self.gas);
            self.gains[i] = Gain::none();
        }
    }
}

pub(super) struct Fill<'a, L: Lane> {
    pub gas: &'a Gas<L>,
    pub volumes: &'a mut [Volume<L>],
    pub gains: &'a [Gain<L>],
}

impl<L: Lane> Kernel for Fill<'_, L> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        for i in 0..self.volumes.len() {
            let i = apart(i);
            self.volumes[i].take(self.gas, &self.gains[i]);
        }
    }
}

/// Cylinders as the valves see them, half a step ahead: pressure, temperature and enthalpy of the step before in
/// `before`.
pub(super) struct ShowCylinders<'a, L: Lane> {
    pub gas: &'a CylinderGas<L>,
    pub cylinders: &'a [Cylinder<L>],
    pub before: &'a mut [(L, L, L)],
    pub vessels: &'a mut [Vessel<L>],
}

impl<L: Lane> Kernel for ShowCylinders<'_, L> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        let half = L::splat(0.5);
        let ahead = |now: L, before: L| now + half * (now - before);
        for i in 0..self.cylinders.len() {
            let i = apart(i);
            let (cylinder, last, vessel) = (&self.cylinders[i], &mut self.before[i], &mut self.vessels[i]);
            let r = self.gas.r_of(cylinder.yb, cylinder.yf);
            let (_, cv) = self.gas.mixed(cylinder.yb, cylinder.yf).e_cv(cylinder.t);
            let h = (cylinder.u + cylinder.p * cylinder.v) / cylinder.m;
            *vessel = Vessel {
                p: ahead(cylinder.p, last.0),
                t: ahead(cylinder.t, last.1),
                r,
                gm1: r / cv,
                h: ahead(h, last.2),
                yb: cylinder.yb,
                yf: cylinder.yf,
            };
            *last = (cylinder.p, cylinder.t, h);
        }
    }
}

pub(super) struct MovePiston<'a, L: Lane> {
    pub cylinder: &'a mut Cylinder<L>,
    pub spec: &'a CylinderSpec<L>,
    pub gas: &'a CylinderGas<L>,
    pub theta: L,
    pub sin: L,
    pub cos: L,
    pub dt: L,
    pub flow: &'a Exchange<L>,
}

impl<L: Lane> Kernel for MovePiston<'_, L> {
    type Output = StepParts<L>;
    #[inline(always)]
    fn run(self) -> StepParts<L> {
        let v_new = self.spec.kinematics.volume(self.sin, self.cos);
        self.cylinder.step(self.spec, self.gas, self.theta, v_new, self.dt, self.flow)
    }
}

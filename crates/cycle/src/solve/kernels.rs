//! The pieces of a step that run on wide instructions, each as a call of its own.

use super::engine::Valve;
use super::layout::Layout;
use super::network::{At, Network, Passed, Pipe};
use super::packed::Place;
use super::totals::Totals;
use crate::cylinder::{Cylinder, CylinderSpec, Exchange};
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
use std::f64::consts::PI;

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
    pub guess: L,
}

impl<L: Lane> Kernel for Enter<'_, L> {
    type Output = Face<L>;
    #[inline(always)]
    fn run(self) -> Face<L> {
        entering(self.end, self.outward, self.vessel, self.share, self.guess)
    }
}

pub(super) struct Leave<'a, L: Lane> {
    pub end: &'a Full<L>,
    pub outward: L,
    pub vessel_p: L,
    pub share: L,
    pub guess: L,
}

impl<L: Lane> Kernel for Leave<'_, L> {
    type Output = Face<L>;
    #[inline(always)]
    fn run(self) -> Face<L> {
        leaving(self.end, self.outward, self.vessel_p, self.share, self.guess)
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

/// Writes what has passed the ends with vessels behind them, in a step, into pipes and vessels.
pub(super) struct Book<'a, L: Lane> {
    pub places: &'a [Place],
    pub faces: &'a [Face<L>],
    pub dt: L,
    pub pipes: &'a mut [Pipe<L>],
    pub reservoirs: &'a mut [Gain<L>],
    pub volumes: &'a mut [Gain<L>],
    /// Mass out of the pipe, kg, for each place.
    pub masses: &'a mut [L],
}

impl<L: Lane> Kernel for Book<'_, L> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        for i in 0..self.places.len() {
            let i = apart(i);
            let (place, face) = (&self.places[i], &self.faces[i]);
            let pipe = &mut self.pipes[place.pipe];
            let end = &mut pipe.ends[place.side()];
            end.last = face.end_flux(place.which);
            let m = pipe.counts * face.mass * end.area * self.dt;
            self.masses[i] = m;
            match place.at {
                At::Reservoir(r) => self.reservoirs[r].add(m, face.h0, face.yb, face.yf),
                At::Volume(v) => self.volumes[v].add(m, face.h0, face.yb, face.yf),
                At::Outside(_) => {}
            }
        }
    }
}

/// What a cylinder's valves passed in a step.
pub(super) struct Pass<'a, L: Lane> {
    pub valves: &'a [Valve],
    pub passed: &'a Passed<'a, L>,
    pub inv_dt: L,
    pub exchanges: &'a mut [Exchange<L>],
    /// Flow into the cylinder, kg/s, for each valve.
    pub flows: &'a mut [L],
}

impl<L: Lane> Kernel for Pass<'_, L> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        let zero = L::zero();
        for c in 0..self.exchanges.len() {
            self.exchanges[apart(c)] = Exchange::none();
        }
        for v in 0..self.valves.len() {
            let v = apart(v);
            let Valve { cylinder, intake, place, .. } = self.valves[v];
            let (m, face) = (self.passed.masses[place], &self.passed.faces[place]);
            let x = &mut self.exchanges[cylinder];
            let (inn, out) = (m.max(zero), (-m).max(zero));
            x.in_m += inn;
            x.in_yb_m += inn * face.yb;
            x.in_yf_m += inn * face.yf;
            x.in_h += inn * face.h0;
            x.out_m += out;
            x.out_h += out * face.h0;
            if intake {
                x.fresh_in_m += inn * (L::one() - face.yb - face.yf);
                x.fresh_in_yf_m += inn * face.yf;
            }
            self.flows[v] = m * self.inv_dt;
        }
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

/// Carries all cylinders through a step, and sums up what they did.
pub(super) struct MovePistons<'a, L: Lane> {
    pub cylinders: &'a mut [Cylinder<L>],
    pub specs: &'a [CylinderSpec<L>],
    pub gas: &'a CylinderGas<L>,
    /// Angles of each at the end of the step.
    pub thetas: &'a [L],
    pub phase_sin: &'a [L],
    pub phase_cos: &'a [L],
    pub sin: L,
    pub cos: L,
    pub dt: L,
    pub flows: &'a [Exchange<L>],
    pub totals: &'a mut Totals<L>,
}

impl<L: Lane> Kernel for MovePistons<'_, L> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        for c in 0..self.cylinders.len() {
            let c = apart(c);
            let (ps, pc) = (self.phase_sin[c], self.phase_cos[c]);
            let (sin, cos) = (self.sin * pc - self.cos * ps, self.cos * pc + self.sin * ps);
            let (cylinder, spec, theta) = (&mut self.cylinders[c], &self.specs[c], self.thetas[c]);
            let v_new = spec.kinematics.volume(sin, cos);
            let from = cylinder.theta;
            let parts = cylinder.step(spec, self.gas, theta, v_new, self.dt, &self.flows[c]);
            // strokes of gas exchange: after the lower dead centre that follows firing, and before the one before it
            let middle = L::splat(0.5) * (from + theta);
            let exchange = L::select(middle.abs().gt(L::splat(PI)), parts.work, L::zero());
            self.totals.add_cylinder(c, &parts, exchange, &self.flows[c]);
        }
    }
}

/// Sums up what pipes, volumes and openings did in a step.
pub(super) struct AddNetwork<'a, L: Lane> {
    pub totals: &'a mut Totals<L>,
    pub net: &'a Network<L>,
    pub layout: &'a Layout,
    pub dt: L,
}

impl<L: Lane> Kernel for AddNetwork<'_, L> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        self.totals.add_network(self.net, self.layout, self.dt);
    }
}

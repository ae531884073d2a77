//! Pipes, volumes, junctions and openings as one network, carried through a step.
//!
//! The layout (which pipe ends where) is the same in every lane; sizes, gas, state and step are each lane's own.
//! What stands at the far side of an end is a vessel: a reservoir that does not change, a volume of the network, or a
//! vessel from outside (a cylinder), whose gains are handed back.

mod build;

use super::kernels::{Between, Book, EndPoints, Fill, Meet, Show, Sweep};
use super::packed::{Packed, Vessels};
use crate::duct::flux::EndFlux;
use crate::duct::state::Full;
use crate::duct::{Cell, CellShape, DuctShape, Gas, Room};
use crate::end::junction::{self, Arm, Branch, Leaving};
use crate::end::orifice::closed;
use crate::end::volume::{Gain, Volume};
use crate::end::{Face, Vessel, Which, outward};
use crate::lane::Lane;
use std::ops::Range;

/// A vessel of the network.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// Does not change: open air.
    Reservoir(usize),
    /// A volume.
    Volume(usize),
    /// A cylinder.
    Outside(usize),
}

/// What stands behind an end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Behind {
    /// Nothing.
    Closed,
    /// A vessel behind an opening.
    Vessel(At),
    /// Other pipes.
    Junction(usize),
}

/// End of a pipe.
#[derive(Debug, Clone, Copy)]
pub struct End<L> {
    /// What stands behind it.
    pub behind: Behind,
    /// Effective area of the opening over the pipe's for flow into the pipe, 0 to 1.
    pub share_in: L,
    /// The same for flow out of the pipe.
    pub share_out: L,
    /// Area of the pipe, m².
    pub area: L,
    /// Flux of the last step.
    pub last: EndFlux<L>,
}

/// A pipe in the network.
#[derive(Debug, Clone)]
pub struct Pipe<L> {
    /// Its cells.
    pub cells: Range<usize>,
    /// Its shape.
    pub shape: DuctShape<L>,
    /// Before the first and after the last cell.
    pub ends: [End<L>; 2],
    /// Heat from the walls in the last step, J.
    pub heat_j: L,
    /// By how much it counts for the vessels at its ends: half where it stands in two lanes of an engine.
    pub counts: L,
}

/// An opening between two vessels without a pipe.
#[derive(Debug, Clone, Copy)]
pub struct Opening<L> {
    /// From here.
    pub a: At,
    /// To here.
    pub b: At,
    /// Effective area, m².
    pub area: L,
    /// Mass flow of the last step, kg/s, from `a` to `b`.
    pub flow: L,
}

/// Pipes that meet.
#[derive(Debug, Clone)]
pub struct Meeting<L> {
    /// The ends.
    pub ends: Vec<(usize, Which)>,
    /// What left in the last step.
    pub leaving: Leaving<L>,
    arms: Vec<Arm<L>>,
    faces: Vec<Face<L>>,
}

/// The network.
#[derive(Debug, Clone)]
pub struct Network<L: Lane> {
    /// Gas of each lane.
    pub gas: Gas<L>,
    /// Cells of all pipes.
    pub cells: Vec<Cell<L>>,
    /// Their shapes.
    pub shapes: Vec<CellShape<L>>,
    /// Pipes.
    pub pipes: Vec<Pipe<L>>,
    /// Volumes.
    pub volumes: Vec<Volume<L>>,
    /// Reservoirs.
    pub reservoirs: Vec<Vessel<L>>,
    /// What each reservoir gained since the start (or since it was last cleared).
    pub reservoir_gains: Vec<Gain<L>>,
    /// Junctions.
    pub meetings: Vec<Meeting<L>>,
    /// Openings.
    pub openings: Vec<Opening<L>>,
    /// Vessels from outside: to be written before a step.
    pub outside: Vec<Vessel<L>>,
    /// Where an engine is two halves in neighbouring lanes: which volumes stand in both. Else empty.
    pub shared: Vec<bool>,
    volume_vessels: Vec<Vessel<L>>,
    volume_gains: Vec<Gain<L>>,
    points: Vec<[Full<L>; 2]>,
    packed: Packed<L>,
    masses: Vec<L>,
    shut: Vec<(usize, Which)>,
    room: Room<L>,
}

/// What passed ends with vessels behind them.
#[derive(Debug, Clone, Copy)]
pub struct Passed<'a, L> {
    /// Mass of the step out of the pipe, kg.
    pub masses: &'a [L],
    /// Enthalpy and shares of it, and the rest of the face; where mass went into the pipe these are the vessel's own.
    pub faces: &'a [Face<L>],
}

impl<L: Lane> Network<L> {
    /// An empty network.
    pub fn new(gas: Gas<L>) -> Self {
        Self {
            gas,
            cells: Vec::new(),
            shapes: Vec::new(),
            pipes: Vec::new(),
            volumes: Vec::new(),
            reservoirs: Vec::new(),
            reservoir_gains: Vec::new(),
            meetings: Vec::new(),
            openings: Vec::new(),
            outside: Vec::new(),
            shared: Vec::new(),
            volume_vessels: Vec::new(),
            volume_gains: Vec::new(),
            points: Vec::new(),
            packed: Packed::new(),
            masses: Vec::new(),
            shut: Vec::new(),
            room: Room::new(&gas, 0),
        }
    }

    /// The vessel at a place as it stands.
    pub fn vessel(&self, at: At) -> Vessel<L> {
        match at {
            At::Reservoir(i) => self.reservoirs[i],
            At::Volume(i) => self.volume_vessels[i],
            At::Outside(i) => self.outside[i],
        }
    }

    /// Greatest (|u| + c)/dx of all cells, 1/s, and the rate at which volumes fill: the first step's limit.
    pub fn rate(&self) -> L {
        let mut rate = L::splat(1.0);
        for pipe in &self.pipes {
            for cell in &self.cells[pipe.cells.clone()] {
                let full = Full::of(&self.gas, cell);
                rate = rate.max((full.at.u.abs() + full.c) * pipe.shape.inv_dx);
            }
        }
        rate
    }

    /// One step. What vessels from outside gained is in [`Network::passed`]. Returns the greatest (|u| + c)/dx met, 1/s.
    pub fn step(&mut self, dt: L) -> L {
        let gas = &self.gas;
        L::widest(Show {
            gas,
            volumes: &self.volumes,
            gains: &mut self.volume_gains,
            vessels: &mut self.volume_vessels,
        });
        for (pipe, to) in self.pipes.iter().zip(self.points.iter_mut()) {
            let range = pipe.cells.clone();
            let ghosts = [&pipe.ends[0].last.face, &pipe.ends[1].last.face];
            let (cells, shapes) = (&self.cells[range.clone()], &self.shapes[range]);
            L::widest(EndPoints { gas, cells, shapes, duct: &pipe.shape, ghosts, dt, to });
        }
        self.meet();
        self.solve_ends(dt);
        for (gain, _) in self.volume_gains.iter_mut().zip(&self.shared).filter(|(_, shared)| **shared) {
            *gain = gain.with_neighbour();
        }
        self.open(dt);
        let mut rate = L::splat(1.0);
        for pipe in &mut self.pipes {
            let range = pipe.cells.clone();
            let ends = [&pipe.ends[0].last, &pipe.ends[1].last];
            let (cells, shapes) = (&mut self.cells[range.clone()], &self.shapes[range]);
            let swept =
                L::widest(Sweep { gas: &self.gas, cells, shapes, duct: &pipe.shape, ends, dt, room: &mut self.room });
            rate = rate.max(swept.rate);
            pipe.heat_j = swept.heat_j;
        }
        L::widest(Fill { gas: &self.gas, volumes: &mut self.volumes, gains: &self.volume_gains });
        rate
    }

    fn meet(&mut self) {
        for meeting in &mut self.meetings {
            let n = meeting.ends.len();
            let (ends, points, pipes) = (&meeting.ends, &self.points, &self.pipes);
            let branches: [Branch<'_, L>; junction::MOST] = core::array::from_fn(|i| {
                let (pipe, which) = ends[i.min(n - 1)];
                let side = usize::from(which == Which::Last);
                Branch { end: &points[pipe][side], which, area: &pipes[pipe].ends[side].area }
            });
            let Meeting { leaving, arms, faces, .. } = meeting;
            L::widest(Meet { gas: &self.gas, branches: &branches[..n], leaving, arms, faces });
            for ((pipe, which), face) in meeting.ends.iter().zip(&meeting.faces) {
                self.pipes[*pipe].ends[usize::from(*which == Which::Last)].last = face.end_flux(*which);
            }
        }
    }

    fn solve_ends(&mut self, dt: L) {
        let vessels = Vessels { reservoirs: &self.reservoirs, volumes: &self.volume_vessels, outside: &self.outside };
        self.packed.solve(&self.pipes, &self.points, &vessels);
        L::widest(Book {
            places: &self.packed.places,
            faces: &self.packed.faces,
            dt,
            pipes: &mut self.pipes,
            reservoirs: &mut self.reservoir_gains,
            volumes: &mut self.volume_gains,
            masses: &mut self.masses,
        });
        for &(pipe, which) in &self.shut {
            let full = &self.points[pipe][usize::from(which == Which::Last)];
            self.pipes[pipe].ends[usize::from(which == Which::Last)].last =
                closed(full, outward(full, which)).end_flux(which);
        }
    }

    /// What passed the ends with vessels behind them in the last step.
    pub fn passed(&self) -> Passed<'_, L> {
        Passed { masses: &self.masses, faces: &self.packed.faces }
    }

    /// Index among them of an end of a pipe; `None` where no vessel stands behind it.
    pub fn place(&self, pipe: usize, which: Which) -> Option<usize> {
        self.packed.places.iter().position(|p| p.pipe == pipe && p.which == which)
    }

    fn open(&mut self, dt: L) {
        for o in 0..self.openings.len() {
            let Opening { a, b, area, .. } = self.openings[o];
            let (va, vb) = (self.vessel(a), self.vessel(b));
            let stiff = |at: At, v: &Vessel<L>| match at {
                At::Volume(i) => (v.gm1 + L::one()) * v.r * v.t / self.volumes[i].v,
                At::Reservoir(_) | At::Outside(_) => L::zero(),
            };
            let stiffness = (stiff(a, &va) + stiff(b, &vb)) * dt;
            let flow = L::widest(Between { a: &va, b: &vb, area, stiffness });
            self.openings[o].flow = flow;
            let m = flow * dt;
            let forward = m.ge(L::zero());
            let pick = |x: L, y: L| L::select(forward, x, y);
            let (h, yb, yf) = (pick(va.h, vb.h), pick(va.yb, vb.yb), pick(va.yf, vb.yf));
            // what stands in both lanes of an engine counts once
            let counts = L::splat(if self.is_shared(a) || self.is_shared(b) { 0.5 } else { 1.0 });
            for (at, gain) in [(a, -m), (b, m)] {
                match at {
                    At::Volume(i) => self.volume_gains[i].add(gain, h, yb, yf),
                    At::Reservoir(i) => self.reservoir_gains[i].add(counts * gain, h, yb, yf),
                    At::Outside(_) => {}
                }
            }
        }
    }

    fn is_shared(&self, at: At) -> bool {
        matches!(at, At::Volume(i) if self.shared.get(i).copied().unwrap_or(false))
    }

    /// Reservoirs' gains are those of the coming step only.
    pub fn keep_reservoirs(&mut self) {
        for gain in &mut self.reservoir_gains {
            *gain = Gain::none();
        }
    }

    /// What volumes gained in the step before is forgotten in a lane, as a new engine is put in.
    pub fn forget_gains(&mut self, lane: usize) {
        for gain in &mut self.volume_gains {
            for x in [&mut gain.m, &mut gain.h, &mut gain.burned, &mut gain.fuel] {
                x.set(lane, 0.0);
            }
        }
    }

    /// Passes mass with its enthalpy (J/kg) and shares into a vessel of the network after a step, as a charger does.
    pub fn pass(&mut self, to: At, m: L, h: L, yb: L, yf: L) {
        let mut gain = Gain::none();
        gain.add(m, h, yb, yf);
        match to {
            At::Volume(i) => self.volumes[i].take(&self.gas, &gain),
            At::Reservoir(i) => self.reservoir_gains[i].add(m, h, yb, yf),
            At::Outside(_) => {}
        }
    }

    /// Mass, energy (sensible and kinetic), burned gas and fuel vapour in pipes and volumes, of one lane.
    pub fn contents(&self, lane: usize) -> [f64; 4] {
        let mut sum = [0.0; 4];
        for (cell, shape) in self.cells.iter().zip(&self.shapes) {
            let v = 1.0 / shape.inv_volume.get(lane);
            for (s, x) in sum.iter_mut().zip([cell.rho, cell.en, cell.burned, cell.fuel]) {
                *s += x.get(lane) * v;
            }
        }
        for volume in &self.volumes {
            for (s, x) in sum.iter_mut().zip([volume.m, volume.e, volume.burned, volume.fuel]) {
                *s += x.get(lane);
            }
        }
        sum
    }
}

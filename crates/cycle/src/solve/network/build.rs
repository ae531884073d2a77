//! Networks put together: pipes, volumes and reservoirs added, shaped and filled.

use super::{At, Behind, End, Meeting, Network, Pipe};
use crate::duct::flux::{EndFlux, Flux};
use crate::duct::state::Full;
use crate::duct::{Cell, CellShape, DuctShape, Point, Room};
use crate::end::junction::{Arm, Leaving};
use crate::end::volume::{Gain, Volume};
use crate::end::{Face, Vessel, Which};
use crate::lane::Lane;
use crate::solve::packed::Place;

impl<L: Lane> Network<L> {
    /// Adds a pipe with as many cells; its shape is to be written lane by lane.
    pub fn add_pipe(&mut self, cells: usize, first: Behind, last: Behind) -> usize {
        let start = self.cells.len();
        if cells > self.room.cells() {
            self.room = Room::new(&self.gas, cells);
        }
        let one = L::one();
        let at = Point::at_rest(L::splat(1e5), L::splat(300.0), L::zero(), L::zero());
        let end = |behind| End {
            behind,
            share_in: one,
            share_out: one,
            area: one,
            last: EndFlux { flux: Flux::wall(at.p), face: at },
        };
        self.cells.extend(std::iter::repeat_n(Cell::from_point(&self.gas, &at), cells));
        self.shapes.extend(std::iter::repeat_n(CellShape::blank(), cells));
        self.pipes.push(Pipe {
            cells: start..start + cells,
            shape: DuctShape::blank(),
            ends: [end(first), end(last)],
            heat_j: L::zero(),
            counts: one,
        });
        let index = self.pipes.len() - 1;
        for (behind, which) in [(first, Which::First), (last, Which::Last)] {
            match behind {
                Behind::Vessel(at) => {
                    self.packed.places.push(Place { pipe: index, which, at });
                    self.masses.push(L::zero());
                }
                Behind::Closed => self.shut.push((index, which)),
                Behind::Junction(_) => {}
            }
            if let Behind::Junction(j) = behind {
                while self.meetings.len() <= j {
                    self.meetings.push(Meeting {
                        ends: Vec::new(),
                        leaving: Leaving::at_rest(L::splat(300.0)),
                        arms: Vec::new(),
                        faces: Vec::new(),
                    });
                }
                let zero = L::zero();
                let meeting = &mut self.meetings[j];
                meeting.ends.push((index, which));
                meeting.arms.push(Arm::idle());
                meeting.faces.push(Face { mass: zero, h0: zero, p: zero, v: zero, t: zero, yb: zero, yf: zero });
            }
        }
        let full = Full::of(&self.gas, &self.cells[start]);
        self.points.push([full; 2]);
        index
    }

    /// Adds a volume.
    pub fn add_volume(&mut self, volume: Volume<L>) -> At {
        self.volumes.push(volume);
        self.volume_vessels.push(volume.vessel(&self.gas));
        self.volume_gains.push(Gain::none());
        At::Volume(self.volumes.len() - 1)
    }

    /// Adds a reservoir.
    pub fn add_reservoir(&mut self, vessel: Vessel<L>) -> At {
        self.reservoirs.push(vessel);
        self.reservoir_gains.push(Gain::none());
        At::Reservoir(self.reservoirs.len() - 1)
    }

    /// Writes the shape of a pipe into a lane.
    pub fn shape_lane(&mut self, pipe: usize, lane: usize, spec: &crate::duct::DuctSpec) {
        let pipe = &mut self.pipes[pipe];
        spec.put(lane, &mut pipe.shape, &mut self.shapes[pipe.cells.clone()]);
        pipe.ends[0].area.set(lane, spec.area_m2(0.0));
        pipe.ends[1].area.set(lane, spec.area_m2(1.0));
    }

    /// Fills a pipe, every lane with the same state.
    pub fn fill(&mut self, pipe: usize, at: impl Fn(usize) -> Point<L>) {
        let range = self.pipes[pipe].cells.clone();
        let last = range.len() - 1;
        for (n, i) in range.enumerate() {
            self.cells[i] = Cell::from_point(&self.gas, &at(n));
        }
        for (end, n) in [(0, 0), (1, last)] {
            self.pipes[pipe].ends[end].last.face = at(n);
        }
    }
}

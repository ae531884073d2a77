//! A network in double precision, run for a time.

use cycle::duct::{DuctSpec, Gas, Point};
use cycle::end::{Vessel, volume};
use cycle::solve::network::{At, Behind, Network};

pub(crate) struct Rig {
    pub net: Network<f64>,
    pub time_s: f64,
}

impl Rig {
    pub(crate) fn new(gamma: f64, r: f64) -> Self {
        Self { net: Network::new(Gas::constant(r, gamma)), time_s: 0.0 }
    }

    pub(crate) fn reservoir(&mut self, p: f64, t: f64) -> At {
        let vessel: Vessel<f64> = volume::reservoir(&self.net.gas, p, t, 0.0, 0.0);
        self.net.add_reservoir(vessel)
    }

    pub(crate) fn pipe(&mut self, spec: &DuctSpec, first: Behind, last: Behind) -> usize {
        let pipe = self.net.add_pipe(spec.cells, first, last);
        self.net.shape_lane(pipe, 0, spec);
        pipe
    }

    /// Runs until `end_s`; `watch` sees the network after every step.
    pub(crate) fn run(&mut self, end_s: f64, courant: f64, mut watch: impl FnMut(f64, &Network<f64>)) {
        let mut rate = self.net.rate();
        while self.time_s < end_s {
            let dt = (courant / rate).min(end_s - self.time_s);
            rate = self.net.step(dt);
            self.time_s += dt;
            watch(self.time_s, &self.net);
        }
    }

    pub(crate) fn point(&self, pipe: usize, cell: usize) -> Point<f64> {
        let i = self.net.pipes[pipe].cells.start + cell;
        cycle::duct::state::Full::of(&self.net.gas, &self.net.cells[i]).at
    }

    pub(crate) fn density(&self, pipe: usize, cell: usize) -> f64 {
        self.net.cells[self.net.pipes[pipe].cells.start + cell].rho
    }
}

pub(crate) fn rest(p: f64, t: f64) -> Point<f64> {
    Point::at_rest(p, t, 0.0, 0.0)
}

/// A table of `validation/`.
pub(crate) struct Table(Vec<crate::csv::Row>);

impl Table {
    pub(crate) fn read(path: &str) -> Self {
        Self(crate::csv::table(path))
    }

    pub(crate) fn len(&self) -> usize {
        self.0.len()
    }

    pub(crate) fn number(&self, row: usize, column: &str) -> f64 {
        crate::csv::number(&self.0[row], column)
    }

    pub(crate) fn text(&self, row: usize, column: &str) -> &str {
        &self.0[row][column]
    }
}

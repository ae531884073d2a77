//! Engines put into lanes: sizes written, pipes and cylinders filled.

use super::Engines;
use crate::cylinder::{Cylinder, CylinderSpec};
use crate::duct::{Cell, Gas, Point};
use crate::end::Vessel;
use crate::end::volume::Volume;
use crate::gas_state::two_range::CylinderGas;
use crate::lane::Lane;
use crate::solve::layout::{Side, Sizes};
use std::sync::Arc;

impl<L: Lane> Engines<L> {
    /// Puts an engine into a lane, at the start of its first cycle.
    pub fn load(&mut self, lane: usize, sizes: &Arc<Sizes>) {
        self.change(lane, sizes);
        self.controls[lane] = sizes.control;
        self.fill(lane, sizes);
        self.totals.clear_lane(lane);
        let fresh = self.net.rate().get(lane);
        self.rate.set(lane, fresh * 1.5);
        self.rate_before.set(lane, fresh * 1.5);
    }

    /// Other sizes for the engine in a lane, at the start of a cycle: gas and heat stay as they are. For the next speed of
    /// the same engine this is a better start than an empty one.
    pub fn change(&mut self, lane: usize, sizes: &Arc<Sizes>) {
        self.net.gas.set_lane(lane, &sizes.charge);
        self.gas.set_lane(lane, &sizes.charge);
        for (p, spec) in sizes.pipes.iter().enumerate() {
            self.net.shape_lane(p, lane, spec);
            for end in 0..2 {
                self.net.pipes[p].ends[end].share_in.set(lane, sizes.shares[p][end][0]);
                self.net.pipes[p].ends[end].share_out.set(lane, sizes.shares[p][end][1]);
            }
        }
        for (i, area) in sizes.openings.iter().enumerate() {
            self.net.openings[i].area.set(lane, *area);
        }
        for v in 0..self.valves.len() {
            self.valves[v].tables[lane] = sizes.valves[v].clone();
            self.valves[v].reverse[lane] = sizes.reverse[v];
        }
        for c in 0..self.cylinders.len() {
            self.specs[c].set_lane(lane, &sizes.cylinders[c]);
            self.phases[c][lane] = sizes.phases_rad[c];
            self.phase_sin[c].set(lane, sizes.phases_rad[c].sin());
            self.phase_cos[c].set(lane, sizes.phases_rad[c].cos());
        }
        self.theta[lane] = 0.0;
        self.speed[lane] = sizes.speed_rad_s;
        self.sizes[lane] = Some(sizes.clone());
    }

    /// State at the start: pipes and volumes as the sizes say, cylinders along a simple cycle.
    fn fill(&mut self, lane: usize, sizes: &Sizes) {
        let mut gas = Gas::<f64>::constant(287.0, 1.4);
        gas.set_lane(0, &sizes.charge);
        for (p, pipe) in self.layout.pipes.iter().enumerate() {
            let yb = if pipe.side == Side::Exhaust { 1.0 } else { 0.0 };
            let (pressure, t) = sizes.fill[p];
            let at = Point::at_rest(pressure, t, yb, 0.0);
            let cell = Cell::from_point(&gas, &at);
            for i in self.net.pipes[p].cells.clone() {
                put_cell(&mut self.net.cells[i], lane, &cell);
            }
            for end in 0..2 {
                let face = &mut self.net.pipes[p].ends[end].last.face;
                face.p.set(lane, pressure);
                face.u.set(lane, 0.0);
                face.t.set(lane, t);
                face.yb.set(lane, yb);
                face.yf.set(lane, 0.0);
            }
        }
        for m in 0..self.net.meetings.len() {
            let (pipe, _) = self.net.meetings[m].ends[0];
            let (p, t) = sizes.fill[pipe];
            let leaving = &mut self.net.meetings[m].leaving;
            leaving.t0.set(lane, t);
            leaving.rho.set(lane, p / (290.0 * t));
            leaving.v2.set(lane, 0.0);
            leaving.sonic2.set(lane, 1e12);
        }
        for (i, v) in sizes.volumes.iter().enumerate() {
            let own = Volume::filled(&gas, v.v_m3, v.p_pa, v.t_k, v.yb, 0.0);
            let to = &mut self.net.volumes[i];
            for (to, from) in [
                (&mut to.v, own.v),
                (&mut to.m, own.m),
                (&mut to.e, own.e),
                (&mut to.burned, own.burned),
                (&mut to.fuel, own.fuel),
                (&mut to.t, own.t),
            ] {
                to.set(lane, from);
            }
        }
        self.net.forget_gains(lane);
        for (i, (p, t, yb)) in sizes.reservoirs.iter().enumerate() {
            let own: Vessel<f64> = crate::end::volume::reservoir(&gas, *p, *t, *yb, 0.0);
            let to = &mut self.net.reservoirs[i];
            for (to, from) in [
                (&mut to.p, own.p),
                (&mut to.t, own.t),
                (&mut to.r, own.r),
                (&mut to.gm1, own.gm1),
                (&mut to.h, own.h),
                (&mut to.yb, own.yb),
                (&mut to.yf, own.yf),
            ] {
                to.set(lane, from);
            }
        }
        let one = CylinderGas::<f64>::from_charges(&[&sizes.charge]);
        for c in 0..self.cylinders.len() {
            let point = &sizes.cylinders[c];
            let spec = CylinderSpec::<f64>::from_points(&[point], self.specs[c].heat_model);
            let theta = self.own_angle(c, lane, 0.0);
            let volume = |theta: f64| spec.kinematics.volume_at(theta);
            let ratio = volume(point.ivc_rad) / volume(theta);
            let (p0, t0) = sizes.trapped;
            let (p, t, yb) = if theta < point.ivc_rad {
                (p0, t0, 0.05)
            } else if theta < 0.0 {
                (p0 * ratio.powf(1.33), t0 * ratio.powf(0.33), 0.05)
            } else if theta < point.evo_rad {
                (3.5 * p0 * ratio.powf(1.28), 4.0 * t0 * ratio.powf(0.28), 1.0)
            } else {
                (1.1 * sizes.reservoirs[0].0, 1100.0, 1.0)
            };
            let own = Cylinder::<f64>::new(&spec, &one, theta, p, t.min(2600.0), yb, 0.0);
            self.cylinders[c].set_lane(lane, &own);
            self.before[c].0.set(lane, p);
            self.before[c].1.set(lane, own.t);
            self.before[c].2.set(lane, (own.u + own.p * own.v) / own.m);
        }
    }
}

fn put_cell<L: Lane>(to: &mut Cell<L>, lane: usize, from: &Cell<f64>) {
    for (to, from) in [
        (&mut to.rho, from.rho),
        (&mut to.mom, from.mom),
        (&mut to.en, from.en),
        (&mut to.burned, from.burned),
        (&mut to.fuel, from.fuel),
        (&mut to.t, from.t),
    ] {
        to.set(lane, from);
    }
}

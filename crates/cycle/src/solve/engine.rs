//! Engines in lanes: network and cylinders stepped together, cycle by cycle.
//!
//! Every lane has its own time step, from its own waves, and its own crank angle; a lane's cycle ends exactly at its
//! 720°. Cylinder and volume are met half a step ahead of their state, by what the step before did, so that the flow
//! between them and the pipes is of second order in time.

mod load;

use super::kernels::{AddNetwork, MovePistons, Pass, ShowCylinders};
use super::layout::{Control, Layout, Side, Sizes};
use super::network::{At, Network};
use super::totals::{CycleTotals, Totals};
use crate::cylinder::{Cylinder, CylinderSpec, Exchange, HeatModel};
use crate::duct::Gas;
use crate::end::volume::Volume;
use crate::end::{Vessel, Which};
use crate::gas_state::two_range::CylinderGas;
use crate::lane::Lane;
use std::f64::consts::PI;
use std::sync::Arc;

/// 720° in rad.
pub const CYCLE_RAD: f64 = 4.0 * PI;

/// Share of the greatest stable step that is taken.
pub const COURANT: f64 = 0.9;

/// A valve or the valves of one side of a cylinder.
#[derive(Debug, Clone)]
pub(super) struct Valve {
    pub cylinder: usize,
    pub intake: bool,
    /// Its place among the network's ends.
    pub place: usize,
    pipe: usize,
    end: usize,
    /// Table of each lane.
    tables: Vec<Arc<Vec<f64>>>,
    reverse: Vec<f64>,
}

/// Engines side by side.
#[derive(Debug)]
pub struct Engines<L: Lane> {
    layout: Arc<Layout>,
    /// Pipes and volumes.
    pub net: Network<L>,
    /// Cylinders.
    pub cylinders: Vec<Cylinder<L>>,
    specs: Vec<CylinderSpec<L>>,
    gas: CylinderGas<L>,
    valves: Vec<Valve>,
    phase_sin: Vec<L>,
    phase_cos: Vec<L>,
    phases: Vec<Vec<f64>>,
    before: Vec<(L, L, L)>,
    thetas: Vec<L>,
    exchanges: Vec<Exchange<L>>,
    sizes: Vec<Option<Arc<Sizes>>>,
    controls: Vec<Control>,
    theta: Vec<f64>,
    speed: Vec<f64>,
    rate: L,
    rate_before: L,
    /// Share of the greatest stable step that is taken.
    pub courant: f64,
    /// Greatest share of the stable step that turned out to have been taken, as the waves grew within it.
    pub overrun: L,
    totals: Totals<L>,
    /// Flow through each valve in the last step, kg/s into the cylinder.
    pub valve_flow: Vec<L>,
}

impl<L: Lane> Engines<L> {
    /// Empty lanes for engines of one layout; `first` gives numbers to lanes until they are loaded.
    pub fn new(layout: &Arc<Layout>, first: &Sizes, heat: HeatModel) -> Self {
        let mut gas = Gas::constant(287.0, 1.4);
        for i in 0..L::WIDTH {
            gas.set_lane(i, &first.charge);
        }
        let s = L::splat;
        let mut net = Network::new(gas);
        for (i, pipe) in layout.pipes.iter().enumerate() {
            net.add_pipe(pipe.cells, pipe.first, pipe.last);
            net.pipes[i].counts = s(layout.pipe_counts(i));
        }
        for _ in 0..layout.volumes {
            net.add_volume(Volume::filled(&gas, s(1e-3), s(1e5), s(300.0), s(0.0), s(0.0)));
        }
        let vessel = crate::end::volume::reservoir(&gas, s(1e5), s(300.0), s(0.0), s(0.0));
        for _ in &layout.reservoirs {
            net.add_reservoir(vessel);
        }
        for (a, b) in &layout.openings {
            net.openings.push(super::network::Opening { a: *a, b: *b, area: s(0.0), flow: s(0.0) });
        }
        net.outside = vec![vessel; layout.cylinders];
        net.shared.clone_from(&layout.shared_volumes);
        let specs: Vec<CylinderSpec<L>> =
            first.cylinders.iter().map(|p| CylinderSpec::from_points(&[p], heat)).collect();
        let cylinder_gas = CylinderGas::from_charges(&[&first.charge]);
        let cylinders = specs
            .iter()
            .map(|spec| Cylinder::new(spec, &cylinder_gas, s(0.0), s(1e5), s(300.0), s(0.0), s(0.0)))
            .collect();
        let valves = layout
            .valves
            .iter()
            .zip(&first.valves)
            .filter_map(|(v, table)| {
                Some(Valve {
                    cylinder: v.cylinder,
                    intake: v.side == Side::Intake,
                    place: net.place(v.pipe, v.which)?,
                    pipe: v.pipe,
                    end: usize::from(v.which == Which::Last),
                    tables: vec![table.clone(); L::WIDTH],
                    reverse: vec![1.0; L::WIDTH],
                })
            })
            .collect();
        let n = layout.cylinders;
        Self {
            layout: layout.clone(),
            net,
            cylinders,
            specs,
            gas: cylinder_gas,
            valves,
            phase_sin: vec![s(0.0); n],
            phase_cos: vec![s(1.0); n],
            phases: vec![vec![0.0; L::WIDTH]; n],
            before: vec![(s(1e5), s(300.0), s(0.0)); n],
            thetas: vec![s(0.0); n],
            exchanges: vec![Exchange::none(); n],
            sizes: vec![None; L::WIDTH],
            controls: vec![first.control; L::WIDTH],
            theta: vec![0.0; L::WIDTH],
            speed: vec![first.speed_rad_s; L::WIDTH],
            rate: s(1.0),
            rate_before: s(1.0),
            courant: COURANT,
            overrun: s(0.0),
            totals: Totals::new(n, layout.openings.len(), layout.reservoirs.len()),
            valve_flow: vec![s(0.0); layout.valves.len()],
        }
    }

    /// The layout.
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// Crank angle of a lane, rad after the first cylinder's firing top dead centre.
    pub fn theta_rad(&self, lane: usize) -> f64 {
        self.theta[lane]
    }

    /// Angle of a cylinder after its own firing top dead centre, rad, −2π … 2π.
    fn own_angle(&self, cylinder: usize, lane: usize, theta: f64) -> f64 {
        let mut own = theta - self.phases[cylinder][lane];
        if own >= 2.0 * PI {
            own -= CYCLE_RAD;
        }
        if own < -2.0 * PI {
            own += CYCLE_RAD;
        }
        own
    }

    /// Advances every lane by one step of its own, halves of an engine by one together.
    /// `done[i]` is set where lane `i` has come to the end of its cycle; its [`Engines::take_totals`] is due.
    pub fn step(&mut self, done: &mut [bool]) {
        let mut dt = L::zero();
        let mut next = [0.0; 64];
        let mut frees = [0.0; 64];
        for i in 0..L::WIDTH {
            // waves that grew in the last step are taken to grow as much in this one
            let (rate, before) = (self.rate.get(i), self.rate_before.get(i));
            frees[i] = self.courant / (rate + (rate - before).max(0.0));
        }
        if self.layout.half {
            // halves of an engine go together
            for pair in frees[..L::WIDTH].chunks_mut(2) {
                let least = pair.iter().fold(f64::MAX, |a, b| a.min(*b));
                pair.fill(least);
            }
        }
        for i in 0..L::WIDTH {
            let left = (CYCLE_RAD - self.theta[i]) / self.speed[i];
            let free = frees[i];
            // the last two steps of a cycle share what is left
            let own = if !(free > 1e-9 * CYCLE_RAD / self.speed[i]) {
                // no step is short enough, or a number was lost: the cycle ends here, and what it gives is none
                done[i] = true;
                f64::NAN
            } else if left < free {
                done[i] = true;
                left
            } else if left < 2.0 * free {
                0.5 * left
            } else {
                free
            };
            dt.set(i, own);
            next[i] = if done[i] { CYCLE_RAD } else { self.theta[i] + own * self.speed[i] };
        }
        L::widest(ShowCylinders {
            gas: &self.gas,
            cylinders: &self.cylinders,
            before: &mut self.before,
            vessels: &mut self.net.outside,
        });
        self.set_valves(&next);
        self.net.keep_reservoirs();
        self.rate_before = self.rate;
        self.rate = self.net.step(dt);
        L::widest(Pass {
            valves: &self.valves,
            passed: &self.net.passed(),
            inv_dt: dt.recip(),
            exchanges: &mut self.exchanges,
            flows: &mut self.valve_flow,
        });
        self.overrun = self.overrun.max(self.rate * dt);
        self.charge(dt);
        self.move_pistons(dt, &next);
        L::widest(AddNetwork { totals: &mut self.totals, net: &self.net, layout: &self.layout, dt });
        self.theta.copy_from_slice(&next[..L::WIDTH]);
    }

    /// Openings of the valves in the middle of the step.
    fn set_valves(&mut self, next: &[f64; 64]) {
        let mut of = None;
        let mut at = [(0usize, 0.0f64); 64];
        for valve in &self.valves {
            // a cylinder's valves follow each other and stand at the same angle
            if of != Some(valve.cylinder) {
                of = Some(valve.cylinder);
                let phases = &self.phases[valve.cylinder][..L::WIDTH];
                for (i, at) in at[..L::WIDTH].iter_mut().enumerate() {
                    let mut deg = (0.5 * (self.theta[i] + next[i]) - phases[i]) * (180.0 / PI);
                    if deg < 0.0 {
                        deg += 720.0;
                    }
                    let k = (deg as i32).clamp(0, 719);
                    *at = (k as usize, deg - f64::from(k));
                }
            }
            let (mut meant, mut other) = (L::zero(), L::zero());
            for (i, (k, rest)) in at[..L::WIDTH].iter().enumerate() {
                let table = &valve.tables[i];
                let share = table[*k] + (table[*k + 1] - table[*k]) * rest;
                meant.set(i, share);
                other.set(i, share * valve.reverse[i]);
            }
            let end = &mut self.net.pipes[valve.pipe].ends[valve.end];
            // an intake valve is meant for flow out of its pipe, an exhaust valve for flow into it
            (end.share_out, end.share_in) = if valve.intake { (meant, other) } else { (other, meant) };
        }
    }

    /// The charger's delivery, lane by lane.
    fn charge(&mut self, dt: L) {
        let Some((from, to)) = self.layout.charger else { return };
        let (a, b) = (self.net.vessel(from), self.net.vessel(to));
        let (mut m, mut h, mut power) = (L::zero(), L::zero(), L::zero());
        for i in 0..L::WIDTH {
            let Some(charger) = self.sizes[i].as_ref().and_then(|s| s.charger.as_ref()) else { continue };
            let delivery = charger.deliver(a.p.get(i), a.t.get(i), b.p.get(i), &self.controls[i]);
            m.set(i, delivery.flow_kg_s);
            power.set(i, delivery.gas_w);
            h.set(i, charger.cooled_k(delivery.outlet_k));
        }
        let gas = &self.net.gas;
        let t_out = h;
        let back = m.lt(L::zero());
        let forward_h = gas.poly(a.yb, a.yf).h(t_out);
        let through = L::select(back, b.h, forward_h);
        let mass = m * dt;
        self.net.pass(from, -mass, L::select(back, b.h, a.h), a.yb, a.yf);
        self.net.pass(to, mass, through, a.yb, a.yf);
        let rise = L::select(back, L::zero(), mass * (forward_h - a.h));
        self.totals.charger(mass, rise, power * dt, t_out * dt);
    }

    fn move_pistons(&mut self, dt: L, next: &[f64; 64]) {
        let (mut sin, mut cos) = (L::zero(), L::zero());
        for i in 0..L::WIDTH {
            let (s, c) = next[i].sin_cos();
            sin.set(i, s);
            cos.set(i, c);
        }
        for c in 0..self.cylinders.len() {
            for i in 0..L::WIDTH {
                let own = self.own_angle(c, i, next[i]);
                self.thetas[c].set(i, own);
            }
        }
        L::widest(MovePistons {
            cylinders: &mut self.cylinders,
            specs: &self.specs,
            gas: &self.gas,
            thetas: &self.thetas,
            phase_sin: &self.phase_sin,
            phase_cos: &self.phase_cos,
            sin,
            cos,
            dt,
            flows: &self.exchanges,
            totals: &mut self.totals,
        });
    }

    /// Totals of the cycle that lane `i` has come to the end of; the lane goes on with its next cycle.
    pub fn take_totals(&mut self, lane: usize) -> CycleTotals {
        let taken = self.totals.take(lane);
        if let (Some(opening), Some(sizes)) = (self.layout.turbine, &self.sizes[lane])
            && let Some(charger) = &sizes.charger
        {
            let next = charger.between(&taken, &self.controls[lane]);
            self.net.openings[opening].area.set(lane, next.turbine_m2);
            self.controls[lane] = next;
        }
        self.theta[lane] = 0.0;
        taken
    }

    /// Mass and energy in pipes, volumes and cylinders of a lane: kg and J (sensible, kinetic, and fragments).
    pub fn contents(&self, lane: usize) -> (f64, f64) {
        let [m, e, ..] = self.net.contents(lane);
        let own = |c: &Cylinder<L>| (c.m.get(lane), c.u.get(lane));
        self.cylinders.iter().map(own).fold((m, e), |sum, c| (sum.0 + c.0, sum.1 + c.1))
    }

    /// Angle of a cylinder after its own firing top dead centre, degrees, −360 … 360.
    pub fn cylinder_deg(&self, cylinder: usize, lane: usize) -> f64 {
        self.own_angle(cylinder, lane, self.theta[lane]).to_degrees()
    }

    /// Vessel of the network.
    pub fn vessel(&self, at: At) -> Vessel<L> {
        self.net.vessel(at)
    }
}

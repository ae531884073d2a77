//! Sums over a cycle.

use super::layout::{Layout, Side};
use super::network::Network;
use crate::cylinder::{Exchange, StepParts};
use crate::end::volume::Gain;
use crate::lane::Lane;

/// Sums of one cylinder.
#[derive(Debug, Clone, Copy)]
struct CylinderSum<L> {
    work: L,
    exchange_work: L,
    wall: L,
    released: L,
    fuel: L,
    fuel_h: L,
    fresh: L,
    blowby: L,
    blowby_h: L,
    out_m: L,
    out_h: L,
}

/// Running sums of all lanes.
#[derive(Debug, Clone)]
pub struct Totals<L> {
    cylinders: Vec<CylinderSum<L>>,
    openings: Vec<L>,
    reservoirs: Vec<Gain<L>>,
    pipe_heat: [L; 2],
    time: L,
    manifold: [L; 2],
    back: L,
    charger: [L; 4],
    steps: L,
}

/// What one cylinder did in a cycle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CylinderTotals {
    /// Work of the gas on the piston, J.
    pub work_j: f64,
    /// Of that, in the two strokes of gas exchange, J.
    pub exchange_work_j: f64,
    /// Heat to the walls, J.
    pub wall_j: f64,
    /// Heat of burning, J.
    pub released_j: f64,
    /// Fuel, kg.
    pub fuel_kg: f64,
    /// Enthalpy that it brought, J.
    pub fuel_h_j: f64,
    /// Air through the intake valves (what came in; some of it may have been pushed out before), kg.
    pub air_kg: f64,
    /// Gas past the rings, kg.
    pub blowby_kg: f64,
    /// Its enthalpy, J.
    pub blowby_h_j: f64,
    /// Mass that left through valves, kg.
    pub out_kg: f64,
    /// Its enthalpy, J.
    pub out_h_j: f64,
}

/// What an engine did in a cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct CycleTotals {
    /// Cylinders.
    pub cylinders: Vec<CylinderTotals>,
    /// Mass through each opening, kg.
    pub openings_kg: Vec<f64>,
    /// What each reservoir gained: mass kg, enthalpy J, burned kg.
    pub reservoirs: Vec<[f64; 3]>,
    /// Heat from the walls of intake and exhaust pipes, J.
    pub pipe_heat_j: [f64; 2],
    /// Time, s.
    pub time_s: f64,
    /// Mean pressure, Pa, and temperature, K, of the manifold; not a number without one.
    pub manifold: [f64; 2],
    /// Mean pressure where exhaust pipes meet the collector or the open air, Pa.
    pub back_pa: f64,
    /// Charger: mass kg, rise of enthalpy J, work of the shaft J, mean temperature behind it K.
    pub charger: [f64; 4],
    /// Steps that it took.
    pub steps: f64,
}

impl CycleTotals {
    /// The mean of two cycles.
    pub fn mean(&self, other: &Self) -> Self {
        let half = |a: f64, b: f64| 0.5 * (a + b);
        let list = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| half(*a, *b)).collect::<Vec<f64>>();
        let each = |a: &CylinderTotals, b: &CylinderTotals| CylinderTotals {
            work_j: half(a.work_j, b.work_j),
            exchange_work_j: half(a.exchange_work_j, b.exchange_work_j),
            wall_j: half(a.wall_j, b.wall_j),
            released_j: half(a.released_j, b.released_j),
            fuel_kg: half(a.fuel_kg, b.fuel_kg),
            fuel_h_j: half(a.fuel_h_j, b.fuel_h_j),
            air_kg: half(a.air_kg, b.air_kg),
            blowby_kg: half(a.blowby_kg, b.blowby_kg),
            blowby_h_j: half(a.blowby_h_j, b.blowby_h_j),
            out_kg: half(a.out_kg, b.out_kg),
            out_h_j: half(a.out_h_j, b.out_h_j),
        };
        let mean3 = |a: &[f64; 3], b: &[f64; 3]| core::array::from_fn(|i| half(a[i], b[i]));
        Self {
            cylinders: self.cylinders.iter().zip(&other.cylinders).map(|(a, b)| each(a, b)).collect(),
            openings_kg: list(&self.openings_kg, &other.openings_kg),
            reservoirs: self.reservoirs.iter().zip(&other.reservoirs).map(|(a, b)| mean3(a, b)).collect(),
            pipe_heat_j: core::array::from_fn(|i| half(self.pipe_heat_j[i], other.pipe_heat_j[i])),
            time_s: half(self.time_s, other.time_s),
            manifold: core::array::from_fn(|i| half(self.manifold[i], other.manifold[i])),
            back_pa: half(self.back_pa, other.back_pa),
            charger: core::array::from_fn(|i| half(self.charger[i], other.charger[i])),
            steps: half(self.steps, other.steps),
        }
    }
}

impl<L: Lane> Totals<L> {
    /// Empty.
    pub fn new(cylinders: usize, openings: usize, reservoirs: usize) -> Self {
        let z = L::zero();
        let none = CylinderSum {
            work: z,
            exchange_work: z,
            wall: z,
            released: z,
            fuel: z,
            fuel_h: z,
            fresh: z,
            blowby: z,
            blowby_h: z,
            out_m: z,
            out_h: z,
        };
        Self {
            cylinders: vec![none; cylinders],
            openings: vec![z; openings],
            reservoirs: vec![Gain::none(); reservoirs],
            pipe_heat: [z; 2],
            time: z,
            manifold: [z; 2],
            back: z,
            charger: [z; 4],
            steps: z,
        }
    }

    #[inline(always)]
    pub(super) fn add_cylinder(&mut self, c: usize, parts: &StepParts<L>, exchange_work: L, x: &Exchange<L>) {
        let sum = &mut self.cylinders[c];
        sum.work += parts.work;
        sum.exchange_work += exchange_work;
        sum.wall += parts.wall_heat;
        sum.released += parts.heat_released;
        sum.fuel += parts.fuel_added;
        sum.fuel_h += parts.fuel_h;
        sum.fresh += x.fresh_in_m;
        sum.blowby += parts.blowby_m;
        sum.blowby_h += parts.blowby_h;
        sum.out_m += x.out_m;
        sum.out_h += x.out_h;
    }

    #[inline(always)]
    pub(super) fn add_network(&mut self, net: &Network<L>, layout: &Layout, dt: L) {
        self.time += dt;
        self.steps += L::one();
        for (sum, opening) in self.openings.iter_mut().zip(&net.openings) {
            *sum += opening.flow * dt;
        }
        for (sum, gain) in self.reservoirs.iter_mut().zip(&net.reservoir_gains) {
            sum.m += gain.m;
            sum.h += gain.h;
            sum.burned += gain.burned;
        }
        for (i, (pipe, of)) in net.pipes.iter().zip(&layout.pipes).enumerate() {
            let counts = L::splat(layout.pipe_counts(i));
            self.pipe_heat[usize::from(of.side == Side::Exhaust)] += counts * pipe.heat_j;
        }
        if let Some(manifold) = layout.manifold {
            let vessel = net.vessel(super::network::At::Volume(manifold));
            self.manifold[0] += vessel.p * dt;
            self.manifold[1] += vessel.t * dt;
        }
        let share = L::splat(1.0 / layout.collectors.len().max(1) as f64) * dt;
        for (pipe, which) in &layout.collectors {
            let end = usize::from(*which == crate::end::Which::Last);
            self.back += net.pipes[*pipe].ends[end].last.face.p * share;
        }
    }

    #[inline(always)]
    pub(super) fn charger(&mut self, mass: L, rise: L, work: L, t_dt: L) {
        for (sum, x) in self.charger.iter_mut().zip([mass, rise, work, t_dt]) {
            *sum += x;
        }
    }

    fn each(&mut self, mut f: impl FnMut(&mut L)) {
        for c in &mut self.cylinders {
            for x in [
                &mut c.work,
                &mut c.exchange_work,
                &mut c.wall,
                &mut c.released,
                &mut c.fuel,
                &mut c.fuel_h,
                &mut c.fresh,
                &mut c.blowby,
                &mut c.blowby_h,
                &mut c.out_m,
                &mut c.out_h,
            ] {
                f(x);
            }
        }
        self.openings.iter_mut().for_each(&mut f);
        for r in &mut self.reservoirs {
            for x in [&mut r.m, &mut r.h, &mut r.burned, &mut r.fuel] {
                f(x);
            }
        }
        self.pipe_heat.iter_mut().for_each(&mut f);
        self.manifold.iter_mut().for_each(&mut f);
        self.charger.iter_mut().for_each(&mut f);
        f(&mut self.time);
        f(&mut self.back);
        f(&mut self.steps);
    }

    pub(super) fn clear_lane(&mut self, lane: usize) {
        self.each(|x| x.set(lane, 0.0));
    }

    pub(super) fn take(&mut self, lane: usize) -> CycleTotals {
        let g = |x: &L| x.get(lane);
        let time_s = g(&self.time);
        let made = CycleTotals {
            cylinders: self
                .cylinders
                .iter()
                .map(|c| CylinderTotals {
                    work_j: g(&c.work),
                    exchange_work_j: g(&c.exchange_work),
                    wall_j: g(&c.wall),
                    released_j: g(&c.released),
                    fuel_kg: g(&c.fuel),
                    fuel_h_j: g(&c.fuel_h),
                    air_kg: g(&c.fresh),
                    blowby_kg: g(&c.blowby),
                    blowby_h_j: g(&c.blowby_h),
                    out_kg: g(&c.out_m),
                    out_h_j: g(&c.out_h),
                })
                .collect(),
            openings_kg: self.openings.iter().map(g).collect(),
            reservoirs: self.reservoirs.iter().map(|r| [g(&r.m), g(&r.h), g(&r.burned)]).collect(),
            pipe_heat_j: [g(&self.pipe_heat[0]), g(&self.pipe_heat[1])],
            time_s,
            manifold: [g(&self.manifold[0]) / time_s, g(&self.manifold[1]) / time_s],
            back_pa: g(&self.back) / time_s,
            charger: [g(&self.charger[0]), g(&self.charger[1]), g(&self.charger[2]), g(&self.charger[3]) / time_s],
            steps: g(&self.steps),
        };
        self.clear_lane(lane);
        made
    }
}

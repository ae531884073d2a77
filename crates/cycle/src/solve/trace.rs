//! One settled cycle looked at closely: traces of a cylinder and its valves, and the ledger of mass and energy.
//!
//! In double precision, one engine alone.

use super::engine::Engines;
use super::layout::{Layout, Side};
use super::run::{Settle, Settled, judge, step_until_one};
use super::totals::{CycleTotals, CylinderTotals};
use crate::cylinder::{CycleSummary, HeatModel};
use crate::duct::state::Full;
use crate::end::Which;
use crate::model::Assembled;
use std::sync::Arc;

/// Mass and energy over one cycle: what is there at the end, less what was there at the start, less all that is booked as
/// having come or gone. Rounding is what should be left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ledger {
    /// Air that came in, kg.
    pub air_kg: f64,
    /// Mass not accounted for, kg.
    pub mass_off_kg: f64,
    /// Heat of burning (or, without, the energy that was there at the start), J.
    pub heat_j: f64,
    /// Energy not accounted for, J.
    pub energy_off_j: f64,
}

impl Ledger {
    /// Mass not accounted for over the air that came in.
    pub fn mass_share(&self) -> f64 {
        self.mass_off_kg.abs() / self.air_kg.abs().max(1e-12)
    }

    /// Energy not accounted for over the heat.
    pub fn energy_share(&self) -> f64 {
        self.energy_off_j.abs() / self.heat_j.abs().max(1e-9)
    }
}

/// A cycle of one cylinder with the ledger of the whole engine. Lists are of one length, a step each, about a degree
/// apart at most at speed and less at low speed.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// Cylinder, as the shop counts: by its place in the list of cylinders, from 1.
    pub cylinder: u32,
    /// Crank angle after the cylinder's firing top dead centre, degrees, 0 to 720, rising.
    pub theta_deg: Vec<f64>,
    /// Volume, m³.
    pub v_m3: Vec<f64>,
    /// Pressure, Pa.
    pub p_pa: Vec<f64>,
    /// Mean temperature, K.
    pub t_k: Vec<f64>,
    /// Pressure in the intake port at the valve, Pa.
    pub intake_pa: Vec<f64>,
    /// Pressure in the exhaust port at the valve, Pa.
    pub exhaust_pa: Vec<f64>,
    /// Mass flow through the intake valves into the cylinder, kg/s.
    pub intake_kg_s: Vec<f64>,
    /// Mass flow through the exhaust valves out of the cylinder, kg/s.
    pub exhaust_kg_s: Vec<f64>,
    /// What the cylinder did.
    pub summary: Option<CycleSummary>,
    /// The engine's ledger over the cycle shown.
    pub ledger: Ledger,
    /// How the cycles before ended.
    pub settled: Settled,
}

/// Runs an engine until it repeats itself, then records one more cycle of a cylinder (counted from 0). `None` where a
/// number was lost on the way, and for a cylinder that is not there.
pub fn trace(made: &Assembled, cylinder: usize, heat: HeatModel, settle: &Settle) -> Option<Trace> {
    let layout = Arc::new(made.layout.clone());
    let sizes = Arc::new(made.sizes.clone());
    let mut engines = Engines::<f64>::new(&layout, &sizes, heat);
    engines.load(0, &sizes);
    let settle = &settle.with(&layout);
    let mut done = [false];
    let mut history = Vec::new();
    let settled = loop {
        step_until_one(&mut engines, &mut done);
        history.push(engines.take_totals(0));
        if let Some((settled, ..)) = judge(&history, settle, false) {
            break settled;
        }
    };
    if settled == Settled::Lost || cylinder >= layout.cylinders {
        return None;
    }
    let before = engines.contents(0);
    done[0] = false;
    let mut rows: Vec<[f64; 8]> = Vec::new();
    while !done[0] {
        engines.step(&mut done);
        rows.push(row(&engines, &layout, cylinder));
    }
    let after = engines.contents(0);
    let ledger = Ledger::new(&engines.take_totals(0), before, after);
    rows.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let list = |i: usize| rows.iter().map(|r| r[i]).collect::<Vec<f64>>();
    Some(Trace {
        cylinder: cylinder as u32 + 1,
        theta_deg: list(0),
        v_m3: list(1),
        p_pa: list(2),
        t_k: list(3),
        intake_pa: list(4),
        exhaust_pa: list(5),
        intake_kg_s: list(6),
        exhaust_kg_s: list(7),
        summary: engines.cylinders[cylinder].summary(0).copied(),
        ledger,
        settled,
    })
}

impl Ledger {
    fn new(t: &CycleTotals, before: (f64, f64), after: (f64, f64)) -> Self {
        let sum = |f: &dyn Fn(&CylinderTotals) -> f64| t.cylinders.iter().map(f).sum::<f64>();
        let gained: (f64, f64) = t.reservoirs.iter().fold((0.0, 0.0), |s, r| (s.0 + r[0], s.1 + r[1]));
        let mass = sum(&|c| c.fuel_kg - c.blowby_kg) - gained.0;
        let energy = sum(&|c| c.fuel_h_j + c.released_j - c.wall_j - c.work_j - c.blowby_h_j) - gained.1
            + t.pipe_heat_j[0]
            + t.pipe_heat_j[1]
            + t.charger[1];
        let released = sum(&|c| c.released_j);
        Self {
            air_kg: sum(&|c| c.air_kg),
            mass_off_kg: after.0 - before.0 - mass,
            heat_j: if released > 0.0 { released } else { before.1.abs() },
            energy_off_j: after.1 - before.1 - energy,
        }
    }
}

fn row(engines: &Engines<f64>, layout: &Layout, cylinder: usize) -> [f64; 8] {
    let own = &engines.cylinders[cylinder];
    let theta = own.theta.to_degrees();
    let theta = if theta < 0.0 { theta + 720.0 } else { theta };
    let mut row = [theta, own.v, own.p, own.t, f64::NAN, f64::NAN, 0.0, 0.0];
    for (v, valve) in layout.valves.iter().enumerate().filter(|(_, v)| v.cylinder == cylinder) {
        let cells = engines.net.pipes[valve.pipe].cells.clone();
        let cell = match valve.which {
            Which::First => cells.start,
            Which::Last => cells.end - 1,
        };
        let p = Full::of(&engines.net.gas, &engines.net.cells[cell]).at.p;
        match valve.side {
            Side::Intake => (row[4], row[6]) = (p, engines.valve_flow[v]),
            Side::Exhaust => (row[5], row[7]) = (p, -engines.valve_flow[v]),
        }
    }
    row
}

//! What is connected to what, and the sizes of one engine at one operating point.
//!
//! Engines that share a [`Layout`] can run side by side in lanes; their [`Sizes`] differ.

use super::network::{At, Behind};
use crate::charger::Delivery;
use crate::cylinder::CylinderPoint;
use crate::duct::DuctSpec;
use crate::end::Which;
use crate::gas_state::Charge;
use std::sync::Arc;

/// Which way gas is meant to go through a valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Intake.
    Intake,
    /// Exhaust.
    Exhaust,
}

/// Pipe of a layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PipeLayout {
    /// Number of cells.
    pub cells: usize,
    /// Behind its first cell's outer face.
    pub first: Behind,
    /// Behind its last cell's outer face.
    pub last: Behind,
    /// Intake or exhaust side: what it is filled with at the start, and where its heat is booked.
    pub side: Side,
}

/// Valve or valves of one side of one cylinder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ValveLayout {
    /// Cylinder.
    pub cylinder: usize,
    /// Side.
    pub side: Side,
    /// Pipe that ends there.
    pub pipe: usize,
    /// Which end of it.
    pub which: Which,
}

/// What is connected to what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// Pipes.
    pub pipes: Vec<PipeLayout>,
    /// Number of volumes.
    pub volumes: usize,
    /// Side of each reservoir.
    pub reservoirs: Vec<Side>,
    /// Openings between vessels.
    pub openings: Vec<(At, At)>,
    /// Number of cylinders.
    pub cylinders: usize,
    /// Valves.
    pub valves: Vec<ValveLayout>,
    /// From where to where a charger delivers.
    pub charger: Option<(At, At)>,
    /// Opening that stands for a turbine with its wastegate.
    pub turbine: Option<usize>,
    /// Volume whose pressure is the manifold's; none with open runners.
    pub manifold: Option<usize>,
    /// Pipes whose first face leads to the open air: where exhaust back-pressure is looked at (pipe, end).
    pub collectors: Vec<(usize, Which)>,
    /// Whether it is half of an engine, beside the other in the next lane.
    pub half: bool,
    /// Which volumes of a half are also the other's. Empty for a whole engine.
    pub shared_volumes: Vec<bool>,
    /// Which pipes of a half are also the other's. Empty for a whole engine.
    pub shared_pipes: Vec<bool>,
}

impl Layout {
    /// Cells of all pipes.
    pub fn cells(&self) -> usize {
        self.pipes.iter().map(|p| p.cells).sum()
    }

    /// By how much a pipe counts in sums over an engine's lanes: half where it stands in two.
    pub fn pipe_counts(&self, pipe: usize) -> f64 {
        if self.shared_pipes.get(pipe).copied().unwrap_or(false) { 0.5 } else { 1.0 }
    }
}

/// A volume with what it holds at the start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VolumeSize {
    /// Volume, m³.
    pub v_m3: f64,
    /// Pressure at the start, Pa.
    pub p_pa: f64,
    /// Temperature at the start, K.
    pub t_k: f64,
    /// Burned share at the start.
    pub yb: f64,
}

/// What a charger's control has come to between cycles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Control {
    /// Share of the boost asked for that the turbine's power is enough for, 0 to 1.
    pub share: f64,
    /// What the control adds to the boost that it aims at, Pa, so that the mean comes out right.
    pub offset_pa: f64,
    /// Effective area of the turbine with its wastegate, m².
    pub turbine_m2: f64,
}

/// What a charger does at an instant, from its inlet's pressure and temperature and its outlet's pressure.
pub trait Charging: Send + Sync + std::fmt::Debug {
    /// Delivery at inlet pressure (Pa) and temperature (K) and outlet pressure (Pa).
    fn deliver(&self, inlet_pa: f64, inlet_k: f64, outlet_pa: f64, control: &Control) -> Delivery;
    /// What the control does for the next cycle after this one; nothing for chargers on the crank.
    fn between(&self, _totals: &super::totals::CycleTotals, control: &Control) -> Control {
        *control
    }
    /// Temperature of what enters the manifold, K, behind a cooler if there is one.
    fn cooled_k(&self, outlet_k: f64) -> f64;
}

/// One engine at one operating point in plain numbers.
#[derive(Debug, Clone)]
pub struct Sizes {
    /// Pipes, in the order of the layout.
    pub pipes: Vec<DuctSpec>,
    /// Effective area over the pipe's at both ends, for flow in and out: `[[in, out]; 2]`. Valves are written anew in
    /// every step.
    pub shares: Vec<[[f64; 2]; 2]>,
    /// Pressure and temperature that each pipe is filled with at the start.
    pub fill: Vec<(f64, f64)>,
    /// Volumes.
    pub volumes: Vec<VolumeSize>,
    /// Reservoirs: pressure, Pa, temperature, K, and burned share.
    pub reservoirs: Vec<(f64, f64, f64)>,
    /// Effective areas of the openings, m².
    pub openings: Vec<f64>,
    /// Cylinders.
    pub cylinders: Vec<CylinderPoint>,
    /// Angle of the crank, rad after the first cylinder's firing top dead centre, at which each cylinder fires.
    pub phases_rad: Vec<f64>,
    /// Effective area over the pipe's, in steps of one degree from firing top dead centre, 721 numbers, for each
    /// valve of the layout.
    pub valves: Vec<Arc<Vec<f64>>>,
    /// Flow out of the pipe (or into it, for an exhaust valve: the direction it is not meant for) over the other.
    pub reverse: Vec<f64>,
    /// Gas.
    pub charge: Arc<Charge>,
    /// Angular speed of the crank, rad/s.
    pub speed_rad_s: f64,
    /// Charger.
    pub charger: Option<Arc<dyn Charging>>,
    /// Its control at the start.
    pub control: Control,
    /// Pressure, Pa, and temperature, K, that cylinders are thought to have when the intake valve shuts in the first
    /// cycle.
    pub trapped: (f64, f64),
}

//! Flow in one pipe: unsteady, one-dimensional, of changing cross-section, with friction, heat and composition.
//!
//! Model: the equations of mass, momentum, energy and two mass shares (burned gas, fuel vapour) along a pipe whose
//! area changes slowly, in conserved form. Scheme: MUSCL–Hancock with a monotonised-central limiter on pressure,
//! velocity, temperature and shares, and the HLLC flux (van Leer 1979; Toro, Spruce & Speares 1994; E. F. Toro,
//! *Riemann Solvers and Numerical Methods for Fluid Dynamics*, chapters 10 and 14; all from memory). Second order in
//! smooth flow. A pipe at rest stays at rest whatever its shape: the pressure on the walls is the cell's own.
//!
//! Left out: bends (a share on friction stands for them), two-dimensional flow at changes of section, moving liquid
//! fuel, axial conduction.
//!
//! | module | what it is |
//! |---|---|
//! | [`gas`] | heat capacity of the gas in a pipe, short enough for every cell of every step |
//! | [`state`] | what a cell holds, and what follows from it |
//! | [`shape`] | geometry and walls of a pipe |
//! | [`flux`] | flux between two cells |
//! | [`sweep()`] | one step of one pipe |

pub mod flux;
pub mod friction;
pub mod gas;
pub mod limiter;
pub mod shape;
pub mod state;
pub mod sweep;

pub use flux::{EndFlux, Flux};
pub use gas::Gas;
pub use shape::{CellShape, DuctShape, DuctSpec};
pub use state::{Cell, Point};
pub use sweep::{Room, end_points, sweep};

//! The running engine: from its parts to the curve, by computing the cycle.
//!
//! Every cylinder, every pipe and every volume is followed through whole cycles: unsteady one-dimensional flow in the
//! ducts, mass, energy and composition in the cylinders. Kernels are plain arithmetic over [`lane::Lane`], so that the
//! same source runs one engine in `f64` or several side by side, one in each lane.

pub mod charger;
pub mod constants;
pub mod cylinder;
pub mod duct;
pub mod end;
pub mod friction;
pub mod gas_state;
pub mod idle;
pub mod knock;
pub mod lane;
pub mod model;
pub mod parts;
pub mod predict;
pub mod solve;

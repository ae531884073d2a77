//! What an engine is: its description, its parts as measured, and the arithmetic of the trade.
//!
//! Kernels are plain functions of SI numbers; the description (`build`) carries every input with its
//! uncertainty and origin and hands numbers to the kernels.

pub mod cam;
pub mod kinematics;
pub mod piston_to_valve;
pub mod refused;
pub mod valve_train;

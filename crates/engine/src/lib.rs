//! What an engine is: its description, its parts as measured, and the arithmetic of the trade.
//!
//! Kernels are plain functions of SI numbers; the description (`build`) carries every input with its
//! uncertainty and origin and hands numbers to the kernels.

pub mod assumptions;
pub mod balance;
pub mod blower;
pub mod build;
pub mod build_file;
pub mod cam;
pub mod charge_cooler;
pub mod clearances;
pub mod compression;
pub mod displacement;
pub mod fasteners;
pub mod flow_bench;
pub mod fuel;
pub mod injector;
pub mod kinematics;
pub mod limits;
pub mod loads;
pub mod piston_to_valve;
pub mod port_speed;
pub mod port_spread;
pub mod possible;
pub mod propagate;
pub mod refused;
pub mod sheet;
pub mod spread;
pub mod tuned_length;
pub mod valve_area;
pub mod valve_train;

//! Checks of the cycle against sources outside it.

mod any_build;
mod blind;
mod burning;
mod calibration;
mod closed_cycle;
mod csv;
mod cylinder_models;
mod cylinder_step;
mod flow_ends;
mod flow_engine;
mod flow_junction;
mod flow_rig;
mod flow_steady;
mod flow_waves;
mod gas_state;
mod honest;
mod idle;
mod lanes;
mod parts;
mod reduced;
mod rig;
mod trends;
mod tuning;

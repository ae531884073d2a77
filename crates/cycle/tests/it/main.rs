//! Checks of the cycle against sources outside it.

mod closed_cycle;
mod csv;
mod cylinder_models;
mod gas_state;
mod lanes;

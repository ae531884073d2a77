//! Checks of the cycle against sources outside it.

mod csv;
mod gas_state;
mod lanes;

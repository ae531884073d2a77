//! Tests of the gas crate, in one binary.

mod air;
mod barometer;
mod choice;
mod corrections;
mod properties;
mod uncertainty;

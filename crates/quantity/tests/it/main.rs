//! Tests of the quantity crate, in one binary.

mod csv;
mod formula;
mod measured;
mod show;
mod units;

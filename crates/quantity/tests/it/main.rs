//! Tests of the quantity crate, in one binary.

mod csv;
mod units;

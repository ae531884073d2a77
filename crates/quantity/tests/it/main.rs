//! Tests of the quantity crate, in one binary.

mod entry;
mod formula;
mod kinds;
mod measured;
mod properties;
mod show;
mod units;
mod written;

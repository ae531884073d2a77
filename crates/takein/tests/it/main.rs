//! Tests of taking in, on real folders.

mod house;
mod statements;

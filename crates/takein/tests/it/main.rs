//! Tests of taking in, on real folders.

mod statements;

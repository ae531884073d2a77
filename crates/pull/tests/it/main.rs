//! Tests of the crate through its public face, in one binary.

mod mdf;
mod mdf_fuzz;

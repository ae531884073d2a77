//! Tests of the crate through its public face, in one binary.

mod coverage;
mod invented;
mod mdf;
mod mdf_fuzz;
mod stories;

/// The stories' printed figures, read in one place for both crates.
#[path = "../../../invent/tests/it/reference.rs"]
mod reference;

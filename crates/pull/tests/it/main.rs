//! Tests of the crate through its public face, in one binary.

mod coverage;
mod guard;
mod guard_rules;
mod invented;
mod mdf;
mod mdf_fuzz;
mod read;
mod read_fuzz;
mod stories;
mod through_text;

/// The stories' printed figures, read in one place for both crates.
#[path = "../../../invent/tests/it/reference.rs"]
mod reference;

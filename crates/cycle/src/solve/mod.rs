//! Stepping: pipes, volumes, junctions and cylinders carried through time together.

pub mod network;

//! Tests of the notebook, in one binary.
mod carry;
mod sample;
mod write;

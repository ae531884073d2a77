//! Tests of the evidence, in one binary.
mod anything;
mod copies;
mod kinds;
mod overlays;
mod photos;
mod sample;

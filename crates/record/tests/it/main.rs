//! Tests of the record, in one binary.
mod claims;
mod entries;
mod fold;
mod gates;
mod sample;

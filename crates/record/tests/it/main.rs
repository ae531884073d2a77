//! Tests of the record, in one binary.
mod before_cranking;
mod before_leak;
mod before_looks;
mod before_running;
mod before_sample;
mod before_tables;
mod claims;
mod entries;
mod fold;
mod gates;
mod sample;

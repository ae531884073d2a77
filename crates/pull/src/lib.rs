//! From a dyno log to a curve that can be trusted.
//!
//! The way through: `read` (bytes → [`log::RawLog`]) → `read::assign` (roles and units settled →
//! [`log::Log`]) → `cut` (sweeps, steps, holds) → `brake` (load cell, lags, inertia) → correction
//! (crate `gas`) → `curve` → `figures`, `guard`, `compare` → [`analysis::Analysis`].

pub mod align;
pub mod analysis;
pub mod bins;
pub mod brake;
pub mod budget;
pub mod cell;
pub mod cell_file;
pub mod compare;
pub mod curve;
pub mod cut;
pub mod figures;
pub mod guard;
pub mod log;
pub mod read;
pub mod role;
pub mod run;
pub mod setup;
pub mod stats;
pub mod use_profile;
pub mod weather;

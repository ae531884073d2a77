//! Invented dyno logs.
//!
//! A [`story::Story`] says what an invented engine makes in standard air; [`table::logs`] works out what the
//! channels of an invented dyno would have shown while it was run, dirt included; [`style`] writes
//! that down the way one cell writes and another does not. Everything is made from fixed seeds, so
//! the same story gives the same bytes.
//!
//! The crate knows nothing of the reader it feeds: its weather formulas, unit factors and writers are its own,
//! so a log that comes back with the story's figures has been through two independent ways.
//!
//! Left out: combustion, heat, real brake dynamics. The channels have the shape and the faults that logs have,
//! not the cause of them.

pub mod air;
pub mod cell;
pub mod demo;
pub mod jobs;
pub mod noise;
pub mod stories;
pub mod story;
pub mod style;
pub mod table;
pub mod timeline;

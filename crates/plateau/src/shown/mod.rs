//! A run in the terminal, as JSON, and as a table.

pub(crate) mod csv;
pub(crate) mod json;
pub(crate) mod paper;
pub(crate) mod progress;
pub(crate) mod questions;
pub(crate) mod spark;
pub(crate) mod terminal;
mod told;
pub(crate) mod units;

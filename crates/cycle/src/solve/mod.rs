//! Stepping: pipes, volumes, junctions and cylinders carried through time together.
//!
//! | module | what it is |
//! |---|---|
//! | [`network`] | pipes, volumes and junctions in one step |
//! | [`layout`] | what is connected to what, and sizes |
//! | [`engine`] | network and cylinders in lanes, cycle by cycle |
//! | [`halves`] | an engine as two halves in two lanes |
//! | [`run`] | cycles until they repeat, lanes refilled |
//! | [`totals`] | sums over a cycle |
//! | [`trace()`] | one cycle looked at closely, and the ledger |

pub mod engine;
pub mod halves;
mod kernels;
pub mod layout;
pub mod network;
mod packed;
pub mod run;
pub mod totals;
pub mod trace;

pub use engine::Engines;
pub use layout::{Layout, Sizes};
pub use totals::CycleTotals;
pub use trace::{Ledger, Trace, trace};

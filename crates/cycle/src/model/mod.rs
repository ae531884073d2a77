//! From the numbers of an engine to pipes, volumes, junctions and cylinders.
//!
//! | module | what it is |
//! |---|---|
//! | [`mesh`] | how fine |
//! | [`intake`] | throttle, plenum, runners |
//! | [`exhaust`] | ports, primaries, collectors, what is behind |
//! | [`assemble()`] | all of it for one operating point |

pub mod assemble;
pub mod charging;
mod exhaust;
mod intake;
pub mod mesh;

pub use assemble::{Assembled, Operating, assemble, assemble_all};
pub use mesh::Mesh;

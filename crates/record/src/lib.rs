//! The record of a job: what was said about an engine, what was found in it, what was promised and
//! what proves it.
//!
//! A job is a set of entries ([`Entry`]) that is only ever added to. [`fold()`] turns the set into
//! the state of the job ([`Job`]); the result depends on the set alone, not on the order in which
//! entries arrive. Where an entry takes the place of another (a second reading in one place, a
//! correction, a changed verdict) it names the one it replaces. Two entries that replace the same
//! one were written without knowing of each other: both are kept and the state shows a
//! [`Conflict`] until a later entry replaces both.
//!
//! The crate reads no clock, makes no ids and knows no files: times and ids come with the entries.
//!
//! What it leaves out: who may write what is a matter of [`Role`], not of law; the record gives no
//! legal verdict.

pub mod before;
mod body;
mod claim;
mod entry;
mod fold;
mod gate;
mod id;
pub mod instrument;
pub mod sheet;
mod stage;
mod stated;
mod versions;

pub use body::*;
pub use claim::{ClaimState, Compared, Standing, suggest};
pub use entry::{Entry, EntryError, Role};
pub use fold::{Answered, Conflict, Job, Kept, Line, Misfit, Sheet, fold, misfits};
pub use gate::{Facts, Missing, RunFacts, gate};
pub use id::{Id, IdError};
pub use stage::Stage;
pub use stated::{Stated, StatedError, Value};

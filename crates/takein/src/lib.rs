//! Taking logs into the shop, and working a run out again.
//!
//! The command, the page and the watcher all go this way, so that a log is treated the same
//! wherever it comes from:
//!
//! `bytes + dyno + answers + statements → work → questions, or an analysis → store`
//!
//! [`take_in`] keeps the logs first and then adds the run in one transaction. A log that cannot be
//! read at all stops it before anything is kept. A log that leaves questions open becomes a run in
//! the state "asking"; [`answer`] settles it later. [`load()`] works a stored run out again from
//! the logs as they came: what is derived is never what is stored, apart from the small
//! [`Headline`] for lists.
//!
//! A run that is ready stays with the text of its dyno that it was worked out with, so that next
//! month's load-cell check does not move last month's curve. [`use_newest_dyno`] moves it on, as
//! a change that stands in the record.

mod change;
mod error;
mod headline;
mod load;
mod question;
mod said;
pub mod statement;
mod take;
mod work;

pub use change::{answer, restate, use_newest_dyno};
pub use error::TakeInError;
pub use headline::Headline;
pub use load::{Loaded, Stated, dyno, load, parse_cell};
pub use question::{Question, reply};
pub use said::CellSaid;
pub use take::{TakeIn, take_in, take_in_saying};
pub use work::{Outcome, judge, learn, read_all, work};

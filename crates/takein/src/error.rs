//! What can go wrong on the way in.

use pull::log::Problem;
use pull::read::{ReadError, message};
use store::{RunId, StoreError};

/// An error on the way in or out. Each says what happened to the data and what to do next.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TakeInError {
    /// The same logs were taken in before.
    #[error(
        "{name} was taken in before, as run {number}; nothing was saved\n  go on    look at run {number}, or take it in again on purpose with --again"
    )]
    TakenInBefore {
        /// Name of the first log that is there already.
        name: String,
        /// Number of the run.
        number: i64,
        /// Id of the run.
        id: RunId,
    },
    /// No log was given.
    #[error("no log was given; nothing was saved")]
    NoLog,
    /// A log cannot be read at all. The text is the reader's.
    #[error("{text}")]
    Unreadable {
        /// File name.
        name: String,
        /// The reader's message.
        text: String,
    },
    /// Something in a log must be corrected before it can be used. The text is the reader's.
    #[error("{text}")]
    Stopped {
        /// File name.
        name: String,
        /// The reader's message.
        text: String,
    },
    /// The logs were read, and no curve can be made of them.
    #[error("{text}")]
    NoCurve {
        /// The message.
        text: String,
    },
    /// The dyno is not known to the shop.
    #[error("the shop knows no dyno called `{key}`{}", known(there))]
    NoDyno {
        /// The key as given.
        key: String,
        /// The keys there are.
        there: Vec<String>,
    },
    /// The dyno's text cannot be read.
    #[error("the file of dyno `{key}` cannot be read: {text}")]
    BadDyno {
        /// The key.
        key: String,
        /// The reason.
        text: String,
    },
    /// What is stored beside a run cannot be read.
    #[error("{what} of run {number} cannot be read ({why}); it was left as it is")]
    BadEntry {
        /// Which text: setup, answers.
        what: &'static str,
        /// Number of the run.
        number: i64,
        /// Why.
        why: String,
    },
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// What it knows instead, and what to do.
fn known(there: &[String]) -> String {
    if there.is_empty() {
        return "; it knows none yet\n  go on    make it known with `plateau dyno learn`".to_owned();
    }
    format!("; it knows {}\n  go on    name one of them, or make it known with `plateau dyno learn`", there.join(", "))
}

impl TakeInError {
    /// A file that cannot be read at all.
    pub(crate) fn unreadable(name: &str, error: &ReadError) -> Self {
        Self::Unreadable { name: name.to_owned(), text: message::of_error(name, error).to_string() }
    }

    /// A file that must be corrected first.
    pub(crate) fn stopped(name: &str, problem: &Problem) -> Self {
        Self::Stopped { name: name.to_owned(), text: message::of_problem(name, problem).to_string() }
    }
}

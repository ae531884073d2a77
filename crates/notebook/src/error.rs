//! Why something was not written or not read.

use record::{EntryError, Id, Missing, Role};
use store::StoreError;

/// Why something was not written or not read. Nothing is written then.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum NotebookError {
    /// Disk or database.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A photo or file that is not taken, or of which no picture can be made.
    #[error(transparent)]
    Evidence(#[from] evidence::EvidenceError),
    /// No picture came out of a photo.
    #[error("no picture could be made of the kept file {sha256}; the file itself is as it came")]
    NoPicture {
        /// The file.
        sha256: String,
    },
    /// There is no such job.
    #[error("there is no job {which} in this shop")]
    NoJob {
        /// Number or name as asked for.
        which: String,
    },
    /// An entry cannot stand as it is.
    #[error("entry {number} of {of}: {why}; nothing was written")]
    Entry {
        /// Place among those sent, from 1.
        number: usize,
        /// How many were sent.
        of: usize,
        /// The reason.
        why: EntryError,
    },
    /// An entry refers to something that is not there.
    #[error("entry {number} of {of}: {why}; nothing was written")]
    Misfit {
        /// Place among those sent, from 1.
        number: usize,
        /// How many were sent.
        of: usize,
        /// The reason.
        why: String,
    },
    /// The writer's roles do not cover this kind of entry.
    #[error(
        "a {kind} is written by the {needed}; {author} works as {has}. Nothing was written; ask somebody of that role, or the keeper of the shop for it"
    )]
    NotYours {
        /// Kind of entry.
        kind: String,
        /// Roles that may.
        needed: String,
        /// The writer.
        author: String,
        /// The writer's roles.
        has: String,
    },
    /// A gate is shut: something is missing and no reason was given for it.
    #[error("the job does not pass to \"{to}\": {} missing without a reason. {}; nothing was written", count(.missing), words(.missing))]
    GateShut {
        /// Name of the stage.
        to: String,
        /// What is missing without a reason.
        missing: Vec<Missing>,
    },
    /// An entry was written at a time that is far ahead of the shop's clock.
    #[error(
        "entry {id} says it was written at {at}, which is more than a day ahead of the shop's clock; nothing was written. Set the clock of the tablet"
    )]
    FromTheFuture {
        /// The entry.
        id: Id,
        /// Its time.
        at: String,
    },
    /// An entry that is kept cannot be read.
    #[error("entry {id} of job {job} is kept and cannot be read: {why}; it was left as it is. Run `plateau check`")]
    Unreadable {
        /// Number of the job.
        job: i64,
        /// The entry.
        id: String,
        /// The reason.
        why: String,
    },
}

fn count(missing: &[Missing]) -> String {
    match missing.len() {
        1 => "one thing is".to_owned(),
        n => format!("{n} things are"),
    }
}

fn words(missing: &[Missing]) -> String {
    let words: Vec<&str> = missing.iter().map(|m| m.words.trim_end_matches('.')).collect();
    words.join("; ")
}

/// "bench or cell".
pub(crate) fn roles(roles: &[Role]) -> String {
    let names: Vec<&str> = roles.iter().map(|r| r.name()).collect();
    if names.is_empty() { "none of them".to_owned() } else { names.join(" or ") }
}

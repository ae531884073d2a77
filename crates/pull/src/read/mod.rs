//! Reading logs: bytes to a [`RawLog`] with the list of what is not as it should be.
//!
//! [`read`] looks at the first bytes and takes the reader that fits ([`csv`] or [`mdf`]). A reader
//! fails only where nothing can be read; a log that must not be used before somebody decides carries
//! a problem of severity `Stop`. [`assign`] then settles what the columns mean, and [`message`] puts
//! errors, problems and questions into the words that terminal and page both show.

pub mod assign;
pub mod csv;
mod error;
mod hints;
pub mod mdf;
pub mod message;

pub use csv::clock::DateOrder;
pub use error::ReadError;
pub use hints::ReadHints;

use crate::log::RawLog;

/// How far reading has come, in bytes of the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// Bytes done.
    pub done: usize,
    /// Bytes in all.
    pub total: usize,
}

/// Reads a log of any kind we know.
///
/// `name` is the file name without folders, for messages. The same bytes and hints always give the
/// same result, whatever the number of processors. `progress` may be called from several threads.
///
/// # Errors
/// [`ReadError`] only where nothing can be read: an empty file, a picture, no row of numbers.
/// Anything less is in the problems of the log.
pub fn read(
    name: &str,
    bytes: &[u8],
    hints: &ReadHints,
    progress: &(dyn Fn(Progress) + Sync),
) -> Result<RawLog, ReadError> {
    if bytes.starts_with(b"MDF     ") || bytes.starts_with(b"UnFinMF ") {
        return Ok(mdf::read(name, bytes, progress)?);
    }
    csv::read(name, bytes, hints, progress)
}

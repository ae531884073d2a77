//! What people write into small files: where a fault stands, and which word may have been meant.
//!
//! - [`place`]: line and column of a byte, as an editor counts them.
//! - [`edits`], [`nearest`], [`suggestion`]: the known word that a slip of the hand came from.
//! - [`read`], [`Fields`]: TOML tables whose faults name line, column, what was found and what to write.
//!
//! Every reader of a shop's files uses these, so that a slip is answered in the same words whichever file it is in.

mod fields;
mod words;

pub use fields::{Fault, Fields, Parsed, TextError, read};
pub use words::{edits, known_are, nearest, nearest_within, place, suggestion};

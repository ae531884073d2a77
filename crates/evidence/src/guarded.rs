//! A wall around the decoders.
//!
//! Decoders are given bytes from outside. None is known to panic; should one do so, one photo has no preview and the
//! shop goes on.

use std::panic::{AssertUnwindSafe, catch_unwind};

/// Runs a decoder; a panic in it is a fault of the file.
pub(crate) fn guarded<T>(decode: impl FnOnce() -> Result<T, String>) -> Result<T, String> {
    // Nothing that the closure touches outlives a panic: it reads bytes and makes a new value.
    catch_unwind(AssertUnwindSafe(decode)).unwrap_or_else(|_| Err("its data break the decoder".to_owned()))
}

//! Messages.

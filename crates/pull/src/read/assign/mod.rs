//! Settling.
pub(crate) fn is_channel_word(_name: &str) -> bool { true }

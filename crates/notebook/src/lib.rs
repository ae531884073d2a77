//! The one way in for entries.

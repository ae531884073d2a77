//! invent

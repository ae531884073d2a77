//! Checks of the cycle against sources outside it.

mod lanes;

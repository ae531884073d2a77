//! One file a verb.

pub(crate) mod check;
pub(crate) mod dyno;
pub(crate) mod engine;
pub(crate) mod guards;
pub(crate) mod keep;
pub(crate) mod predict;
pub(crate) mod pull;
pub(crate) mod runs;
pub(crate) mod serve;
pub(crate) mod watch;

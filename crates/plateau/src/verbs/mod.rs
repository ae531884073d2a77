//! One file a verb.

pub(crate) mod backup;
pub(crate) mod check;
pub(crate) mod dyno;
pub(crate) mod engine;
pub(crate) mod guards;
pub(crate) mod instruments;
pub(crate) mod job;
pub(crate) mod keep;
pub(crate) mod people;
pub(crate) mod predict;
pub(crate) mod pull;
pub(crate) mod restore;
pub(crate) mod runs;
pub(crate) mod serve;
pub(crate) mod watch;

//! Limits of measured features: what is allowed, for which use and material, and who says so.
//!
//! A limit is a row of a table: feature, uses, material, conditions, least, target and greatest value,
//! and the tag of its source. Tables are TOML texts with units written out ([`parse()`]). The shipped ones
//! ([`shipped()`]) are defaults for a shop to edit. Three layers lie over each other ([`Layers`]): the part
//! maker's sheet wins over the shop's own table, which wins over what is shipped. [`judge()`] compares a
//! reading with a limit and its uncertainty with the room between.
//!
//! Left out: limits that depend on more than one size, and pairs of readings (see the clearances
//! module). No figure here is a safety approval.
//!
//! # Source
//! Every row names its own. The decision rule is that of ISO 14253-1 (from memory): inside or outside
//! only where the whole expanded uncertainty is.

mod judge;
mod layers;
mod parse;
mod shipped;
mod table;

pub use judge::{JudgeError, Judged, judge};
pub use layers::{FindError, Found, Layer, Layers, Query};
pub use parse::{LimitsError, parse};
pub use shipped::{SHIPPED_FILES, shipped};
pub use table::{Feature, Limit, LimitTable, Source, Standing, Stated, Use};

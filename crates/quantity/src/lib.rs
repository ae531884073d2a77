//! Units at the edge, SI inside, uncertainty and origin with every number.

mod measured;
mod origin;
pub mod unit;

pub use measured::{Limits, Measured, MeasuredError, Verdict, verdict};
pub use origin::Origin;
pub use unit::{Dimension, PressureReference, Shaft, Unit, UnitError, find_unit, find_unit_in, units_of};

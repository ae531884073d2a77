//! Units at the edge, SI inside, uncertainty and origin with every number.

mod origin;
pub mod unit;

pub use origin::Origin;
pub use unit::{Dimension, PressureReference, Shaft, Unit, UnitError, find_unit, find_unit_in, units_of};

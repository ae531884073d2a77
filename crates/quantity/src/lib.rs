//! Units at the edge, SI inside, uncertainty and origin with every number.

pub mod formula;
mod measured;
mod origin;
pub mod show;
pub mod unit;

pub use measured::{Limits, Measured, MeasuredError, Verdict, verdict};
pub use origin::Origin;
pub use show::{Shown, UnitSystem, decimals_for, digits, digits_with_uncertainty, format_with_uncertainty, thousands};
pub use unit::{Dimension, PressureReference, Shaft, Unit, UnitError, find_unit, find_unit_in, units_of};

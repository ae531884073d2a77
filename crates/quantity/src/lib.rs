//! Units at the edge, SI inside, uncertainty and origin with every number.
//!
//! - [`find_unit`] and [`find_unit_in`]: the unit behind a spelling, or a question that names the choices.
//! - [`parse`]: a typed quantity ([`Torque`], [`GaugePressure`], [`Lambda`] …) from what a person types.
//! - [`UnitSystem`]: the same quantity printed in the person's units, with the digits it deserves.
//! - [`Measured`], [`verdict`]: a value with its standard uncertainty, and inside, outside or cannot tell.
//! - [`written`]: small files of a shop, with the place of a fault and the word that may have been meant.
//! - [`formula`]: engine arithmetic that needs no model, on plain SI numbers.
//!
//! Kernels in other crates work on plain `f64` in SI with the unit in the name; the types here stand
//! at the edges, where people and files are.

mod entry;
pub mod formula;
mod kinds;
mod measured;
mod origin;
pub mod show;
pub mod unit;
pub mod written;

pub use entry::{Entered, ParseError, parse};
pub use kinds::{
    AbsolutePressure, AirFuelRatio, Altitude, Barometer, CamAngle, Corrected, CrankAngle, Density, Diameter, Force,
    Fraction, Fuel, GaugePressure, Inertia, KindError, Lambda, Length, Mass, MassFlow, Observed, Power, Quantity,
    Radius, RotationalSpeed, SpecificFuel, StoichiometricRatio, Temperature, TemperatureDifference, Time, Torque,
    Velocity, Volume, VolumeFlow, VolumeFlowAt,
};
pub use measured::{Limits, Measured, MeasuredError, Verdict, verdict};
pub use origin::Origin;
pub use show::{Shown, UnitSystem, decimals_for, digits, digits_with_uncertainty, format_with_uncertainty, thousands};
pub use unit::{Dimension, PressureReference, Shaft, Unit, UnitError, find_unit, find_unit_in, units_of};

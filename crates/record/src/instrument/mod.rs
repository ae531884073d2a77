//! The register of instruments: what they can be trusted with, and until when.
//!
//! - [`Register`], [`Instrument`]: a text that the shop edits; [`starter()`] to begin with.
//! - [`used()`], [`standing()`]: an instrument as it goes into an entry, and whether its calibration counted.
//! - [`combine()`]: uncertainty of one reading from the instrument, the last digit, repeats and temperature.
//! - [`GaugeStudy`]: how much of a tolerance the gauge and its hands take up.
//!
//! Uncertainties are standard ones (k = 1) inside; a register states what a certificate states, with its
//! coverage.

mod combine;
mod expansion;
mod gauge_study;
mod register;
mod standing;

pub use combine::{Combined, Part, PartTemperature, combine};
pub use expansion::{Expansion, expansion, expansions};
pub use gauge_study::{AnovaRow, AnovaStudy, Fitness, GaugeStudy, RangeStudy, Spreads};
pub use register::{
    Calibration, Instrument, Interval, Register, RegisterError, STARTER_TEXT, starter, with_calibration,
};
pub use standing::{Standing, day_of, standing, used};

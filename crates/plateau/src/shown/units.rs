//! SI to the units asked for, as `quantity` shows them.

use crate::cli::UnitSystem;
use quantity::Dimension;

/// Units of the output.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shown(quantity::UnitSystem);

impl Shown {
    pub(crate) fn new(system: UnitSystem) -> Self {
        Self(system.into())
    }

    /// Torque without its unit, to a tenth.
    pub(crate) fn torque(self, nm: f64) -> String {
        self.0.torque(nm, Some(1)).number
    }

    /// Torque as a number in its unit.
    pub(crate) fn torque_value(self, nm: f64) -> f64 {
        self.0.unit(Dimension::Torque).from_si(nm)
    }

    /// Power without its unit, to a tenth.
    pub(crate) fn power(self, w: f64) -> String {
        self.0.power(w, Some(1)).number
    }

    pub(crate) fn torque_unit(self) -> &'static str {
        self.0.unit(Dimension::Torque).symbol
    }

    pub(crate) fn power_unit(self) -> &'static str {
        self.0.unit(Dimension::Power).symbol
    }
}

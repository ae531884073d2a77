//! SI to the units that a person has chosen, as [`quantity::UnitSystem`] prints them.

use quantity::{Dimension, UnitSystem};

/// Units of a page.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Units(pub(crate) UnitSystem);

impl Units {
    /// Torque without its unit, to a tenth.
    pub(crate) fn torque(self, nm: f64) -> String {
        self.0.torque(nm, Some(1)).number
    }

    /// Torque in the chosen unit.
    pub(crate) fn torque_value(self, nm: f64) -> f64 {
        self.0.unit(Dimension::Torque).from_si(nm)
    }

    /// Unit of torque.
    pub(crate) fn torque_unit(self) -> &'static str {
        self.0.unit(Dimension::Torque).symbol
    }

    /// Unit of power.
    pub(crate) fn power_unit(self) -> &'static str {
        self.0.unit(Dimension::Power).symbol
    }

    /// Temperature without its unit, to a tenth.
    pub(crate) fn temperature(self, k: f64) -> String {
        self.0.temperature(k, Some(1)).number
    }

    /// Unit of temperature.
    pub(crate) fn temperature_unit(self) -> &'static str {
        self.0.unit(Dimension::Temperature).symbol
    }
}

//! SI to the units that a person has chosen. The factors are those of [`quantity`].

use crate::prefs::UnitChoice;
use crate::words::fixed;
use quantity::{Dimension, Unit, find_unit_in};

/// Units of a page.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Units(pub(crate) UnitChoice);

impl Units {
    fn pick(self, metric: &str, inch: &str, dimension: Dimension) -> Option<&'static Unit> {
        let text = match self.0 {
            UnitChoice::Metric => metric,
            UnitChoice::Inch => inch,
        };
        find_unit_in(text, dimension).ok()
    }

    /// Torque without its unit, to a tenth.
    pub(crate) fn torque(self, nm: f64) -> String {
        fixed(self.torque_value(nm), 1)
    }

    /// Torque in the chosen unit.
    pub(crate) fn torque_value(self, nm: f64) -> f64 {
        self.pick("N\u{b7}m", "lb-ft", Dimension::Torque).map_or(nm, |unit| unit.from_si(nm))
    }

    /// Unit of torque.
    pub(crate) fn torque_unit(self) -> &'static str {
        match self.0 {
            UnitChoice::Metric => "N\u{b7}m",
            UnitChoice::Inch => "lb\u{b7}ft",
        }
    }

    /// Power without its unit, to a tenth.
    pub(crate) fn power(self, w: f64) -> String {
        fixed(self.pick("kW", "hp", Dimension::Power).map_or(w, |unit| unit.from_si(w)), 1)
    }

    /// Unit of power.
    pub(crate) fn power_unit(self) -> &'static str {
        match self.0 {
            UnitChoice::Metric => "kW",
            UnitChoice::Inch => "hp",
        }
    }

    /// Temperature without its unit, to a tenth.
    pub(crate) fn temperature(self, k: f64) -> String {
        fixed(self.pick("\u{b0}C", "\u{b0}F", Dimension::Temperature).map_or(k, |unit| unit.from_si(k)), 1)
    }

    /// Unit of temperature.
    pub(crate) fn temperature_unit(self) -> &'static str {
        match self.0 {
            UnitChoice::Metric => "\u{b0}C",
            UnitChoice::Inch => "\u{b0}F",
        }
    }
}

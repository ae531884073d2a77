//! Observed and corrected figures, kept apart by type.

use super::{Power, Quantity, Torque};

/// A figure as measured in the air of the day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observed<T> {
    value: T,
}

/// A figure referred to standard air, with the form of correction and its factor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corrected<T> {
    value: T,
    form: &'static str,
    factor: f64,
}

impl<T: Copy> Observed<T> {
    /// Marks a figure as observed.
    pub fn new(value: T) -> Self {
        Self { value }
    }

    /// The figure.
    pub fn value(self) -> T {
        self.value
    }
}

/// What a correction may be applied to: torque and power. Fuel flow, lambda and manifold pressure
/// are not corrected, so they do not have this.
pub trait Correctable: Quantity {}
impl Correctable for Torque {}
impl Correctable for Power {}

impl<T: Correctable> Observed<T> {
    /// The figure times a factor, marked with the words that say which ("corrected with the J1349 factor").
    pub fn corrected(self, factor: f64, form: &'static str) -> Corrected<T> {
        Corrected { value: T::from_si(self.value.si() * factor), form, factor }
    }
}

impl<T: Copy> Corrected<T> {
    /// The figure.
    pub fn value(self) -> T {
        self.value
    }

    /// The words that say which correction.
    pub fn form(&self) -> &'static str {
        self.form
    }

    /// The factor used.
    pub fn factor(&self) -> f64 {
        self.factor
    }
}

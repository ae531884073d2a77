//! Taking inputs, and noting what was assumed in their place.

use crate::constants::Constants;
use engine::build::facts::{Facts, UsedAssumption};
use std::cell::RefCell;

/// Facts with constants and a list of assumptions of the cycle's own.
pub(super) struct Take<'f, 'b> {
    pub(super) facts: &'f Facts<'b>,
    pub(super) constants: &'f Constants,
    noted: RefCell<Vec<UsedAssumption>>,
}

impl<'f, 'b> Take<'f, 'b> {
    pub(super) fn new(facts: &'f Facts<'b>, constants: &'f Constants) -> Self {
        Self { facts, constants, noted: RefCell::default() }
    }

    pub(super) fn note(&self, key: &str, text: &str, why: &str, source: &str) {
        let entry = UsedAssumption {
            key: key.to_owned(),
            text: text.to_owned(),
            why: why.to_owned(),
            source: source.to_owned(),
        };
        let mut noted = self.noted.borrow_mut();
        if !noted.contains(&entry) {
            noted.push(entry);
        }
    }

    /// The stated value, else the one given, which is noted.
    pub(super) fn or(&self, key: &str, value: f64, text: &str, why: &str, source: &str) -> f64 {
        self.facts.stated(key).unwrap_or_else(|| {
            self.note(key, text, why, source);
            value
        })
    }

    /// The same for a length, shown in mm.
    pub(super) fn or_mm(&self, key: &str, value_m: f64, why: &str) -> f64 {
        self.or(key, value_m, &format!("{:.0} mm", value_m * 1e3), why, "C")
    }

    pub(super) fn constant(&self, key: &str) -> f64 {
        self.constants.get(key)
    }

    pub(super) fn into_assumptions(self) -> Vec<UsedAssumption> {
        self.noted.into_inner()
    }
}

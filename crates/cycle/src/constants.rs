//! Constants of the models that no build file states: one set for every engine.
//!
//! The table is `data/cycle/defaults.toml`, compiled in: value, half-width of 95 %, unit, reason and source of each.
//! They are calibrated once, on the engines of `validation/calibration_engines` together, and are never set per engine.

use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The table as text.
pub const TEXT: &str = include_str!("../../../data/cycle/defaults.toml");

/// One constant.
#[derive(Debug, Clone, PartialEq)]
pub struct Constant {
    /// Value, in the unit named.
    pub value: f64,
    /// Half-width of 95 %.
    pub spread: f64,
    /// Unit.
    pub unit: String,
    /// "P" published, "M" published and from memory, "C" common practice without source, "F" found by calibration.
    pub source: String,
    /// Why this value.
    pub why: String,
}

/// All of them by key: `"burn.time_factor"`.
#[derive(Debug, Clone, PartialEq)]
pub struct Constants {
    rows: BTreeMap<String, Constant>,
}

/// A table that cannot be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("constants: {0}")]
pub struct ConstantsError(String);

impl Constants {
    /// The shipped set.
    pub fn shipped() -> &'static Self {
        &SHIPPED
    }

    /// Reads a table.
    ///
    /// # Errors
    /// [`ConstantsError`] naming the row.
    pub fn parse(text: &str) -> Result<Self, ConstantsError> {
        let document: toml_edit::DocumentMut =
            text.parse().map_err(|e: toml_edit::TomlError| ConstantsError(e.to_string()))?;
        let mut rows = BTreeMap::new();
        for (section, items) in document.iter() {
            let items = items.as_table().ok_or_else(|| ConstantsError(format!("{section} is no section")))?;
            for (name, row) in items.iter() {
                let key = format!("{section}.{name}");
                let row = row.as_table().ok_or_else(|| ConstantsError(format!("{key} is no table")))?;
                let number = |field: &str| {
                    let item = row.get(field).and_then(|i| i.as_float().or_else(|| i.as_integer().map(|n| n as f64)));
                    item.filter(|x| x.is_finite()).ok_or_else(|| ConstantsError(format!("{key}: {field} is no number")))
                };
                let word = |field: &str| {
                    let item = row.get(field).and_then(toml_edit::Item::as_str).map(str::to_owned);
                    item.ok_or_else(|| ConstantsError(format!("{key}: {field} is no text")))
                };
                let constant = Constant {
                    value: number("value")?,
                    spread: number("spread")?,
                    unit: word("unit")?,
                    source: word("source")?,
                    why: word("why")?,
                };
                rows.insert(key, constant);
            }
        }
        Ok(Self { rows })
    }

    /// A value.
    ///
    /// # Panics
    /// For a key that the table does not hold: the keys are the program's own, and a test asks for each.
    pub fn get(&self, key: &str) -> f64 {
        self.rows.get(key).map_or_else(|| panic!("no constant {key}"), |row| row.value)
    }

    /// Half-width of 95 % of a value.
    ///
    /// # Panics
    /// As [`Constants::get`].
    pub fn spread(&self, key: &str) -> f64 {
        self.rows.get(key).map_or_else(|| panic!("no constant {key}"), |row| row.spread)
    }

    /// The same set with one value moved, as for a band or a calibration.
    ///
    /// # Panics
    /// As [`Constants::get`].
    pub fn with(&self, key: &str, value: f64) -> Self {
        let mut moved = self.clone();
        match moved.rows.get_mut(key) {
            Some(row) => row.value = value,
            None => panic!("no constant {key}"),
        }
        moved
    }

    /// Every row, by key.
    pub fn rows(&self) -> impl Iterator<Item = (&str, &Constant)> {
        self.rows.iter().map(|(key, row)| (key.as_str(), row))
    }
}

// The text is compiled in and a test reads every row, so that a fault cannot reach a shop.
static SHIPPED: LazyLock<Constants> = LazyLock::new(|| Constants::parse(TEXT).unwrap_or_else(|e| panic!("{e}")));

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_has_a_known_source_and_a_spread() {
        let shipped = Constants::shipped();
        assert!(shipped.rows().count() > 10);
        for (key, row) in shipped.rows() {
            assert!(["P", "M", "C", "F"].contains(&row.source.as_str()), "{key}: source {}", row.source);
            assert!(row.spread > 0.0, "{key}: a constant without spread is a claim to know it");
        }
    }

    #[test]
    fn a_row_without_value_is_refused_by_name() {
        let error = Constants::parse("[burn.best_ca50]\nspread = 1.0\n").unwrap_err();
        assert_eq!(error.to_string(), "constants: burn.best_ca50: value is no number");
    }
}

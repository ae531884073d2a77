//! A prediction in sentences, as a table, in pictures and as JSON.
//!
//! Figures come from `cycle::predict`; here stand units, words and the order of things. Nothing here was measured:
//! lines are brass and dashed, and the finding says "predicted".

mod json;
mod picture;
mod text;

pub use json::prediction_json;
pub use picture::{prediction_picture, trace_pictures};
pub use text::{idle_text, prediction_finding, prediction_text};

use quantity::{Dimension, UnitSystem, digits, digits_with_uncertainty, thousands};

/// "5,200".
fn whole(value: f64) -> String {
    thousands(&digits(value, 0))
}

/// A value in the person's unit: number alone, with so many decimals.
fn number(units: UnitSystem, dimension: Dimension, si: f64, decimals: i32) -> String {
    digits(units.unit(dimension).from_si(si), decimals)
}

/// "566 ± 40 N·m", or "566 N·m" where the ± is not known.
fn with_band(units: UnitSystem, dimension: Dimension, si: f64, half: Option<f64>) -> String {
    let unit = units.unit(dimension);
    match half.filter(|h| *h > 0.0) {
        Some(half) => {
            let (value, half) = digits_with_uncertainty(unit.from_si(si), unit.from_si(half));
            format!("{value} ± {half} {}", unit.symbol)
        }
        None => format!("{} {}", digits(unit.from_si(si), 0), unit.symbol),
    }
}

//! Numbers in the unit of a sheet.

use crate::Stated;
use quantity::{Dimension, Unit, digits, find_unit_in};

/// The unit of a text, for one kind. A plain number has none.
pub(crate) fn unit(kind: Dimension, text: &str) -> Option<&'static Unit> {
    if text.is_empty() { None } else { find_unit_in(text, kind).ok() }
}

/// Digits of an SI value in a unit, as many as a step (SI) deserves.
pub(crate) fn number(si: f64, step_si: f64, kind: Dimension, unit_text: &str) -> String {
    let found = unit(kind, unit_text);
    let written = found.map_or(si, |unit| unit.from_si(si));
    let step = found.map_or(step_si, |unit| step_si / unit.scale.abs());
    digits(written, decimals(step))
}

/// The same with its unit behind it.
pub(crate) fn with_unit(si: f64, step_si: f64, kind: Dimension, unit_text: &str) -> String {
    let number = number(si, step_si, kind, unit_text);
    match unit_text {
        "" => number,
        "°" | "deg" => format!("{number}°"),
        unit => format!("{number} {unit}"),
    }
}

/// Decimals that a step deserves: 0.001 and 0.002 three, 0.0005 four. Between 0 and 9.
pub(crate) fn decimals(step: f64) -> i32 {
    if !(step.is_finite() && step > 0.0) {
        return 4;
    }
    // A step that went through SI and back is 0.00099999…
    let place = -(step * 1.000_001).log10().floor();
    (place as i32).clamp(0, 9)
}

/// The unit in which a value was stated.
pub(crate) fn stated_unit(stated: &Stated) -> Option<&'static str> {
    let main = stated.text.split('±').next().unwrap_or_default().trim();
    let at = main.find(|c: char| c.is_alphabetic() || matches!(c, '°' | '%' | 'µ'))?;
    find_unit_in(main[at..].trim(), stated.dimension).ok().map(|unit| unit.symbol)
}

//! Numbers in the unit of a sheet: its readings are typed and shown in it, whatever the page's units are.

use quantity::{Dimension, Unit, digits, find_unit_in};

/// The unit of a text for one kind; a plain number has none.
pub(super) fn unit_of(kind: Dimension, text: &str) -> Option<&'static Unit> {
    if text.is_empty() { None } else { find_unit_in(text, kind).ok() }
}

/// An SI value as a number in the unit.
pub(super) fn in_unit(si: f64, kind: Dimension, unit: &str) -> f64 {
    unit_of(kind, unit).map_or(si, |unit| unit.from_si(si))
}

/// A difference as a number in the unit: without the unit's own zero.
pub(super) fn span_in_unit(si: f64, kind: Dimension, unit: &str) -> f64 {
    unit_of(kind, unit).map_or(si, |unit| si / unit.scale.abs())
}

/// Decimals that a step (in the unit) deserves: 0.001 and 0.002 three, 0.0005 four.
pub(super) fn decimals_of(step: f64) -> i32 {
    if !(step.is_finite() && step > 0.0) {
        return 3;
    }
    // A step that went through SI and back is 0.00099999…
    (-(step * 1.000_001).log10().floor() as i32).clamp(0, 9)
}

/// A number with so many decimals.
pub(super) fn shown(value: f64, decimals: i32) -> String {
    digits(value, decimals)
}

/// "92.750 mm", "224°".
pub(super) fn with_unit(number: &str, unit: &str) -> String {
    match unit {
        "" => number.to_owned(),
        "\u{b0}" | "deg" => format!("{number}\u{b0}"),
        unit => format!("{number} {unit}"),
    }
}

/// A plain number for a script: the shortest that reads back as the same.
pub(super) fn plain(value: f64) -> String {
    // What went through SI and back carries noise in its last digits.
    let rounded = (value * 1e10).round() / 1e10;
    format!("{rounded}")
}

/// Leading digits that every reading near these two will have: "92.7" of 92.740 and 92.760. One range to either side
/// counts as near. Nothing where that leaves no digit to type.
pub(super) fn leading(low: f64, high: f64, decimals: i32) -> String {
    let room = (high - low).abs();
    let (a, b) = (low - room, high + room);
    if !(a.is_finite() && b.is_finite()) || a <= 0.0 || room == 0.0 {
        return String::new();
    }
    let text = |value: f64| digits(value, decimals).replace(',', "");
    let (a, b) = (text(a), text(b));
    if a.len() != b.len() {
        return String::new();
    }
    let same: String = a.chars().zip(b.chars()).take_while(|(x, y)| x == y).map(|(x, _)| x).collect();
    if same.len() >= a.len() || !same.chars().any(|c| c.is_ascii_digit()) { String::new() } else { same }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leading_digits_leave_room_on_both_sides() {
        assert_eq!(leading(92.740, 92.760, 3), "92.7");
        assert_eq!(leading(92.790, 92.810, 3), "92.", "the next tenth is near");
        assert_eq!(leading(0.050, 0.065, 3), "0.0");
        assert_eq!(leading(99.990, 100.010, 3), "", "another count of digits is near");
        assert_eq!(leading(0.0, 0.010, 3), "", "below zero is near");
        assert_eq!(leading(2.4489, 2.4494, 4), "2.44");
        assert_eq!(leading(64.0, 64.0, 1), "");
    }

    #[test]
    fn steps_give_decimals() {
        assert_eq!(decimals_of(0.001), 3);
        assert_eq!(decimals_of(0.002), 3);
        assert_eq!(decimals_of(0.000_999_999_999), 3);
        assert_eq!(decimals_of(0.0005), 4);
        assert_eq!(decimals_of(1.0), 0);
        assert_eq!(decimals_of(f64::NAN), 3);
    }

    #[test]
    fn numbers_for_scripts_carry_no_noise() {
        assert_eq!(plain(in_unit(0.09275, Dimension::Length, "mm")), "92.75");
        assert_eq!(plain(in_unit(0.0254 * 2.4489, Dimension::Length, "in")), "2.4489");
    }
}

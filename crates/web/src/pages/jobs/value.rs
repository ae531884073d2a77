//! Values as people type and read them: a quantity with its unit, or a word.

use quantity::{Dimension, Unit, UnitError, UnitSystem, find_unit};
use record::{Finding, InstrumentUsed, Stated, Value};

/// Reads a value: with a number in front it is a quantity and needs a unit that is known, or none for a plain ratio
/// ("8.8", "8.8 : 1"); anything else is a word.
///
/// # Errors
/// One sentence: what was found, what to write instead.
pub(crate) fn read(text: &str) -> Result<Option<Value>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    if !begins_as_number(text) {
        return Ok(Some(Value::Word(text.to_owned())));
    }
    let dimension = dimension_of(text)?;
    Stated::read(text, dimension, None)
        .map(|stated| Some(Value::Quantity(stated)))
        .map_err(|e| sentence(&e.to_string()))
}

/// How far a found value may lie off, in the unit of the value itself where none is written.
///
/// # Errors
/// One sentence.
pub(crate) fn read_allowance(text: &str, of: Option<&Value>) -> Result<Option<f64>, String> {
    let text = text.trim().trim_start_matches(['\u{b1}', '+']).trim();
    if text.is_empty() {
        return Ok(None);
    }
    let Some(Value::Quantity(of)) = of else {
        return Err("An allowance belongs to a value with a number; write the value first.".to_owned());
    };
    let unit = unit_text(&of.text);
    // A difference has no zero of its own: 5 °C of allowance are 5 K.
    let dimension =
        if of.dimension == Dimension::Temperature { Dimension::TemperatureDifference } else { of.dimension };
    let read = Stated::read(text, dimension, Some(unit)).map_err(|e| sentence(&e.to_string()))?;
    if read.si < 0.0 {
        return Err(format!(
            "\u{201c}{text}\u{201d} is below zero; how far it may lie off to either side is expected."
        ));
    }
    Ok(Some(read.si))
}

fn begins_as_number(text: &str) -> bool {
    let rest = text.strip_prefix(['-', '\u{2212}', '+']).unwrap_or(text).trim_start();
    let rest = rest.strip_prefix('.').unwrap_or(rest);
    rest.starts_with(|c: char| c.is_ascii_digit() || c == '\u{bd}')
}

/// The kind of quantity that a text names by its unit.
fn dimension_of(text: &str) -> Result<Dimension, String> {
    let unit = unit_text(text);
    if unit.is_empty() || unit.replace(' ', "") == ":1" {
        return Ok(Dimension::Count);
    }
    match find_unit(unit) {
        Ok(unit) => Ok(unit.dimension),
        Err(UnitError::Ambiguous { choices, .. }) if same_kind(&choices) => Ok(choices[0].dimension),
        Err(error) => Err(format!("{} If it is meant as words, begin with a word.", sentence(&error.to_string()))),
    }
}

fn same_kind(choices: &[&'static Unit]) -> bool {
    choices.windows(2).all(|two| two[0].dimension == two[1].dimension)
}

/// What stands behind the number and before "±": "mm" of "92.56 mm ± 0.02".
pub(crate) fn unit_text(text: &str) -> &str {
    let main = text.split(['\u{b1}']).next().unwrap_or(text).split("+/-").next().unwrap_or(text).trim();
    let behind = |text: &str| {
        text.trim_start_matches(|c: char| {
            c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '\u{2212}' | '/' | '\u{bd}' | ' ')
        })
        .len()
    };
    let found = main[main.len() - behind(main)..].trim();
    if found.is_empty() {
        // "92.56 ± 0.02 mm": the unit stands at the end.
        let spread = text.split('\u{b1}').nth(1).or_else(|| text.split("+/-").nth(1)).unwrap_or("").trim();
        return spread[spread.len() - behind(spread)..].trim();
    }
    found
}

/// The number of a text without its unit.
pub(crate) fn number_text(text: &str) -> &str {
    let unit = unit_text(text);
    match text.find(unit) {
        Some(at) if !unit.is_empty() => text[..at].trim(),
        _ => text.trim(),
    }
}

/// A value as it was typed; a ratio and a speed as they are.
pub(crate) fn words(value: &Value) -> String {
    match value {
        Value::Quantity(stated) => text_of(stated),
        Value::Word(word) => word.clone(),
        Value::NotRead(why) => format!("not read: {why}"),
    }
}

/// A quantity as it was typed; degrees with their sign.
pub(crate) fn text_of(stated: &Stated) -> String {
    match unit_text(&stated.text) {
        "deg" | "degrees" => format!("{}\u{b0}", number_text(&stated.text)),
        _ => stated.text.clone(),
    }
}

/// The same quantity in the person's units, where it was typed in others: "3.6441 in".
pub(crate) fn also(value: &Value, units: UnitSystem) -> Option<String> {
    let Value::Quantity(stated) = value else { return None };
    let mine = units.unit(stated.dimension);
    let typed = find_unit(unit_text(&stated.text)).ok()?;
    if typed.dimension != stated.dimension || typed.symbol == mine.symbol || metric_both(typed, mine) {
        return None;
    }
    Some(in_unit(stated, mine))
}

/// Two units of one system need no second line: cm³ and L.
fn metric_both(a: &Unit, b: &Unit) -> bool {
    let power_of_ten = |ratio: f64| (ratio.log10() - ratio.log10().round()).abs() < 1e-9;
    a.offset == b.offset && power_of_ten((a.scale / b.scale).abs())
}

/// A quantity in a unit, with the digits that its last digit typed supports.
fn in_unit(stated: &Stated, unit: &Unit) -> String {
    let step = (stated.step_si / unit.scale).abs();
    let place = if step > 0.0 && step.is_finite() { (-step.log10()).ceil().clamp(0.0, 6.0) as i32 } else { 3 };
    let number = quantity::digits(unit.from_si(stated.si), place);
    if unit.symbol == "\u{b0}" { format!("{number}\u{b0}") } else { format!("{number} {}", unit.symbol) }
}

/// Standard uncertainty of a found value, SI: what was said behind "±" or else the last digit, and the instrument's own.
pub(crate) fn u_of(value: &Value, instrument: Option<&InstrumentUsed>) -> f64 {
    let Value::Quantity(stated) = value else { return 0.0 };
    let own = instrument.map_or(0.0, |i| i.u_si.unwrap_or(0.0).hypot(i.u_share.unwrap_or(0.0) * stated.si.abs()));
    stated.u_or_step().hypot(own)
}

/// What findings found, each with its standard uncertainty, for [`record::suggest`].
pub(crate) fn found_of<'a>(findings: impl Iterator<Item = &'a Finding>) -> Vec<(Value, f64)> {
    findings
        .filter_map(|finding| {
            let value = finding.found.clone()?;
            let u = u_of(&value, finding.instrument.as_ref());
            Some((value, u))
        })
        .collect()
}

/// A number without needless zeros, to three significant digits of what it is small for.
pub(crate) fn tidy(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return quantity::digits(value, 0);
    }
    let place = (2 - value.abs().log10().floor() as i32).clamp(0, 9);
    let text = quantity::digits(value, place);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A sentence with a capital and a full stop.
pub(crate) fn sentence(text: &str) -> String {
    let text = text.trim();
    let mut chars = text.chars();
    let mut out: String = chars.next().map(|first| first.to_uppercase().chain(chars).collect()).unwrap_or_default();
    if !out.ends_with(['.', '?']) {
        out.push('.');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quantity(text: &str) -> Stated {
        match read(text) {
            Ok(Some(Value::Quantity(stated))) => stated,
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn numbers_with_units_are_quantities_and_the_rest_are_words() {
        assert_eq!(quantity("92.56 mm").dimension, Dimension::Length);
        assert!((quantity("92.56 mm").si - 0.09256).abs() < 1e-12);
        assert_eq!(quantity("8.8 : 1").dimension, Dimension::Count);
        assert_eq!(quantity("8.80").si, 8.8);
        assert_eq!(quantity("278\u{b0}").dimension, Dimension::Angle);
        assert_eq!(quantity("92.56 \u{b1} 0.02 mm").u_si, Some(0.00001));
        assert_eq!(read("forged").unwrap(), Some(Value::Word("forged".to_owned())));
        assert_eq!(read("  ").unwrap(), None);
        assert_eq!(read("no. 4032-B").unwrap(), Some(Value::Word("no. 4032-B".to_owned())));
    }

    #[test]
    fn a_unit_that_is_not_known_is_asked_about() {
        let error = read("44 mmm").unwrap_err();
        assert!(error.contains("mmm") && error.contains("begin with a word"), "{error}");
    }

    #[test]
    fn an_allowance_takes_the_unit_of_its_value() {
        let bore = read("92.50 mm").unwrap();
        assert!((read_allowance("0.02", bore.as_ref()).unwrap().unwrap() - 2e-5).abs() < 1e-12);
        assert!((read_allowance("\u{b1} 1 thou", bore.as_ref()).unwrap().unwrap() - 2.54e-5).abs() < 1e-12);
        assert_eq!(read_allowance("", bore.as_ref()).unwrap(), None);
        assert!(read_allowance("0.1", None).unwrap_err().contains("write the value first"));
        let ratio = read("8.8 : 1").unwrap();
        assert!((read_allowance("0.1", ratio.as_ref()).unwrap().unwrap() - 0.1).abs() < 1e-12);
    }

    #[test]
    fn number_and_unit_come_apart() {
        assert_eq!((number_text("9.77 : 1"), unit_text("9.77 : 1")), ("9.77", ": 1"));
        assert_eq!((number_text("272\u{b0}"), unit_text("272\u{b0}")), ("272", "\u{b0}"));
        assert_eq!((number_text("42"), unit_text("42")), ("42", ""));
    }
}

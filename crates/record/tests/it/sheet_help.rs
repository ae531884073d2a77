//! Sheets filled in by hand for the tests.

use engine::limits::{Layers, shipped};
use record::sheet::{PlacedReading, SheetResult, Template, evaluate};
use record::{Id, InstrumentUsed, SheetBegun, Stated, Value};
use std::collections::BTreeMap;

/// A shipped template.
pub(crate) fn template(key: &str) -> &'static Template {
    record::sheet::shipped().iter().find(|t| t.key == key).unwrap()
}

/// A sheet begun with the usual counts and no instrument laid out.
pub(crate) fn begun(template: &Template, built_for: &str) -> SheetBegun {
    SheetBegun {
        template: template.key.clone(),
        template_text: template.text.clone(),
        title: template.title.clone(),
        counts: template.usual_counts(),
        given: BTreeMap::new(),
        built_for: built_for.to_owned(),
        material: None,
        conditions: Vec::new(),
        unit: template.units[0].clone(),
        instruments: Vec::new(),
        part_temperature: None,
        state: String::new(),
    }
}

/// Gives a value: "piston", "92.695 mm".
pub(crate) fn give(begun: &mut SheetBegun, template: &Template, key: &str, text: &str) {
    let spec = template.given(key.split('/').next().unwrap()).unwrap();
    let stated = Stated::read(text, spec.kind, None).unwrap();
    begun.given.insert(key.to_owned(), stated);
}

/// An instrument in date, with its whole and repeating standard uncertainty in SI.
pub(crate) fn instrument(name: &str, u_si: f64, repeat: Option<f64>, step_si: f64) -> InstrumentUsed {
    InstrumentUsed {
        key: name.to_lowercase().replace(' ', "_"),
        name: name.to_owned(),
        step_si: Some(step_si),
        u_si: Some(u_si),
        u_repeat_si: repeat,
        calibrated: Some("2026-01-10".to_owned()),
        due: Some("2027-01-10".to_owned()),
        ..InstrumentUsed::default()
    }
}

/// An id that sorts by its number.
pub(crate) fn id(number: u32) -> Id {
    format!("0198c7a2-{number:04x}-7cc1-8a51-2f6d3b0e9f10").parse().unwrap()
}

/// Readings of places, typed as people type them; `layout` tells kind and unit.
pub(crate) fn readings(begun: &SheetBegun, template: &Template, typed: &[(&str, &str)]) -> Vec<PlacedReading> {
    let layout = template.layout_of(begun).unwrap();
    typed
        .iter()
        .enumerate()
        .map(|(n, (place, text))| {
            let (row, _) = layout.find(place).unwrap_or_else(|| panic!("no place {place}"));
            PlacedReading {
                id: id(n as u32 + 1),
                place: (*place).to_owned(),
                value: Value::Quantity(Stated::read(text, row.kind, Some(&row.unit)).unwrap()),
                instrument: None,
                at: "2026-03-18T14:32:00Z".to_owned(),
                author: "R. K.".to_owned(),
            }
        })
        .collect()
}

/// The sheet judged by the shipped limits.
pub(crate) fn judged(begun: &SheetBegun, template: &Template, typed: &[(&str, &str)]) -> SheetResult {
    evaluate(begun, template, &readings(begun, template, typed), &Layers::over(shipped())).unwrap()
}

/// A worked-out value by its place, SI.
pub(crate) fn value(result: &SheetResult, place: &str) -> f64 {
    let figure = result.figure(place).unwrap_or_else(|| panic!("no figure {place}"));
    figure.value_si.unwrap_or_else(|| panic!("{place}: {:?}", figure.missing))
}

/// Standard uncertainty of a worked-out value, SI.
pub(crate) fn u(result: &SheetResult, place: &str) -> f64 {
    result.figure(place).unwrap().u_si.unwrap()
}

/// Everything a person sees of a sheet, as text.
pub(crate) fn shown(result: &SheetResult) -> String {
    use std::fmt::Write;
    let mut text = String::new();
    writeln!(text, "{} of {}, {}", result.progress.done, result.progress.total, result.unit).unwrap();
    for cell in result.cells.values().filter(|c| !c.number.is_empty()) {
        write!(text, "{}: {} {}", cell.place, cell.number, cell.unit).unwrap();
        if let Some(judged) = &cell.judgement {
            write!(text, " [{}] {:?} {}", judged.limits, judged.verdict, judged.words).unwrap();
        }
        writeln!(text).unwrap();
    }
    for figure in result.derived.iter().filter(|f| !f.hidden) {
        write!(text, "{}: {} {}", figure.place, figure.number, figure.unit).unwrap();
        if let Some(judged) = &figure.judgement {
            write!(text, " [{}] {:?} {}", judged.limits, judged.verdict, judged.words).unwrap();
        }
        for more in [Some(&figure.words), figure.missing.as_ref(), figure.no_limit.as_ref()].into_iter().flatten() {
            if !more.is_empty() {
                write!(text, " | {more}").unwrap();
            }
        }
        writeln!(text).unwrap();
    }
    for ask in &result.asks {
        writeln!(text, "ask {}: {} — {} (again: {})", ask.name, ask.beyond, ask.words, ask.measure_again).unwrap();
    }
    for notice in &result.notices {
        writeln!(text, "notice: {notice}").unwrap();
    }
    text
}

//! The sheet for the terminal.

use super::{Figure, Sheet, dimension_of};
use quantity::{Dimension, UnitSystem, Verdict, digits, digits_with_uncertainty, format_with_uncertainty, thousands};
use std::fmt::Write;

/// The sheet in a person's units, one figure a line, uncertainties as ± of 95 %.
pub fn sheet_text(sheet: &Sheet, units: UnitSystem) -> String {
    let mut out = format!("{}\n", sheet.engine);
    let widest = sheet.sections.iter().flat_map(|s| &s.figures).map(|f| f.label.chars().count()).max().unwrap_or(0);
    for section in &sheet.sections {
        let _ = write!(out, "\n{}\n", section.title);
        for figure in &section.figures {
            let pad = " ".repeat(widest - figure.label.chars().count());
            let _ = write!(out, "  {}{pad}  {}", figure.label, figure_text(figure, units));
            if let Some(note) = &figure.note {
                let _ = write!(out, "  ({note})");
            }
            out.push('\n');
        }
    }
    let judged = sheet.limits.iter().map(|l| {
        let verdict = match l.verdict {
            Some(Verdict::Inside) => "inside",
            Some(Verdict::Outside) => "OUTSIDE",
            Some(Verdict::CannotTell) => "cannot tell",
            None => "not judged",
        };
        let read = sheet.figure(&l.of).map(|f| figure_text(f, units)).unwrap_or_default();
        format!("{verdict:<11}  {}, {read}: {}", l.label, l.limit)
    });
    list(&mut out, "Limits (defaults to start from; the shop's table and then the maker's sheet win)", judged);
    list(&mut out, "Notices", sheet.notices.iter().map(|n| n.to_owned()));
    let assumed = sheet.assumptions.iter().map(|a| format!("{}: {}; {} [{}]", a.key, a.text, a.why, a.source));
    list(&mut out, "Assumed, because the build does not say", assumed);
    let lacking = sheet.not_worked_out.iter().map(|n| format!("{}: {}", n.label, n.why));
    list(&mut out, "Not worked out", lacking);
    out.push_str(
        "\n± is 95 %. Sources of assumptions: [C] common practice, no source; [M] from memory; [D] definition or \
         convention.\n",
    );
    out
}

fn list(out: &mut String, title: &str, lines: impl Iterator<Item = String>) {
    let lines: Vec<String> = lines.collect();
    if lines.is_empty() {
        return;
    }
    let _ = write!(out, "\n{title}\n");
    for line in lines {
        let _ = writeln!(out, "  {line}");
    }
}

/// A figure in a person's units: value, ± (95 %) and unit.
pub fn figure_text(figure: &Figure, units: UnitSystem) -> String {
    let key = figure.key.as_str();
    let expanded = figure.u.map(|u| 2.0 * u);
    let pair = |value: f64, u: Option<f64>, unit: &str| {
        let number = match u {
            Some(u) if u > 0.0 => format_with_uncertainty(value, u),
            _ => digits(value, plain_decimals(value)),
        };
        let gap = if unit.is_empty() || unit == "°" || unit == "° cam" { "" } else { " " };
        format!("{number}{gap}{unit}")
    };
    match dimension_of(key) {
        Dimension::Count => pair(figure.value, expanded, ""),
        Dimension::Angle if key.ends_with("_cam_deg") => pair(figure.value, expanded, "° cam"),
        Dimension::Angle => pair(figure.value, expanded, "°"),
        // Shops pour volumes in cc in either system; an engine's size is shown in the person's own.
        Dimension::Volume if key != "displacement_m3" => pair(figure.value * 1e6, expanded.map(|u| u * 1e6), "cm³"),
        // Scales of shops read grams in either system.
        Dimension::Mass => pair(figure.value * 1e3, expanded.map(|u| u * 1e3), "g"),
        Dimension::RotationalSpeed => {
            let number = match expanded {
                Some(u) if u > 0.0 => {
                    let (value, u) = digits_with_uncertainty(figure.value, u);
                    format!("{} ± {u}", thousands(&value))
                }
                _ => thousands(&digits(figure.value, 0)),
            };
            format!("{number} rpm")
        }
        dimension => {
            let unit = units.unit(dimension);
            let symbol =
                if key.ends_with("_gauge_pa") { format!("{} gauge", unit.symbol) } else { unit.symbol.to_owned() };
            pair(unit.from_si(figure.value), expanded.map(|u| u / unit.scale.abs()), &symbol)
        }
    }
}

/// Decimals of a figure without uncertainty: about four digits.
fn plain_decimals(value: f64) -> i32 {
    match value.abs() {
        x if x >= 1000.0 => 0,
        x if x >= 10.0 => 1,
        x if x >= 1.0 => 2,
        _ => 3,
    }
}

//! What an engine is, in one sentence.

use super::About;
use engine::build::Build;
use engine::limits::{Layers, shipped};
use engine::sheet::Sheet;
use quantity::{Dimension, UnitSystem, digits, digits_with_uncertainty, format_with_uncertainty};

/// What the engine is: name, cylinders, size, compression ± (95 %), and how much of it is assumed.
pub fn engine_finding(build: &Build, sheet: &Sheet, units: UnitSystem) -> String {
    let limits = Layers::over(shipped());
    let about = About { build, sheet, units, limits: &limits };
    let mut said = Vec::new();
    if let Some(cylinders) = build.block.cylinders {
        let word = if cylinders == 1 { "cylinder" } else { "cylinders" };
        said.push(format!("{cylinders} {word}"));
    }
    said.push(match sheet.figure("displacement_m3") {
        Some(f) => {
            let number = |v: f64| about.number(Dimension::Volume, v);
            let text = match f.u.filter(|u| *u > 0.0) {
                Some(u) => format_with_uncertainty(number(f.value), number(2.0 * u)),
                None => digits(number(f.value), 1),
            };
            format!("{text} {}", about.symbol(Dimension::Volume))
        }
        None => "size not known".to_owned(),
    });
    said.push(match sheet.figure("static_ratio") {
        Some(f) => match f.u.filter(|u| *u > 0.0) {
            Some(u) => {
                let (value, u) = digits_with_uncertainty(f.value, 2.0 * u);
                format!("compression {value} ± {u} to 1")
            }
            None => format!("compression {} to 1, its uncertainty not known", digits(f.value, 2)),
        },
        None => "compression not known".to_owned(),
    });
    let assumed = match sheet.assumptions.len() {
        0 => "nothing is assumed".to_owned(),
        1 => "1 input is assumed".to_owned(),
        n => format!("{n} inputs are assumed"),
    };
    let lacking = match sheet.not_worked_out.len() {
        0 => String::new(),
        1 => ", 1 figure could not be worked out".to_owned(),
        n => format!(", {n} figures could not be worked out"),
    };
    format!("{}: {}; {assumed}{lacking}.", sheet.engine, said.join(", "))
}

//! Flags in words, in the person's units: what was passed and by how much first, then the limit and what
//! to look at.

use crate::finding::listed;
use crate::say;
use crate::words::FlagItem;
use pull::analysis::Analysis;
use pull::guard::{Flag, Level, Worst};
use quantity::{Dimension, Shown, UnitSystem, digits, thousands};

/// The flags as they are listed beside the picture.
pub fn flag_list(analysis: &Analysis, system: UnitSystem) -> Vec<FlagItem> {
    analysis.flags.iter().map(|flag| item(flag, system)).collect()
}

fn item(flag: &Flag, system: UnitSystem) -> FlagItem {
    let short = short(flag, system);
    let rest = rest(flag, system);
    FlagItem {
        number: flag.number,
        pull: flag.pull,
        sentence: format!("{short} {rest}").trim_end().to_owned(),
        short,
        rest,
        level: match flag.level {
            Level::SensorFault => "the sensor is not to be believed here",
            Level::Warn => "look at it",
            Level::Abort => "the pull should have been stopped",
        }
        .to_owned(),
        source: flag.source.clone(),
    }
}

/// "Short of boost by 11 kPa at worst (pulls 1, 2 and 3), 1,906 to 2,168 rpm."
fn short(flag: &Flag, system: UnitSystem) -> String {
    if flag.parts.form.is_empty() {
        return say::sentence(&flag.sentence);
    }
    let what = filled(flag, system);
    let worst = match &flag.worst {
        None => String::new(),
        Some(_) if flag.level == Level::SensorFault => String::new(),
        Some(worst) if flag.parts.form.contains('{') => match worst.kind.as_str() {
            "count" => String::new(),
            _ => " at worst".to_owned(),
        },
        Some(worst) => format!(", {} at worst", value(worst, worst.value_si, system)),
    };
    let at = [flag.parts.which.clone(), pulls(&flag.parts.pulls)];
    let at: Vec<&str> = at.iter().map(String::as_str).filter(|text| !text.is_empty()).collect();
    let place = if at.is_empty() { String::new() } else { format!(" ({})", at.join(", ")) };
    let stop = if flag.level == Level::Abort { " The pull should have been stopped." } else { "" };
    let speeds = if say::rpm(flag.from_rpm) == say::rpm(flag.to_rpm) {
        format!("at {} rpm", say::rpm(flag.from_rpm))
    } else {
        say::span(flag.from_rpm, flag.to_rpm)
    };
    format!("{}{worst}{place}, {speeds}.{stop}", say::capital(&what))
}

/// "128 against 138 kPa, limit 6.9 kPa for 0.5 s. Look at …"
fn rest(flag: &Flag, system: UnitSystem) -> String {
    if flag.parts.form.is_empty() {
        return String::new();
    }
    let mut said = Vec::new();
    match &flag.worst {
        _ if flag.level == Level::SensorFault => said.push("These values are not judged".to_owned()),
        Some(worst) => {
            let against = worst.against_si.map(|against| {
                let (now, then) = (shown(worst, worst.value_si, system), shown(worst, against, system));
                let same = now.unit == then.unit;
                format!("{} against {}, ", if same { now.number.clone() } else { now.to_string() }, spoken(&then))
            });
            let hold = if flag.parts.hold_s > 0.0 {
                format!(" for {} s", trimmed(&digits(flag.parts.hold_s, 2)))
            } else {
                String::new()
            };
            let there = if flag.parts.limit_at_speed { " at that speed" } else { "" };
            let limit = format!("limit {}{there}{hold}", limit(worst, system));
            said.push(say::capital(&format!("{}{limit}", against.unwrap_or_default())));
        }
        None => {}
    }
    said.extend([flag.parts.note.clone()].into_iter().filter(|note| !note.is_empty()));
    said.extend((!flag.parts.look.is_empty()).then(|| format!("Look at {}", flag.parts.look)));
    said.iter().map(|text| say::sentence(text)).collect::<Vec<_>>().join(" ")
}

/// The words on the picture, with their numbers in the person's units: "pull 2 lean by 0.04".
pub(crate) fn picture_words(flag: &Flag, system: UnitSystem) -> String {
    if flag.parts.form.is_empty() || flag.level == Level::SensorFault {
        return flag.words.clone();
    }
    let words = filled(flag, system);
    if flag.pull > 0 { format!("pull {} {words}", flag.pull) } else { words }
}

/// The words of the rule with its numbers.
fn filled(flag: &Flag, system: UnitSystem) -> String {
    let Some(worst) = &flag.worst else { return flag.parts.form.clone() };
    flag.parts
        .form
        .replace("{by}", &measure(worst, worst.measure_si, system))
        .replace("{worst}", &value(worst, worst.value_si, system))
        .replace("{limit}", &limit(worst, system))
}

/// "pull 2", "pulls 1, 2 and 3"; empty outside of pulls.
fn pulls(numbers: &[usize]) -> String {
    let names: Vec<String> = numbers.iter().map(usize::to_string).collect();
    match names.len() {
        0 => String::new(),
        1 => format!("pull {}", names[0]),
        _ => format!("pulls {}", listed(&names)),
    }
}

fn measure(worst: &Worst, si: f64, system: UnitSystem) -> String {
    spoken(&if worst.share { share(si) } else { quantity_of(worst, si, worst.difference, system) })
}

fn limit(worst: &Worst, system: UnitSystem) -> String {
    measure(worst, worst.limit_si, system)
}

fn value(worst: &Worst, si: f64, system: UnitSystem) -> String {
    spoken(&shown(worst, si, system))
}

fn shown(worst: &Worst, si: f64, system: UnitSystem) -> Shown {
    quantity_of(worst, si, false, system)
}

fn share(si: f64) -> Shown {
    Shown { number: few_digits(si * 100.0), unit: "%" }
}

/// A value with as many digits as a log supports: none from ten on, one below; two for lambda.
fn quantity_of(worst: &Worst, si: f64, difference: bool, system: UnitSystem) -> Shown {
    let dimension = match worst.kind.as_str() {
        "absolute_pressure" | "gauge_pressure" => Dimension::Pressure,
        "temperature" if difference => Dimension::TemperatureDifference,
        "temperature" => Dimension::Temperature,
        "torque" => Dimension::Torque,
        "power" => Dimension::Power,
        "force" => Dimension::Force,
        "mass_flow" => Dimension::MassFlow,
        "volume_flow" => Dimension::VolumeFlow,
        "rotational_speed" => return system.rotational_speed(si, None),
        "angle" => return system.angle(si, Some(1)),
        "voltage" => return system.voltage(si, Some(1)),
        "time" => return system.time(si, Some(2)),
        "lambda" => return Shown { number: digits(si, 2), unit: "" },
        "air_fuel_ratio" => return Shown { number: digits(si, 1), unit: "" },
        "fraction" => return share(si),
        _ => return Shown { number: digits(si, 0), unit: "" },
    };
    let unit = system.unit(dimension);
    let number = match dimension {
        Dimension::Temperature | Dimension::TemperatureDifference => thousands(&digits(unit.from_si(si), 0)),
        _ => few_digits(unit.from_si(si)),
    };
    Shown { number, unit: unit.symbol }
}

fn few_digits(value: f64) -> String {
    thousands(&digits(value, if value.abs() < 9.95 { 1 } else { 0 }))
}

/// Number and unit; a number without a unit alone.
fn spoken(shown: &Shown) -> String {
    if shown.unit.is_empty() { shown.number.clone() } else { shown.to_string() }
}

/// "0.50" as "0.5", "1.00" as "1".
fn trimmed(number: &str) -> &str {
    if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { number }
}

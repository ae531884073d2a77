//! Fields of a form as a test: each field says what is wrong with it; what the whole cannot be is said over the form.

use super::specs::{Field, Kind, Rows, Spec};
use crate::pages::jobs::sent::{Errors, Sent};
use crate::pages::jobs::value::sentence;
use quantity::UnitSystem;
use record::Stated;
use record::before::{TestBefore, barometer, height};
use record::instrument::{Register, used};
use serde_json::{Map, Value, json};

/// Name of a field over the whole test.
pub(super) fn head_name(key: &str) -> String {
    format!("h_{key}")
}

/// Name of a field of a row, from 0.
pub(super) fn row_name(row: usize, key: &str) -> String {
    format!("r{row}_{key}")
}

/// What a form is read with.
pub(super) struct Reader<'a> {
    pub(super) sent: &'a Sent,
    pub(super) register: &'a Register,
    pub(super) units: UnitSystem,
    /// Rows that the form drew.
    pub(super) rows: usize,
}

impl Reader<'_> {
    /// The test.
    pub(super) fn read(&self, spec: &Spec, errors: &mut Errors) -> Option<TestBefore> {
        let mut test = self.object(spec.fields, &head_name, errors);
        let shows = test.remove("shows").and_then(|v| v.as_str().map(str::to_owned));
        if let Some(rows) = spec.rows {
            let list = self.rows(spec, &rows, shows.as_deref(), errors);
            test.insert(rows.key.to_owned(), Value::Array(list));
        }
        if spec.key == "other" {
            for (key, words) in [("name", "Name the test."), ("words", "Write what was done and seen.")] {
                if self.sent.get(&head_name(key)).is_empty() {
                    errors.on(&head_name(key), words);
                }
            }
        }
        if !errors.none() {
            return None;
        }
        test.insert("test".to_owned(), json!(spec.key));
        match serde_json::from_value::<TestBefore>(Value::Object(test)) {
            Ok(test) => Some(test),
            Err(error) => {
                errors.whole(sentence(&format!("this cannot stand as it is: {error}")));
                None
            }
        }
    }

    fn rows(&self, spec: &Spec, rows: &Rows, shows: Option<&str>, errors: &mut Errors) -> Vec<Value> {
        let mut list = Vec::new();
        for row in 0..self.rows {
            let name = |key: &str| row_name(row, key);
            let mut it = self.object(rows.fields, &name, errors);
            if it.is_empty() {
                continue;
            }
            match spec.key {
                "leak_down" => leak_reading(&mut it, shows, &name, errors),
                "noise" => self.killed(&mut it, &name, errors),
                _ => {}
            }
            for (key, flag) in [("idle", "oil_pressure"), ("heavy", "noise")] {
                if spec.key == flag && it.remove(key).is_some() {
                    it.insert(key.to_owned(), json!(true));
                }
            }
            if rows.cylinders {
                it.insert("cylinder".to_owned(), json!(row + 1));
            }
            // What a row cannot be without.
            let needs: &[(&str, &str)] = match spec.key {
                "oil_pressure" => &[("speed", "The speed at which it was read."), ("pressure", "The pressure.")],
                "blow_by" => &[("flow", "The flow.")],
                "noise" => &[("words", "The noise in words.")],
                "borescope" => &[("cylinder", "The cylinder."), ("place", "Where on it.")],
                "filter_debris" => &[("kind", "What kind."), ("amount", "How much.")],
                _ => &[],
            };
            for (key, ask) in needs {
                if !it.contains_key(*key) {
                    errors.on(&name(key), *ask);
                }
            }
            list.push(Value::Object(it));
        }
        list
    }

    fn object(&self, fields: &[Field], name: &dyn Fn(&str) -> String, errors: &mut Errors) -> Map<String, Value> {
        let mut object = Map::new();
        for field in fields {
            let at = name(field.key);
            if let Some(value) = self.value(field, &at, errors) {
                object.insert(field.key.to_owned(), value);
            }
        }
        object
    }

    fn value(&self, field: &Field, at: &str, errors: &mut Errors) -> Option<Value> {
        let typed = self.sent.get(at);
        let mut stated = |read: Result<Stated, record::StatedError>| match read {
            Ok(stated) => serde_json::to_value(stated).ok(),
            Err(error) => {
                errors.on(at, sentence(&error.to_string()));
                None
            }
        };
        if let Kind::Many(choices) = field.kind {
            let chosen: Vec<&str> = choices.iter().map(|c| c.0).filter(|key| self.sent.has(at, key)).collect();
            return (!chosen.is_empty()).then(|| json!(chosen));
        }
        if typed.is_empty() {
            return None;
        }
        match field.kind {
            Kind::Quantity(dimension, metric, us) => {
                let unit = if self.units == UnitSystem::Metric { metric } else { us };
                stated(Stated::read(typed, dimension, Some(unit)))
            }
            Kind::Barometer => {
                stated(barometer(typed, Some(if self.units == UnitSystem::Metric { "kPa" } else { "inHg" })))
            }
            Kind::Height => stated(height(typed, Some(if self.units == UnitSystem::Metric { "m" } else { "ft" }))),
            Kind::Words => Some(json!(self.sent.text(at))),
            Kind::Count => match typed.parse::<u32>() {
                Ok(n) => Some(json!(n)),
                Err(_) => {
                    errors.on(at, format!("\u{201c}{typed}\u{201d} is no whole number."));
                    None
                }
            },
            Kind::YesNo => Some(json!(typed == "yes")),
            Kind::One(choices) => choices.iter().find(|c| c.0 == typed).map(|c| json!(c.0)),
            Kind::Many(_) => None,
            Kind::Instrument(..) => {
                let today = crate::words::date_of(jiff::Timestamp::now());
                let Some(instrument) = self.register.find(typed) else {
                    errors.on(at, "The register has no such instrument any more.");
                    return None;
                };
                serde_json::to_value(used(instrument, today)).ok()
            }
        }
    }

    /// What shorting cylinders did to a noise: three lists of cylinders become pairs.
    fn killed(&self, it: &mut Map<String, Value>, name: &dyn Fn(&str) -> String, errors: &mut Errors) {
        let mut pairs = Vec::new();
        for (key, effect) in [("softer", "softer"), ("unchanged", "same"), ("louder", "louder")] {
            let Some(Value::String(text)) = it.remove(key) else { continue };
            for part in text.split([',', ';', ' ']).filter(|p| !p.is_empty()) {
                match part.parse::<u32>() {
                    Ok(cylinder) => pairs.push(json!([cylinder, effect])),
                    Err(_) => errors.on(
                        &name(key),
                        format!("\u{201c}{part}\u{201d} is no cylinder; write numbers with commas between."),
                    ),
                }
            }
        }
        if !pairs.is_empty() {
            it.insert("killed".to_owned(), Value::Array(pairs));
        }
    }
}

/// Percent lost, percent held, or two gauges.
fn leak_reading(it: &mut Map<String, Value>, shows: Option<&str>, name: &dyn Fn(&str) -> String, errors: &mut Errors) {
    let percent = it.remove("reading");
    let (supply, cylinder) = (it.remove("gauge_supply"), it.remove("gauge_cylinder"));
    let reading = match (shows, percent, supply, cylinder) {
        (_, None, None, None) => return,
        (Some("lost"), Some(p), None, None) => json!({ "lost": p }),
        (Some("held"), Some(p), None, None) => json!({ "held": p }),
        (Some("gauges"), None, Some(supply), Some(cylinder)) => {
            json!({ "gauges": { "supply": supply, "cylinder": cylinder } })
        }
        (Some("gauges"), ..) => {
            errors.on(&name("gauge_cylinder"), "With two gauges both pressures are needed, and no percent.");
            return;
        }
        (Some(_), ..) => {
            errors.on(&name("reading"), "The tester shows percent: write it here, and leave the gauges empty.");
            return;
        }
        (None, ..) => {
            errors.on(
                &super::read::head_name("shows"),
                "Say what the tester shows: percent lost and percent held are easily mistaken.",
            );
            return;
        }
    };
    it.insert("reading".to_owned(), reading);
}

//! Results of a sheet as values of a build file.

use super::evaluate::reading_of;
use super::layout::{Column, Layout, Row};
use super::number;
use super::pick::{ColumnPick, Reference, Source};
use super::result::{Cell, SheetResult};
use super::template::{BuildForm, BuildSpec, Scope, Template};
use crate::{Id, SheetBegun};
use quantity::Dimension;

/// One value for the build file.
#[derive(Debug, Clone, PartialEq)]
pub struct BuildValue {
    /// Key of the build file: "block.bore", "flow" for ports.
    pub key: String,
    /// What is written: one text, or one for each cylinder, each with its ± and origin. Empty when something
    /// is missing, and for ports.
    pub texts: Vec<String>,
    /// Whether it is written as a list.
    pub list: bool,
    /// Ports, for the key "flow".
    pub ports: Vec<PortTable>,
    /// Why nothing is written.
    pub missing: Option<String>,
    /// What stands against the readings behind it: overdue instruments.
    pub tainted: Vec<String>,
    /// Readings behind it.
    pub rests_on: Vec<Id>,
}

/// One port on the bench, as a table of the build file.
#[derive(Debug, Clone, PartialEq)]
pub struct PortTable {
    /// "intake" or "exhaust".
    pub valve: String,
    /// Number of the cylinder.
    pub port: u32,
    /// Fields with their texts: lift, flow, test_pressure, bench.
    pub fields: Vec<(String, String)>,
}

/// A value with its uncertainty and the readings behind it.
struct Found {
    si: f64,
    u_si: f64,
    step_si: f64,
    kind: Dimension,
    unit: String,
    rests_on: Vec<Id>,
    tainted: Vec<String>,
}

/// What a sheet puts into the build. Every entry of the template is in the result; one whose readings are not
/// all there says what is missing.
pub fn into_build(begun: &SheetBegun, template: &Template, result: &SheetResult) -> Vec<BuildValue> {
    let Ok(layout) = template.layout_of(begun) else { return Vec::new() };
    let sheet = Sheet { begun, template, layout: &layout, result };
    template.build.iter().map(|spec| sheet.value(spec)).collect()
}

struct Sheet<'a> {
    begun: &'a SheetBegun,
    template: &'a Template,
    layout: &'a Layout,
    result: &'a SheetResult,
}

impl Sheet<'_> {
    fn value(&self, spec: &BuildSpec) -> BuildValue {
        let mut value = BuildValue {
            key: spec.key.clone(),
            texts: Vec::new(),
            list: spec.form == BuildForm::Each,
            ports: Vec::new(),
            missing: None,
            tainted: Vec::new(),
            rests_on: Vec::new(),
        };
        let done = match spec.form {
            BuildForm::One | BuildForm::Checked => self.one(spec, &mut value),
            BuildForm::Each => self.each(spec, &mut value),
            BuildForm::Rows | BuildForm::At => self.rows(spec, &mut value),
            BuildForm::Ports => self.ports(spec, &mut value),
        };
        if let Err(why) = done {
            value.texts.clear();
            value.ports.clear();
            value.missing = Some(why);
        }
        value.tainted.sort_unstable();
        value.tainted.dedup();
        value.rests_on.sort_unstable();
        value.rests_on.dedup();
        value
    }

    fn one(&self, spec: &BuildSpec, value: &mut BuildValue) -> Result<(), String> {
        let reference = Reference::parse(&spec.value)?;
        let columns = self.columns(&reference, spec);
        let found = self.found(&reference, columns.first().copied())?;
        let mut text = self.text(&found, spec.unit.as_deref());
        if let Some(check) = &spec.check {
            let lift = self.template.given_value(&self.begun.given, check, None);
            let lift = lift.ok_or_else(|| format!("no check lift: {check}"))?;
            let plain = lift.text.split('±').next().unwrap_or(&lift.text).trim();
            text = format!("{} @ {plain}", text.split('±').next().unwrap_or(&text).trim());
        }
        value.texts.push(self.with_origin(text, &found.rests_on));
        value.tainted.extend(found.tainted);
        value.rests_on.extend(found.rests_on);
        Ok(())
    }

    fn each(&self, spec: &BuildSpec, value: &mut BuildValue) -> Result<(), String> {
        let reference = Reference::parse(&spec.value)?;
        for column in self.columns(&reference, spec) {
            let found = self.found(&reference, Some(column)).map_err(|why| format!("{}: {why}", column.head))?;
            let text = self.text(&found, spec.unit.as_deref());
            value.texts.push(self.with_origin(text, &found.rests_on));
            value.tainted.extend(found.tainted);
            value.rests_on.extend(found.rests_on);
        }
        if value.texts.is_empty() { Err("the sheet has no such columns".to_owned()) } else { Ok(()) }
    }

    /// Numbers of the rows of one column with one unit behind them.
    fn rows(&self, spec: &BuildSpec, value: &mut BuildValue) -> Result<(), String> {
        let reference = Reference::parse(&spec.value)?;
        let Some(column) = self.columns(&reference, spec).first().copied() else {
            return Err("the sheet has no such column".to_owned());
        };
        let cells = self.cells(&reference, column);
        let read: Vec<&(&Row, &Cell)> = cells.iter().filter(|(_, cell)| cell.value_si.is_some()).collect();
        if read.len() < cells.len() {
            return Err(format!("{}: {} of {} read", column.head, read.len(), cells.len()));
        }
        let Some((first, _)) = read.first() else { return Err(format!("{}: nothing read yet", column.head)) };
        let text = match spec.form {
            BuildForm::At => {
                let ats: Option<Vec<f64>> = read.iter().map(|(row, _)| row.at_si).collect();
                let ats = ats.ok_or("the rows have no values at which they were read: give the first and the step")?;
                let (kind, unit) = self.at_unit(first);
                self.numbers(&ats, spec.unit.as_deref().unwrap_or(&unit), kind)
            }
            _ => {
                let values: Vec<f64> = read.iter().filter_map(|(_, cell)| cell.value_si).collect();
                self.numbers(&values, spec.unit.as_deref().unwrap_or(&first.unit), first.kind)
            }
        };
        value.texts.push(text);
        for (_, cell) in read {
            value.rests_on.extend(&cell.readings);
            value.tainted.extend(cell.taint.as_ref().map(ToString::to_string));
        }
        Ok(())
    }

    fn ports(&self, spec: &BuildSpec, value: &mut BuildValue) -> Result<(), String> {
        let reference = Reference::parse(&spec.value)?;
        for column in self.columns(&reference, spec) {
            let cells = self.cells(&reference, column);
            let read: Vec<(&Row, &Cell)> = cells.into_iter().filter(|(_, cell)| cell.value_si.is_some()).collect();
            let Some((first, _)) = read.first().copied() else { continue };
            let ats: Option<Vec<f64>> = read.iter().map(|(row, _)| row.at_si).collect();
            let ats = ats.ok_or("the lifts are not given: give the first lift and the step")?;
            let flows: Vec<f64> = read.iter().filter_map(|(_, cell)| cell.value_si).collect();
            let (kind, unit) = self.at_unit(first);
            let mut fields = Vec::new();
            for (field, key) in &spec.with {
                let given = self.template.given_value(&self.begun.given, key, Some(&column.key));
                if let Some(given) = given {
                    fields.push((field.clone(), given.text));
                }
            }
            let ids: Vec<Id> = read.iter().flat_map(|(_, cell)| cell.readings.clone()).collect();
            fields.push(("bench".to_owned(), self.origin(&ids)));
            fields.push(("lift".to_owned(), self.numbers(&ats, &unit, kind)));
            fields.push((
                "flow".to_owned(),
                self.numbers(&flows, spec.unit.as_deref().unwrap_or(&first.unit), first.kind),
            ));
            value.ports.push(PortTable { valve: column.set.clone(), port: column.number, fields });
            value.tainted.extend(read.iter().filter_map(|(_, cell)| cell.taint.as_ref().map(ToString::to_string)));
            value.rests_on.extend(ids);
        }
        if value.ports.is_empty() { Err("no port read yet".to_owned()) } else { Ok(()) }
    }

    /// Columns that a reference and an entry name, in order.
    fn columns(&self, reference: &Reference, spec: &BuildSpec) -> Vec<&Column> {
        let of = |column: &&Column| match &reference.column {
            Some(ColumnPick::All(set) | ColumnPick::Same(set)) => column.set == *set,
            Some(ColumnPick::Number(set, number)) => column.set == *set && column.number == *number,
            None => spec.within.is_empty() || spec.within.contains(&column.set),
        };
        self.layout.columns.iter().filter(of).collect()
    }

    fn cells(&self, reference: &Reference, column: &Column) -> Vec<(&Row, &Cell)> {
        let Source::Places(pattern) = &reference.source else { return Vec::new() };
        let at = self.layout.columns.iter().position(|c| c.key == column.key);
        let rows = self.layout.rows.iter().filter(|row| pattern.fits(&row.group, &row.key));
        rows.filter_map(|row| {
            let place = row.places.get(at?)?.as_ref()?;
            Some((row, self.result.cells.get(place)?))
        })
        .collect()
    }

    fn found(&self, reference: &Reference, column: Option<&Column>) -> Result<Found, String> {
        match &reference.source {
            Source::Derived(key) => {
                let spec = self.template.derived(key).ok_or_else(|| format!("no row `{key}`"))?;
                let place = match (spec.scope, column) {
                    (Scope::Column, Some(column)) => format!("{}/{key}", column.key),
                    _ => key.clone(),
                };
                let figure = self.result.figure(&place).ok_or_else(|| format!("no {}", spec.name))?;
                let (Some(si), Some(u_si), true) = (figure.value_si, figure.u_si, figure.complete) else {
                    return Err(figure.missing.clone().unwrap_or_else(|| "not worked out".to_owned()));
                };
                Ok(Found {
                    si,
                    u_si,
                    step_si: 1e-12,
                    kind: figure.kind,
                    unit: figure.unit.clone(),
                    rests_on: figure.rests_on.clone(),
                    tainted: figure.tainted.clone(),
                })
            }
            Source::Places(_) => {
                let column = column.ok_or("no column")?;
                let cells = self.cells(reference, column);
                let [(row, cell)] = cells.as_slice() else {
                    return Err(format!("{} readings, one is expected", cells.len()));
                };
                let (Some(si), Some(u_si)) = (cell.value_si, cell.u_si) else { return Err("not read yet".to_owned()) };
                Ok(Found {
                    si,
                    u_si,
                    step_si: cell.step_si,
                    kind: row.kind,
                    unit: cell.unit.clone(),
                    rests_on: cell.readings.clone(),
                    tainted: cell.taint.iter().map(ToString::to_string).collect(),
                })
            }
            _ => Err("only readings and worked-out figures go into the build".to_owned()),
        }
    }

    fn text(&self, found: &Found, unit: Option<&str>) -> String {
        text_with_u(found.si, found.u_si, found.step_si, found.kind, unit.unwrap_or(&found.unit))
    }

    fn with_origin(&self, text: String, ids: &[Id]) -> String {
        let origin = self.origin(ids);
        if origin.is_empty() { text } else { format!("{text}, measured by {origin}") }
    }

    /// "Bore gauge 2 and Micrometer 1, read by R. K., 2026-03-18".
    fn origin(&self, ids: &[Id]) -> String {
        let (mut instruments, mut readers): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
        let mut day = String::new();
        for cell in ids.iter().filter_map(|id| reading_of(self.result, *id)) {
            // A comma ends a name in the build file.
            let plain = |name: &str| name.replace(',', " ");
            let name = cell.instrument.as_ref().map_or_else(|| "no instrument named".to_owned(), |i| plain(&i.name));
            if !instruments.contains(&name) {
                instruments.push(name);
            }
            let reader = plain(&cell.author);
            if !reader.is_empty() && !readers.contains(&reader) {
                readers.push(reader);
            }
            let read_on = cell.at.get(..10).unwrap_or_default();
            if read_on > day.as_str() {
                day = read_on.to_owned();
            }
        }
        if instruments.is_empty() {
            return String::new();
        }
        let mut origin = instruments.join(" and ");
        if !readers.is_empty() {
            origin.push_str(&format!(", read by {}", readers.join(" and ")));
        }
        if !day.is_empty() {
            origin.push_str(&format!(", {day}"));
        }
        origin
    }

    /// Kind and unit of the values at which a row is read.
    fn at_unit(&self, row: &Row) -> (Dimension, String) {
        let from = self.template.row(&row.spec).and_then(|spec| spec.at.as_ref());
        match from.and_then(|(from, _)| self.template.given(from)) {
            Some(given) => {
                let stated = self.template.given_value(&self.begun.given, &given.key, None);
                let own = stated.as_ref().and_then(number::stated_unit);
                let unit = own.unwrap_or_else(|| self.template.unit_beside(&self.begun.unit, &given.units));
                (given.kind, unit.to_owned())
            }
            None => (Dimension::Count, String::new()),
        }
    }

    fn numbers(&self, values_si: &[f64], unit: &str, kind: Dimension) -> String {
        let written = number::unit(kind, unit);
        let say = |si: &f64| {
            let text = format!("{:.6}", written.map_or(*si, |u| u.from_si(*si)));
            let short = text.trim_end_matches('0').trim_end_matches('.');
            if short == "-0" { "0".to_owned() } else { short.to_owned() }
        };
        let numbers: Vec<String> = values_si.iter().map(say).collect();
        format!("{} {}", numbers.join(" "), plain_unit(unit)).trim().to_owned()
    }
}

/// Build files write degrees in letters.
fn plain_unit(unit: &str) -> &str {
    if unit == "°" { "deg" } else { unit }
}

/// "92.7527 mm ± 0.0050 mm": the ± is twice the standard uncertainty and has two digits.
pub(super) fn text_with_u(si: f64, u_si: f64, step_si: f64, kind: Dimension, unit_text: &str) -> String {
    let unit = number::unit(kind, unit_text);
    let scale = unit.map_or(1.0, |u| u.scale.abs());
    let written = unit.map_or(si, |u| u.from_si(si));
    let shown = plain_unit(unit_text);
    let half = 2.0 * u_si / scale;
    let join = |number: String| format!("{number} {shown}").trim().to_owned();
    if !(half > 0.0) {
        return join(quantity::digits(written, number::decimals(step_si / scale)).replace('−', "-"));
    }
    let place = (1 - half.log10().floor() as i32).clamp(0, 12);
    let value = join(quantity::digits(written, place).replace('−', "-"));
    format!("{value} ± {}", join(quantity::digits(half, place)))
}

//! Readings in, verdicts out.

use super::ask;
use super::formula::Item;
use super::judge::{Show, Sizes, Spot, judge};
use super::layout::{Column, Layout, LayoutError, Row};
use super::number;
use super::result::{Cell, CellState, DerivedResult, ExpectedLimits, Progress, SheetResult, Taint, UncertaintyPart};
use super::shape;
use super::template::{Near, Template};
use super::uncertain::Uncertain;
use crate::instrument::{self, PartTemperature, Standing, combine};
use crate::{Id, InstrumentUsed, SheetBegun, Value};
use engine::limits::Layers;
use quantity::Dimension;
use std::collections::BTreeMap;

/// A reading that counts in a place of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedReading {
    /// The entry.
    pub id: Id,
    /// The place: "cylinder 3/bottom/along".
    pub place: String,
    /// What was read; what stands behind "±" is in it.
    pub value: Value,
    /// What it was read with; none: the instrument that was laid out for this place.
    pub instrument: Option<InstrumentUsed>,
    /// When, RFC 3339.
    pub at: String,
    /// By whom.
    pub author: String,
}

/// Works out a sheet from the readings that count. Several readings in one place count as repeats of it.
///
/// # Errors
/// [`LayoutError`] for counts that are missing or cannot be. Everything else that is wrong stands in the
/// result, at its place.
pub fn evaluate(
    begun: &SheetBegun,
    template: &Template,
    readings: &[PlacedReading],
    layers: &Layers<'_>,
) -> Result<SheetResult, LayoutError> {
    let layout = template.layout_of(begun)?;
    let mut sheet = Working {
        sizes: Sizes { begun, template, layers },
        layout: &layout,
        cells: BTreeMap::new(),
        items: BTreeMap::new(),
        figures: Vec::new(),
        values: BTreeMap::new(),
    };
    let temperature = part_temperature(begun, template);
    for (row, column, place) in layout.places() {
        let here: Vec<&PlacedReading> = readings.iter().filter(|r| r.place == place).collect();
        sheet.read_cell(row, column, place, &here, temperature);
    }
    for spec in &template.derived {
        sheet.work_out(spec);
    }
    sheet.judge_cells();
    let strangers =
        readings.iter().filter(|r| !sheet.cells.contains_key(&r.place)).map(|r| (r.id, r.place.clone())).collect();
    let counted = || layout.places().filter(|(row, _, _)| !row.optional);
    let filled = |place: &str| sheet.cells.get(place).is_some_and(|c| c.state != CellState::Empty);
    let progress = Progress { done: counted().filter(|(_, _, place)| filled(place)).count(), total: counted().count() };
    let notices = notices(begun, template, &sheet, temperature.is_some());
    let mut result = SheetResult {
        unit: begun.unit.clone(),
        progress,
        shapes: shape::shapes(&sheet),
        cells: sheet.cells,
        derived: sheet.figures,
        asks: Vec::new(),
        notices,
        strangers,
    };
    result.asks = ask::asks(begun, template, &layout, &result);
    Ok(result)
}

/// The sheet while it is worked out.
pub(super) struct Working<'a> {
    pub(super) sizes: Sizes<'a>,
    pub(super) layout: &'a Layout,
    pub(super) cells: BTreeMap<String, Cell>,
    pub(super) items: BTreeMap<String, Item>,
    pub(super) figures: Vec<DerivedResult>,
    /// Worked-out values by their place.
    pub(super) values: BTreeMap<String, Item>,
}

/// Temperature and materials, if the sheet says them.
fn part_temperature<'a>(begun: &SheetBegun, template: &Template) -> Option<PartTemperature<'a>> {
    let spec = template.part.as_ref()?;
    let stated = begun.part_temperature.as_ref().filter(|t| t.dimension == Dimension::Temperature)?;
    let named = begun.material.as_deref().filter(|_| spec.named).and_then(instrument::expansion);
    let conditional = begun.conditions.iter().find_map(|c| instrument::expansion(spec.when.get(c)?));
    let part = named.or(conditional).or_else(|| instrument::expansion(&spec.material))?;
    Some(PartTemperature { part_k: stated.si, u_k: stated.u_or_step(), part, gauge: instrument::expansion("steel") })
}

impl<'a> Working<'a> {
    fn read_cell(
        &mut self,
        row: &Row,
        column: &Column,
        place: &str,
        here: &[&PlacedReading],
        temperature: Option<PartTemperature<'_>>,
    ) {
        let begun = self.sizes.begun;
        let mut cell = Cell {
            place: place.to_owned(),
            state: CellState::Empty,
            readings: here.iter().map(|r| r.id).collect(),
            typed: String::new(),
            shown_si: None,
            value_si: None,
            u_si: None,
            parts: Vec::new(),
            step_si: 0.0,
            number: String::new(),
            kind: row.kind,
            unit: row.unit.clone(),
            judgement: None,
            no_limit: None,
            expected: None,
            taint: None,
            instrument: None,
            at: String::new(),
            author: String::new(),
            neighbours: None,
        };
        let Some(last) = here.last() else {
            self.cells.insert(place.to_owned(), cell);
            return;
        };
        (cell.at, cell.author) = (last.at.clone(), last.author.clone());
        // Of those laid out the one of the kind asked for; the sheet's first reads the sheet's usual kind.
        let laid_out = begun.instruments.iter().find(|i| i.kind == row.instrument);
        let usual = begun.instruments.first().filter(|_| row.instrument == self.sizes.template.instrument);
        cell.instrument = last.instrument.clone().or_else(|| laid_out.or(usual).cloned());
        match &last.value {
            Value::Word(word) => {
                cell.state = CellState::Word(word.clone());
                cell.typed = word.clone();
            }
            Value::NotRead(why) => cell.state = CellState::NotRead(why.clone()),
            Value::Quantity(stated) if stated.dimension != row.kind => {
                cell.typed = stated.text.clone();
                let why = format!("{} is a {}, a {} is asked for here", stated.text, stated.dimension, row.kind);
                cell.state = CellState::Unusable(why);
            }
            Value::Quantity(stated) => {
                cell.typed = stated.text.clone();
                let same = here.iter().filter_map(|r| match &r.value {
                    Value::Quantity(s) if s.dimension == row.kind => Some(s),
                    _ => None,
                });
                let all: Vec<f64> = same.clone().map(|s| s.si).collect();
                let step_si = same.map(|s| s.step_si).fold(f64::INFINITY, f64::min);
                let warm = temperature.filter(|_| row.kind == Dimension::Length);
                let found = combine(&all, step_si, stated.u_si, cell.instrument.as_ref(), warm, place);
                cell.state = CellState::Read;
                cell.shown_si = Some(found.shown_si);
                cell.value_si = Some(found.value_si);
                cell.u_si = Some(found.u_si());
                cell.step_si = if all.len() > 1 { 0.1 * step_si } else { step_si };
                cell.number = number::number(found.shown_si, cell.step_si, row.kind, &row.unit);
                cell.parts =
                    found.parts.iter().map(|p| UncertaintyPart { what: p.what.clone(), u_si: p.u_si.abs() }).collect();
                cell.parts.sort_by(|a, b| b.u_si.total_cmp(&a.u_si));
                cell.taint = taint(cell.instrument.as_ref(), &cell.at);
                let mut value = Uncertain::exact(found.value_si);
                for part in found.parts {
                    *value.parts.entry(part.source).or_insert(0.0) += part.u_si;
                }
                let item = Item {
                    value,
                    at: row.at_si,
                    group: (row.group.clone(), row.group_name.clone()),
                    row: (row.key.clone(), row.name.clone()),
                    column: self.layout.columns.iter().position(|c| c.key == column.key).unwrap_or(0),
                    head: column.head.clone(),
                    taint: cell.taint.as_ref().map(Taint::to_string),
                    ids: cell.readings.clone(),
                };
                self.items.insert(place.to_owned(), item);
            }
        }
        self.cells.insert(place.to_owned(), cell);
    }

    /// Limits of a place that nobody has read yet. A value of zero stands in: limits do not hang on it.
    fn expected(&self, row: &Row, column: &Column) -> Option<ExpectedLimits> {
        let limit = self.sizes.template.row(&row.spec)?.limit.as_ref()?;
        let spot = Spot { column: Some(column), row: Some(row) };
        let show = Show { kind: row.kind, unit: &row.unit, step_si: 1e-6 };
        let of = |reference: &str| self.value_of(reference, spot, &[]);
        let judged = judge(&self.sizes, limit, spot, (0.0, 0.0), show, &of).ok()?;
        Some(ExpectedLimits {
            lower_si: judged.lower_si,
            upper_si: judged.upper_si,
            target_si: judged.target_si,
            sentence: judged.from.sentence,
        })
    }

    fn judge_cells(&mut self) {
        let empty = self.layout.places().filter(|(_, _, p)| self.cells.get(*p).is_some_and(|c| c.shown_si.is_none()));
        let expected: Vec<_> = empty.map(|(row, column, p)| (p.to_owned(), self.expected(row, column))).collect();
        for (place, expected) in expected {
            if let Some(cell) = self.cells.get_mut(&place) {
                cell.expected = expected;
            }
        }
        let mut judged = Vec::new();
        for (row, column, place) in self.layout.places() {
            let Some(cell) = self.cells.get(place) else { continue };
            let Some(spec) = self.sizes.template.row(&row.spec) else { continue };
            let (Some(value_si), Some(u_si)) = (cell.value_si, cell.u_si) else { continue };
            let near = (spec.near != Near::None).then(|| ask::neighbours(self, spec, row, column, cell)).flatten();
            let spot = Spot { column: Some(column), row: Some(row) };
            let show = Show { kind: row.kind, unit: &row.unit, step_si: cell.step_si };
            let of = |reference: &str| self.value_of(reference, spot, &[]);
            let verdict = spec.limit.as_ref().map(|l| judge(&self.sizes, l, spot, (value_si, u_si), show, &of));
            judged.push((place.to_owned(), verdict, near));
        }
        for (place, verdict, near) in judged {
            let Some(cell) = self.cells.get_mut(&place) else { continue };
            cell.neighbours = near;
            match verdict {
                Some(Ok(judgement)) => cell.judgement = Some(judgement),
                Some(Err(why)) => cell.no_limit = Some(why),
                None => {}
            }
        }
    }
}

fn taint(instrument: Option<&InstrumentUsed>, at: &str) -> Option<Taint> {
    let Some(used) = instrument else { return Some(Taint::NoInstrument) };
    let instrument = used.name.clone();
    // A time that cannot be read is no proof of a calibration.
    let Some(day) = instrument::day_of(at) else { return Some(Taint::NeverCalibrated { instrument }) };
    match instrument::standing(used, day) {
        Standing::InDate { .. } => None,
        Standing::Overdue { days } => Some(Taint::Overdue { instrument, days }),
        Standing::NeverCalibrated => Some(Taint::NeverCalibrated { instrument }),
    }
}

fn notices(begun: &SheetBegun, template: &Template, sheet: &Working<'_>, warm: bool) -> Vec<String> {
    let mut said = Vec::new();
    let mut taints: Vec<(String, usize)> = Vec::new();
    for taint in sheet.cells.values().filter_map(|c| c.taint.as_ref()) {
        let words = taint.to_string();
        match taints.iter_mut().find(|(known, _)| *known == words) {
            Some((_, count)) => *count += 1,
            None => taints.push((words, 1)),
        }
    }
    for (words, count) in taints {
        said.push(format!("{words}: {count} {}", if count == 1 { "reading" } else { "readings" }));
    }
    let moved = sheet.cells.values().filter_map(|c| Some((c.value_si? - c.shown_si?).abs())).fold(0.0, f64::max);
    if let Some(stated) = begun.part_temperature.as_ref().filter(|_| warm && moved > 1e-7) {
        let by = number::with_unit(moved, 1e-7, Dimension::Length, if begun.unit == "in" { "in" } else { "mm" });
        said.push(format!("Part at {}: sizes are judged at 20 °C, moved by up to {by}", stated.text));
    } else if template.part.is_some()
        && begun.part_temperature.is_none()
        && sheet.cells.values().any(|c| c.shown_si.is_some())
    {
        said.push("Temperature of the part not said: sizes count as read at 20 °C".to_owned());
    }
    said
}

/// The place that a reading stands in.
pub(super) fn reading_of(result: &SheetResult, id: Id) -> Option<&Cell> {
    result.cells.values().find(|cell| cell.readings.contains(&id))
}

//! Readings in, verdicts out.

use super::ask;
use super::formula::{self, Args, Got, Item};
use super::judge::{Show, Sizes, Spot, judge};
use super::layout::{Column, Layout, LayoutError, Row, row_key};
use super::number;
use super::pick::{ColumnPick, Reference, Source};
use super::result::{Cell, CellState, DerivedResult, ExpectedLimits, Progress, SheetResult, Taint, UncertaintyPart};
use super::shape;
use super::template::{DerivedSpec, Near, Scope, Template};
use super::uncertain::Uncertain;
use crate::instrument::{self, PartTemperature, Standing, combine};
use crate::{Id, InstrumentUsed, SheetBegun, Value};
use engine::limits::Layers;
use quantity::{Dimension, Verdict};
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
    /// What it was read with; none: the sheet's first instrument.
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
    let strangers = readings
        .iter()
        .filter(|r| !sheet.cells.contains_key(&r.place))
        .map(|r| (r.id, r.place.clone()))
        .collect();
    let counted = || layout.places().filter(|(row, _, _)| !row.optional);
    let filled = |place: &str| sheet.cells.get(place).is_some_and(|c| c.state != CellState::Empty);
    let progress =
        Progress { done: counted().filter(|(_, _, place)| filled(place)).count(), total: counted().count() };
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
    items: BTreeMap<String, Item>,
    figures: Vec<DerivedResult>,
    /// Worked-out values by their place.
    values: BTreeMap<String, Item>,
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
        // The sheet's usual instrument reads the sheet's usual kind.
        let usual = begun.instruments.first().filter(|_| row.instrument == self.sizes.template.instrument);
        cell.instrument = last.instrument.clone().or_else(|| usual.cloned());
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

    /// A worked-out row: one figure for each column, each row, or the sheet.
    fn work_out(&mut self, spec: &DerivedSpec) {
        let within = |set: &str| spec.within.is_empty() || spec.within.iter().any(|s| s == set);
        let layout = self.layout;
        match spec.scope {
            Scope::Column => {
                for column in layout.columns.iter().filter(|c| within(&c.set)) {
                    let place = format!("{}/{}", column.key, spec.key);
                    self.figure(spec, Spot { column: Some(column), row: None }, place);
                }
            }
            Scope::Row => {
                for row in &layout.rows {
                    let here = layout.columns.iter().zip(&row.places).any(|(c, p)| within(&c.set) && p.is_some());
                    if here {
                        let place = format!("{}/{}", row_key(row), spec.key);
                        self.figure(spec, Spot { column: None, row: Some(row) }, place);
                    }
                }
            }
            Scope::Sheet => self.figure(spec, Spot { column: None, row: None }, spec.key.clone()),
        }
    }

    fn figure(&mut self, spec: &DerivedSpec, spot: Spot<'_>, place: String) {
        // A template that was read names formulas that are there.
        let Some(formula) = formula::find(&spec.formula) else { return };
        let unit = self.sizes.template.unit_beside(&self.sizes.begun.unit, &spec.units).to_owned();
        let mut got = Vec::new();
        for parameter in &formula.parameters {
            let Some(text) = spec.from.get(parameter.name) else { continue };
            let mut found = self.resolve(text, spot, &spec.within);
            found.name = parameter.name.to_owned();
            if !(parameter.optional && found.items.is_empty()) {
                got.push(found);
            }
        }
        let readings = (got.iter().map(|g| g.items.len()).sum(), got.iter().map(|g| g.needed).sum::<usize>());
        let complete = got.iter().all(|g| g.items.len() >= g.needed);
        let lengths = self.sizes.template.unit_beside(&self.sizes.begun.unit, &self.sizes.template.units).to_owned();
        let say = |si: f64| match number::unit(Dimension::Length, &lengths) {
            Some(_) => number::with_unit(si, 1e-6, Dimension::Length, &lengths),
            None => number::with_unit(si, 1e-6, Dimension::Length, "mm"),
        };
        let args = Args { got: &got, source: &place, say: &say };
        let outcome = if complete || formula.grows { (formula.run)(&args) } else { Err(missing(&got)) };
        let mut tainted: Vec<String> = got.iter().flat_map(|g| &g.items).filter_map(|i| i.taint.clone()).collect();
        tainted.sort_unstable();
        tainted.dedup();
        let mut rests_on: Vec<Id> = got.iter().flat_map(|g| &g.items).flat_map(|i| i.ids.clone()).collect();
        rests_on.sort_unstable();
        rests_on.dedup();
        let u_si = outcome.as_ref().map_or(0.0, |o| o.value.u());
        let step_si = self.step_of(spec, &unit, spot, u_si);
        let mut figure = DerivedResult {
            key: spec.key.clone(),
            name: spec.name.clone(),
            place: place.clone(),
            column: spot.column.map(|c| c.key.clone()),
            row: spot.row.map(row_key),
            kind: spec.kind,
            unit: unit.clone(),
            value_si: None,
            u_si: None,
            number: "—".to_owned(),
            complete,
            readings,
            missing: None,
            words: String::new(),
            judgement: None,
            no_limit: None,
            tainted,
            rests_on,
            hidden: spec.hidden,
        };
        match outcome {
            Err(why) => figure.missing = Some(if complete { why } else { missing(&got) }),
            Ok(outcome) => {
                let (value_si, u_si) = (outcome.value.value, outcome.value.u());
                let show = Show { kind: spec.kind, unit: &unit, step_si };
                figure.value_si = Some(value_si);
                figure.u_si = Some(u_si);
                figure.number = show.number(value_si);
                figure.words = outcome.words;
                if !complete {
                    figure.missing = Some(missing(&got));
                }
                if let Some(limit) = &spec.limit {
                    let of = |reference: &str| self.value_of(reference, spot, &spec.within);
                    match judge(&self.sizes, limit, spot, (value_si, u_si), show, &of) {
                        Ok(mut judged) => {
                            // Readings still to come can only make it greater.
                            if !complete && judged.verdict == Verdict::Inside {
                                judged.verdict = Verdict::CannotTell;
                            }
                            figure.judgement = Some(judged);
                        }
                        Err(why) => figure.no_limit = Some(why),
                    }
                }
                let item = Item {
                    value: outcome.value,
                    at: spot.row.and_then(|r| r.at_si),
                    group: (String::new(), String::new()),
                    row: spot.row.map_or_else(
                        || (spec.key.clone(), spec.name.clone()),
                        |r| (r.key.clone(), r.name.clone()),
                    ),
                    column: spot.column.map_or(0, |column| {
                        self.layout.columns.iter().position(|c| c.key == column.key).unwrap_or(0)
                    }),
                    head: spot.column.map_or(String::new(), |c| c.head.clone()),
                    taint: figure.tainted.first().cloned(),
                    ids: figure.rests_on.clone(),
                };
                // A figure of part of the readings is shown and used nowhere else.
                if complete {
                    self.values.insert(place, item);
                }
            }
        }
        self.figures.push(figure);
    }

    /// The step that decides a figure's digits: that of the readings of the same kind, or what is usual.
    fn step_of(&self, spec: &DerivedSpec, unit: &str, spot: Spot<'_>, u_si: f64) -> f64 {
        // A ratio has no reading of its kind: its own doubt says how many digits it deserves.
        if matches!(spec.kind, Dimension::Count | Dimension::Fraction) && u_si > 0.0 {
            return 10f64.powf((2.0 * u_si).log10().floor());
        }
        let here = |place: &str| {
            spot.column.is_none_or(|c| place.starts_with(&format!("{}/", c.key)))
                && self.layout.find(place).is_some_and(|(row, _)| row.kind == spec.kind)
        };
        let steps = self.cells.values().filter(|c| c.step_si > 0.0 && here(&c.place)).map(|c| c.step_si);
        let finest = steps.fold(f64::INFINITY, f64::min);
        if finest.is_finite() {
            return finest;
        }
        let usual = match spec.kind {
            Dimension::Length => 1e-6,
            Dimension::Volume => 1e-7,
            Dimension::Mass => 1e-4,
            Dimension::Angle => 0.1f64.to_radians(),
            Dimension::Fraction => 1e-3,
            Dimension::Count => 0.01,
            // One unit of what it is shown in.
            _ => number::unit(spec.kind, unit).map_or(1.0, |u| u.scale.abs()),
        };
        if (spec.kind, unit) == (Dimension::Length, "in") { 2.54e-6 } else { usual }
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
            let near = ask::neighbours(self, spec, row, column, cell);
            let spot = Spot { column: Some(column), row: Some(row) };
            let show = Show { kind: row.kind, unit: &row.unit, step_si: cell.step_si };
            let of = |reference: &str| self.value_of(reference, spot, &[]);
            let verdict = spec.limit.as_ref().map(|l| judge(&self.sizes, l, spot, (value_si, u_si), show, &of));
            judged.push((place.to_owned(), verdict, if spec.near == Near::None { None } else { near }));
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

    fn value_of(&self, reference: &str, spot: Spot<'_>, within: &[String]) -> Option<f64> {
        match self.resolve(reference, spot, within).items.as_slice() {
            [one] => Some(one.value.value),
            _ => None,
        }
    }

    /// What a reference of a template means at a spot of the sheet.
    pub(super) fn resolve(&self, text: &str, spot: Spot<'_>, within: &[String]) -> Got {
        let Ok(reference) = Reference::parse(text) else { return Got::default() };
        let layout = self.layout;
        let columns: Vec<&Column> = match (&reference.column, spot.column) {
            (Some(ColumnPick::All(set)), _) => layout.columns.iter().filter(|c| c.set == *set).collect(),
            (Some(ColumnPick::Number(set, n)), _) => {
                layout.columns.iter().filter(|c| c.set == *set && c.number == *n).collect()
            }
            (Some(ColumnPick::Same(set)), at) => {
                let number = at.map_or(1, |c| c.number);
                layout.columns.iter().filter(|c| c.set == *set && c.number == number).collect()
            }
            (None, Some(column)) => vec![column],
            (None, None) => layout.columns.iter().filter(|c| within.is_empty() || within.contains(&c.set)).collect(),
        };
        let mut got = Got::default();
        match &reference.source {
            Source::Given(key) => self.given(&mut got, key, reference.column.is_some(), spot, &columns),
            Source::Derived(key) => self.figures_of(&mut got, key, spot, &columns),
            Source::At => {
                for row in layout.rows.iter().filter(|r| r.at_si.is_some()) {
                    if let Some(si) = row.at_si {
                        got.items.push(plain_item(Uncertain::exact(si), row));
                    }
                }
                got.needed = got.items.len();
            }
            Source::Row => {
                if let Some(row) = spot.row {
                    self.readings(&mut got, std::iter::once(row), &columns);
                }
            }
            Source::Places(pattern) => {
                let rows = layout.rows.iter().filter(|r| pattern.fits(&r.group, &r.key));
                self.readings(&mut got, rows, &columns);
            }
        }
        got
    }

    fn given(&self, got: &mut Got, key: &str, by_column: bool, spot: Spot<'_>, columns: &[&Column]) {
        let Some(spec) = self.sizes.template.given(key) else { return };
        let wanted: Vec<Option<&Column>> =
            if by_column { columns.iter().map(|c| Some(*c)).collect() } else { vec![spot.column] };
        for column in wanted {
            got.needed += 1;
            let of = column.map(|c| c.key.as_str());
            match self.sizes.template.given_value(&self.sizes.begun.given, key, of) {
                Some(stated) if stated.dimension == spec.kind => {
                    // A value of its own is another measurement than the one for all.
                    let own = of.filter(|c| self.sizes.begun.given.contains_key(&format!("{key}/{c}")));
                    let source = own.map_or_else(|| format!("given {key}"), |c| format!("given {key}/{c}"));
                    got.items.push(Item {
                        value: Uncertain::with_own(stated.si, stated.u_or_step(), source),
                        at: None,
                        group: (String::new(), String::new()),
                        row: (key.to_owned(), spec.name.clone()),
                        column: 0,
                        head: column.map_or(String::new(), |c| c.head.clone()),
                        taint: None,
                        ids: Vec::new(),
                    });
                }
                Some(stated) => got.missing.push(format!("{}: {} is no {}", spec.name, stated.text, spec.kind)),
                None => got.missing.push(format!("not given: {}", lower(&spec.name))),
            }
        }
    }

    fn figures_of(&self, got: &mut Got, key: &str, spot: Spot<'_>, columns: &[&Column]) {
        let Some(spec) = self.sizes.template.derived(key) else { return };
        let places: Vec<String> = match spec.scope {
            Scope::Sheet => vec![key.to_owned()],
            Scope::Column => columns
                .iter()
                .filter(|c| spec.within.is_empty() || spec.within.contains(&c.set))
                .map(|c| format!("{}/{key}", c.key))
                .collect(),
            Scope::Row => match spot.row {
                Some(row) => vec![format!("{}/{key}", row_key(row))],
                None => self.layout.rows.iter().map(|row| format!("{}/{key}", row_key(row))).collect(),
            },
        };
        let places_of = places.len();
        for place in places {
            got.needed += 1;
            match self.values.get(&place) {
                Some(item) => got.items.push(item.clone()),
                None => {
                    let figure = self.figures.iter().find(|f| f.place == place);
                    let why = figure.and_then(|f| f.missing.clone());
                    let why = why.unwrap_or_else(|| format!("no {}", lower(&spec.name)));
                    // Among several columns it counts which one it is.
                    let head = figure.and_then(|f| f.column.as_ref()).filter(|_| places_of > 1);
                    let head = head.and_then(|key| self.layout.columns.iter().find(|c| c.key == *key));
                    got.missing.push(head.map_or(why.clone(), |c| format!("{}: {why}", c.head)));
                }
            }
        }
    }

    fn readings<'r>(&self, got: &mut Got, rows: impl Iterator<Item = &'r Row>, columns: &[&Column]) {
        let (mut read, mut all) = (0, 0);
        for row in rows {
            for (column, place) in self.layout.columns.iter().zip(&row.places) {
                let Some(place) = place.as_ref().filter(|_| columns.iter().any(|c| c.key == column.key)) else {
                    continue;
                };
                match self.items.get(place) {
                    Some(item) => {
                        got.items.push(item.clone());
                        (read, all) = (read + 1, all + 1);
                    }
                    None if row.optional => {}
                    None => {
                        all += 1;
                        if let Some(CellState::NotRead(why)) = self.cells.get(place).map(|c| &c.state) {
                            let name = self.layout.words(place).unwrap_or_else(|| place.clone());
                            got.missing.push(format!("{name} could not be read: {why}"));
                        }
                    }
                }
            }
        }
        got.needed += all;
        if read < all && got.missing.is_empty() {
            got.missing.push(if all == 1 { "not read yet".to_owned() } else { format!("{read} of {all} read") });
        }
    }
}

fn plain_item(value: Uncertain, row: &Row) -> Item {
    Item {
        value,
        at: row.at_si,
        group: (row.group.clone(), row.group_name.clone()),
        row: (row.key.clone(), row.name.clone()),
        column: 0,
        head: String::new(),
        taint: None,
        ids: Vec::new(),
    }
}

/// What is missing, once each.
fn missing(got: &[Got]) -> String {
    let mut said: Vec<&str> = Vec::new();
    for why in got.iter().filter(|g| g.items.len() < g.needed).flat_map(|g| &g.missing) {
        if !said.contains(&why.as_str()) {
            said.push(why);
        }
    }
    if said.is_empty() { "nothing read yet".to_owned() } else { said.join("; ") }
}

fn lower(name: &str) -> String {
    let mut chars = name.chars();
    match (chars.next(), chars.next()) {
        (Some(first), Some(second)) if second.is_lowercase() => first.to_lowercase().chain(name.chars().skip(1)).collect(),
        _ => name.to_owned(),
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
    } else if template.part.is_some() && begun.part_temperature.is_none() && sheet.cells.values().any(|c| c.shown_si.is_some()) {
        said.push("Temperature of the part not said: sizes count as read at 20 °C".to_owned());
    }
    said
}

/// The place that a reading stands in.
pub(super) fn reading_of(result: &SheetResult, id: Id) -> Option<&Cell> {
    result.cells.values().find(|cell| cell.readings.contains(&id))
}

//! Worked-out rows: what goes in, the formula, the verdict.

use super::evaluate::Working;
use super::formula::{self, Args, Got, Item};
use super::judge::{Show, Spot, judge};
use super::layout::row_key;
use super::number;
use super::result::DerivedResult;
use super::template::{DerivedSpec, Scope};
use crate::Id;
use quantity::{Dimension, Verdict};

impl Working<'_> {
    /// A worked-out row: one figure for each column, each row, or the sheet.
    pub(super) fn work_out(&mut self, spec: &DerivedSpec) {
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
                    row: spot
                        .row
                        .map_or_else(|| (spec.key.clone(), spec.name.clone()), |r| (r.key.clone(), r.name.clone())),
                    column: spot
                        .column
                        .map_or(0, |column| self.layout.columns.iter().position(|c| c.key == column.key).unwrap_or(0)),
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
        let of_column = |cell: &super::Cell| {
            spot.column.is_none_or(|c| cell.place.strip_prefix(&c.key).is_some_and(|rest| rest.starts_with('/')))
        };
        let like = |cell: &&super::Cell| cell.step_si > 0.0 && cell.kind == spec.kind && of_column(cell);
        let steps = self.cells.values().filter(like).map(|c| c.step_si);
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

//! What to say about a reading that is out: its neighbours, the likely slip, the next step.

use super::evaluate::Working;
use super::layout::{Column, Layout, Row};
use super::number;
use super::result::{Ask, Cell, Judgement, Neighbours, SheetResult};
use super::template::{Hint, HintWhen, Near, RowSpec, Template};
use crate::{Id, SheetBegun};
use quantity::{Dimension, Verdict};

/// The readings that one is compared with.
pub(super) fn neighbours(
    sheet: &Working<'_>,
    spec: &RowSpec,
    row: &Row,
    column: &Column,
    cell: &Cell,
) -> Option<Neighbours> {
    let like = |other_row: &Row, other: &Column| match spec.near {
        Near::None => false,
        Near::Column => {
            other.key == column.key
                && other_row.kind == row.kind
                && sheet.sizes.template.row(&other_row.spec).is_some_and(|s| s.near == Near::Column)
        }
        Near::Row => other.set == column.set && (&other_row.group, &other_row.key) == (&row.group, &row.key),
    };
    let others = sheet.layout.places().filter(|(r, c, place)| *place != cell.place && like(r, c));
    let cells: Vec<&Cell> = others.filter_map(|(_, _, place)| sheet.cells.get(place)).collect();
    let values_si: Vec<f64> = cells.iter().filter_map(|c| c.shown_si).collect();
    if values_si.is_empty() {
        return None;
    }
    let least_si = values_si.iter().copied().fold(f64::INFINITY, f64::min);
    let greatest_si = values_si.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let step_si = cells.iter().filter(|c| c.step_si > 0.0).map(|c| c.step_si).fold(cell.step_si, f64::min);
    let (shown_si, u_si) = (cell.shown_si?, cell.u_si?);
    let off_si = (shown_si - greatest_si).max(least_si - shown_si);
    // Apart: further from the nearest than the others lie among themselves, and than noise explains.
    let apart = values_si.len() >= 2 && off_si > (greatest_si - least_si).max(3.0 * u_si).max(2.0 * step_si);
    let say = |si: f64| number::number(si, step_si, row.kind, &row.unit);
    let count = values_si.len();
    let place = if spec.near_words.is_empty() { String::new() } else { format!(" {}", spec.near_words) };
    let words = match (count, say(least_si), say(greatest_si)) {
        (1, one, _) => format!("The other one{place} reads {one}."),
        (_, least, greatest) if least == greatest => format!("The other {}{place} read {least}.", spelled(count)),
        (_, least, greatest) => format!("The other {}{place} read {least} to {greatest}.", spelled(count)),
    };
    Some(Neighbours { count, least_si, greatest_si, values_si, apart, words })
}

fn spelled(count: usize) -> String {
    const WORDS: [&str; 13] =
        ["none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    WORDS.get(count).map_or_else(|| count.to_string(), |w| (*w).to_owned())
}

/// Everything there is to ask about.
pub(super) fn asks(begun: &SheetBegun, template: &Template, layout: &Layout, result: &SheetResult) -> Vec<Ask> {
    let mut asks = Vec::new();
    for (row, _, place) in layout.places() {
        let Some(cell) = result.cells.get(place) else { continue };
        let Some(judgement) = cell.judgement.as_ref().filter(|j| j.verdict != Verdict::Inside) else { continue };
        let subject = Subject {
            key: &row.spec,
            place,
            kind: row.kind,
            unit: &cell.unit,
            step_si: cell.step_si,
            u_si: cell.u_si.unwrap_or(0.0),
            near: cell.neighbours.as_ref(),
            shown_si: cell.shown_si.unwrap_or(f64::NAN),
            is_reading: true,
            readings: &cell.readings,
        };
        asks.push(subject.ask(begun, template, layout, judgement));
    }
    for figure in result.derived.iter().filter(|f| !f.hidden) {
        let Some(judgement) = figure.judgement.as_ref().filter(|j| j.verdict != Verdict::Inside) else { continue };
        if !figure.complete && judgement.verdict == Verdict::CannotTell {
            continue;
        }
        let step_si = result.cells.values().filter(|c| c.step_si > 0.0).map(|c| c.step_si).fold(1e-6, f64::min);
        let subject = Subject {
            key: &figure.key,
            place: &figure.place,
            kind: figure.kind,
            unit: &figure.unit,
            step_si,
            u_si: figure.u_si.unwrap_or(0.0),
            near: None,
            shown_si: figure.value_si.unwrap_or(f64::NAN),
            is_reading: false,
            readings: &figure.rests_on,
        };
        asks.push(subject.ask(begun, template, layout, judgement));
    }
    asks
}

struct Subject<'a> {
    key: &'a str,
    place: &'a str,
    kind: Dimension,
    unit: &'a str,
    step_si: f64,
    u_si: f64,
    near: Option<&'a Neighbours>,
    shown_si: f64,
    is_reading: bool,
    readings: &'a [Id],
}

impl Subject<'_> {
    fn ask(&self, begun: &SheetBegun, template: &Template, layout: &Layout, judgement: &Judgement) -> Ask {
        let outside = judgement.verdict == Verdict::Outside;
        let hint = hint(template, self.key, self.is_reading, judgement);
        let apart = self.near.is_some_and(|near| near.apart);
        let mut words: Vec<String> = Vec::new();
        if let Some(near) = self.near {
            words.push(near.words.clone());
        }
        if outside {
            words.extend(self.slip(apart, hint));
        } else {
            words.push(self.cannot_tell(begun, judgement));
        }
        if let Some(next) = hint.map(|h| h.next.as_str()).filter(|next| !next.is_empty()) {
            words.push(next.to_owned());
        }
        Ask {
            place: self.place.to_owned(),
            name: layout.words(self.place).unwrap_or_else(|| self.place.to_owned()),
            beyond: judgement.words.clone(),
            words: words.join(" "),
            measure_again: apart || !outside,
            readings: self.readings.to_vec(),
        }
    }

    /// The likely slip, where the reading stands apart from its neighbours.
    fn slip(&self, apart: bool, hint: Option<&Hint>) -> Option<String> {
        let near = self.near.filter(|_| apart)?;
        let mean = near.values_si.iter().sum::<f64>() / near.values_si.len() as f64;
        // A hundredth of a bore is no shape.
        if self.kind == Dimension::Length && mean > 0.01 && (self.shown_si - mean).abs() > 0.01 * mean {
            return Some(
                "It is off by more than a hundredth of the size: a slip of the pen, or another unit.".to_owned(),
            );
        }
        hint.map(|h| h.slip.clone()).filter(|slip| !slip.is_empty())
    }

    fn cannot_tell(&self, begun: &SheetBegun, judgement: &Judgement) -> String {
        let say = |si: f64| {
            let unit = number::unit(self.kind, self.unit);
            let scale = unit.map_or(1.0, |u| u.scale.abs());
            quantity::digits(si / scale, number::decimals(self.step_si.min(si.max(1e-12)) / scale))
        };
        let what = if self.is_reading { "reading" } else { "figure" };
        let doubt = format!("{} {}", say(2.0 * self.u_si), self.unit);
        let named = begun.instruments.first().filter(|_| self.is_reading).map(|i| format!(" with {}", i.name));
        if judgement.can_be_inside {
            format!("The limit lies within the {what}'s ± {}{}.", doubt.trim(), named.unwrap_or_default())
        } else {
            format!(
                "The {what} is good to ± {}, which is more than half of the room between the limits: a finer instrument is needed to tell.",
                doubt.trim()
            )
        }
    }
}

/// The hint that fits best: for this row before one for every row, for this side before one for either.
fn hint<'a>(template: &'a Template, key: &str, is_reading: bool, judgement: &Judgement) -> Option<&'a Hint> {
    let over = judgement.beyond_si.is_some_and(|b| b > 0.0);
    let fits = |hint: &&Hint| {
        let row = hint.on == key || (hint.on == "*" && is_reading);
        let side = match (judgement.verdict, hint.when) {
            (Verdict::Outside, HintWhen::Out) => true,
            (Verdict::Outside, HintWhen::Over) => over,
            (Verdict::Outside, HintWhen::Under) => !over,
            (Verdict::CannotTell, HintWhen::CannotTell) => true,
            _ => false,
        };
        row && side
    };
    template.hints.iter().filter(fits).max_by_key(|h| (h.on == key, h.when != HintWhen::Out))
}

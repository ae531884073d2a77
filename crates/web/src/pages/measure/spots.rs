//! Every place of a sheet as the page shows it: number, limits, verdict, what to say, what a script needs to go on
//! without the shop.

use super::bars::{Between, Drawn};
use super::units::{decimals_of, in_unit, leading, plain, shown, span_in_unit, unit_of, with_unit};
use crate::pages::jobs::value::words as value_words;
use crate::words::clock_or_day;
use notebook::SheetState;
use quantity::{Dimension, Verdict};
use record::sheet::{Cell, CellState, DerivedResult, Judgement, Row};
use record::{Id, Kept, Reading, Sheet, Value};
use std::collections::BTreeMap;

/// A place as it is shown.
#[derive(Debug, Clone, Default)]
pub(super) struct Spot {
    /// Its key.
    pub(super) place: String,
    /// "Cylinder 3, bottom, along".
    pub(super) name: String,
    /// Its unit.
    pub(super) unit: String,
    /// Number in the order of reading; none for a worked-out figure.
    pub(super) order: Option<usize>,
    /// "empty", "read", "word", "not_read", "unusable".
    pub(super) state: &'static str,
    /// The number or the word as shown, without unit.
    pub(super) number: String,
    /// The text as it was typed.
    pub(super) typed: String,
    /// Leading digits that are not typed.
    pub(super) prefix: String,
    /// Decimals that a reading has here.
    pub(super) decimals: i32,
    /// Limits in its unit.
    pub(super) limits: Between,
    /// The reading as it is drawn.
    pub(super) drawn: Option<Drawn>,
    /// "inside", "outside", "cannot", "none".
    pub(super) verdict: &'static str,
    /// "0.006 over".
    pub(super) beyond: String,
    /// What is said of the reading that stands.
    pub(super) say: String,
    /// Limits in words, or why there is none.
    pub(super) limit_words: String,
    /// Readings that were made here, newest first, one line each.
    pub(super) was: Vec<String>,
    /// Neighbours, in the unit.
    pub(super) near: Vec<f64>,
    /// Readings that stand.
    pub(super) standing: Vec<Id>,
    /// Readings that disagree: (typed, by whom).
    pub(super) two: Vec<(String, String)>,
    /// The shop asks something about it that nobody has answered with a reason.
    pub(super) asks: bool,
    /// Something stands against the reading.
    pub(super) taint: Option<String>,
    /// It may stay empty.
    pub(super) optional: bool,
    /// Readings that count together.
    pub(super) repeats: usize,
    /// The reason with which it is kept.
    pub(super) kept: Option<String>,
    /// Which of the sheet's instruments is meant for it; none where the sheet has none of the kind.
    pub(super) instrument: Option<usize>,
    /// The sheet's first instrument is meant for it, so that a reading need not name it.
    pub(super) usual: bool,
}

impl Spot {
    /// A number with the decimals of the place.
    pub(super) fn say(&self, value: f64) -> String {
        shown(value, self.decimals)
    }

    /// What is read aloud for the cell.
    pub(super) fn label(&self) -> String {
        let value = match self.state {
            "empty" => "not measured".to_owned(),
            _ => with_unit(&self.number, &self.unit),
        };
        let verdict = match self.verdict {
            "inside" => ", inside".to_owned(),
            "outside" if !self.beyond.is_empty() => format!(", {}", self.beyond),
            "outside" => ", outside".to_owned(),
            "cannot" => ", can\u{2019}t tell".to_owned(),
            _ => String::new(),
        };
        let more = match (self.two.is_empty(), &self.taint) {
            (false, _) => ", two readings that disagree".to_owned(),
            (true, Some(taint)) => format!(", {taint}"),
            _ => String::new(),
        };
        format!("{}: {value}{verdict}{more}", self.name)
    }
}

/// Kinds of the shop's instruments and what they measure, by key.
pub(super) type Kinds = BTreeMap<String, (String, Dimension)>;

/// Which of a sheet's instruments is meant for a row: one of its kind by the register, else the first where the row
/// is read with the sheet's usual kind.
fn meant_for(sheet: &Sheet, state: &SheetState, row: &Row, kinds: &Kinds) -> Option<usize> {
    let all = &sheet.begun.value.instruments;
    let of_kind = all.iter().position(|used| kinds.get(&used.key).is_some_and(|(kind, _)| *kind == row.instrument));
    of_kind.or_else(|| (row.instrument == state.template.instrument && !all.is_empty()).then_some(0))
}

/// Every place to read and every figure, by its key.
pub(super) fn spots(sheet: &Sheet, state: &SheetState, kinds: &Kinds) -> BTreeMap<String, Spot> {
    let mut all = BTreeMap::new();
    let order = reading_order(state);
    for (row, _, place) in state.layout.places() {
        let Some(cell) = state.result.cells.get(place) else { continue };
        let mut spot = read_spot(sheet, state, row, cell);
        spot.order = order.get(place).copied();
        spot.instrument = meant_for(sheet, state, row, kinds);
        all.insert(place.to_owned(), spot);
    }
    for figure in state.result.derived.iter().filter(|f| !f.hidden) {
        all.insert(figure.place.clone(), figure_spot(sheet, state, figure));
    }
    all
}

/// Column by column, from the first row to the last: one bore is finished before the next.
fn reading_order(state: &SheetState) -> BTreeMap<String, usize> {
    let mut order = BTreeMap::new();
    for column in 0..state.layout.columns.len() {
        for row in &state.layout.rows {
            if let Some(Some(place)) = row.places.get(column) {
                order.insert(place.clone(), order.len());
            }
        }
    }
    order
}

fn verdict_key(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Inside => "inside",
        Verdict::Outside => "outside",
        Verdict::CannotTell => "cannot",
    }
}

fn between(judgement: &Judgement, kind: Dimension, unit: &str) -> Between {
    let number = |si: Option<f64>| si.map(|si| in_unit(si, kind, unit));
    Between { low: number(judgement.lower_si), high: number(judgement.upper_si), aim: number(judgement.target_si) }
}

/// Limits of a place: those that the reading was judged by, or those that a reading here would be judged by.
fn limits_of(row: &Row, cell: &Cell) -> (Between, String) {
    let number = |si: Option<f64>| si.map(|si| in_unit(si, row.kind, &cell.unit));
    match (&cell.judgement, &cell.expected, &cell.no_limit) {
        (Some(judgement), _, _) => (between(judgement, row.kind, &cell.unit), judgement.from.sentence.clone()),
        (None, Some(it), _) => {
            let limits = Between { low: number(it.lower_si), high: number(it.upper_si), aim: number(it.target_si) };
            (limits, it.sentence.clone())
        }
        (None, None, Some(why)) => (Between::default(), why.clone()),
        (None, None, None) => (Between::default(), String::new()),
    }
}

/// Decimals that readings have in a place: those typed here or beside it, else the instrument's, else what is usual.
fn decimals(sheet: &Sheet, state: &SheetState, row: &Row, cell: &Cell) -> i32 {
    let like = |place: &str| state.layout.find(place).is_some_and(|(r, _)| r.spec == row.spec || r.kind == row.kind);
    let mut steps: Vec<f64> = state
        .result
        .cells
        .values()
        .filter(|c| c.step_si > 0.0 && c.readings.len() == 1 && like(&c.place))
        .map(|c| c.step_si)
        .collect();
    if cell.step_si > 0.0 && cell.readings.len() == 1 {
        steps = vec![cell.step_si];
    }
    let begun = &sheet.begun.value;
    let own = || cell.instrument.as_ref().or(begun.instruments.first()).and_then(|i| i.step_si);
    let step_si = steps.into_iter().reduce(f64::min).or_else(own);
    let usual = || match unit_of(row.kind, &row.unit).map(|u| u.symbol) {
        Some("mm") => 3,
        Some("in") => 4,
        Some("g" | "cm\u{b3}" | "cc") => 1,
        _ => 0,
    };
    step_si.map_or_else(usual, |si| decimals_of(span_in_unit(si, row.kind, &row.unit)))
}

fn read_spot(sheet: &Sheet, state: &SheetState, row: &Row, cell: &Cell) -> Spot {
    let unit = cell.unit.clone();
    let (limits, limit_words) = limits_of(row, cell);
    let decimals = decimals(sheet, state, row, cell);
    let number = |si: f64| in_unit(si, row.kind, &unit);
    let near: Vec<f64> = cell
        .neighbours
        .as_ref()
        .map_or_else(|| near_of_empty(state, row, cell), |n| n.values_si.iter().map(|si| number(*si)).collect());
    let prefix = match (limits.low, limits.high) {
        (Some(low), Some(high)) => leading(low, high, decimals),
        _ => {
            let low = near.iter().copied().fold(f64::INFINITY, f64::min);
            let high = near.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            // Readings that lie together say what the next begins with; one of them says nothing.
            if near.len() >= 2 { leading(low, high, decimals) } else { String::new() }
        }
    };
    let (key, shown_text) = match &cell.state {
        CellState::Empty => ("empty", String::new()),
        CellState::Read => ("read", cell.number.clone()),
        CellState::Word(word) => ("word", word.clone()),
        CellState::NotRead(_) => ("not_read", "not read".to_owned()),
        CellState::Unusable(_) => ("unusable", cell.typed.clone()),
    };
    let all = sheet.readings.get(&cell.place).map_or(&[][..], Vec::as_slice);
    let standing = sheet.standing.get(&cell.place).cloned().unwrap_or_default();
    let counting = sheet.counting(&cell.place);
    let disagreeing = sheet.disagreeing(&cell.place);
    let two = match (counting.last(), disagreeing.is_empty()) {
        (Some(newest), false) => disagreeing.iter().copied().chain([*newest]).map(one_of_two).collect(),
        _ => Vec::new(),
    };
    let kept = sheet
        .waived
        .iter()
        .rev()
        .find(|w| w.value.place == cell.place && w.value.reading.is_none_or(|r| standing.contains(&r)));
    let taint = cell.taint.as_ref().map(ToString::to_string);
    let verdict = cell.judgement.as_ref().map_or("none", |j| verdict_key(j.verdict));
    let mut spot = Spot {
        place: cell.place.clone(),
        name: state.layout.words(&cell.place).unwrap_or_else(|| cell.place.clone()),
        unit: unit.clone(),
        order: None,
        state: key,
        number: shown_text,
        typed: cell.typed.clone(),
        prefix,
        decimals,
        limits,
        drawn: cell.shown_si.map(|si| Drawn {
            value: number(si),
            outside: verdict == "outside",
            cannot: verdict == "cannot",
            doubt: cell.u_si.map_or(0.0, |u| 2.0 * span_in_unit(u, row.kind, &unit)),
        }),
        verdict,
        beyond: cell.judgement.as_ref().map_or(String::new(), |j| j.words.clone()),
        say: String::new(),
        limit_words,
        was: all.iter().rev().map(|r| history_line(sheet, r)).collect(),
        near,
        two,
        asks: false,
        taint,
        optional: row.optional,
        repeats: counting.len(),
        kept: kept.map(|w| w.value.because.clone()),
        standing,
        instrument: None,
        usual: row.instrument == state.template.instrument,
    };
    spot.asks = matches!(verdict, "outside" | "cannot") && spot.kept.is_none();
    spot.say = say_of(state, &spot, cell);
    spot
}

/// Neighbours of an empty place: what stands in its column, or in its row where rows are compared.
fn near_of_empty(state: &SheetState, row: &Row, cell: &Cell) -> Vec<f64> {
    use record::sheet::Near;
    let Some((_, column)) = state.layout.find(&cell.place) else { return Vec::new() };
    let near = state.template.row(&row.spec).map_or(Near::None, |spec| spec.near);
    let like = |(r, c, place): &(&Row, &record::sheet::Column, &str)| {
        *place != cell.place
            && r.kind == row.kind
            && match near {
                Near::Column => c.key == column.key,
                Near::Row => c.set == column.set && (&r.group, &r.key) == (&row.group, &row.key),
                Near::None => false,
            }
    };
    let found = state.layout.places().filter(like).filter_map(|(_, _, place)| state.result.cells.get(place)?.shown_si);
    found.map(|si| in_unit(si, row.kind, &cell.unit)).collect()
}

fn say_of(state: &SheetState, spot: &Spot, cell: &Cell) -> String {
    let mut said = Vec::new();
    match &cell.state {
        CellState::NotRead(why) => said.push(format!("Could not be read: {why}.")),
        CellState::Unusable(why) => said.push(format!("{why}. It is kept and not used.")),
        _ => {}
    }
    if let Some(ask) = state.result.ask(&spot.place) {
        said.push(ask.words.clone());
    } else if let Some(near) = &cell.neighbours {
        said.push(near.words.clone());
    }
    if let Some(taint) = &spot.taint {
        said.push(format!("{taint}."));
    }
    if spot.repeats > 1 {
        said.push(format!("Mean of {} readings.", crate::words::count(spot.repeats)));
    }
    if let Some(kept) = &spot.kept {
        said.push(format!("Kept: {kept}."));
    }
    said.join(" ").replace("..", ".")
}

fn history_line(sheet: &Sheet, reading: &Kept<Reading>) -> String {
    let it = &reading.value;
    let stands = sheet.standing.get(&it.place).is_some_and(|s| s.contains(&reading.id));
    let mut line = format!("{}, {}, {}", value_words(&it.value), reading.author, clock_or_day(&reading.at.to_string()));
    if let Some(instrument) = &it.instrument {
        line.push_str(&format!(", {}", instrument.name));
    }
    if !it.remark.is_empty() {
        line.push_str(&format!(", {}", it.remark));
    }
    if stands { line } else { format!("before: {line}") }
}

fn one_of_two(reading: &Kept<Reading>) -> (String, String) {
    let typed = match &reading.value.value {
        Value::Quantity(stated) => stated.text.clone(),
        other => value_words(other),
    };
    (typed, format!("{}, {}", reading.author, clock_or_day(&reading.at.to_string())))
}

fn figure_spot(sheet: &Sheet, state: &SheetState, figure: &DerivedResult) -> Spot {
    let unit = figure.unit.clone();
    let judgement = figure.judgement.as_ref();
    let verdict = judgement.map_or("none", |j| verdict_key(j.verdict));
    let kept = sheet.waived.iter().rev().find(|w| w.value.place == figure.place).map(|w| w.value.because.clone());
    let decimals = figure.number.split_once('.').map_or(0, |(_, d)| d.len() as i32);
    let mut said: Vec<String> = Vec::new();
    if let Some(ask) = state.result.ask(&figure.place) {
        said.push(ask.words.clone());
    }
    if !figure.words.is_empty() {
        said.push(format!("{}.", crate::pages::jobs::value::sentence(&figure.words).trim_end_matches('.')));
    }
    if let Some(missing) = figure.missing.as_ref().filter(|_| !figure.complete || figure.value_si.is_none()) {
        said.push(crate::pages::jobs::value::sentence(missing));
    }
    for taint in &figure.tainted {
        said.push(format!("{taint}."));
    }
    if let Some(kept) = &kept {
        said.push(format!("Kept: {kept}."));
    }
    Spot {
        place: figure.place.clone(),
        name: state.layout.words(&figure.place).unwrap_or_else(|| figure.name.clone()),
        state: if figure.value_si.is_some() { "read" } else { "empty" },
        number: figure.number.clone(),
        decimals,
        limits: judgement.map_or_else(Between::default, |j| between(j, figure.kind, &unit)),
        drawn: figure.value_si.map(|si| Drawn {
            value: in_unit(si, figure.kind, &unit),
            outside: verdict == "outside",
            cannot: verdict == "cannot",
            doubt: figure.u_si.map_or(0.0, |u| 2.0 * span_in_unit(u, figure.kind, &unit)),
        }),
        verdict,
        beyond: judgement.map_or(String::new(), |j| j.words.clone()),
        say: said.join(" ").replace("..", "."),
        limit_words: judgement
            .map(|j| j.from.sentence.clone())
            .or_else(|| figure.no_limit.clone().filter(|_| figure.value_si.is_some()))
            .unwrap_or_default(),
        asks: verdict == "outside" && kept.is_none() || (verdict == "cannot" && figure.complete && kept.is_none()),
        taint: figure.tainted.first().cloned(),
        kept,
        unit,
        ..Spot::default()
    }
}

/// Numbers for a script, in one attribute.
pub(super) fn numbers(values: &[f64]) -> String {
    values.iter().map(|v| plain(*v)).collect::<Vec<_>>().join(" ")
}

//! One measuring sheet.

use super::bars;
use super::grid::Grid;
use super::hand::Hand;
use super::spots::{Kinds, Spot, spots};
use super::units::{shown, span_in_unit, with_unit};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::marks;
use crate::pages::jobs::sent::{Errors, Sent};
use crate::pages::jobs::shared::{again, id_of, job_of, missing, page as job_page};
use crate::pages::jobs::value::sentence;
use crate::pages::jobs::writer::barred;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::clock_or_day;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use maud::{Markup, html};
use notebook::{JobView, Notebook, SheetFault, SheetState};
use record::sheet::CellState;
use record::{Body, Id, InstrumentUsed, Sheet, SheetFinished};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What is asked of the page.
#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    /// Place to take in hand.
    place: Option<String>,
}

/// A sheet of a job, looked up by its address.
pub(super) struct Open {
    pub(super) view: Arc<JobView>,
    pub(super) id: Id,
    pub(super) here: String,
}

impl Open {
    pub(super) fn find(state: &AppState, number: &str, sheet: &str) -> Result<Self, Fault> {
        let view = job_of(state, number)?;
        let id = id_of(sheet, &view)?;
        if view.job.sheet(id).is_none() {
            return Err(missing(&view, &format!("sheet {sheet}")));
        }
        let here = format!("/jobs/{}/sheets/{id}", view.row.number);
        Ok(Self { view, id, here })
    }

    /// The sheet; it was found when this was made.
    pub(super) fn sheet(&self) -> Result<&Sheet, Fault> {
        self.view.job.sheet(self.id).ok_or_else(|| missing(&self.view, "sheet"))
    }
}

/// The page.
pub(super) async fn page(
    State(state): State<AppState>,
    Path((number, sheet)): Path<(String, String)>,
    Query(asked): Query<Asked>,
    prefs: Prefs,
    who: Who,
) -> Result<Response, Fault> {
    let open = Open::find(&state, &number, &sheet)?;
    draw(&state, &prefs, &who, &open, asked.place.as_deref(), &Sent::default(), &Errors::default())
}

/// The page again, with what was sent and what is wrong with it.
pub(super) fn draw_again(
    state: &AppState,
    prefs: &Prefs,
    who: &Who,
    open: &Open,
    sent: &Sent,
    errors: &Errors,
) -> Result<Response, Fault> {
    let place = sent.get("place").to_owned();
    draw(state, prefs, who, open, Some(&place), sent, errors).map(again)
}

fn draw(
    state: &AppState,
    prefs: &Prefs,
    who: &Who,
    open: &Open,
    place: Option<&str>,
    sent: &Sent,
    errors: &Errors,
) -> Result<Response, Fault> {
    let sheet = open.sheet()?;
    let title = &sheet.begun.value.title;
    let register = state.notebook().register()?.register.unwrap_or_default();
    let kinds: Kinds = register.instruments.into_iter().map(|i| (i.key, (i.kind, i.measures))).collect();
    let body = match state.notebook().sheet(sheet)? {
        Ok(worked) => whole(open, sheet, &worked, who, place, (sent, errors), (&state.saved_words(), &kinds)),
        Err(fault) => not_worked_out(sheet, &fault),
    };
    Ok(job_page(state, prefs, &open.view, title, &open.here, body))
}

/// The place to begin with: the one asked for, else the next without a reading after the newest one.
pub(super) fn first_place(spots: &BTreeMap<String, Spot>, sheet: &Sheet, asked: Option<&str>) -> Option<String> {
    if let Some(spot) = asked.and_then(|place| spots.get(place)) {
        return Some(spot.place.clone());
    }
    let newest = sheet.readings.values().flatten().max_by_key(|r| r.id).map(|r| r.value.place.as_str());
    next_place(spots, newest)
        .or_else(|| newest.map(str::to_owned))
        .or_else(|| by_order(spots).first().map(|s| s.place.clone()))
}

fn by_order(spots: &BTreeMap<String, Spot>) -> Vec<&Spot> {
    let mut order: Vec<&Spot> = spots.values().filter(|s| s.order.is_some()).collect();
    order.sort_by_key(|s| s.order);
    order
}

/// The next place without a reading after one, from the start again if there is none.
pub(super) fn next_place(spots: &BTreeMap<String, Spot>, after: Option<&str>) -> Option<String> {
    let order = by_order(spots);
    let at = after.and_then(|place| order.iter().position(|s| s.place == place)).map_or(0, |at| at + 1);
    let open = |s: &&&Spot| s.state == "empty" && !s.optional;
    order[at..].iter().chain(&order[..at]).find(open).map(|s| s.place.clone())
}

fn whole(
    open: &Open,
    sheet: &Sheet,
    worked: &SheetState,
    who: &Who,
    place: Option<&str>,
    (sent, errors): (&Sent, &Errors),
    (saved, kinds): (&str, &Kinds),
) -> Markup {
    let begun = &sheet.begun.value;
    let spots = spots(sheet, worked, kinds);
    let current = first_place(&spots, sheet, place).unwrap_or_default();
    let several = begun.instruments.len() > 1 || spots.values().any(|s| s.order.is_some() && !s.usual);
    let grid = Grid::of(worked, &spots, &current, &open.here);
    let finishing = Body::SheetFinished(SheetFinished { sheet: open.id, remark: String::new() });
    let cannot = barred(who, &finishing);
    html! {
        (marks::patterns())
        measuring-sheet data-own-news data-job=(open.view.id) data-number=(open.view.row.number) data-sheet=(open.id) {
            (head(sheet, worked, saved, kinds))
            div.mlay {
                (grid.markup())
                @if let Some(spot) = spots.get(&current) {
                    (Hand { spot, here: &open.here, instruments: &begun.instruments, several, sent, errors }.markup())
                }
            }
            (under(open, worked, &spots, cannot))
            @for (n, (limits, decimals)) in grid.bars().iter().enumerate() {
                template id=(format!("bar-{n}")) { (bars::large(*limits, &[], None, &|v| shown(v, *decimals))) }
            }
        }
    }
}

fn head(sheet: &Sheet, worked: &SheetState, saved: &str, kinds: &Kinds) -> Markup {
    let begun = &sheet.begun.value;
    let progress = worked.result.progress;
    html! {
        div.mhead #sheet-head {
            div {
                h1 { (begun.title) }
                p.about { (conditions(sheet, worked, kinds)) }
            }
            div.prog {
                b data-progress { (progress.done) " of " (progress.total) }
                p.link role="status" data-saved data-state="kept" { span.dot {} span.words { (saved) } }
                @if let Some(finished) = sheet.finished.last() {
                    @if sheet.is_finished() { p.signed { "Finished, " (finished.author) ", " (clock_or_day(&finished.at.to_string())) } }
                    @else { p.signed.open { "Read again after " (finished.author) " finished it: sign it again" } }
                }
            }
        }
    }
}

/// "Bore gauge 2, set on the 92.750 ring, reads ±0.002 mm. Block at 20.1 °C. All values mm."
fn conditions(sheet: &Sheet, worked: &SheetState, kinds: &Kinds) -> String {
    let begun = &sheet.begun.value;
    let mut said: Vec<String> =
        begun.instruments.iter().enumerate().map(|(n, used)| instrument_words(used, n, worked, kinds)).collect();
    if begun.instruments.is_empty() {
        said.push("No instrument named".to_owned());
    }
    if let Some(stated) = &begun.part_temperature {
        said.push(format!("Part at {}", stated.text));
    }
    if !begun.state.is_empty() {
        said.push(begun.state.trim_end_matches('.').to_owned());
    }
    if !begun.unit.is_empty() {
        let others = worked.layout.rows.iter().any(|row| row.unit != begun.unit);
        let rest = if others { " where no other unit stands" } else { "" };
        said.push(format!("All values {}{rest}", begun.unit));
    }
    said.iter().map(|s| sentence(s)).collect::<Vec<_>>().join(" ")
}

fn instrument_words(used: &InstrumentUsed, number: usize, worked: &SheetState, kinds: &Kinds) -> String {
    let mut words = used.name.clone();
    if !used.set_on.is_empty() {
        words.push_str(&format!(", set on {}", used.set_on));
    }
    // What it measures: by the register; the first one of a sheet measures what the sheet does.
    let measures = kinds.get(&used.key).map(|k| k.1).or((number == 0).then_some(worked.template.kind));
    let row = measures.and_then(|kind| worked.layout.rows.iter().find(|row| row.kind == kind));
    match (used.u_si, used.step_si, row) {
        (Some(u), step, Some(row)) => {
            // What a register states is k = 2.
            let value = span_in_unit(2.0 * u, row.kind, &row.unit);
            let decimals = super::units::decimals_of(step.map_or(value, |s| span_in_unit(s, row.kind, &row.unit)));
            words.push_str(&format!(", reads \u{b1}{}", with_unit(&shown(value, decimals), &row.unit)));
        }
        _ => {
            if let Some(share) = used.u_share {
                words.push_str(&format!(", reads \u{b1}{} %", shown(200.0 * share, 1)));
            }
        }
    }
    words
}

fn under(open: &Open, worked: &SheetState, spots: &BTreeMap<String, Spot>, cannot: Option<String>) -> Markup {
    let result = &worked.result;
    let asks: Vec<&Spot> = spots.values().filter(|s| s.asks).collect();
    let two: Vec<&Spot> = spots.values().filter(|s| !s.two.is_empty()).collect();
    let left = result.progress.total.saturating_sub(result.progress.done);
    html! {
        div.after #sheet-under {
            @if let Some(note) = &worked.limits_note { div.banner role="alert" { (marks::flag()) div { p.what { (sentence(note)) } } } }
            @if !result.notices.is_empty() {
                section.sec { h2 { "To be known" } ul.notices { @for notice in &result.notices { li { (sentence(notice)) } } } }
            }
            @if !two.is_empty() {
                section.sec { h2 { "Two readings in one place" }
                    ul.asks { @for spot in two { li { a href=(format!("{}?place={}", open.here, crate::accounts::escape(&spot.place))) { (spot.name) } " " @for (n, (typed, by)) in spot.two.iter().enumerate() { @if n > 0 { " against " } (typed) " (" (by) ")" } } } }
                }
            }
            @if !asks.is_empty() {
                section.sec { h2 { "Out, or cannot be told" }
                    ul.asks { @for spot in asks { li.out[spot.verdict == "outside"] {
                        @if spot.verdict == "outside" { (marks::diamond()) } @else { (marks::asks()) }
                        div { p { a href=(format!("{}?place={}", open.here, crate::accounts::escape(&spot.place))) { (spot.name) } " " (with_unit(&spot.number, &spot.unit)) @if !spot.beyond.is_empty() { ", " (spot.beyond) } @else { ", can\u{2019}t tell" } }
                        p.quiet { (spot.say) } p.faint { (spot.limit_words) } }
                    } } }
                }
            }
            @if !result.strangers.is_empty() {
                section.sec { h2 { "Readings in places that this sheet does not have" }
                    ul { @for (_, place) in &result.strangers { li { (place) } } } p.quiet { "They are kept and count nowhere." } }
            }
            section.sec.finish {
                h2 { "Finish the sheet" }
                @if left > 0 { p.quiet { (sentence(&format!("{left} places are still to be read; a place that is left needs its reason"))) } }
                form.row method="post" action=(format!("{}/finish", open.here)) data-act="finish" {
                    input type="hidden" name="entry" value=(Notebook::new_id());
                    label for="remark" { "Remark" }
                    input.field #remark name="remark" maxlength="400" autocomplete="off";
                    button.btn type="submit" { "Sign as finished" }
                    @if let Some(why) = &cannot { span.faint { (why) } }
                }
            }
            details.fold.how { summary { "How it is measured" }
                p { (worked.template.about) }
                ul { @for step in &worked.template.how { li { (step) } } }
                @if result.cells.values().any(|c| c.state == CellState::Read) { p.faint { "Verdicts keep twice the standard uncertainty clear of a limit; nearer than that they cannot be told." } }
                p.offline-note.faint { "Without link this page goes on: readings are kept on this tablet and sent when the link is back. " span.no-worker { "This browser keeps no copy of the page itself, so leave it open." } }
            }
        }
    }
}

fn not_worked_out(sheet: &Sheet, fault: &SheetFault) -> Markup {
    html! {
        div.head { h1 { (sheet.begun.value.title) } }
        div.banner role="alert" { (marks::flag()) div {
            p.what { "This sheet cannot be worked out: " (fault.to_string()) }
            p { "Its readings are kept. Begin a new sheet from a template that can be read, or look at the readings in the notebook." }
        } }
        ul.readings-here { @for (place, readings) in &sheet.readings { @for reading in readings { li { (place) ": " (crate::pages::jobs::value::words(&reading.value.value)) ", " (reading.author) } } } }
    }
}

/// How many of a sheet's places are out or undecided without a reason, for lists.
pub(super) fn counts(sheet: &Sheet, worked: &SheetState) -> (usize, usize) {
    let spots = spots(sheet, worked, &Kinds::new());
    let out = spots.values().filter(|s| s.asks && s.verdict == "outside").count();
    let undecided = spots.values().filter(|s| s.asks && s.verdict == "cannot").count();
    (out, undecided)
}

//! What is done on a sheet, as plain forms: each act writes an entry and leads on.

use super::sheet::{Open, draw_again, next_place};
use super::spots::{Kinds, spots};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::pages::jobs::sent::{Errors, Sent};
use crate::pages::jobs::shared::{ENTRY, to, write_one};
use crate::pages::jobs::value::sentence;
use crate::prefs::Prefs;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::response::Response;
use notebook::{Notebook, SheetState};
use quantity::Verdict;
use record::sheet::Layout;
use record::{
    Body, Correction, Id, InstrumentUsed, LimitWaived, Question, Reading, Sheet, SheetFinished, Stated, Struck, Value,
};

/// An act on a sheet.
pub(super) async fn act(
    State(state): State<AppState>,
    Path((number, sheet, act)): Path<(String, String, String)>,
    prefs: Prefs,
    who: Who,
    sent: Sent,
) -> Result<Response, Fault> {
    let open = Open::find(&state, &number, &sheet)?;
    let worked = match state.notebook().sheet(open.sheet()?)? {
        Ok(worked) => worked,
        Err(fault) => return Err(unusable(&sentence(&fault.to_string()), &open.here)),
    };
    let mut errors = Errors::default();
    let known = |name: &str| matches!(name, "reading" | "unread" | "keep" | "ask" | "back" | "together" | "finish");
    if !known(&act) {
        return Err(Fault::NotThere { address: format!("{}/{act}", open.here) });
    }
    let place = sent.get("place").to_owned();
    let body = body_of(&act, &open, &worked, &sent, &mut errors)?;
    if let Some(body) = body.filter(|_| errors.none()) {
        let id = sent.id(ENTRY).unwrap_or_else(Notebook::new_id);
        if write_one(&state, &open.view, id, body, &who, &mut errors).await? {
            return after(&state, &number, &sheet, &act, &place);
        }
    }
    draw_again(&state, &prefs, &who, &open, &sent, &errors)
}

fn unusable(what: &str, back: &str) -> Fault {
    Fault::NotUsable { what: what.to_owned(), next: "Nothing was written.".to_owned(), back: back.to_owned() }
}

/// On to the next place after a reading that is not out; else the same place again.
fn after(state: &AppState, number: &str, sheet: &str, act: &str, place: &str) -> Result<Response, Fault> {
    let open = Open::find(state, number, sheet)?;
    let mut on = place.to_owned();
    if matches!(act, "reading" | "unread")
        && let Ok(worked) = state.notebook().sheet(open.sheet()?)?
    {
        let inside = worked
            .result
            .cells
            .get(place)
            .and_then(|c| c.judgement.as_ref())
            .is_none_or(|j| j.verdict == Verdict::Inside);
        let two = !open.sheet()?.disagreeing(place).is_empty();
        if inside && !two {
            on = next_place(&spots(open.sheet()?, &worked, &Kinds::new()), Some(place)).unwrap_or(on);
        }
    }
    let query = if on.is_empty() { String::new() } else { format!("?place={}", crate::accounts::escape(&on)) };
    Ok(to(&format!("{}{query}", open.here)))
}

fn body_of(
    act: &str,
    open: &Open,
    worked: &SheetState,
    sent: &Sent,
    errors: &mut Errors,
) -> Result<Option<Body>, Fault> {
    let sheet = open.sheet()?;
    let place = sent.text("place");
    let known = sent.ids("known");
    let newest = known.last().copied();
    Ok(match act {
        "reading" => reading(open.id, sheet, worked, sent, errors),
        "unread" => {
            let words = words(sent, errors, "unread", "Write why it cannot be read.");
            Some(Body::Reading(Reading {
                sheet: open.id,
                place,
                value: Value::NotRead(words),
                instrument: None,
                replaces: known,
                repeats: Vec::new(),
                remark: String::new(),
            }))
        }
        "keep" => {
            let because = words(sent, errors, "keep", "Write why it is kept.");
            Some(Body::LimitWaived(LimitWaived { sheet: open.id, place, reading: newest, because }))
        }
        "ask" => {
            let words = words(sent, errors, "ask", "Write the question.");
            let about = std::iter::once(open.id).chain(newest).collect();
            Some(Body::Question(Question { words, to: "builder".to_owned(), stops_hand_over: false, about, place }))
        }
        "back" => back(open.id, sheet, &place, errors),
        "together" => together(sheet, &place, errors),
        "finish" => Some(Body::SheetFinished(SheetFinished { sheet: open.id, remark: sent.text("remark") })),
        _ => None,
    })
}

fn words(sent: &Sent, errors: &mut Errors, field: &str, ask: &str) -> String {
    let words = sent.text("words");
    if words.is_empty() {
        errors.on(field, ask);
    }
    words
}

/// A text as a reading at a place of a sheet: a number in the unit of the place, or with its own.
pub(crate) fn read_typed(layout: &Layout, place: &str, typed: &str) -> Result<Value, String> {
    let Some((row, _)) = layout.find(place) else {
        return Err(format!("the sheet has no place \"{place}\""));
    };
    // What is shown has a true minus and thousands marks; both may be sent back as they are.
    let tidy = typed.trim().replace('\u{2212}', "-");
    if tidy.is_empty() {
        return Err("a number is expected here".to_owned());
    }
    Stated::read(&tidy, row.kind, Some(&row.unit)).map(Value::Quantity).map_err(|e| e.to_string())
}

fn reading(id: Id, sheet: &Sheet, worked: &SheetState, sent: &Sent, errors: &mut Errors) -> Option<Body> {
    let place = sent.text("place");
    let value = match read_typed(&worked.layout, &place, sent.get("typed")) {
        Ok(value) => value,
        Err(words) => {
            errors.on("typed", sentence(&words));
            return None;
        }
    };
    let known = sent.ids("known");
    let repeat = sent.get("act") == "repeat";
    let (replaces, repeats) = if repeat { (Vec::new(), known) } else { (known, Vec::new()) };
    let instrument = instrument(sheet, worked, &place, sent.get("instrument"));
    Some(Body::Reading(Reading { sheet: id, place, value, instrument, replaces, repeats, remark: String::new() }))
}

/// The instrument chosen; none for the sheet's usual one at a place that it is meant for.
fn instrument(sheet: &Sheet, worked: &SheetState, place: &str, key: &str) -> Option<InstrumentUsed> {
    let all = &sheet.begun.value.instruments;
    let at = all.iter().position(|used| used.key == key)?;
    let (row, _) = worked.layout.find(place)?;
    let usual = at == 0 && row.instrument == worked.template.instrument;
    (!usual).then(|| all[at].clone())
}

/// What stood before stands again, or else the only reading is struck.
fn back(id: Id, sheet: &Sheet, place: &str, errors: &mut Errors) -> Option<Body> {
    let Some(newest) = sheet.reading(place) else {
        errors.whole("Nothing stands here that could be taken back.");
        return None;
    };
    let all = sheet.readings.get(place).map_or(&[][..], Vec::as_slice);
    let before = newest.value.replaces.last().and_then(|of| all.iter().find(|r| r.id == *of));
    Some(match before {
        Some(before) => Body::Reading(Reading {
            sheet: id,
            place: place.to_owned(),
            value: before.value.value.clone(),
            instrument: before.value.instrument.clone(),
            replaces: vec![newest.id],
            repeats: Vec::new(),
            remark: "taken back".to_owned(),
        }),
        None => Body::Struck(Struck { of: newest.id, because: "taken back at the sheet".to_owned() }),
    })
}

/// Two readings that disagreed are repeats of each other: the newest says so.
fn together(sheet: &Sheet, place: &str, errors: &mut Errors) -> Option<Body> {
    let (Some(newest), others) = (sheet.reading(place), sheet.disagreeing(place)) else {
        errors.whole("Nothing disagrees here any more.");
        return None;
    };
    if others.is_empty() {
        errors.whole("Nothing disagrees here any more.");
        return None;
    }
    let mut now = newest.value.clone();
    now.repeats.extend(others.iter().map(|r| r.id));
    Some(Body::Correction(Box::new(Correction {
        of: newest.id,
        replaces: vec![newest.version],
        because: "both readings count".to_owned(),
        now: Body::Reading(now),
    })))
}

//! The notebook: every entry of a job by day, and one entry with its corrections, the forms to correct and to strike it.

use super::draw::Draw;
use super::forms::{self, Ctx};
use super::photos::thumb_of_line;
use super::sent::{Errors, Sent};
use super::shared::{ENTRY, OfJob, again, entry_name, id_of, instruments, job_of, missing, page, to, write_one};
use super::writer::barred;
use super::{add, conflicts, entry_words};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{date_of, day_and_clock, thousands};
use axum::extract::{Path, Query, State};
use axum::response::Response;
use jiff::civil::Date;
use maud::{Markup, html};
use notebook::JobView;
use record::{Body, Correction, Entry, Id, Line, Struck};
use serde::Deserialize;

/// Lines on one page.
const MOST: usize = 200;

/// What part of the notebook is asked for.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    /// Readings too: a sheet has many.
    #[serde(default)]
    readings: String,
    /// Page, from 1.
    #[serde(default)]
    page: String,
}

/// The page of all entries, newest day first.
pub(crate) async fn list(
    State(state): State<AppState>,
    prefs: Prefs,
    OfJob(view): OfJob,
    Query(asked): Query<Asked>,
) -> Result<Response, Fault> {
    let number = view.row.number;
    let base = format!("/jobs/{number}/notebook");
    let all_readings = asked.readings == "all";
    let mut lines: Vec<&Line> = view.job.lines.iter().filter(|l| all_readings || l.kind != "reading").collect();
    lines.sort_by_key(|l| (std::cmp::Reverse(l.at), std::cmp::Reverse(l.id)));
    let readings = view.job.lines.iter().filter(|l| l.kind == "reading").count();
    let at_page = asked.page.parse::<usize>().unwrap_or(1).max(1);
    let pages = lines.len().div_ceil(MOST).max(1);
    let shown: Vec<&Line> = lines.iter().skip((at_page - 1) * MOST).take(MOST).copied().collect();
    let struck = view.job.lines.iter().filter(|l| l.superseded).count();
    let authors = {
        let mut names: Vec<&str> = view.job.lines.iter().map(|l| l.author.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        names.len()
    };
    let body = html! {
        div.head {
            h1 { "Notebook" }
            p.finding {
                (thousands(view.entries.len() as f64)) " " (super::job::plural(view.entries.len(), "entry", "entries")) " by " (crate::words::count(authors)) " " (super::job::plural(authors, "person", "people")) "."
                @if struck > 0 { " " (crate::words::count_capital(struck)) " " (super::job::plural(struck, "was", "were")) " corrected or struck; they stay readable." }
                " Nothing is ever rubbed out."
            }
            div.acts { a.btn.main href={(base) "/new"} { "Write a note" } }
        }
        (conflicts::banner(&view))
        @if !view.job.misfits.is_empty() {
            div.banner role="alert" { (crate::marks::flag()) div {
                p.what { "Entries that do not count, because of what they refer to:" }
                ul.plainlist { @for misfit in &view.job.misfits { li { a href={(base) "/" (misfit.entry)} { "look at it" } ": " (misfit.why) } } }
            } }
        }
        @if readings > 0 {
            p.small { @if all_readings { a href=(base) { "Without the " (thousands(readings as f64)) " readings of the sheets" } } @else { a href={(base) "?readings=all"} { "With the " (thousands(readings as f64)) " readings of the sheets" } } }
        }
        (days(&view, &shown))
        @if pages > 1 {
            nav.row aria-label="Pages of the notebook" {
                @let query = if all_readings { "&readings=all" } else { "" };
                @if at_page > 1 { a.btn href={(base) "?page=" (at_page - 1) (query)} { "Newer" } }
                span.quiet { "Page " (at_page) " of " (pages) }
                @if at_page < pages { a.btn href={(base) "?page=" (at_page + 1) (query)} { "Older" } }
            }
        }
    };
    Ok(page(&state, &prefs, &view, "Notebook", &base, body))
}

fn days(view: &JobView, lines: &[&Line]) -> Markup {
    let mut by_day: Vec<(Date, Vec<&Line>)> = Vec::new();
    for line in lines {
        let day = date_of(line.at);
        match by_day.last_mut() {
            Some((last, of_it)) if *last == day => of_it.push(line),
            _ => by_day.push((day, vec![line])),
        }
    }
    let number = view.row.number;
    html! {
        @for (day, lines) in &by_day {
            section.sec.day {
                h2 { (day.strftime("%A, %-d %B %Y").to_string()) }
                ol.lines { @for line in lines {
                    li.gone[line.superseded] {
                        span.clock { (crate::words::clock(&line.at.to_string())) }
                        (thumb_of_line(view, line.id))
                        div {
                            p { a href={"/jobs/" (number) "/notebook/" (line.id)} { (line.words) } }
                            p.small.faint { (entry_words::kind(line.kind)) ", " (line.author) @if line.superseded { ", corrected or struck later" } }
                        }
                    }
                } }
            }
        }
    }
}

/// One entry.
pub(crate) async fn entry(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    Path((number, id)): Path<(String, String)>,
    Query(open): Query<Open>,
) -> Result<Response, Fault> {
    let view = job_of(&state, &number)?;
    let id = id_of(&id, &view)?;
    let tried =
        if open.open == "correct" { Tried::Nothing { correct: true } } else { Tried::Nothing { correct: false } };
    shown(&state, &prefs, &who, &view, id, &tried)
}

/// Which form stands open.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Open {
    #[serde(default)]
    open: String,
}

/// What was tried and refused.
enum Tried<'a> {
    Nothing { correct: bool },
    Correct(&'a Sent, &'a Errors),
    Strike(&'a Sent, &'a Errors),
}

/// Writes a correction.
pub(crate) async fn correct(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    Path((number, id)): Path<(String, String)>,
    sent: Sent,
) -> Result<Response, Fault> {
    let view = job_of(&state, &number)?;
    let of = id_of(&id, &view)?;
    let (_, now) = as_it_stands(&view, of).ok_or_else(|| missing(&view, "that entry"))?;
    let shop = instruments(&state)?;
    let mut errors = Errors::default();
    errors.need(&sent, "because_corrected", "Say why it is corrected.");
    let ctx = Ctx { view: &view, instruments: &shop };
    if let Some(body) = forms::read(&now, &sent, &mut errors, ctx).filter(|_| errors.none()) {
        if body == now {
            errors.whole("Nothing is different from what it says already. Nothing was written.");
        } else {
            let correction =
                Correction { of, replaces: sent.ids("replaces"), because: sent.text("because_corrected"), now: body };
            if write_one(&state, &view, entry_name(&sent), Body::Correction(Box::new(correction)), &who, &mut errors)
                .await?
            {
                return Ok(to(&format!("/jobs/{}/notebook/{of}", view.row.number)));
            }
        }
    }
    Ok(again(shown(&state, &prefs, &who, &view, of, &Tried::Correct(&sent, &errors))?))
}

/// Strikes an entry.
pub(crate) async fn strike(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    Path((number, id)): Path<(String, String)>,
    sent: Sent,
) -> Result<Response, Fault> {
    let view = job_of(&state, &number)?;
    let of = id_of(&id, &view)?;
    if conflicts::body_of(&view, of).is_none() {
        return Err(missing(&view, "that entry"));
    }
    let mut errors = Errors::default();
    errors.need(&sent, "because_struck", "Say why it does not count.");
    if errors.none() {
        let body = Body::Struck(Struck { of, because: sent.text("because_struck") });
        if write_one(&state, &view, entry_name(&sent), body, &who, &mut errors).await? {
            return Ok(to(&format!("/jobs/{}/notebook/{of}", view.row.number)));
        }
    }
    Ok(again(shown(&state, &prefs, &who, &view, of, &Tried::Strike(&sent, &errors))?))
}

/// The versions of an entry that stand, and what it says now.
fn as_it_stands(view: &JobView, of: Id) -> Option<(Vec<Id>, Body)> {
    let first = conflicts::body_of(view, of)?;
    let struck = struck(view);
    let mut versions: Vec<(Id, &Body, &[Id])> = vec![(of, first, &[])];
    for entry in &view.entries {
        if let Body::Correction(it) = &entry.body
            && it.of == of
            && !struck.contains(&entry.id)
        {
            versions.push((entry.id, &it.now, &it.replaces));
        }
    }
    let replaced: Vec<Id> = versions.iter().flat_map(|(_, _, r)| r.iter().copied()).collect();
    let mut left: Vec<(Id, &Body)> =
        versions.iter().map(|(id, body, _)| (*id, *body)).filter(|(id, _)| !replaced.contains(id)).collect();
    left.sort_by_key(|(id, _)| *id);
    let newest = left.last()?.1.clone();
    Some((left.into_iter().map(|(id, _)| id).collect(), newest))
}

/// Entries that were struck: a strike that was struck itself does not count.
fn struck(view: &JobView) -> Vec<Id> {
    let mut strikes: Vec<(Id, Id)> = view
        .entries
        .iter()
        .filter_map(|e| if let Body::Struck(s) = &e.body { Some((e.id, s.of)) } else { None })
        .collect();
    strikes.sort_by_key(|(id, _)| std::cmp::Reverse(*id));
    let mut gone = Vec::new();
    for (id, of) in strikes {
        if !gone.contains(&id) {
            gone.push(of);
        }
    }
    gone
}

fn shown(
    state: &AppState,
    prefs: &Prefs,
    who: &Who,
    view: &JobView,
    id: Id,
    tried: &Tried<'_>,
) -> Result<Response, Fault> {
    let Some(entry) = view.entries.iter().find(|e| e.id == id) else {
        return Err(missing(view, "that entry"));
    };
    let stored = state.store().entry(&id.to_string())?;
    let base = format!("/jobs/{}/notebook", view.row.number);
    let line = view.job.lines.iter().find(|l| l.id == id);
    let is_struck = struck(view).contains(&id);
    let (versions, now) = as_it_stands(view, id).unwrap_or_else(|| (vec![id], entry.body.clone()));
    let title = super::job::capital(entry_words::kind(entry.body.kind()));
    let body = html! {
        div.head {
            h1 { (title) }
            p.finding { (line.map_or("", |l| l.words.as_str())) }
            div.acts { (entry_words::page_of(view, entry)) }
        }
        (conflicts::banner(view))
        @if is_struck { div.banner.calm { (crate::marks::square()) div { p.what { "This entry was struck. It stays readable and does not count." } } } }
        @if versions.len() > 1 { div.banner role="alert" { (crate::marks::flag()) div { p.what { "Two corrections of it were written without knowing of each other. A correction that takes the place of both settles it: correct it once more below." } } } }
        div.twocol {
            section.sec.heavy {
                h2 { @if now == entry.body { "What it says" } @else { "What it says now" } }
                (entry_words::said(&now, view))
            }
            aside.sec.heavy aria-label="About this entry" {
                h2 { "About this entry" }
                dl.hangs {
                    dt { "Written by" } dd { (entry.author) }
                    dt { "Written" } dd { (day_and_clock(&entry.at.to_string())) " by the writer\u{2019}s clock" }
                    @if let Some(stored) = &stored {
                        dt { "Saved in the shop" } dd { (day_and_clock(&stored.received)) }
                        dt { "Entry" } dd { (stored.number) " of this job" }
                        dt { "Chain" } dd.hash { (stored.hash.get(..16).unwrap_or_default()) "\u{2026}" }
                    }
                }
            }
        }
        (history(view, entry))
        @if !is_struck && forms::has_form(&entry.body) { (correct_form(state, who, view, id, &versions, &now, tried)?) }
        @if !is_struck && !matches!(entry.body, Body::JobOpened(_)) { (strike_form(view, id, tried)) }
    };
    Ok(page(state, prefs, view, &title, &base, body))
}

/// The entry as it was first written, and each correction and strike of it.
fn history(view: &JobView, entry: &Entry) -> Markup {
    let number = view.row.number;
    let mut later: Vec<&Entry> = view
        .entries
        .iter()
        .filter(|e| match &e.body {
            Body::Correction(it) => it.of == entry.id,
            Body::Struck(it) => it.of == entry.id,
            _ => false,
        })
        .collect();
    later.sort_by_key(|e| e.id);
    html! {
        @if !later.is_empty() {
            section.sec {
                h2 { "How it came to this" }
                ol.history {
                    li { p.small.faint { "First, " (entry.author) ", " (day_and_clock(&entry.at.to_string())) } (entry_words::said(&entry.body, view)) }
                    @for entry in later {
                        li {
                            p.small.faint { (entry.author) ", " (day_and_clock(&entry.at.to_string())) ", " a href={"/jobs/" (number) "/notebook/" (entry.id)} { "its own entry" } }
                            @match &entry.body {
                                Body::Correction(it) => { p { "Corrected: " (it.because) } (entry_words::said(&it.now, view)) },
                                Body::Struck(it) => p { "Struck: " (it.because) },
                                _ => {}
                            }
                        }
                    }
                }
            }
        }
    }
}

fn correct_form(
    state: &AppState,
    who: &Who,
    view: &JobView,
    id: Id,
    versions: &[Id],
    now: &Body,
    tried: &Tried<'_>,
) -> Result<Markup, Fault> {
    let shop = instruments(state)?;
    let filled = forms::fill(now);
    let none = Errors::default();
    let (sent, errors, open) = match tried {
        Tried::Correct(sent, errors) => (*sent, *errors, true),
        Tried::Nothing { correct } => (&filled, &none, *correct),
        Tried::Strike(..) => (&filled, &none, false),
    };
    let address = format!("/jobs/{}/notebook/{id}", view.row.number);
    let draw = Draw { sent, errors };
    Ok(html! {
        details.fold #correct open[open] {
            summary { "Correct it " span { "the entry stays, with the correction beside it" } }
            div {
                form.entry method="post" action={(address) "/correct"} {
                    input type="hidden" name=(ENTRY) value=(entry_name(sent));
                    @for version in versions { input type="hidden" name="replaces" value=(version); }
                    (forms::fields(now, draw, Ctx { view, instruments: &shop }))
                    (draw.area("because_corrected", "Why it is corrected", "", 2))
                    (add::send("Write the correction down", barred(who, now), &address))
                }
            }
        }
    })
}

fn strike_form(view: &JobView, id: Id, tried: &Tried<'_>) -> Markup {
    let empty = (Sent::default(), Errors::default());
    let (sent, errors, open) = match tried {
        Tried::Strike(sent, errors) => (*sent, *errors, true),
        _ => (&empty.0, &empty.1, false),
    };
    let address = format!("/jobs/{}/notebook/{id}", view.row.number);
    let draw = Draw { sent, errors };
    html! {
        details.fold #strike open[open] {
            summary { "Strike it " span { "it stays readable and does not count any more" } }
            div {
                form.entry method="post" action={(address) "/strike"} {
                    input type="hidden" name=(ENTRY) value=(entry_name(sent));
                    (draw.trouble())
                    (draw.area("because_struck", "Why it does not count", "", 2))
                    p.row.send { button.btn type="submit" { "Strike it" } }
                }
            }
        }
    }
}

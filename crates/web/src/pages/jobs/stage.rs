//! The gate to the next stage: what is missing, and going on all the same with a reason. The hand-over is the last gate.

use super::add;
use super::conflicts;
use super::draw::Draw;
use super::job::plural;
use super::sent::{Errors, Sent};
use super::shared::{ENTRY, OfJob, again, entry_name, page, to, write_one};
use super::trail::reached;
use super::writer::barred;
use crate::accounts::Who;
use crate::fault::Fault;
use crate::marks;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{count, count_capital, day_and_clock, short_day};
use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};
use notebook::JobView;
use record::{Body, Conflict, HandedOver, Id, Missing, Stage, StagePassed, gate};

/// The page of the gate.
pub(crate) async fn show(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    OfJob(view): OfJob,
) -> Result<Response, Fault> {
    gate_page(&state, &prefs, &who, &view, &Sent::default(), &Errors::default())
}

/// Passes the gate.
pub(crate) async fn pass(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    OfJob(view): OfJob,
    sent: Sent,
) -> Result<Response, Fault> {
    let mut errors = Errors::default();
    let wanted = Stage::from_key(sent.get("to")).filter(|to| *to > view.job.stage() && *to != Stage::HandedOver);
    match wanted {
        None => errors.whole(format!(
            "The job is in \u{201c}{}\u{201d} by now; the gate that was sent lies behind it. Nothing was written.",
            view.job.stage().name()
        )),
        Some(stage) => {
            let in_spite_of = reasons(&state, &view, stage, &sent, &mut errors)?;
            let body = Body::StagePassed(StagePassed { to: stage, in_spite_of, remark: sent.text("remark") });
            if errors.none() && write_one(&state, &view, entry_name(&sent), body, &who, &mut errors).await? {
                return Ok(to(&format!("/jobs/{}", view.row.number)));
            }
        }
    }
    Ok(again(gate_page(&state, &prefs, &who, &view, &sent, &errors)?))
}

/// The page of the hand-over.
pub(crate) async fn hand_over(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    OfJob(view): OfJob,
) -> Result<Response, Fault> {
    let mut sent = Sent::default();
    if let Some(opened) = &view.job.opened {
        sent.put("to", opened.value.owner.clone());
    }
    hand_over_page(&state, &prefs, &who, &view, &sent, &Errors::default())
}

/// Hands the engine over.
pub(crate) async fn hand_it_over(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    OfJob(view): OfJob,
    sent: Sent,
) -> Result<Response, Fault> {
    let mut errors = Errors::default();
    errors.need(&sent, "to", "Say to whom the engine goes.");
    let in_spite_of = reasons(&state, &view, Stage::HandedOver, &sent, &mut errors)?;
    if errors.none() {
        let body = Body::HandedOver(HandedOver {
            to: sent.text("to"),
            in_spite_of,
            care: sent.text("care"),
            remark: sent.text("remark"),
        });
        if write_one(&state, &view, entry_name(&sent), body, &who, &mut errors).await? {
            return Ok(to(&format!("/jobs/{}/hand-over", view.row.number)));
        }
    }
    Ok(again(hand_over_page(&state, &prefs, &who, &view, &sent, &errors)?))
}

/// The reasons given, one for each thing that is missing now. A missing reason is said at its field.
fn reasons(
    state: &AppState,
    view: &JobView,
    to: Stage,
    sent: &Sent,
    errors: &mut Errors,
) -> Result<Vec<(String, String)>, Fault> {
    let facts = state.notebook().facts(view)?;
    let mut given = Vec::new();
    let mut lacking = 0;
    for missing in gate(&view.job, to, &facts) {
        let why = sent.text(&field_of(&missing.key));
        if why.is_empty() {
            lacking += 1;
            errors.on(&field_of(&missing.key), "Settle it, or say why it goes on all the same.");
        } else {
            given.push((missing.key, why));
        }
    }
    if lacking > 0 {
        errors.whole(format!(
            "The gate to \u{201c}{}\u{201d} stays shut: {} missing and no reason was given.",
            to.name(),
            if lacking == 1 { "one thing is".to_owned() } else { format!("{} things are", count(lacking)) }
        ));
    }
    Ok(given)
}

/// Name of the field for the reason of a missing thing.
fn field_of(key: &str) -> String {
    format!("why:{key}")
}

fn gate_page(
    state: &AppState,
    prefs: &Prefs,
    who: &Who,
    view: &JobView,
    sent: &Sent,
    errors: &Errors,
) -> Result<Response, Fault> {
    let number = view.row.number;
    let address = format!("/jobs/{number}/stage");
    let stage = view.job.stage();
    let next = stage.next().filter(|n| *n != Stage::HandedOver);
    let body = match next {
        None => html! {
            div.head {
                h1 { "Gate" }
                p.finding { @if stage == Stage::HandedOver { "This engine is handed over; no gate is left." } @else { "What is left is the hand-over." } }
                div.acts { a.btn.main href={"/jobs/" (number) "/hand-over"} { "To the hand-over" } }
            }
            (passed(view))
        },
        Some(next) => {
            let missing = gate(&view.job, next, &state.notebook().facts(view)?);
            let draw = Draw { sent, errors };
            html! {
                div.head {
                    h1 { "Gate to \u{201c}" (next.name()) "\u{201d}" }
                    p.finding { "The job stands at \u{201c}" (stage.name()) "\u{201d}. " (gate_words(&missing)) }
                }
                (conflicts::banner(view))
                form.entry #gate method="post" action=(address) {
                    input type="hidden" name=(ENTRY) value=(entry_name(sent));
                    input type="hidden" name="to" value=(next.key());
                    (draw.trouble())
                    (missing_list(view, &missing, draw))
                    (draw.area("remark", "A remark", "May stay empty", 2))
                    (add::send(&format!("Pass to \u{201c}{}\u{201d}", next.name()), barred(who, &Body::StagePassed(StagePassed { to: next, in_spite_of: Vec::new(), remark: String::new() })), &format!("/jobs/{number}")))
                }
                (passed(view))
            }
        }
    };
    Ok(page(state, prefs, view, "Gate", &address, body))
}

fn hand_over_page(
    state: &AppState,
    prefs: &Prefs,
    who: &Who,
    view: &JobView,
    sent: &Sent,
    errors: &Errors,
) -> Result<Response, Fault> {
    let number = view.row.number;
    let address = format!("/jobs/{number}/hand-over");
    let body = match &view.job.handed_over {
        Some(kept) => {
            let it = &kept.value;
            html! {
                div.head {
                    h1 { "Hand-over" }
                    p.finding { "Handed over to " (it.to) ", " (day_and_clock(&kept.at.to_string())) @match it.in_spite_of.len() { 0 => ". Nothing was left open.", n => { ". " b { (count_capital(n)) " " (plural(n, "doubt", "doubts")) " went with it." } } } }
                    div.acts { a.btn href={"/jobs/" (number) "/notebook/" (kept.id)} { "In the notebook" } }
                }
                @if !it.in_spite_of.is_empty() { section.sec.heavy { h2 { "What it left with" } (spite_list(view, &it.in_spite_of)) } }
                @if !it.care.is_empty() { section.sec { h2 { "Look after it" } p.lines-kept { (it.care) } } }
                @if !it.remark.is_empty() { section.sec { h2 { "Remark" } p.lines-kept { (it.remark) } } }
                (passed(view))
            }
        }
        None => {
            let missing = gate(&view.job, Stage::HandedOver, &state.notebook().facts(view)?);
            let draw = Draw { sent, errors };
            html! {
                div.head {
                    h1 { "Hand-over" }
                    p.finding {
                        @if view.job.stage() < Stage::OnDyno { "The job stands at \u{201c}" (view.job.stage().name()) "\u{201d}; every gate up to here is asked. " }
                        (gate_words(&missing))
                    }
                }
                (conflicts::banner(view))
                form.entry #gate method="post" action=(address) {
                    input type="hidden" name=(ENTRY) value=(entry_name(sent));
                    (draw.trouble())
                    (missing_list(view, &missing, draw))
                    div.formcols {
                        (draw.line("to", "To whom the engine goes", ""))
                        (draw.area("care", "Look after it", "Oil, first change, fuels not to be used", 3))
                        (draw.area("remark", "A remark", "May stay empty", 2))
                    }
                    (add::send("Hand it over", barred(who, &Body::HandedOver(HandedOver { to: String::new(), in_spite_of: Vec::new(), care: String::new(), remark: String::new() })), &format!("/jobs/{number}")))
                }
            }
        }
    };
    Ok(page(state, prefs, view, "Hand-over", &address, body))
}

/// What the gate says first.
fn gate_words(missing: &[Missing]) -> Markup {
    let stops = missing.iter().filter(|m| m.stops).count();
    html! {
        @match missing.len() {
            0 => "Nothing is missing.",
            n => b { (count_capital(n)) " " (plural(n, "thing is", "things are")) " missing." },
        }
        @if stops > 0 { " " (count_capital(stops)) " " (plural(stops, "risks", "risk")) " the engine or people." }
        @else if !missing.is_empty() { " Each can be settled, or passed with a reason that stays in the record." }
    }
}

/// Everything that is missing, each with where to settle it and a field for the reason.
fn missing_list(view: &JobView, missing: &[Missing], draw: Draw<'_>) -> Markup {
    html! {
        @if missing.is_empty() { p.row.clear { (marks::accepted()) "The gate is open." } }
        @else {
            ol.missing.heavy {
                @for it in missing {
                    @let field = field_of(&it.key);
                    @let fault = draw.errors.of(&field);
                    li {
                        @if it.stops { (marks::diamond()) } @else { (marks::asks()) }
                        div {
                            p { @if it.stops { b.beyond { (it.words) } } @else { (it.words) } " " a href=(settle(view, it)) { "Settle it" } }
                            div.ask {
                                label for=(field) { "Or why it goes on all the same" }
                                input.field id=(field) name=(field) value=(draw.sent.get(&field)) autocomplete="off" aria-invalid=[fault.map(|_| "true")] aria-describedby=[fault.map(|_| format!("e-{field}"))];
                                @if let Some(words) = fault { p.fault id={"e-" (field)} { (words) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The page on which a missing thing is settled.
fn settle(view: &JobView, missing: &Missing) -> String {
    let base = format!("/jobs/{}", view.row.number);
    let (kind, rest) = missing.key.split_once(':').unwrap_or((missing.key.as_str(), ""));
    let about = missing.about.map(|id| id.to_string()).unwrap_or_default();
    match kind {
        "opened" => format!("{base}/intake"),
        "claims" => format!("{base}/claims/new"),
        "tests_before" => format!("{base}/before"),
        "owners_yes" => format!("{base}/decisions/new?agrees={rest}"),
        "verdict" | "claim" | "promise" => format!("{base}/claims/{about}"),
        "finding" | "stop" => format!("{base}/decisions/new?settles={about}"),
        "build" => format!("{base}/build"),
        "promises" => format!("{base}/promises/new"),
        "sheets" => format!("{base}/sheets"),
        "sheet" | "outside" | "undecided" | "unread" | "tainted" => format!("{base}/sheets/{about}"),
        "runs" => format!("{base}/runs"),
        "pulls" | "repeats" | "factor" | "flags" => format!("/runs/{rest}"),
        "question" => format!("{base}/questions#q-{about}"),
        "conflict" => {
            let first: Option<Id> = rest.parse().ok();
            let conflict = first.and_then(|id| view.job.conflicts.iter().find(|c: &&Conflict| c.entries.contains(&id)));
            conflict.map_or_else(|| format!("{base}/notebook"), |c| conflicts::settle_at(view, c))
        }
        _ => base,
    }
}

/// Gates that were passed, with what was missing and why.
fn passed(view: &JobView) -> Markup {
    let passed: Vec<_> =
        Stage::ALL.into_iter().filter_map(|stage| Some((stage, view.job.passed.get(&stage)?))).collect();
    html! {
        @if !passed.is_empty() {
            section.sec {
                h2 { "Gates passed" }
                ol.history {
                    @for (stage, kept) in passed {
                        li {
                            p { b { (stage.name()) } ", " (reached(view, stage).map_or_else(String::new, |at| short_day(&at))) ", " (kept.author) }
                            @if !kept.value.in_spite_of.is_empty() { (spite_list(view, &kept.value.in_spite_of)) }
                            @if !kept.value.remark.is_empty() { p.quiet { (kept.value.remark) } }
                        }
                    }
                }
            }
        }
    }
}

/// What was missing at a gate, and the reasons.
fn spite_list(view: &JobView, list: &[(String, String)]) -> Markup {
    html! { ul.plainlist { @for (key, why) in list { li { (key_words(view, key)) ": " (why) } } } }
}

/// A missing thing by its key, in words: what was missing then may be there by now.
fn key_words(view: &JobView, key: &str) -> String {
    let (kind, rest) = key.split_once(':').unwrap_or((key, ""));
    let about: Option<Id> = rest.split(':').next().and_then(|id| id.parse().ok());
    let line =
        about.and_then(|id| view.job.lines.iter().find(|l| l.id == id)).map(|l| super::forms::shorten(&l.words, 80));
    let words = match kind {
        "opened" => "Not written down at the door",
        "claims" => "No claim written down",
        "tests_before" => "No test before teardown",
        "owners_yes" => "The owner\u{2019}s yes",
        "verdict" | "claim" => "No verdict",
        "promise" => "Promise not proved",
        "finding" => "Grave finding without the owner\u{2019}s decision",
        "stop" => "Finding that stops",
        "build" => "Build",
        "promises" => "No promise written down",
        "sheets" => "No measuring sheet",
        "sheet" => "Sheet not signed",
        "outside" => "Outside its limit",
        "undecided" => "The gauge cannot tell",
        "unread" => "Places without a reading",
        "tainted" => "Instrument out of calibration",
        "runs" => "No run on the dyno",
        "pulls" => "Fewer than three pulls",
        "repeats" => "Repeatability",
        "factor" => "Factor to standard air",
        "flags" => "Flags not explained",
        "question" => "Question not answered",
        "conflict" => "Not settled",
        other => return other.replace('_', " "),
    };
    match (line, rest) {
        (Some(line), _) => format!("{words}: {line}"),
        (None, "") => words.to_owned(),
        (None, rest) => format!("{words} ({})", rest.replace('_', " ")),
    }
}

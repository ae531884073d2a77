//! What the logs of a run leave open, and the answers given.

use super::acts::{AUTHOR, take_in_fault, to_run};
use super::trail::{Shown, trail};
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::pages::dynos;
use crate::prefs::Prefs;
use crate::readings::{Found, Reading, reading, run_of};
use crate::state::AppState;
use crate::words::count;
use axum::Form;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use pull::cell::Answers;
use pull::role::Role;
use store::RunState;
use takein::Question;

/// The page.
pub(crate) async fn page(
    State(state): State<AppState>,
    prefs: Prefs,
    Path(number): Path<String>,
) -> Result<Response, Fault> {
    let run = run_of(&state, &number)?;
    let reading = reading(&state, run).await?;
    Ok(frame::respond(&state, &prefs, questions_page(&reading, None)))
}

fn questions_page(reading: &Reading, fault: Option<&str>) -> Page {
    let run = &reading.run;
    let body = html! {
        div.head {
            h1 { "Run " (run.number) ": " (run.title) }
            p.finding { @match &reading.found {
                Found::Asking(questions) => { b { (asks(questions.len())) } " A curve is drawn when they are answered; nothing is guessed." },
                Found::Ready(_) => "Nothing is open. These answers were given.",
                Found::Trouble(_) => "The logs of this run cannot be read any more.",
            } }
        }
        @if let Found::Trouble(text) = &reading.found { (super::view::trouble(text)) }
        @if let Some(fault) = fault { div.banner role="alert" { (crate::marks::flag()) div { p.what { (fault) } } } }
        @if let Found::Asking(questions) = &reading.found { (form(reading, questions)) }
        (given(&reading.answers))
        @if matches!(reading.found, Found::Ready(_)) { p.row { a.btn href={"/runs/" (run.number)} { "Look at the run" } } }
    };
    Page {
        title: format!("Run {}, questions", run.number),
        place: Place::Run,
        trail: Some(trail(run, Shown::Questions)),
        body,
    }
}

fn asks(n: usize) -> String {
    match n {
        1 => "One thing cannot be told from the logs.".to_owned(),
        n => {
            let words = count(n);
            let mut chars = words.chars();
            let first: String = chars.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
            format!("{first}{} things cannot be told from the logs.", chars.as_str())
        }
    }
}

fn form(reading: &Reading, questions: &[Question]) -> Markup {
    html! {
        form #questions method="post" action={"/runs/" (reading.run.number) "/questions"} {
            input type="hidden" name="revision" value=(reading.run.revision);
            ol.questions {
                @for (i, question) in questions.iter().enumerate() { li { (ask(i, question)) } }
            }
            div.row {
                button.btn.main type="submit" { "Read it this way" }
                @if let Some(dyno) = &reading.run.dyno {
                    label.tickbox { input type="checkbox" name="remember" value="yes" checked; "Remember for dyno " (dyno) ", so that it is asked once" }
                } @else {
                    span.quiet { "No dyno was named, so the answers stand for this run alone." }
                }
            }
        }
    }
}

fn ask(i: usize, question: &Question) -> Markup {
    let name = format!("a{i}");
    html! {
        input type="hidden" name={"k" (i)} value=(key(question));
        fieldset {
            legend { (question.sentence) }
            p.found-line { b { (question.log) } @if let Some(column) = &question.column { ", column \u{201c}" (column) "\u{201d}" } }
            @if question.choices.is_empty() {
                label for={"t" (i)} { (blank(&question.about)) }
                input.field.short #{"t" (i)} type="text" name=(name) autocomplete="off";
            } @else {
                div.pick {
                    @for (j, choice) in question.choices.iter().enumerate() {
                        label.choice for={"c" (i) "-" (j)} {
                            input #{"c" (i) "-" (j)} type="radio" name=(name) value=(choice);
                            (say(&question.about, choice))
                        }
                    }
                }
            }
        }
        p.found-line { "In the terminal: " code { (question.flag) } }
    }
}

fn key(question: &Question) -> String {
    format!("{}:{}", question.about, question.column.as_deref().unwrap_or(""))
}

fn blank(about: &str) -> &'static str {
    match about {
        "unit" => "Unit",
        "rate" => "Rows per second",
        _ => "Answer",
    }
}

/// A choice in words: role keys are no words.
fn say(about: &str, choice: &str) -> String {
    match (about, choice) {
        ("role", "none") => "of no interest".to_owned(),
        ("role", key) => Role::from_key(key).map_or_else(|| key.to_owned(), |role| role.label()),
        ("decimal", ".") => "a point".to_owned(),
        ("decimal", ",") => "a comma".to_owned(),
        ("date_order", "dmy") => "day, month, year".to_owned(),
        ("date_order", "mdy") => "month, day, year".to_owned(),
        ("date_order", "ymd") => "year, month, day".to_owned(),
        (_, other) => other.to_owned(),
    }
}

/// The answers that stand.
fn given(answers: &Answers) -> Markup {
    let mut rows: Vec<(String, String)> = Vec::new();
    rows.extend(answers.units.iter().map(|(column, unit)| (format!("Unit of \u{201c}{column}\u{201d}"), unit.clone())));
    rows.extend(answers.roles.iter().map(|(column, role)| (format!("\u{201c}{column}\u{201d} is"), say("role", role))));
    rows.extend(answers.decimal.map(|mark| ("Decimal mark".to_owned(), say("decimal", &mark.to_string()))));
    rows.extend(answers.rate_hz.map(|rate| ("Rows per second".to_owned(), rate.to_string())));
    if answers.leave_out_bad_rows {
        rows.push(("Rows that cannot be read".to_owned(), "left out, counted and listed".to_owned()));
    }
    html! {
        @if !rows.is_empty() {
            section.sec { h2 { "Answered" }
                table { thead { tr { th scope="col" { "What" } th scope="col" { "Answer" } } }
                    tbody { @for (what, answer) in &rows { tr { th scope="row" { (what) } td.said { (answer) } } } } }
            }
        }
    }
}

/// Takes answers: those given are kept, those left out stay open.
pub(crate) async fn answer(
    State(state): State<AppState>,
    prefs: Prefs,
    Path(number): Path<String>,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let run = run_of(&state, &number)?;
    let reading = reading(&state, run.clone()).await?;
    let get = |name: &str| fields.iter().find(|(key, _)| key == name).map(|(_, value)| value.trim());
    let revision: i64 = get("revision").and_then(|r| r.parse().ok()).unwrap_or(0);
    if revision != run.revision {
        return Err(Fault::Conflict { number: run.number });
    }
    let mut answers = reading.answers.clone();
    let mut date_order = None;
    let mut taken = 0;
    for i in 0.. {
        let Some(key) = get(&format!("k{i}")) else { break };
        let Some(value) = get(&format!("a{i}")).filter(|v| !v.is_empty()) else { continue };
        match put(&mut answers, &mut date_order, key, value) {
            Ok(()) => taken += 1,
            Err(words) => return Ok(again(&state, &prefs, &reading, &words)),
        }
    }
    if taken == 0 {
        return Ok(again(&state, &prefs, &reading, "No answer was picked; nothing was changed."));
    }
    let remember = get("remember") == Some("yes");
    if let Some(dyno) = run.dyno.clone().filter(|_| remember || date_order.is_some()) {
        dynos::remember(&state, &dyno, &answers, date_order.as_deref()).await?;
    } else if date_order.is_some() {
        return Ok(again(
            &state,
            &prefs,
            &reading,
            "The order of day and month belongs to a dyno, and this run names none; nothing was changed.",
        ));
    }
    let store = state.store().clone();
    let number = run.number;
    let answered = tokio::task::spawn_blocking(move || takein::answer(&store, &run, revision, answers, AUTHOR)).await?;
    let (run, _) = answered.map_err(|error| take_in_fault(number, error))?;
    Ok(match run.state {
        RunState::Asking => Redirect::to(&format!("/runs/{number}/questions")).into_response(),
        RunState::Ready => to_run(number),
    })
}

fn again(state: &AppState, prefs: &Prefs, reading: &Reading, words: &str) -> Response {
    let mut response = frame::respond(state, prefs, questions_page(reading, Some(words)));
    *response.status_mut() = axum::http::StatusCode::UNPROCESSABLE_ENTITY;
    response
}

/// Puts one answer where it belongs.
fn put(answers: &mut Answers, date_order: &mut Option<String>, key: &str, value: &str) -> Result<(), String> {
    let (about, column) = key.split_once(':').unwrap_or((key, ""));
    match about {
        "unit" => {
            answers.units.insert(column.to_owned(), value.to_owned());
        }
        "role" => {
            if value != "none" && Role::from_key(value).is_none() {
                return Err(format!(
                    "\u{201c}{value}\u{201d} is nothing that a channel can stand for; nothing was changed."
                ));
            }
            answers.roles.insert(column.to_owned(), value.to_owned());
        }
        "decimal" => match value {
            "." | "," => answers.decimal = value.chars().next(),
            _ => return Err(format!("\u{201c}{value}\u{201d} is no decimal mark: expected a point or a comma.")),
        },
        "rate" => match value.trim_end_matches("Hz").trim().replace(',', ".").parse::<f64>() {
            Ok(rate) if rate.is_finite() && rate > 0.0 => answers.rate_hz = Some(rate),
            _ => return Err(format!("\u{201c}{value}\u{201d} is no rate: expected rows per second, such as 50.")),
        },
        "date_order" => *date_order = Some(value.to_owned()),
        other => {
            return Err(format!(
                "This page does not know a question about \u{201c}{other}\u{201d}; nothing was changed."
            ));
        }
    }
    Ok(())
}

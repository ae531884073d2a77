//! What the logs of a run leave open, and the answers given.

use super::acts::{take_in_fault, to_run};
use super::trail::{Shown, trail};
use crate::accounts::InCell;
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::pages::dynos;
use crate::prefs::Prefs;
use crate::readings::{Found, OfRun, Reading, reading};
use crate::state::AppState;
use crate::words::count;
use axum::Form;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use pull::cell::Answers;
use pull::role::Role;
use pull::setup::Setup;
use store::{Run, RunChange, RunState};
use takein::{Question, statement};

/// The page.
pub(crate) async fn page(State(state): State<AppState>, prefs: Prefs, OfRun(run): OfRun) -> Result<Response, Fault> {
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
                Found::Ready(_, open) => { @if open.is_empty() { "Nothing is open." } @else { "Nothing stands before the curve. " (count(open.len())) @if open.len() == 1 { " channel is" } @else { " channels are" } " not used yet." } },
                Found::Trouble(_) => "The logs of this run cannot be read any more.",
            } }
        }
        @if let Found::Trouble(text) = &reading.found { (super::view::trouble(text)) }
        @if let Some(fault) = fault { div.banner role="alert" { (crate::marks::flag()) div { p.what { (fault) } } } }
        @match &reading.found {
            Found::Asking(questions) => (form(reading, questions, true)),
            Found::Ready(_, open) => {
                p.row { a.btn href={"/runs/" (run.number)} { "Look at the run" } }
                @if !open.is_empty() {
                    h2.apart { "May stay open" }
                    p.quiet { "These channels are not used until somebody says what they are. The curve does not need them." }
                    (form(reading, open, false))
                }
            },
            Found::Trouble(_) => {},
        }
        (given(&reading.answers))
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

fn form(reading: &Reading, questions: &[Question], must: bool) -> Markup {
    html! {
        form #questions method="post" action={"/runs/" (reading.run.number) "/questions"} {
            input type="hidden" name="revision" value=(reading.run.revision);
            ol.questions {
                @for (i, question) in questions.iter().enumerate() { li { (ask(i, question)) } }
            }
            div.row {
                button.btn.main[must] type="submit" { "Read it this way" }
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
    let asked = question.asked.as_ref();
    html! {
        input type="hidden" name={"k" (i)} value=(key(question));
        fieldset {
            legend { (asked.map_or(question.sentence.as_str(), |a| a.text.as_str())) }
            p.found-line {
                b { (question.log) } @if let Some(column) = &question.column { ", column \u{201c}" (column) "\u{201d}" }
                @if let Some(asked) = asked { @if !asked.found.trim().is_empty() { ". Found: " (asked.found.trim()) } }
            }
            @if question.choices.is_empty() {
                label for={"t" (i)} { (blank(&question.about)) }
                input.field.short #{"t" (i)} type="text" name=(name) autocomplete="off";
            } @else {
                div.pick {
                    @for (j, choice) in question.choices.iter().enumerate() {
                        @let said = asked.and_then(|a| a.choices.iter().find(|c| c.key == *choice));
                        label.choice for={"c" (i) "-" (j)} {
                            input #{"c" (i) "-" (j)} type="radio" name=(name) value=(choice);
                            span { (said.map_or_else(|| plain(choice), |c| c.label.clone())) @if let Some(said) = said { @if !said.why.is_empty() { small { (said.why) } } } }
                        }
                    }
                }
            }
        }
        p.found-line { "In the terminal: " code { (question.flag) } }
    }
}

/// The question's name in the form, to find it again.
fn key(question: &Question) -> String {
    match &question.asked {
        Some(asked) => asked.id.clone(),
        None => question.about.clone(),
    }
}

fn blank(about: &str) -> &'static str {
    match about {
        "unit" => "Unit",
        "rate" => "Rows per second",
        "arm" => "Length of the torque arm, with its unit",
        "fuel" => "Stoichiometric air\u{2013}fuel ratio of the fuel, such as 14.7",
        "column" => "Name of the column",
        _ => "Answer",
    }
}

fn plain(choice: &str) -> String {
    match choice {
        "leave_out" => "Go on without these rows; they are counted and listed".to_owned(),
        other => role_words(other),
    }
}

fn role_words(key: &str) -> String {
    match key {
        "none" => "of no interest".to_owned(),
        key => Role::from_key(key).map_or_else(|| key.to_owned(), |role| role.label()),
    }
}

/// The answers that stand.
fn given(answers: &Answers) -> Markup {
    let mut rows: Vec<(String, String)> = Vec::new();
    rows.extend(answers.units.iter().map(|(column, unit)| (format!("Unit of \u{201c}{column}\u{201d}"), unit.clone())));
    rows.extend(answers.roles.iter().map(|(column, role)| (format!("\u{201c}{column}\u{201d} is"), role_words(role))));
    rows.extend(
        answers
            .decimal
            .map(|mark| ("Decimal mark".to_owned(), if mark == ',' { "comma".to_owned() } else { "point".to_owned() })),
    );
    rows.extend(answers.rate_hz.map(|rate| ("Rows per second".to_owned(), rate.to_string())));
    rows.extend(answers.date_order.clone().map(|order| ("Order of day and month".to_owned(), order)));
    rows.extend(answers.arm.clone().map(|arm| ("Torque arm".to_owned(), arm)));
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
    InCell(who): InCell,
    prefs: Prefs,
    OfRun(run): OfRun,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let reading = reading(&state, run.clone()).await?;
    let get = |name: &str| fields.iter().find(|(key, _)| key == name).map(|(_, value)| value.trim());
    let revision: i64 = get("revision").and_then(|r| r.parse().ok()).unwrap_or(0);
    if revision != run.revision {
        return Err(Fault::Conflict { number: run.number });
    }
    let (Found::Asking(questions) | Found::Ready(_, questions)) = &reading.found else {
        return Ok(to_run(run.number));
    };
    let mut answers = reading.answers.clone();
    let (mut setup, mut cell) = (reading.stated.setup.clone(), reading.stated.cell.clone());
    let mut taken = 0;
    for i in 0..questions.len() {
        let Some(name) = get(&format!("k{i}")) else { continue };
        let Some(value) = get(&format!("a{i}")).filter(|v| !v.is_empty()) else { continue };
        let Some(question) = questions.iter().find(|q| key(q) == name) else { continue };
        let put = if question.about == "fuel" {
            statement::state(&mut setup, &mut cell, "stoich", value, &who.name)
                .map_err(|e| e.to_string().replace("\n  go on    ", "; "))
        } else {
            takein::reply(question, value, &mut answers)
        };
        match put {
            Ok(()) => taken += 1,
            Err(words) => return Ok(again(&state, &prefs, &reading, &words)),
        }
    }
    if taken == 0 {
        return Ok(again(&state, &prefs, &reading, "No answer was picked; nothing was changed."));
    }
    if let Some(dyno) = run.dyno.as_deref().filter(|_| get("remember") == Some("yes")) {
        dynos::remember(&state, dyno, &run, answers.clone(), setup.clone()).await?;
    }
    let run = save(&state, run, &who.name, revision, answers, (setup != reading.stated.setup).then_some(setup)).await?;
    Ok(match run.state {
        RunState::Asking => Redirect::to(&format!("/runs/{}/questions", run.number)).into_response(),
        RunState::Ready => to_run(run.number),
    })
}

/// Works the run out with the answers, and with the statements if an answer was one, and saves both.
async fn save(
    state: &AppState,
    mut run: Run,
    by: &str,
    revision: i64,
    answers: Answers,
    setup: Option<Setup>,
) -> Result<Run, Fault> {
    let (store, by) = (state.store().clone(), by.to_owned());
    let number = run.number;
    let saved = tokio::task::spawn_blocking(move || match setup {
        None => takein::answer(&store, &run, revision, answers, &by),
        Some(setup) => {
            let json = serde_json::to_string(&answers).unwrap_or_else(|_| run.answers_json.clone());
            run.answers_json.clone_from(&json);
            takein::restate(&store, &run, revision, setup, &[RunChange::Answers { json }], &by)
        }
    })
    .await?;
    saved.map(|(run, _)| run).map_err(|error| take_in_fault(number, error))
}

fn again(state: &AppState, prefs: &Prefs, reading: &Reading, words: &str) -> Response {
    let mut response = frame::respond(state, prefs, questions_page(reading, Some(words)));
    *response.status_mut() = axum::http::StatusCode::UNPROCESSABLE_ENTITY;
    response
}

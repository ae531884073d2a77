//! Questions of a job: open ones first, those that stop the hand-over before the others; answers beside them.

use super::draw::Draw;
use super::forms::talk;
use super::job::plural;
use super::sent::{Errors, Sent};
use super::shared::{ENTRY, OfJob, again, entry_name, id_of, job_of, missing, page, to, write_one};
use super::{add, conflicts};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::marks;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{count_capital, day_and_clock};
use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};
use notebook::JobView;
use record::{Answered, Body, Id};

/// The page.
pub(crate) async fn list(State(state): State<AppState>, prefs: Prefs, OfJob(view): OfJob) -> Result<Response, Fault> {
    Ok(shown(&state, &prefs, &view, None))
}

/// Writes an answer.
pub(crate) async fn answer(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    Path((number, question)): Path<(String, String)>,
    sent: Sent,
) -> Result<Response, Fault> {
    let view = job_of(&state, &number)?;
    let question = id_of(&question, &view)?;
    if !view.job.questions.iter().any(|q| q.question.id == question) {
        return Err(missing(&view, "that question"));
    }
    let mut errors = Errors::default();
    if let Some(answer) = talk::read_answer(&sent, &mut errors, question, sent.ids("replaces"))
        && write_one(&state, &view, entry_name(&sent), Body::Answer(answer), &who, &mut errors).await?
    {
        return Ok(to(&format!("/jobs/{}/questions", view.row.number)));
    }
    Ok(again(shown(&state, &prefs, &view, Some((question, &sent, &errors)))))
}

type Tried<'a> = Option<(Id, &'a Sent, &'a Errors)>;

fn shown(state: &AppState, prefs: &Prefs, view: &JobView, tried: Tried<'_>) -> Response {
    let address = format!("/jobs/{}/questions", view.row.number);
    let (mut open, answered): (Vec<&Answered>, Vec<&Answered>) =
        view.job.questions.iter().partition(|q| q.answers.is_empty());
    open.sort_by_key(|q| (!q.question.value.stops_hand_over, q.question.id));
    let stopping = open.iter().filter(|q| q.question.value.stops_hand_over).count();
    let body = html! {
        div.head {
            h1 { "Questions" }
            p.finding {
                @if view.job.questions.is_empty() { "Nobody has asked anything about this engine yet." }
                @else if open.is_empty() { "All " (view.job.questions.len()) " are answered." }
                @else {
                    (count_capital(open.len())) " " (plural(open.len(), "waits", "wait")) " for an answer."
                    @if stopping > 0 { " " b { (count_capital(stopping)) " " (plural(stopping, "stops", "stop")) " the hand-over." } }
                }
            }
            div.acts { a.btn.main href={(address) "/new"} { "Ask" } }
        }
        (conflicts::banner(view))
        @if view.job.questions.is_empty() { div.empty.hone { p { "No question yet" } } }
        @if !open.is_empty() {
            section.sec.heavy { h2 { "Open" } ol.qlist { @for question in &open { (one(question, view, tried)) } } }
        }
        @if !answered.is_empty() {
            section.sec.heavy { h2 { "Answered" } ol.qlist { @for question in answered.iter().rev() { (one(question, view, tried)) } } }
        }
    };
    page(state, prefs, view, "Questions", &address, body)
}

/// A question with its answers and the form for one.
fn one(question: &Answered, view: &JobView, tried: Tried<'_>) -> Markup {
    let id = question.question.id;
    let empty = (Sent::default(), Errors::default());
    let mine = tried.filter(|(on, ..)| *on == id);
    let (sent, errors) = mine.map_or((&empty.0, &empty.1), |(_, sent, errors)| (sent, errors));
    let two = question.answers.len() > 1;
    html! {
        li id={"q-" (id)} {
            (lead(question, view))
            @for answer in &question.answers {
                div.answer {
                    p.lead { (answer.value.words) }
                    p.small.quiet {
                        @if answer.value.given_by.is_empty() { (answer.author) } @else { (answer.value.given_by) ", written down by " (answer.author) }
                        ", " (day_and_clock(&answer.at.to_string()))
                    }
                }
            }
            @if two { p.small.beyond { "Two answers were written without knowing of each other. One that takes the place of both settles it." } }
            details.fold.small-fold id={"answer-" (id)} open[mine.is_some() || two] {
                summary { @match question.answers.len() { 0 => "Answer it", 1 => "Answer it anew", _ => "Settle it" } }
                div {
                    form.entry method="post" action={"/jobs/" (view.row.number) "/questions/" (id) "/answer"} {
                        input type="hidden" name=(ENTRY) value=(mine.map_or_else(add::fresh, |(_, sent, _)| entry_name(sent)));
                        @for answer in &question.answers { input type="hidden" name="replaces" value=(answer.id); }
                        @let form = Draw { sent, errors };
                        (form.trouble())
                        div.fields.wide {
                            (with_place(&id, &form))
                        }
                        button.btn.main type="submit" { "Write the answer down" }
                    }
                }
            }
        }
    }
}

/// The answer's fields; ids carry the question, since the page holds many of them.
fn with_place(id: &Id, form: &Draw<'_>) -> Markup {
    let field = |name: &str, label: &str, rows: Option<u8>| {
        let at = format!("{name}-{id}");
        let fault = form.errors.of(name);
        html! {
            div.ask {
                label for=(at) { (label) }
                @match rows {
                    Some(rows) => textarea.field.prose id=(at) name=(name) rows=(rows) aria-invalid=[fault.map(|_| "true")] aria-describedby=[fault.map(|_| format!("e-{at}"))] { (form.sent.get(name)) },
                    None => input.field id=(at) name=(name) value=(form.sent.get(name)) autocomplete="off";,
                }
                @if let Some(words) = fault { p.fault id={"e-" (at)} { (words) } }
            }
        }
    };
    html! { (field("words", "The answer", Some(2))) (field("given_by", "Who gave it, if not you", None)) }
}

/// The question itself: words, who asks whom, since when, whether it stops the hand-over, what it is about.
fn lead(question: &Answered, view: &JobView) -> Markup {
    let it = &question.question;
    html! {
        p.lead { (it.value.words) }
        p.small.quiet { (super::job::capital(&it.author)) " asks the " (lower(&it.value.to)) ", " (day_and_clock(&it.at.to_string())) @if let Some(days) = waiting(question) { ", " (days) " days ago" } }
        @if it.value.stops_hand_over && question.answers.is_empty() { p.small.stops { (marks::flag()) "Stops the hand-over" } }
        @for id in &it.value.about { (about(view, *id, &it.value.place)) }
    }
}

fn lower(text: &str) -> String {
    // "The owner" in a sentence; a name keeps its capital.
    if ["Builder", "Owner", "Operator"].contains(&text) { text.to_lowercase() } else { text.to_owned() }
}

/// Whole days since it was asked, from two on, while it is open.
fn waiting(question: &Answered) -> Option<i64> {
    if !question.answers.is_empty() {
        return None;
    }
    let days = jiff::Timestamp::now().duration_since(question.question.at).as_secs() / 86_400;
    (days >= 2).then_some(days)
}

/// What an entry that is spoken of is called, with its page.
pub(crate) fn about(view: &JobView, id: Id, place: &str) -> Markup {
    let base = format!("/jobs/{}", view.row.number);
    let words = view.job.lines.iter().find(|l| l.id == id).map(|l| super::forms::shorten(&l.words, 90));
    let address = match conflicts::body_of(view, id) {
        Some(Body::Claim(_) | Body::Promise(_)) => format!("{base}/claims/{id}"),
        Some(Body::SheetBegun(_)) => format!("{base}/sheets/{id}"),
        Some(Body::Reading(it)) => format!("{base}/sheets/{}", it.sheet),
        Some(Body::EvidenceFile(_)) => format!("{base}/photos/{id}"),
        Some(Body::RunAttached(it)) => format!("/runs/{}", it.number),
        _ => format!("{base}/notebook/{id}"),
    };
    html! { @if let Some(words) = words { p.small { "About: " a href=(address) { (words) } @if !place.is_empty() { ", " (place) } } } }
}

/// A question as the job's page shows it.
pub(crate) fn short(question: &Answered, view: &JobView) -> Markup {
    html! { div.qn { (lead(question, view)) } }
}

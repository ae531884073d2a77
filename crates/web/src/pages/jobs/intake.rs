//! Taking an engine in, and what came in as it is known now.

use super::add;
use super::draw::Draw;
use super::forms::intake::{USES, fields, read};
use super::sent::{Errors, Sent};
use super::shared::{ENTRY, OfJob, again, entry_name, page, to};
use super::value::{sentence, words};
use super::writer::{barred, writer};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{day, day_and_clock};
use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};
use notebook::{Draft, NotebookError};
use record::{Body, JobOpened, Value};

/// Name of the hidden field with the name of the new job.
const JOB: &str = "job";

/// The empty form.
pub(crate) async fn form(State(state): State<AppState>, prefs: Prefs, who: Who) -> Response {
    new_page(&state, &prefs, &who, &Sent::default(), &Errors::default())
}

/// Opens the job.
pub(crate) async fn open(State(state): State<AppState>, prefs: Prefs, who: Who, sent: Sent) -> Result<Response, Fault> {
    let mut errors = Errors::default();
    if let Some(opened) = read(&sent, &mut errors) {
        let job = sent.id(JOB).unwrap_or_else(add::fresh);
        let id = entry_name(&sent);
        let body = Body::JobOpened(opened);
        // Sent twice: the job is there and says the same.
        if let Ok(view) = state.notebook().job_by_id(job)
            && view.entries.first().is_some_and(|e| e.id == id && e.body == body)
        {
            return Ok(to(&format!("/jobs/{}", view.row.number)));
        }
        let draft = Draft { id, ..Draft::now(body) };
        let (notebook, writer) = (state.notebook().clone(), writer(&who));
        match tokio::task::spawn_blocking(move || notebook.open_job(job, draft, &writer)).await? {
            Ok(view) => return Ok(to(&format!("/jobs/{}", view.row.number))),
            Err(error @ NotebookError::Store(_)) => return Err(error.into()),
            Err(error) => errors.whole(sentence(&error.to_string())),
        }
    }
    Ok(again(new_page(&state, &prefs, &who, &sent, &errors)))
}

fn new_page(state: &AppState, prefs: &Prefs, who: &Who, sent: &Sent, errors: &Errors) -> Response {
    let body = html! {
        div.head {
            h1 { "Take an engine in" }
            p.finding { "What the owner says is written down in his words. Only the first field must be filled; the rest is asked for at the gate." }
        }
        form.entry.intake #entry-form method="post" action="/jobs/new" {
            input type="hidden" name=(ENTRY) value=(entry_name(sent));
            input type="hidden" name=(JOB) value=(sent.id(JOB).unwrap_or_else(add::fresh));
            (fields(Draw { sent, errors }))
            (add::send("Open the job", barred(who, &Body::JobOpened(JobOpened::default())), "/"))
        }
    };
    frame::respond(state, prefs, Page { title: "Take an engine in".to_owned(), place: Place::Jobs, trail: None, body })
}

/// What came in, as it stands after corrections.
pub(crate) async fn show(State(state): State<AppState>, prefs: Prefs, OfJob(view): OfJob) -> Result<Response, Fault> {
    let number = view.row.number;
    let Some(kept) = &view.job.opened else {
        return Err(super::shared::missing(&view, "its opening"));
    };
    let it = &kept.value;
    let lacking: Vec<&str> =
        [("the complaint", &it.complaint), ("the fuel", &it.fuel), ("the permission", &it.permission)]
            .into_iter()
            .filter(|(_, text)| text.trim().is_empty())
            .map(|(words, _)| words)
            .collect();
    let row = |label: &str, text: &str| -> Markup {
        html! { dt { (label) } dd.lines-kept { @if text.trim().is_empty() { span.faint { "not written down" } } @else { (text) } } }
    };
    let band = match (&it.band_from, &it.band_to) {
        (Some(from), Some(to)) => {
            format!("{} to {}", words(&Value::Quantity(from.clone())), words(&Value::Quantity(to.clone())))
        }
        _ => String::new(),
    };
    let use_words = USES.iter().find(|(key, _)| *key == it.built_for).map_or(it.built_for.as_str(), |(_, words)| words);
    let body = html! {
        div.head {
            h1 { "What came in" }
            p.finding { "Taken in by " (kept.author) ", " (day_and_clock(&kept.at.to_string())) "." @if !lacking.is_empty() { " " b { "Not written down yet: " (lacking.join(", ")) "." } } }
            div.acts { a.btn href={"/jobs/" (number) "/notebook/" (kept.id) "?open=correct#correct"} { "Correct or complete it" } }
        }
        section.sec.heavy {
            h2 { "In the owner\u{2019}s words" }
            @if it.complaint.is_empty() { p.faint { "not written down" } } @else { p.quote.large.lines-kept { (it.complaint) } }
            @if !it.goals.is_empty() { h3 { "Goals, the first first" } ol.goals { @for goal in &it.goals { li { (goal) } } } }
        }
        section.sec {
            dl.hangs {
                (row("Engine", &it.title)) (row("For", &it.purpose)) (row("Speaks for it", &it.owner)) (row("Limits for", use_words)) (row("Band of use", &band)) (row("Fuel", &it.fuel)) (row("Vehicle", &it.vehicle)) (row("Emissions", &it.emissions))
                (row("May be taken apart", &it.permission)) (row("Condition on arrival", &it.arrival))
                (row("Hand-over planned", &if it.planned.is_empty() { String::new() } else { day(&format!("{}T12:00:00Z", it.planned)) }))
            }
        }
    };
    Ok(page(&state, &prefs, &view, "What came in", &format!("/jobs/{number}/intake"), body))
}

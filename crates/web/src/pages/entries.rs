//! `POST /entries`: entries as a page's script or a tablet's queue sends them.
//!
//! `{"job": name, "author": account, "entries": [{"id", "at", "kind", "body"}]}` answers 200 with
//! `{"written": [{"id", "number", "received"}]}`. All are written or none; entries that are there already count as
//! written, so sending again after a lost answer is safe. A refusal is 4xx with `{"error": words, "entry": which, from
//! 1}`. A reading may say `{"typed": "92.766 mm"}` as its value: the shop reads the text as the sheet's place asks.

use super::jobs::value::sentence;
use super::jobs::writer::writer;
use super::measure::read_typed;
use crate::accounts::Who;
use crate::fault::Fault;
use crate::state::AppState;
use axum::Json;
use axum::body::Bytes;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use notebook::{Draft, Notebook, NotebookError, Writer, Written};
use record::sheet::Template;
use record::{Body, Entry, Id, Reading, SheetBegun};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Most entries that are taken at once.
const MOST: usize = 500;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Sent {
    job: String,
    #[serde(default)]
    author: String,
    entries: Vec<SentEntry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct SentEntry {
    id: String,
    at: String,
    kind: String,
    body: Value,
}

/// Why entries were not taken.
struct Refusal {
    status: StatusCode,
    words: String,
    entry: Option<usize>,
    /// Somebody else is signed in: the same entries may be taken later.
    stranger: bool,
}

impl Refusal {
    fn of(entry: usize, words: impl std::fmt::Display) -> Self {
        Self {
            status: StatusCode::UNPROCESSABLE_ENTITY,
            words: sentence(&words.to_string()),
            entry: Some(entry),
            stranger: false,
        }
    }

    fn whole(status: StatusCode, words: impl std::fmt::Display) -> Self {
        Self { status, words: sentence(&words.to_string()), entry: None, stranger: false }
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let mut said = json!({ "error": self.words });
        if let Some(entry) = self.entry {
            said["entry"] = entry.into();
        }
        if self.stranger {
            said["stranger"] = true.into();
        }
        tracing::info!(status = %self.status, error = self.words, "entries were not taken");
        (self.status, Json(said)).into_response()
    }
}

/// Takes entries.
pub(crate) async fn take(State(state): State<AppState>, who: Who, bytes: Bytes) -> Result<Response, Fault> {
    let account = who.account.clone().unwrap_or_default();
    let (notebook, writer) = (state.notebook().clone(), writer(&who));
    let taken = tokio::task::spawn_blocking(move || taken(&notebook, &writer, &account, &bytes)).await?;
    Ok(match taken {
        Ok(written) => {
            let written: Vec<Value> =
                written.iter().map(|w| json!({ "id": w.id, "number": w.number, "received": w.received })).collect();
            Json(json!({ "written": written })).into_response()
        }
        Err(refusal) => refusal.into_response(),
    })
}

fn taken(notebook: &Notebook, writer: &Writer, account: &str, bytes: &[u8]) -> Result<Vec<Written>, Refusal> {
    let bad = |words: String| Refusal::whole(StatusCode::BAD_REQUEST, words);
    let sent: Sent = serde_json::from_slice(bytes)
        .map_err(|e| bad(format!("what was sent cannot be read: {e}; nothing was written")))?;
    if sent.entries.is_empty() || sent.entries.len() > MOST {
        return Err(bad(format!(
            "{} entries were sent, 1 to {MOST} are taken at once; nothing was written",
            sent.entries.len()
        )));
    }
    if !sent.author.is_empty() && !account.is_empty() && sent.author != account {
        return Err(Refusal {
            stranger: true,
            ..Refusal::whole(
                StatusCode::FORBIDDEN,
                format!(
                    "these entries were made by {}, and {account} is signed in; nothing was written. They are taken when {} signs in",
                    sent.author, sent.author
                ),
            )
        });
    }
    let job: Id = sent.job.parse().map_err(|e: record::IdError| bad(e.to_string()))?;
    let sheets = Sheets::of(notebook, job, &sent.entries);
    let mut drafts = Vec::new();
    for (place, entry) in sent.entries.iter().enumerate() {
        let refuse = |words: String| Refusal::of(place + 1, words);
        let body = body_of(entry, &sheets).map_err(&refuse)?;
        let id: Id = entry.id.parse().map_err(|e: record::IdError| refuse(e.to_string()))?;
        let at = entry.at.parse().map_err(|e: jiff::Error| refuse(format!("\"{}\" is no time: {e}", entry.at)))?;
        if let Err(words) = agrees(&body) {
            return Err(refuse(words));
        }
        drafts.push(Draft { id, at, body });
    }
    notebook.write(job, &drafts, writer).map_err(|error| refused(&error, &drafts, writer))
}

/// Which entry a fault of the notebook is about, and how it is answered.
fn refused(error: &NotebookError, drafts: &[Draft], writer: &Writer) -> Refusal {
    let place = |of: &dyn Fn(&Draft) -> bool| drafts.iter().position(of).map_or(1, |at| at + 1);
    match error {
        NotebookError::Entry { number, .. } | NotebookError::Misfit { number, .. } => Refusal::of(*number, error),
        NotebookError::NotYours { .. } => {
            let barred = |d: &Draft| !writer.roles.iter().any(|role| role.may_write(&d.body));
            Refusal { status: StatusCode::FORBIDDEN, ..Refusal::of(place(&barred), error) }
        }
        NotebookError::GateShut { .. } => {
            Refusal::of(place(&|d| matches!(d.body, Body::StagePassed(_) | Body::HandedOver(_))), error)
        }
        NotebookError::FromTheFuture { id, .. } => Refusal::of(place(&|d| d.id == *id), error),
        NotebookError::NoJob { .. } => Refusal { status: StatusCode::NOT_FOUND, ..Refusal::of(1, error) },
        NotebookError::Store(store::StoreError::EntryIdTaken { id }) => {
            Refusal { status: StatusCode::CONFLICT, ..Refusal::of(place(&|d| d.id.to_string() == *id), error) }
        }
        // The shop cannot write now: what was sent is sent again.
        _ => Refusal::whole(StatusCode::SERVICE_UNAVAILABLE, error),
    }
}

/// Sheets that readings of a request may belong to: those of the job, and those begun in the request itself.
struct Sheets<'a> {
    notebook: &'a Notebook,
    job: Option<std::sync::Arc<notebook::JobView>>,
    fresh: BTreeMap<String, SheetBegun>,
}

impl<'a> Sheets<'a> {
    fn of(notebook: &'a Notebook, job: Id, entries: &[SentEntry]) -> Self {
        let begun = entries.iter().filter(|e| e.kind == "sheet_begun");
        let fresh = begun.filter_map(|e| Some((e.id.clone(), serde_json::from_value(e.body.clone()).ok()?))).collect();
        Self { notebook, job: notebook.job_by_id(job).ok(), fresh }
    }

    fn read(&self, sheet: &str, place: &str, typed: &str) -> Result<record::Value, String> {
        if let Some(begun) = self.fresh.get(sheet) {
            let template = Template::parse(&begun.template_text).map_err(|e| e.to_string())?;
            let layout = template.layout_of(begun).map_err(|e| e.to_string())?;
            return read_typed(&layout, place, typed);
        }
        let there = self.job.as_ref().and_then(|view| view.job.sheet(sheet.parse().ok()?));
        let Some(there) = there else { return Err(format!("there is no sheet {sheet} in this job")) };
        let worked = self.notebook.sheet(there).map_err(|e| e.to_string())?.map_err(|e| e.to_string())?;
        read_typed(&worked.layout, place, typed)
    }
}

fn body_of(entry: &SentEntry, sheets: &Sheets<'_>) -> Result<Body, String> {
    let mut body = entry.body.clone();
    let typed = body.pointer("/value/typed").and_then(Value::as_str).map(str::to_owned);
    if let Some(typed) = typed.filter(|_| entry.kind == "reading") {
        let text = |key: &str| body.get(key).and_then(Value::as_str).unwrap_or_default().to_owned();
        let value = sheets.read(&text("sheet"), &text("place"), &typed)?;
        body["value"] = serde_json::to_value(value).map_err(|e| e.to_string())?;
    }
    Entry::body_from(&entry.kind, &body.to_string()).map_err(|e| e.to_string())
}

/// A quantity says the same in its text and in its number: a script that works out SI must not be believed blindly.
fn agrees(body: &Body) -> Result<(), String> {
    let Body::Reading(Reading { value: record::Value::Quantity(stated), .. }) = body else { return Ok(()) };
    let read = record::Stated::read(&stated.text, stated.dimension, None).map_err(|e| e.to_string())?;
    if (read.si - stated.si).abs() <= 1e-9 * read.si.abs().max(1e-12) {
        return Ok(());
    }
    Err(format!("\"{}\" and the number {} that came with it are not the same", stated.text, stated.si))
}

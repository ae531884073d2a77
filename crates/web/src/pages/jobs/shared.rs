//! What every page of a job needs: the job, its frame, and writing entries.

use super::sent::{Errors, Sent};
use super::trail::trail;
use super::writer::writer;
use crate::accounts::Who;
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::prefs::Prefs;
use crate::readings::number_of;
use crate::state::AppState;
use axum::extract::FromRequestParts;
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Redirect, Response};
use maud::Markup;
use notebook::{Draft, JobView, Notebook, NotebookError};
use record::{Body, Entry, Id, InstrumentUsed};
use std::sync::Arc;

/// Name of the hidden field that carries the name of the entry a form will write.
pub(crate) const ENTRY: &str = "entry";

/// The job of the address, `{number}` in its route. Without such a job the handler is not called.
pub(crate) struct OfJob(pub(crate) Arc<JobView>);

impl FromRequestParts<AppState> for OfJob {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, Response> {
        let number = number_of(parts, state).await?;
        job_of(state, &number).map(Self).map_err(IntoResponse::into_response)
    }
}

/// The job of an address.
///
/// # Errors
/// [`Fault::NoJob`], and those of the shop.
pub(crate) fn job_of(state: &AppState, number: &str) -> Result<Arc<JobView>, Fault> {
    let parsed: i64 = number.parse().map_err(|_| Fault::NoJob { number: number.to_owned() })?;
    Ok(state.notebook().job(parsed)?)
}

/// The entry of an address, as a name.
///
/// # Errors
/// [`Fault::NotThere`].
pub(crate) fn id_of(text: &str, view: &JobView) -> Result<Id, Fault> {
    text.parse().map_err(|_| missing(view, text))
}

/// Nothing of this name is in the job.
pub(crate) fn missing(view: &JobView, what: &str) -> Fault {
    Fault::NotThere { address: format!("job {}, {what}", view.row.number) }
}

/// A page of a job. `here` is its address; the spine marks it.
pub(crate) fn page(state: &AppState, prefs: &Prefs, view: &JobView, title: &str, here: &str, body: Markup) -> Response {
    let title = format!("{title}, job {}", view.row.number);
    let page = Page { title, place: Place::Job, trail: Some(trail(view, here)), body };
    frame::respond(state, prefs, page)
}

/// The same page as an answer to a form that asks for something.
pub(crate) fn again(mut response: Response) -> Response {
    *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    response
}

/// On to a page after writing.
pub(crate) fn to(address: &str) -> Response {
    Redirect::to(address).into_response()
}

/// The shop's instruments as they stand today, for forms that choose one. A register that cannot be read gives none;
/// its own page says where.
pub(crate) fn instruments(state: &AppState) -> Result<Vec<InstrumentUsed>, Fault> {
    let today = crate::words::date_of(jiff::Timestamp::now());
    let register = state.notebook().register()?.register.unwrap_or_default();
    Ok(register.instruments.iter().map(|i| record::instrument::used(i, today)).collect())
}

/// The name of the entry that a form will write: the one it was drawn with, or a new one.
pub(crate) fn entry_name(sent: &Sent) -> Id {
    sent.id(ENTRY).unwrap_or_else(Notebook::new_id)
}

/// A form sent twice: whether its entry is there already and says the same.
///
/// # Errors
/// Words for the person when the entry is there and says something else.
pub(crate) fn sent_before(view: &JobView, id: Id, body: &Body) -> Result<bool, String> {
    match view.entries.iter().find(|e| e.id == id) {
        None => Ok(false),
        Some(Entry { body: there, .. }) if there == body => Ok(true),
        Some(_) => Err(
            "This form was sent before and its entry says something else. Nothing was written. To change what an entry says, correct it in the notebook; to write another one, open the form anew.".to_owned(),
        ),
    }
}

/// Writes entries of a job. What cannot stand comes back as words over the form; disk and database as a fault.
pub(crate) async fn write(
    state: &AppState,
    job: Id,
    drafts: Vec<Draft>,
    who: &Who,
    errors: &mut Errors,
) -> Result<bool, Fault> {
    let (notebook, writer) = (state.notebook().clone(), writer(who));
    match tokio::task::spawn_blocking(move || notebook.write(job, &drafts, &writer)).await? {
        Ok(_) => Ok(true),
        Err(error @ (NotebookError::Store(_) | NotebookError::NoJob { .. } | NotebookError::Unreadable { .. })) => {
            Err(error.into())
        }
        Err(error) => {
            errors.whole(super::value::sentence(&error.to_string()));
            Ok(false)
        }
    }
}

/// Writes one entry of a form: sent twice it counts once.
pub(crate) async fn write_one(
    state: &AppState,
    view: &JobView,
    id: Id,
    body: Body,
    who: &Who,
    errors: &mut Errors,
) -> Result<bool, Fault> {
    match sent_before(view, id, &body) {
        Ok(true) => return Ok(true),
        Ok(false) => {}
        Err(words) => {
            errors.whole(words);
            return Ok(false);
        }
    }
    let draft = Draft { id, ..Draft::now(body) };
    write(state, view.id, vec![draft], who, errors).await
}

impl From<NotebookError> for Fault {
    fn from(error: NotebookError) -> Self {
        match error {
            NotebookError::Store(error) => error.into(),
            NotebookError::NoJob { which } => Self::NoJob { number: which },
            NotebookError::Unreadable { .. } => Self::Shop { what: error.to_string() },
            other => Self::NotUsable {
                what: super::value::sentence(&other.to_string()),
                next: String::new(),
                back: "/".to_owned(),
            },
        }
    }
}

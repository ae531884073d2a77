//! Who works here: accounts, what each may do, one's own password and devices, and who signed in from where.

mod acts;
mod books;
mod view;

use crate::accounts::Who;
use crate::fault::Fault;
use crate::frame;
use crate::prefs::Prefs;
use crate::state::AppState;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::{get, post};

/// Addresses under `/people`.
pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/people", get(page).post(acts::add))
        .route("/people/name", post(acts::own_name))
        .route("/people/password", post(acts::own_password))
        .route("/people/{name}/rights", post(acts::rights))
        .route("/people/{name}/password", post(acts::new_password))
        .route("/people/{name}/close", post(acts::close))
        .route("/people/{name}/open", post(acts::open))
        .route("/people/{name}/sign-out", post(acts::end_sessions))
}

/// What was not taken: which form it was, and why. Passwords are not shown again.
#[derive(Debug)]
struct NotTaken {
    form: String,
    words: String,
    status: StatusCode,
    /// What was typed in the plain fields.
    typed: Vec<(&'static str, String)>,
}

impl NotTaken {
    fn of(form: impl Into<String>, words: impl Into<String>) -> Self {
        Self { form: form.into(), words: words.into(), status: StatusCode::UNPROCESSABLE_ENTITY, typed: Vec::new() }
    }

    /// What was typed in a field of a form, if this is about that form.
    fn typed(&self, form: &str, field: &str) -> Option<&str> {
        let found = self.typed.iter().find(|(name, _)| *name == field && self.form == form);
        found.map(|(_, text)| text.as_str())
    }
}

async fn page(State(state): State<AppState>, who: Who, prefs: Prefs) -> Result<Response, Fault> {
    Ok(frame::respond(&state, &prefs, view::whole(&state, &who, None)?))
}

/// The page again, with the reason at its form.
fn again(state: &AppState, who: &Who, prefs: &Prefs, not: &NotTaken) -> Result<Response, Fault> {
    let mut response = frame::respond(state, prefs, view::whole(state, who, Some(not))?);
    *response.status_mut() = not.status;
    Ok(response)
}

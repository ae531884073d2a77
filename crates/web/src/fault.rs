//! What a person reads when a page cannot be given: what is so, what it spoils, and one act.
//!
//! Handlers return a [`Fault`]; the answer carries it along, and [`dress`] writes the page around
//! it in the reader's own theme. Bare error answers of the libraries get their page the same way.

use crate::frame::{self, Page, Place};
use crate::prefs::Prefs;
use crate::state::AppState;
use axum::extract::{Request, State};
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use std::sync::Arc;

/// Why a page cannot be given.
#[derive(Debug, Clone, thiserror::Error)]
pub(crate) enum Fault {
    /// Nothing is kept under this address.
    #[error("nothing is kept under {address}")]
    NotThere {
        /// What was asked for.
        address: String,
    },
    /// There is no such run.
    #[error("there is no run {number} in this shop")]
    NoRun {
        /// Number asked for.
        number: String,
    },
    /// There is no such job.
    #[error("there is no job {number} in this shop")]
    NoJob {
        /// Number asked for.
        number: String,
    },
    /// Somebody else changed the run in between.
    #[error("somebody changed run {number} while this page was open")]
    Conflict {
        /// Number of the run.
        number: i64,
    },
    /// Somebody else changed a dyno's file in between.
    #[error("{what}")]
    Overtaken {
        /// One sentence.
        what: String,
        /// What to do next.
        next: String,
        /// Where to go on.
        back: String,
    },
    /// What was sent cannot be used.
    #[error("{what}")]
    NotUsable {
        /// One sentence.
        what: String,
        /// What to do next.
        next: String,
        /// Where to go on.
        back: String,
    },
    /// More was sent than is taken.
    #[error("more was sent than this page takes")]
    TooLarge,
    /// A host name that is not this machine.
    #[error("this shop does not answer to `{found}`")]
    ForeignHost {
        /// Host name asked for.
        found: String,
        /// Names that it answers to, beside those of its own machine.
        ours: Vec<String>,
    },
    /// A change sent from a page that is not ours.
    #[error("a page from elsewhere tried to change something here; nothing was changed")]
    ForeignPage,
    /// Nobody is signed in, or not any more.
    #[error("nobody is signed in")]
    SignedOut {
        /// Page to come back to.
        back: Option<String>,
    },
    /// The person may not do this.
    #[error("this needs {needs}")]
    NotYours {
        /// What is needed.
        needs: String,
        /// What the person's account has.
        has: String,
    },
    /// It took too long.
    #[error("this took longer than it may")]
    TooSlow,
    /// The shop's folder gave an error.
    #[error("{what}")]
    Shop {
        /// The store's words.
        what: String,
    },
    /// A mistake in the program.
    #[error("a mistake in this program stopped the page: {what}")]
    Ours {
        /// What the program said.
        what: String,
    },
    /// Any other status of the library.
    #[error("{reason}")]
    Other {
        /// Status.
        status: StatusCode,
        /// Its name.
        reason: String,
    },
}

impl Fault {
    fn status(&self) -> StatusCode {
        match self {
            Self::NotThere { .. } | Self::NoRun { .. } | Self::NoJob { .. } => StatusCode::NOT_FOUND,
            Self::Conflict { .. } | Self::Overtaken { .. } => StatusCode::CONFLICT,
            Self::NotUsable { .. } => StatusCode::UNPROCESSABLE_ENTITY,
            Self::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Self::ForeignHost { .. } => StatusCode::MISDIRECTED_REQUEST,
            Self::ForeignPage | Self::NotYours { .. } => StatusCode::FORBIDDEN,
            Self::SignedOut { .. } => StatusCode::UNAUTHORIZED,
            Self::TooSlow => StatusCode::GATEWAY_TIMEOUT,
            Self::Shop { .. } | Self::Ours { .. } => StatusCode::INTERNAL_SERVER_ERROR,
            Self::Other { status, .. } => *status,
        }
    }

    /// The same with other words for what to do next; only for [`Fault::NotUsable`].
    pub(crate) fn with_next(self, words: &str) -> Self {
        match self {
            Self::NotUsable { what, back, .. } => Self::NotUsable { what, next: words.to_owned(), back },
            other => other,
        }
    }

    /// Title, what it spoils or how it stands, address and words of the one act.
    fn words(&self) -> (String, String, String, &'static str) {
        let runs = || "/runs".to_owned();
        let jobs = || "/".to_owned();
        match self {
            Self::NotThere { address } => (
                "Nothing here".to_owned(),
                format!("No page is kept under {address}. Nothing was lost."),
                jobs(),
                "To the jobs",
            ),
            Self::NoRun { number } => (
                format!("No run {number}"),
                "This shop has no run of that number. A run is never taken away, so the number may be mistyped, or it belongs to another shop.".to_owned(),
                runs(),
                "To the runs",
            ),
            Self::NoJob { number } => (
                format!("No job {number}"),
                "This shop has no job of that number. A job is never taken away, so the number may be mistyped, or it belongs to another shop.".to_owned(),
                jobs(),
                "To the jobs",
            ),
            Self::Conflict { number } => (
                "Somebody changed this run".to_owned(),
                format!("Run {number} was changed elsewhere while this page was open. Your change was not saved, theirs was. Look at the run as it is now, then make your change again if it still fits."),
                format!("/runs/{number}"),
                "Look at the run",
            ),
            Self::Overtaken { what, next, back } => {
                ("Somebody changed this file".to_owned(), format!("{what} {next}"), back.clone(), "Look at the file")
            }
            Self::NotUsable { what, next, back } => ("Not taken".to_owned(), format!("{what} {next}"), back.clone(), "Go back"),
            Self::TooLarge => (
                "Too much at once".to_owned(),
                "What was sent is larger than this page takes (logs: 1 GiB together; anything else: 1 MB). Nothing was saved. Longer logs can be taken in by the command on this machine.".to_owned(),
                jobs(),
                "To the jobs",
            ),
            Self::ForeignHost { found, ours } => {
                let ours = if ours.is_empty() { String::new() } else { format!("{}, ", ours.join(", ")) };
                (
                    "Not under this name".to_owned(),
                    format!("This shop answers to {ours}localhost and 127.0.0.1 on its own machine, and was asked as \u{201c}{found}\u{201d}. Nothing was shown and nothing was changed."),
                    jobs(),
                    "To the jobs",
                )
            }
            Self::SignedOut { back } => (
                "Signed out here".to_owned(),
                "Nobody is signed in on this device, or not any more. Nothing was changed. What was typed is still there when you go back a page: sign in in another tab first, then send it again.".to_owned(),
                crate::accounts::gate::sign_in_address(back.as_deref().unwrap_or("/")),
                "Sign in",
            ),
            Self::NotYours { needs, has } => (
                "Not with this account".to_owned(),
                format!("This needs {needs}; the account that is signed in has: {has}. Nothing was changed. Whoever keeps the accounts can give it the role."),
                "/people".to_owned(),
                "To the people",
            ),
            Self::ForeignPage => (
                "Not from this page".to_owned(),
                "The change came from a page that does not belong to this shop. Nothing was changed. Make the change on the page itself.".to_owned(),
                jobs(),
                "To the jobs",
            ),
            Self::TooSlow => (
                "This took too long".to_owned(),
                "The answer was not ready within 30 seconds and was given up. What was saved before is whole.".to_owned(),
                jobs(),
                "To the jobs",
            ),
            Self::Shop { what } => ("The shop\u{2019}s folder gave trouble".to_owned(), sentence(what), jobs(), "To the jobs"),
            Self::Ours { .. } => (
                "A mistake of this program".to_owned(),
                "The page could not be made because of a mistake in the program. The logs and everything saved are not touched. The server\u{2019}s own output says more.".to_owned(),
                jobs(),
                "To the jobs",
            ),
            Self::Other { reason, .. } => ("Not taken".to_owned(), format!("{reason}. Nothing was changed."), jobs(), "To the jobs"),
        }
    }
}

/// The store's messages carry their advice on a line of its own.
fn sentence(text: &str) -> String {
    let mut lines = text.lines().map(str::trim);
    let first = lines.next().unwrap_or_default();
    lines.fold(format!("{first}."), |all, line| {
        format!("{all} {}.", line.strip_prefix("go on").map_or(line, str::trim_start))
    })
}

impl IntoResponse for Fault {
    fn into_response(self) -> Response {
        let mut response = self.status().into_response();
        response.extensions_mut().insert(Arc::new(self));
        response
    }
}

impl From<store::StoreError> for Fault {
    fn from(error: store::StoreError) -> Self {
        match error {
            store::StoreError::NoRun { run } => Self::NoRun { number: run },
            other => Self::Shop { what: other.to_string() },
        }
    }
}

impl From<tokio::task::JoinError> for Fault {
    fn from(error: tokio::task::JoinError) -> Self {
        Self::Ours { what: error.to_string() }
    }
}

/// The page of a panic: the panic itself has been logged.
pub(crate) fn after_panic(cause: Box<dyn std::any::Any + Send>) -> Response {
    let what = cause
        .downcast_ref::<String>()
        .cloned()
        .or_else(|| cause.downcast_ref::<&str>().map(|s| (*s).to_owned()))
        .unwrap_or_else(|| "no words".to_owned());
    tracing::error!(what, "a handler panicked");
    Fault::Ours { what }.into_response()
}

/// Writes the page around an answer that carries a fault, or a bare error.
pub(crate) async fn dress(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let (parts, body) = request.into_parts();
    let prefs = Prefs::of(&parts);
    let address = parts.uri.path().to_owned();
    let mut response = next.run(Request::from_parts(parts, body)).await;
    let status = response.status();
    if !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    let fault = match response.extensions_mut().remove::<Arc<Fault>>() {
        Some(fault) => fault,
        None if response.headers().get(header::CONTENT_TYPE).is_some_and(|kind| {
            kind.as_bytes().starts_with(b"text/html") || kind.as_bytes().starts_with(b"application/json")
        }) =>
        {
            return response;
        }
        None => Arc::new(match status {
            StatusCode::NOT_FOUND => Fault::NotThere { address },
            StatusCode::PAYLOAD_TOO_LARGE => Fault::TooLarge,
            StatusCode::GATEWAY_TIMEOUT | StatusCode::REQUEST_TIMEOUT => Fault::TooSlow,
            other => Fault::Other { status: other, reason: other.canonical_reason().unwrap_or("Not taken").to_owned() },
        }),
    };
    if status.is_server_error() {
        tracing::error!(%status, %fault, "answered with a fault");
    } else {
        tracing::info!(%status, %fault, "answered with a fault");
    }
    let mut dressed = frame::respond(&state, &prefs, page(&fault));
    *dressed.status_mut() = status;
    dressed
}

fn page(fault: &Fault) -> Page {
    let (title, words, act, act_words) = fault.words();
    let body: Markup = html! {
        div.head { h1 { (title) } p.finding { (words) } }
        p.row { a.btn href=(act) { (act_words) } }
    };
    Page { title, place: Place::None, trail: None, body }
}

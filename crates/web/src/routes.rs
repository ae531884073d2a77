//! Every address, and the layers that stand around the pages.

use crate::accounts::gate;
use crate::fault::{self, Fault};
use crate::news;
use crate::pages::{choose, dynos, entries, guards, jobs, marks_page, measure, people, run, runs, sign_in};
use crate::shield;
use crate::state::AppState;
use axum::Router;
use axum::extract::{DefaultBodyLimit, Path, State};
use axum::http::StatusCode;
use axum::middleware;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use std::time::Duration;
use tower_http::CompressionLevel;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::timeout::{RequestBodyTimeoutLayer, TimeoutLayer};
use tower_http::trace::TraceLayer;

/// Most that logs may weigh together, bytes. They are held in memory until they are read.
const LOGS_LIMIT: usize = 1024 * 1024 * 1024;
/// Most that photos and files may weigh together, bytes.
const PHOTOS_LIMIT: usize = 200 * 1024 * 1024;
/// Most that any other form may weigh, bytes.
const FORM_LIMIT: usize = 1024 * 1024;
/// Longest time for an ordinary answer.
const ANSWER_WITHIN: Duration = Duration::from_secs(30);
/// Longest silence while logs arrive.
const SILENCE: Duration = Duration::from_secs(60);

/// All pages of a shop, with the layers around them.
///
/// The event stream `/events` and the taking in of logs stand outside the time limit of answers;
/// the event stream is not compressed either, so that news is not held back.
pub fn app(state: AppState) -> Router {
    let pages = Router::new()
        .route("/runs", get(runs::list))
        .route("/prefs", post(choose::prefs))
        .route("/marks", get(marks_page::show))
        .merge(jobs::routes())
        .merge(measure::routes())
        .route("/entries", post(entries::take))
        .route("/worker.js", get(worker))
        .merge(run::routes())
        .merge(dynos::routes())
        .merge(guards::routes())
        .merge(people::routes())
        .merge(sign_in::routes())
        .route("/assets/{mark}/{*name}", get(asset))
        .route("/health", get(health))
        .layer(DefaultBodyLimit::max(FORM_LIMIT))
        .layer(TimeoutLayer::with_status_code(StatusCode::GATEWAY_TIMEOUT, ANSWER_WITHIN));
    let bringing = Router::new()
        .route("/runs", post(runs::bring))
        .layer(DefaultBodyLimit::max(LOGS_LIMIT))
        .layer(RequestBodyTimeoutLayer::new(SILENCE));
    let photos =
        jobs::uploads().layer(DefaultBodyLimit::max(PHOTOS_LIMIT)).layer(RequestBodyTimeoutLayer::new(SILENCE));
    let answers = pages
        .merge(bringing)
        .merge(photos)
        .fallback(nothing_here)
        .layer(middleware::from_fn(gate::guard))
        .layer(middleware::from_fn_with_state(state.clone(), shield::own_pages_only))
        .layer(CatchPanicLayer::custom(fault::after_panic))
        .layer(middleware::from_fn_with_state(state.clone(), fault::dress))
        // The quickest level: the way is short, and a page must not wait for its packing.
        .layer(CompressionLayer::new().quality(CompressionLevel::Fastest));
    let events = Router::new()
        .route("/events", get(news::events))
        .layer(middleware::from_fn(gate::guard))
        .layer(middleware::from_fn_with_state(state.clone(), shield::own_pages_only));
    Router::new()
        .merge(events)
        .fallback_service(answers.with_state(state.clone()))
        .layer(middleware::from_fn_with_state(state.clone(), gate::identify))
        .layer(middleware::from_fn_with_state(state.clone(), shield::headers))
        .layer(TraceLayer::new_for_http())
        .with_state(state)
}

async fn nothing_here(uri: axum::http::Uri) -> Fault {
    Fault::NotThere { address: uri.path().to_owned() }
}

async fn asset(State(state): State<AppState>, Path((mark, name)): Path<(String, String)>) -> Response {
    state.assets().answer(&mark, &name)
}

/// The script that keeps pages on a tablet. It stands at the root, since it sees only what lies under its own address.
async fn worker(State(state): State<AppState>) -> Response {
    state.assets().answer("", "worker.js")
}

/// Says that the server answers and the shop can be read.
async fn health(State(state): State<AppState>) -> Response {
    match state.store().latest_change() {
        Ok(_) => (StatusCode::OK, "ok\n").into_response(),
        Err(error) => {
            // Whoever asks need not be signed in: the reason stays here.
            tracing::error!(%error, "the shop cannot be read");
            (StatusCode::SERVICE_UNAVAILABLE, "the shop cannot be read\n").into_response()
        }
    }
}

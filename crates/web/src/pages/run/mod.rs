//! The pages of one run.

mod acts;
mod files;
mod questions;
mod trail;
mod under;
mod view;

use crate::state::AppState;
use axum::Router;
use axum::routing::{get, post};

/// Addresses under `/runs/{number}`.
pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/runs/{number}", get(view::page))
        .route("/runs/{number}/questions", get(questions::page).post(questions::answer))
        .route("/runs/{number}/logs/{place}", get(files::log))
        .route("/runs/{number}/band", post(acts::band))
        .route("/runs/{number}/leave-out", post(acts::leave_out))
        .route("/runs/{number}/take-back", post(acts::take_back))
        .route("/runs/{number}/against", post(acts::against))
        .route("/runs/{number}/accept", post(acts::accept))
        .route("/runs/{number}/unaccept", post(acts::unaccept))
}

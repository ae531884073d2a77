//! The pages of one run.

mod acts;
mod files;
mod questions;
mod side;
mod stated;
mod trail;
mod under;
mod view;

pub(crate) use acts::take_in_fault;

use crate::state::AppState;
use axum::Router;
use axum::routing::{get, post};

/// Addresses under `/runs/{number}`.
pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/runs/{number}", get(view::page))
        .route("/runs/{number}/questions", get(questions::page).post(questions::answer))
        .route("/runs/{number}/curve.json", get(files::curve_json))
        .route("/runs/{number}/run.svg", get(files::svg))
        .route("/runs/{number}/run.json", get(files::json))
        .route("/runs/{number}/run.pdf", get(files::pdf))
        .route("/runs/{number}/logs/{place}", get(files::log))
        .route("/runs/{number}/stated", post(stated::state_again))
        .route("/runs/{number}/about", post(acts::about))
        .route("/runs/{number}/band", post(acts::band))
        .route("/runs/{number}/leave-out", post(acts::leave_out))
        .route("/runs/{number}/take-back", post(acts::take_back))
        .route("/runs/{number}/against", post(acts::against))
        .route("/runs/{number}/accept", post(acts::accept))
        .route("/runs/{number}/unaccept", post(acts::unaccept))
}

//! Measuring: sheets of a job and what is read on them, tests before teardown, the build with what was measured;
//! the shop's instruments and sheet templates.

mod acts;
mod bars;
mod before;
mod begin;
mod build;
mod grid;
mod hand;
mod instruments;
mod list;
mod shape;
mod sheet;
mod spots;
mod templates;
mod text_page;
mod units;

pub(crate) use acts::read_typed;

use crate::state::AppState;
use axum::Router;
use axum::routing::{get, post};

/// Addresses of measuring.
pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/jobs/{number}/sheets", get(list::page))
        .route("/jobs/{number}/sheets/new", get(begin::choose).post(begin::begin))
        .route("/jobs/{number}/sheets/{sheet}", get(sheet::page))
        .route("/jobs/{number}/sheets/{sheet}/{act}", post(acts::act))
        .route("/jobs/{number}/before", get(before::page))
        .route("/jobs/{number}/before/{test}", get(before::form).post(before::write))
        .route("/jobs/{number}/build", get(build::page).post(build::write))
        .route("/jobs/{number}/build/measured", get(build::measured).post(build::take_over))
        .route("/instruments", get(instruments::page).post(instruments::save))
        .route("/templates", get(templates::page))
        .route("/templates/{key}", get(templates::one).post(templates::save))
}

//! The run page: the finding, the conditions, the whole curve, the figures, and what they hang on.

use super::trail::{Shown, trail};
use super::under;
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::marks;
use crate::pages::bring::{details, first_line};
use crate::prefs::Prefs;
use crate::readings::{Found, reading, run_of};
use crate::state::AppState;
use crate::units::Units;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

/// The page.
pub(crate) async fn page(
    State(state): State<AppState>,
    prefs: Prefs,
    Path(number): Path<String>,
) -> Result<Response, Fault> {
    let run = run_of(&state, &number)?;
    let reading = reading(&state, run).await?;
    let units = Units(prefs.units);
    let body = match &reading.found {
        Found::Asking(_) => return Ok(Redirect::to(&format!("/runs/{}/questions", reading.run.number)).into_response()),
        Found::Trouble(text) => {
            html! { div.head { h1 { "Run " (reading.run.number) ": " (reading.run.title) } } (trouble(text)) (under::logs(&reading, None)) }
        }
        Found::Ready(analysis) => html! {
            div.head { h1 { "Run " (reading.run.number) ": " (reading.run.title) } }
            (under::pulls(&reading, analysis, units)) (under::hangs_on(&reading, analysis, units)) (under::problems(&analysis.problems)) (under::logs(&reading, Some(analysis)))
        },
    };
    let page = Page {
        title: format!("Run {}", reading.run.number),
        place: Place::Run,
        trail: Some(trail(&reading.run, Shown::Curve)),
        body,
    };
    Ok(frame::respond(&state, &prefs, page))
}

/// A run whose logs can no longer be read.
pub(crate) fn trouble(text: &str) -> Markup {
    html! {
        div.banner role="alert" { (marks::flag()) div { p.what { (first_line(text)) } (details(text)) } }
    }
}

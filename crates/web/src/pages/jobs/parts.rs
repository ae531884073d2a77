//! Parts fitted, with the numbers that prove them.

use super::conflicts;
use super::job::plural;
use super::photos::thumbs;
use super::shared::{OfJob, page};
use crate::fault::Fault;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{count_capital, day_and_clock};
use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};
use record::FittedPart;

/// The page.
pub(crate) async fn list(State(state): State<AppState>, prefs: Prefs, OfJob(view): OfJob) -> Result<Response, Fault> {
    let number = view.row.number;
    let parts = &view.job.parts;
    let bare = parts
        .iter()
        .filter(|p| p.value.part_number.is_empty() && p.value.serial.is_empty() && p.value.lot.is_empty())
        .count();
    let body = html! {
        div.head {
            h1 { "Parts fitted" }
            p.finding {
                @match parts.len() {
                    0 => "No part is written down yet. A number as stamped, or a photo, proves what was promised.",
                    n => {
                        (count_capital(n)) " " (plural(n, "part is", "parts are")) " written down."
                        @if bare > 0 { " " b { (count_capital(bare)) " " (plural(bare, "has", "have")) " no number." } } @else { " Each has a number." }
                    }
                }
            }
            div.acts { a.btn.main href={"/jobs/" (number) "/parts/new"} { "Add a part" } }
        }
        (conflicts::banner(&view))
        @if parts.is_empty() { div.empty.hone { p { "No part yet" } a.btn href={"/jobs/" (number) "/parts/new"} { "Add a part" } } }
        @else {
            div.box tabindex="0" role="region" aria-label="Parts fitted" {
                table.partlist {
                    thead { tr { th scope="col" { "Part" } th scope="col" { "What it is" } th scope="col" { "Number" } th scope="col" { "Serial, lot" } th scope="col" { "Keeps the promise" } th scope="col" { "Photos" } th scope="col" { "Written down" } } }
                    tbody { @for part in parts {
                        @let it = &part.value;
                        tr {
                            th scope="row" { a href={"/jobs/" (number) "/notebook/" (part.id)} { (it.component) } @if !it.position.is_empty() { br; span.small.faint { (it.position) } } }
                            td { (it.words) @if !it.maker.is_empty() { br; span.small.faint { (it.maker) } } }
                            td { @if it.part_number.is_empty() { span.faint { "\u{2013}" } } @else { (it.part_number) } }
                            td { @if it.serial.is_empty() && it.lot.is_empty() { span.faint { "\u{2013}" } } (it.serial) @if !it.lot.is_empty() { @if !it.serial.is_empty() { br; } "lot " (it.lot) } }
                            td { @match it.promise.and_then(|id| view.job.claim(id)) { Some(promise) => a href={"/jobs/" (number) "/claims/" (promise.id)} { (super::forms::shorten(&promise.words, 60)) }, None => span.faint { "\u{2013}" } } }
                            td { @let files: Vec<_> = view.job.files.iter().filter(|f| it.shown_by.contains(&f.id) || f.value.about.contains(&part.id)).map(|f| f.id).collect(); div.thumbs { (thumbs(&view, &files, 2)) } }
                            td.small.quiet { (part.author) br; (day_and_clock(&part.at.to_string())) }
                        }
                    } }
                }
            }
        }
    };
    Ok(page(&state, &prefs, &view, "Parts fitted", &format!("/jobs/{number}/parts"), body))
}

/// ", number 4032-B, lot 7": the numbers of a part in a line.
pub(crate) fn numbers(part: &FittedPart) -> Markup {
    html! {
        @for (kind, number) in [("number", &part.part_number), ("serial", &part.serial), ("lot", &part.lot)] {
            @if !number.is_empty() { ", " (kind) " " b { (number) } }
        }
    }
}

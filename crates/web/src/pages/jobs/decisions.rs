//! Decisions, with the owner's yes where it is there.

use super::conflicts;
use super::job::plural;
use super::questions::about;
use super::shared::{OfJob, page};
use crate::fault::Fault;
use crate::marks;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{count_capital, day_and_clock};
use axum::extract::State;
use axum::response::Response;
use maud::html;
use record::Stage;

/// The page.
pub(crate) async fn list(State(state): State<AppState>, prefs: Prefs, OfJob(view): OfJob) -> Result<Response, Fault> {
    let number = view.row.number;
    let decisions = &view.job.decisions;
    let without = decisions.iter().filter(|d| d.value.owners_yes.is_none()).count();
    let body = html! {
        div.head {
            h1 { "Decisions" }
            p.finding {
                @match decisions.len() {
                    0 => "Nothing is decided yet. Two gates ask for the owner\u{2019}s yes: to taking the engine apart, and to the build.",
                    n => { (count_capital(n)) " " (plural(n, "thing is", "things are")) " decided." @if without > 0 { " " b { (count_capital(without)) " without the owner\u{2019}s yes." } } @else { " The owner said yes to each." } }
                }
            }
            div.acts { a.btn.main href={"/jobs/" (number) "/decisions/new"} { "Add a decision" } }
        }
        (conflicts::banner(&view))
        @if decisions.is_empty() { div.empty.hone { p { "No decision yet" } a.btn href={"/jobs/" (number) "/decisions/new"} { "Add a decision" } } }
        ol.qlist.heavy-list {
            @for kept in decisions.iter().rev() {
                @let it = &kept.value;
                li {
                    p.lead { (it.words) }
                    @if !it.because.is_empty() { p { (it.because) } }
                    p.small.quiet {
                        (kept.author) ", " (day_and_clock(&kept.at.to_string()))
                        @match it.agrees { Some(Stage::OpenedUp) => "; agrees to taking it apart", Some(Stage::AgreedBuild) => "; agrees the build", Some(other) => { "; agrees \u{201c}" (other.name()) "\u{201d}" }, None => {} }
                    }
                    @match &it.owners_yes {
                        Some(yes) => p.small { span.vd { (marks::accepted()) "The owner said yes" } ", " (yes.how) ", " (yes.on) @if let Some(file) = yes.file { ", " a href={"/jobs/" (number) "/photos/" (file)} { "look at it" } } },
                        None => p.small { span.vd.open { (marks::asks()) "The owner\u{2019}s yes is not there" } " " a href={"/jobs/" (number) "/notebook/" (kept.id) "?open=correct#correct"} { "Add it" } },
                    }
                    @for id in &it.settles { (about(&view, *id, "")) }
                    @let files: Vec<_> = view.job.files.iter().filter(|f| f.value.about.contains(&kept.id)).map(|f| f.id).collect();
                    @if !files.is_empty() { div.thumbs { (super::photos::thumbs(&view, &files, 6)) } }
                    p.small { a href={"/jobs/" (number) "/notebook/" (kept.id)} { "In the notebook" } }
                }
            }
        }
    };
    Ok(page(&state, &prefs, &view, "Decisions", &format!("/jobs/{number}/decisions"), body))
}

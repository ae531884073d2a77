//! The measuring sheets of a job.

use super::sheet::counts;
use crate::fault::Fault;
use crate::marks;
use crate::pages::jobs::shared::{OfJob, page as job_page};
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{clock_or_day, count, count_capital};
use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};
use notebook::JobView;
use record::Sheet;

/// The page.
pub(super) async fn page(State(state): State<AppState>, OfJob(view): OfJob, prefs: Prefs) -> Result<Response, Fault> {
    let rows: Vec<Markup> =
        view.job.sheets.iter().rev().map(|sheet| row(&state, &view, sheet)).collect::<Result<_, Fault>>()?;
    let here = format!("/jobs/{}/sheets", view.row.number);
    let body = html! {
        div.head {
            h1 { "Measuring sheets" }
            p.finding { (finding(&view)) }
            @if !rows.is_empty() { div.acts { a.btn.main href=(format!("{here}/new")) { "Begin a sheet" } } }
        }
        @if rows.is_empty() {
            div.empty.hone { p { "No sheet yet" } a.btn.main href=(format!("{here}/new")) { "Begin a sheet" } }
        } @else {
            div.box tabindex="0" role="region" aria-label="Sheets" { table.runs {
                thead { tr { th scope="col" { "Sheet" } th.r scope="col" { "Read" } th scope="col" { "Stands" } th scope="col" { "Begun" } } }
                tbody { @for row in &rows { (row) } }
            } }
        }
    };
    Ok(job_page(&state, &prefs, &view, "Measuring sheets", &here, body))
}

fn finding(view: &JobView) -> String {
    let open = view.job.sheets.iter().filter(|s| !s.is_finished()).count();
    match (view.job.sheets.len(), open) {
        (0, _) => "What is measured on a part stands on a sheet: place, instrument, limit, verdict.".to_owned(),
        (1, 0) => "The sheet is finished.".to_owned(),
        (all, 0) => format!("All {} sheets are finished.", count(all)),
        (all, open) => {
            format!("{} of {} {} still open.", count_capital(open), count(all), if open == 1 { "is" } else { "are" })
        }
    }
}

fn row(state: &AppState, view: &JobView, sheet: &Sheet) -> Result<Markup, Fault> {
    let begun = &sheet.begun.value;
    let address = format!("/jobs/{}/sheets/{}", view.row.number, sheet.begun.id);
    let worked = state.notebook().sheet(sheet)?;
    let at = clock_or_day(&sheet.begun.at.to_string());
    Ok(html! {
        tr {
            td.name { a href=(address) { (begun.title) } }
            @match &worked {
                Ok(worked) => {
                    @let (out, undecided) = counts(sheet, worked);
                    td.r { (worked.result.progress.done) " of " (worked.result.progress.total) }
                    td {
                        @if out > 0 { p.beyond { (marks::diamond()) " " (count(out)) " out" } }
                        @if undecided > 0 { p { (marks::asks()) " " (count(undecided)) " cannot be told" } }
                        @if sheet.is_finished() { p { (marks::accepted()) " finished by " (sheet.finished.last().map_or("", |f| f.author.as_str())) } }
                        @else if !sheet.finished.is_empty() { p { "read again after it was finished" } }
                        @else if out + undecided == 0 { p.quiet { "open" } }
                    }
                },
                Err(fault) => { td.r { "\u{2013}" } td { p.beyond { "cannot be worked out: " (fault.to_string()) } } },
            }
            td { (at) p.quiet { (sheet.begun.author) } }
        }
    })
}

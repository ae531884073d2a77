//! Runs on the dyno that belong to a job, and attaching one: from the job or from the run.

use super::draw::Draw;
use super::sent::{Errors, Sent};
use super::shared::{ENTRY, OfJob, again, entry_name, page, to, write_one};
use super::stands::{Attached, attached};
use super::writer::barred;
use super::{add, conflicts};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::units::Units;
use crate::words::{count_capital, day, fixed};
use axum::extract::{Query, State};
use axum::response::Response;
use maud::{Markup, html};
use notebook::{JobLine, JobView};
use quantity::{Dimension, digits_with_uncertainty};
use record::{Body, RunAttached, Stage};
use store::Run;

/// The page.
pub(crate) async fn list(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    OfJob(view): OfJob,
    Query(asked): Query<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let mut sent = Sent::default();
    for (name, value) in asked.into_iter().filter(|(name, _)| name == "run") {
        sent.put(&name, value);
    }
    shown(&state, &prefs, &who, &view, &sent, &Errors::default())
}

/// Attaches a run.
pub(crate) async fn attach(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    OfJob(view): OfJob,
    sent: Sent,
) -> Result<Response, Fault> {
    let mut errors = Errors::default();
    let run = match sent.get("run").parse::<i64>() {
        Ok(n) => state.store().run_by_number(n)?,
        Err(_) => None,
    };
    match run {
        None => errors.on("run", "Choose a run that is in this shop."),
        Some(run) if view.job.runs.iter().any(|r| r.value.number == run.number) => {
            errors.on("run", format!("Run {} belongs to this job already.", run.number));
        }
        Some(run) => {
            let body = Body::RunAttached(RunAttached {
                run: run.id.to_string(),
                number: run.number,
                shows: sent.text("shows"),
            });
            if write_one(&state, &view, entry_name(&sent), body, &who, &mut errors).await? {
                return Ok(to(&format!("/jobs/{}/runs", view.row.number)));
            }
        }
    }
    Ok(again(shown(&state, &prefs, &who, &view, &sent, &errors)?))
}

fn shown(
    state: &AppState,
    prefs: &Prefs,
    who: &Who,
    view: &JobView,
    sent: &Sent,
    errors: &Errors,
) -> Result<Response, Fault> {
    let number = view.row.number;
    let runs = attached(state, &view.job)?;
    let lost = view.job.runs.iter().filter(|r| !runs.iter().any(|a| a.run.number == r.value.number)).count();
    let free: Vec<Run> = state
        .store()
        .runs()?
        .into_iter()
        .filter(|r| !view.job.runs.iter().any(|a| a.value.number == r.number))
        .collect();
    let units = Units(prefs.units);
    let sample = Body::RunAttached(RunAttached { run: String::new(), number: 0, shows: String::new() });
    let body = html! {
        div.head {
            h1 { "Runs on the dyno" }
            p.finding {
                @match runs.len() { 0 => "No run belongs to this job yet.", n => { (count_capital(n)) " " (super::job::plural(n, "run belongs", "runs belong")) " to this job." } }
                @if let Some(gain) = super::stands::gain(&runs, units) { " " (gain) }
                @if lost > 0 { " " b { (count_capital(lost)) " attached is not in this shop." } }
            }
        }
        (conflicts::banner(view))
        @if runs.is_empty() { div.empty.hone.low { p { "No run yet" } a.btn href="/runs" { "Bring in a log" } } } @else { (table(view, &runs, units)) }
        section.sec.heavy {
            h2 { "Attach a run" }
            @if free.is_empty() { p.quiet { "Every run of the shop belongs to this job, or there is none. " a href="/runs" { "Bring in a log" } } }
            @else {
                form.entry #attach method="post" action={"/jobs/" (number) "/runs"} {
                    input type="hidden" name=(ENTRY) value=(entry_name(sent));
                    @let draw = Draw { sent, errors };
                    (draw.trouble())
                    div.fields {
                        (draw.pick("run", "Run", "The newest first", &free.iter().map(|r| (r.number.to_string(), format!("Run {}: {}, {}", r.number, r.title, day(&r.received_at)))).collect::<Vec<_>>()))
                        (draw.line("shows", "What it shows", "As received, after the build"))
                    }
                    (add::send("Attach it", barred(who, &sample), &format!("/jobs/{number}")))
                }
            }
        }
    };
    Ok(page(state, prefs, view, "Runs", &format!("/jobs/{number}/runs"), body))
}

fn table(view: &JobView, runs: &[Attached], units: Units) -> Markup {
    html! {
        div.box tabindex="0" role="region" aria-label="Runs of this job" {
            table.partlist {
                thead { tr { th scope="col" { "Run" } th scope="col" { "Shows" } th.r scope="col" { "Average torque" br; (units.torque_unit()) } th.r scope="col" { "Spread of pulls" } th.r scope="col" { "Pulls" } th.r scope="col" { "Flags" } th scope="col" { "Attached" } } }
                tbody { @for a in runs.iter().rev() {
                    @let kept = view.job.runs.iter().find(|r| r.value.number == a.run.number);
                    tr {
                        th scope="row" { a href={"/runs/" (a.run.number)} { "Run " (a.run.number) } br; span.small.faint { (a.run.title) ", " (day(&a.run.received_at)) } }
                        td { @if a.shows.is_empty() { span.faint { "\u{2013}" } } @else { (a.shows) } }
                        td.r { (torque(a, units)) }
                        td.r { @match a.headline.mean_spread { Some(s) => { (fixed(s * 100.0, 1)) " %" }, None => span.faint { "\u{2013}" } } }
                        td.r { (a.headline.pulls) }
                        td.r { (a.headline.flags) }
                        td.small.quiet { @if let Some(kept) = kept { a href={"/jobs/" (view.row.number) "/notebook/" (kept.id)} { (kept.author) } } }
                    }
                } }
            }
        }
    }
}

fn torque(a: &Attached, units: Units) -> Markup {
    let Some(nm) = a.headline.mean_torque_nm else { return html! { span.faint { "\u{2013}" } } };
    let unit = units.0.unit(Dimension::Torque);
    let spread = a.headline.mean_torque_expanded_nm.unwrap_or(0.0) / unit.scale;
    let (value, u) = digits_with_uncertainty(unit.from_si(nm), spread);
    html! { b.measured { (value) } @if spread > 0.0 { span.faint { " \u{b1}" (u) } } @else { span.faint { " spread not known" } } }
}

/// On the page of a run: the job it belongs to, or a form that attaches it to one that is in the shop.
pub(crate) fn on_run_page(state: &AppState, run: &Run) -> Result<Markup, Fault> {
    let jobs = state.notebook().jobs(0, 60)?;
    let of: Vec<&notebook::JobView> =
        jobs.iter().map(AsRef::as_ref).filter(|v| v.job.runs.iter().any(|r| r.value.number == run.number)).collect();
    let here: Vec<JobLine> = jobs
        .iter()
        .filter(|v| v.job.stage() != Stage::HandedOver && !of.iter().any(|o| o.id == v.id))
        .map(|v| JobLine::of(v))
        .collect();
    Ok(html! {
        @if !(of.is_empty() && here.is_empty()) {
            section.sec.of-jobs #job {
                h3 { "Job" }
                @for view in &of { p { a href={"/jobs/" (view.row.number)} { "Job " (view.row.number) @if let Some(opened) = &view.job.opened { ": " (opened.value.title) } } } }
                @if !here.is_empty() {
                    details.fold.small-fold #attach-to {
                        summary { @if of.is_empty() { "Attach it to a job" } @else { "Attach it to another job" } }
                        div { ul.plainlist { @for line in &here { li { a href={"/jobs/" (line.number) "/runs?run=" (run.number) "#attach"} { "Job " (line.number) ": " (line.title) } } } } }
                    }
                }
            }
        }
    })
}

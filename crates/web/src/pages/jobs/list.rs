//! The jobs of the shop with their stage lines, and the search over everything that is written in them.

use super::job::plural;
use crate::accounts::Who;
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::marks;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{count_capital, day, day_and_clock, thousands};
use axum::extract::{Query, State};
use axum::response::Response;
use maud::{Markup, html};
use notebook::JobLine;
use record::Stage;
use serde::Deserialize;
use store::Hit;

/// Jobs on one page.
const MOST: usize = 50;
/// Places found, at most.
const FOUND: usize = 100;

/// What is looked for.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    #[serde(default)]
    q: String,
    #[serde(default)]
    page: String,
}

/// The page.
pub(crate) async fn list(
    State(state): State<AppState>,
    prefs: Prefs,
    _who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Fault> {
    let words = asked.q.trim().to_owned();
    let at_page = asked.page.parse::<usize>().unwrap_or(1).max(1);
    let reader = state.clone();
    let words_to_find = words.clone();
    let (total, lines, hits) = tokio::task::spawn_blocking(move || -> Result<_, Fault> {
        let notebook = reader.notebook();
        let total = notebook.count()?;
        if words_to_find.is_empty() {
            let views = notebook.jobs((at_page - 1) * MOST, MOST)?;
            return Ok((total, views.iter().map(|v| JobLine::of(v)).collect::<Vec<_>>(), Vec::new()));
        }
        let hits = reader.store().search(&words_to_find, FOUND)?;
        let mut numbers: Vec<i64> = hits.iter().map(|h| h.job_number).collect();
        numbers.dedup();
        let mut seen = Vec::new();
        numbers.retain(|n| {
            !seen.contains(n) && {
                seen.push(*n);
                true
            }
        });
        // "31" or "Job 31" means the job itself.
        let number: Option<i64> = words_to_find.trim_start_matches(|c: char| !c.is_ascii_digit()).parse().ok();
        if let Some(number) = number.filter(|n| !numbers.contains(n))
            && notebook.store().job_by_number(number)?.is_some()
        {
            numbers.insert(0, number);
        }
        let mut lines = Vec::new();
        for number in numbers.into_iter().take(MOST) {
            lines.push(JobLine::of(&*notebook.job(number)?));
        }
        Ok((total, lines, hits))
    })
    .await??;
    let pages = total.div_ceil(MOST).max(1);
    let body = html! {
        div.head {
            h1 { "Jobs" }
            p.finding { (finding(total, &words, &lines, &hits)) }
            div.acts { a.btn.main href="/jobs/new" { "Take an engine in" } }
        }
        @if total > 0 { (search(&words)) }
        @if total == 0 { div.empty.hone { p { "No job yet" } a.btn href="/jobs/new" { "Take an engine in" } } }
        @else if lines.is_empty() { div.empty.hone.low { p { "Nothing found" } a.btn href="/" { "All jobs" } } }
        @else { (table(&lines, &hits)) }
        @if words.is_empty() && pages > 1 {
            nav.row aria-label="Pages of the list" {
                @if at_page > 1 { a.btn href={"/?page=" (at_page - 1)} { "Newer" } }
                span.quiet { "Page " (at_page) " of " (pages) }
                @if at_page < pages { a.btn href={"/?page=" (at_page + 1)} { "Older" } }
            }
        }
    };
    let page = Page { title: "Jobs".to_owned(), place: Place::Jobs, trail: None, body };
    Ok(frame::respond(&state, &prefs, page))
}

/// What the list says first.
fn finding(total: usize, words: &str, lines: &[JobLine], hits: &[Hit]) -> Markup {
    let stopping: usize = lines.iter().filter(|l| l.stopping > 0 && l.stage != Stage::HandedOver).count();
    let disagree = lines.iter().filter(|l| l.conflicts > 0).count();
    let here = lines.iter().filter(|l| l.stage != Stage::HandedOver).count();
    html! {
        @if total == 0 { "A job begins with what the owner says, in his words." }
        @else if !words.is_empty() {
            (count_capital(hits.len())) " " (plural(hits.len(), "entry holds", "entries hold")) " \u{201c}" (words) "\u{201d}, in " (crate::words::count(lines.len())) " " (plural(lines.len(), "job", "jobs")) "."
            @if hits.len() == FOUND { " Only the newest are shown; one more word narrows it." }
        } @else {
            @if lines.len() == total { (count_capital(here)) " " (plural(here, "engine is", "engines are")) " in the shop." } @else { (thousands(total as f64)) " jobs, the newest first." }
            @if stopping > 0 { " " b { (count_capital(stopping)) " " (plural(stopping, "waits", "wait")) " for an answer that stops the hand-over." } }
            @if disagree > 0 { " In " (crate::words::count(disagree)) ", two people wrote things that do not agree." }
        }
    }
}

fn search(words: &str) -> Markup {
    html! {
        form.search role="search" method="get" action="/" {
            label for="q" { "Find" }
            input.field #q type="search" name="q" value=(words) autocomplete="off" placeholder="words, part number, serial, claim";
            button.btn type="submit" { "Find" }
            @if !words.is_empty() { a.btn.soft href="/" { "All jobs" } }
        }
    }
}

fn table(lines: &[JobLine], hits: &[Hit]) -> Markup {
    html! {
        div.box tabindex="0" role="region" aria-label="Jobs, newest first" {
            table.runs.joblist {
                thead { tr {
                    th.no scope="col" { "No." }
                    th scope="col" { "Job" }
                    th.stage-col scope="col" { "Stage" }
                    th scope="col" { "Open" }
                    th scope="col" { "Last entry" }
                } }
                tbody { @for line in lines { (row(line, hits)) } }
            }
        }
    }
}

fn row(line: &JobLine, hits: &[Hit]) -> Markup {
    let places: Vec<&Hit> = hits.iter().filter(|h| h.job_number == line.number).take(4).collect();
    html! {
        tr {
            td.no { (line.number) }
            th.name scope="row" {
                a href={"/jobs/" (line.number)} { @if line.title.is_empty() { "Job " (line.number) } @else { (line.title) } }
                @if !line.purpose.is_empty() { p { (line.purpose) } }
                small { "opened " (day(&line.opened)) }
                @if !places.is_empty() {
                    ul.hits { @for hit in places {
                        li { a href={"/jobs/" (line.number) "/notebook/" (hit.entry_id)} { @for part in &hit.snippet { @if part.found { mark { (part.text) } } @else { (part.text) } } } " " small.faint { (super::entry_words::kind(&hit.kind)) } }
                    } }
                }
            }
            td.stage-col { (stage_line(line.stage)) }
            td.open-col { (open(line)) }
            td.small.quiet { (day_and_clock(&line.last)) br; (thousands(line.entries as f64)) " " (plural(line.entries as usize, "entry", "entries")) }
        }
    }
}

/// What waits in a job.
fn open(line: &JobLine) -> Markup {
    html! {
        @if line.conflicts > 0 { p.small.stops { (marks::diamond()) (count_capital(line.conflicts)) " not settled" } }
        @if line.stopping > 0 && line.stage != Stage::HandedOver { p.small.stops { (marks::flag()) (count_capital(line.stopping)) " " (plural(line.stopping, "stops", "stop")) " the hand-over" } }
        @let others = line.open_questions - line.stopping;
        @if others > 0 { p.small.quiet { (count_capital(others)) " " (plural(others, "question", "questions")) } }
        @if line.open_claims > 0 { p.small.quiet { (count_capital(line.open_claims)) " not judged" } }
        @if line.conflicts + line.open_questions + line.open_claims == 0 { span.faint { "nothing" } }
    }
}

/// The six stages as nodes on a line, with the one that the job is in.
pub(crate) fn stage_line(stage: Stage) -> Markup {
    let at = stage as usize;
    let x = |i: usize| 8.0 + 26.0 * i as f64;
    html! {
        svg.mini viewBox="0 0 146 16" width="146" height="16" role="img" aria-label=(format!("Stage {} of 6: {}", at + 1, stage.name())) {
            line x1=(x(0)) x2=(x(at)) y1="8" y2="8" stroke="var(--ink)" stroke-width="1.5" {}
            @if at < 5 { line x1=(x(at)) x2=(x(5)) y1="8" y2="8" stroke="var(--edge)" stroke-width="1.5" stroke-dasharray="2 3" {} }
            @for (i, of) in Stage::ALL.into_iter().enumerate() {
                @if i < at || stage == Stage::HandedOver { circle cx=(x(i)) cy="8" r="5" fill="var(--ink)" {} }
                @else if of == stage { circle cx=(x(i)) cy="8" r="5.8" fill="var(--sheet)" stroke="var(--blue)" stroke-width="2" {} circle cx=(x(i)) cy="8" r="2.6" fill="var(--blue)" {} }
                @else { circle cx=(x(i)) cy="8" r="4.6" fill="var(--sheet)" stroke="var(--edge)" stroke-width="1.5" {} }
            }
        }
        span.stage-name { (stage.name()) }
    }
}

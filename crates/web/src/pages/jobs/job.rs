//! The page of a job: what it says first, its way through the stages, told and found, open questions, how it stands.

use super::conflicts;
use super::scale::found_words;
use super::shared::{OfJob, page};
use super::stands::{self, Attached};
use super::time_line::{planned, time_line};
use super::trail::reached;
use super::value::words;
use crate::fault::Fault;
use crate::marks;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::units::Units;
use crate::words::{count, count_capital, date_of, day_and_clock, fixed, short_day};
use axum::extract::State;
use axum::response::Response;
use jiff::Timestamp;
use maud::{Markup, html};
use notebook::JobView;
use record::{Answered, ClaimState, Facts, Finding, Job, Stage, Standing, TruthVerdict};

/// The page.
pub(crate) async fn show(State(state): State<AppState>, prefs: Prefs, OfJob(view): OfJob) -> Result<Response, Fault> {
    let facts = state.notebook().facts(&view)?;
    let runs = stands::attached(&state, &view.job)?;
    let body = body(&state, &view, &facts, &runs, &prefs);
    let title = view.job.opened.as_ref().map_or_else(String::new, |o| o.value.title.clone());
    Ok(page(&state, &prefs, &view, &title, &format!("/jobs/{}", view.row.number), body))
}

fn body(state: &AppState, view: &JobView, facts: &Facts, runs: &[Attached], prefs: &Prefs) -> Markup {
    let units = Units(prefs.units);
    let number = view.row.number;
    html! {
        div.head {
            h1 { (heading(&view.job)) }
            p.finding { (finding(view, runs, units)) }
            div.acts {
                button.btn.main type="button" popovertarget="add" { "Add to notebook" }
                (add_menu(number))
            }
        }
        (conflicts::banner(view))
        div.tl { (time_line(view, Timestamp::now())) (columns(view, facts, runs)) }
        div.three {
            section.sec.heavy aria-labelledby="told-title" { (told_and_found(view)) }
            section.sec.heavy.questions-beside aria-labelledby="open-title" { (open_questions(view)) }
            section.sec.heavy.stands aria-labelledby="stands-title" {
                h2 #stands-title { "As it stands" }
                (stands::curve(runs, units))
                (stands::facts(state, view, prefs.units))
            }
        }
        (latest(view))
    }
}

/// "2.4-litre four, blown, for a hill-climb car" where a purpose is said.
fn heading(job: &Job) -> String {
    let Some(opened) = &job.opened else { return "A job without its opening".to_owned() };
    let it = &opened.value;
    if it.purpose.is_empty() {
        return it.title.clone();
    }
    let mut chars = it.purpose.chars();
    let second_is_small = it.purpose.chars().nth(1).is_some_and(char::is_lowercase);
    let purpose = if second_is_small {
        chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
    } else {
        it.purpose.clone()
    };
    format!("{}: {purpose}", it.title)
}

/// What can be added, one link a kind.
fn add_menu(number: i64) -> Markup {
    let base = format!("/jobs/{number}");
    html! {
        nav.add-menu #add popover="auto" aria-label="Add to notebook" {
            ul {
                @for (path, words, meaning) in [
                    ("notebook/new", "Note", "what was done or seen, in words"),
                    ("photos", "Photo or file", "from the camera or the disk"),
                    ("claims/new", "Claim", "what the owner was told"),
                    ("findings/new", "Finding", "what was seen or measured"),
                    ("questions/new", "Question", "to the builder, the owner, the operator"),
                    ("decisions/new", "Decision", "with the owner\u{2019}s yes"),
                    ("promises/new", "Promise", "what we agreed to do"),
                    ("parts/new", "Part fitted", "with its numbers"),
                    ("runs", "Run on the dyno", "brought in already"),
                ] {
                    li { a href={(base) "/" (path)} { b { (words) } span { (meaning) } } }
                }
            }
        }
    }
}

/// "On the dyno since Monday. It pulls 33 N·m better over the agreed band. One question stops the hand-over."
fn finding(view: &JobView, runs: &[Attached], units: Units) -> Markup {
    let job = &view.job;
    let stage = job.stage();
    let since = reached(view, stage).map_or_else(String::new, |at| since_words(&at));
    let stands = match stage {
        Stage::Received => format!("Here since {since}, not opened yet."),
        Stage::OpenedUp => format!("Open since {since}."),
        Stage::AgreedBuild => format!("Build agreed {since}."),
        Stage::MeasuredAssembled => format!("Being measured and put together since {since}."),
        Stage::OnDyno => format!("On the dyno since {since}."),
        Stage::HandedOver => format!("Handed over {since}."),
    };
    let stopping = open(job).filter(|q| q.question.value.stops_hand_over).count();
    let waiting = open(job).count();
    html! {
        (stands)
        @if let Some(gain) = stands::gain(runs, units) { " " (gain) }
        @if !job.conflicts.is_empty() { " " b { (count_capital(job.conflicts.len())) " " (plural(job.conflicts.len(), "thing is", "things are")) " written twice and not alike." } }
        @if stage != Stage::HandedOver {
            @if stopping > 0 { " " b { (count_capital(stopping)) " " (plural(stopping, "question stops", "questions stop")) " the hand-over." } }
            @else if waiting > 0 { " " (count_capital(waiting)) " " (plural(waiting, "question is", "questions are")) " open." }
        }
    }
}

/// "Monday" within the last week, else "6 March".
fn since_words(at: &str) -> String {
    let Ok(then) = at.parse::<Timestamp>() else { return at.to_owned() };
    let (then, today) = (date_of(then), date_of(Timestamp::now()));
    match then.until(today).map_or(i32::MAX, |span| span.get_days()) {
        0 => "today".to_owned(),
        1..=6 => then.strftime("%A").to_string(),
        _ if then.year() == today.year() => then.strftime("%-d %B").to_string(),
        _ => then.strftime("%-d %B %Y").to_string(),
    }
}

pub(crate) fn plural<'a>(n: usize, one: &'a str, more: &'a str) -> &'a str {
    if n == 1 { one } else { more }
}

fn open(job: &Job) -> impl Iterator<Item = &Answered> {
    job.questions.iter().filter(|q| q.answers.is_empty())
}

/// One column a stage: when, and what it came to.
fn columns(view: &JobView, facts: &Facts, runs: &[Attached]) -> Markup {
    let now = view.job.stage();
    html! {
        ol.cols {
            @for stage in Stage::ALL {
                @let at = reached(view, stage);
                @let class = if stage == now { "now" } else if at.is_some() || stage < now { "done" } else { "todo" };
                li class=(class) {
                    h2 { (stage.name()) }
                    span.small.faint {
                        @match (&at, stage) {
                            (Some(at), _) => (short_day(at)),
                            (None, Stage::HandedOver) => @match planned(view) { Some(day) => { (day.strftime("%-d %b").to_string()) " planned" }, None => "\u{a0}" },
                            (None, _) => "\u{a0}",
                        }
                    }
                    p { (came_to(view, stage, facts, runs)) }
                }
            }
        }
    }
}

/// What a stage came to, out of its entries.
fn came_to(view: &JobView, stage: Stage, facts: &Facts, runs: &[Attached]) -> String {
    let job = &view.job;
    let ours = |ours: bool| job.claims.iter().filter(move |c| c.ours == ours);
    let n_words = |n: usize, one: &str, more: &str| format!("{} {}", count_capital(n), plural(n, one, more));
    match stage {
        Stage::Received => {
            let mut parts = Vec::new();
            match ours(false).count() {
                0 => parts.push("No claim written down yet.".to_owned()),
                n => parts.push(format!("{}.", n_words(n, "claim written down", "claims written down"))),
            }
            if !job.tests.is_empty() {
                parts.push(format!("{}.", n_words(job.tests.len(), "test before teardown", "tests before teardown")));
            }
            parts.join(" ")
        }
        Stage::OpenedUp => {
            let mut parts: Vec<String> = Vec::new();
            let found: Vec<String> = ours(false)
                .filter(|c| !matches!(c.standing(), Standing::Judged(TruthVerdict::True)))
                .filter_map(|c| found_words(&findings_of(job, c)).map(|f| format!("{} {f}", lower(&c.component))))
                .take(3)
                .collect();
            if !found.is_empty() {
                parts.push(format!("{}.", capital(&found.join(", "))));
            }
            let not_true = ours(false).filter(|c| c.standing() == Standing::Judged(TruthVerdict::NotTrue)).count();
            if not_true > 0 {
                parts.push(format!("{} not true.", n_words(not_true, "claim", "claims")));
            } else if parts.is_empty() && !job.findings.is_empty() {
                parts.push(format!("{}.", n_words(job.findings.len(), "finding", "findings")));
            }
            parts.join(" ")
        }
        Stage::AgreedBuild => {
            let agreed = job.decisions.iter().rfind(|d| d.value.agrees == Some(Stage::AgreedBuild));
            let mut parts: Vec<String> = agreed
                .map(|d| {
                    let yes = if d.value.owners_yes.is_some() {
                        " The owner said yes."
                    } else {
                        " The owner\u{2019}s yes is not there."
                    };
                    format!("{}{yes}", stop(&super::forms::shorten(&d.value.words, 90)))
                })
                .into_iter()
                .collect();
            match ours(true).count() {
                0 => {}
                n => {
                    let proved = ours(true).filter(|c| c.is_proved(&job.proofs(c))).count();
                    parts.push(if proved == n {
                        format!("{}, all proved.", n_words(n, "promise", "promises"))
                    } else {
                        format!("{}, {} proved.", n_words(n, "promise", "promises"), count(proved))
                    });
                }
            }
            parts.join(" ")
        }
        Stage::MeasuredAssembled => {
            let read: usize = job.sheets.iter().map(|s| s.standing.len()).sum();
            if job.sheets.is_empty() {
                return String::new();
            }
            let out = facts.sheet_outside.len();
            let settled: usize = job.sheets.iter().map(|s| s.waived.len()).sum();
            let limits = match (out, settled) {
                (0, 0) => "None out of limit.".to_owned(),
                (0, n) => format!("{} with a reason.", n_words(n, "place kept", "places kept")),
                (n, _) => format!("{} out of limit, not settled.", n_words(n, "place", "places")),
            };
            format!("{read} {}. {limits}", plural(read, "reading", "readings"))
        }
        Stage::OnDyno => match runs.last() {
            None => String::new(),
            Some(last) => {
                let mut parts = vec![format!("{}.", n_words(runs.len(), "run", "runs"))];
                if let Some(spread) = last.headline.mean_spread {
                    parts.push(format!("Repeats within {}\u{a0}%.", fixed(spread * 100.0, 1)));
                }
                if last.headline.flags > 0 {
                    parts.push(format!("{} to settle.", n_words(last.headline.flags, "flag", "flags")));
                }
                parts.join(" ")
            }
        },
        Stage::HandedOver => match &job.handed_over {
            Some(it) => format!(
                "To {}.{}",
                it.value.to,
                match it.value.in_spite_of.len() {
                    0 => String::new(),
                    n => format!(" {} named.", n_words(n, "doubt", "doubts")),
                }
            ),
            None => {
                let n = open(job).filter(|q| q.question.value.stops_hand_over).count();
                if n > 0 {
                    format!("Waits for {} {}.", count(n), plural(n, "answer", "answers"))
                } else {
                    String::new()
                }
            }
        },
    }
}

/// Findings about a claim, oldest first.
pub(crate) fn findings_of<'a>(job: &'a Job, claim: &ClaimState) -> Vec<&'a Finding> {
    claim.findings.iter().filter_map(|id| job.finding(*id)).map(|f| &f.value).collect()
}

fn lower(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

fn stop(text: &str) -> String {
    if text.ends_with(['.', '?', '\u{2026}']) { text.to_owned() } else { format!("{text}.") }
}

/// Claims by verdict: not true, partly, can't tell, true.
pub(crate) const VERDICTS: [TruthVerdict; 4] =
    [TruthVerdict::NotTrue, TruthVerdict::Partly, TruthVerdict::CannotTell, TruthVerdict::True];

/// How many claims have a verdict.
pub(crate) fn judged<'a>(claims: impl Iterator<Item = &'a ClaimState>, verdict: TruthVerdict) -> usize {
    claims.filter(|c| c.standing() == Standing::Judged(verdict)).count()
}

/// The table of claims.
fn told_and_found(view: &JobView) -> Markup {
    let job = &view.job;
    let number = view.row.number;
    let mut claims: Vec<(usize, &ClaimState)> =
        job.claims.iter().filter(|c| !c.ours).enumerate().map(|(i, c)| (i + 1, c)).collect();
    claims.sort_by_key(|(place, c)| (c.weight, *place));
    html! {
        h2 #told-title {
            a.plainlink href={"/jobs/" (number) "/claims"} { "Told and found" }
            span.tally {
                @for verdict in VERDICTS {
                    @let n = judged(claims.iter().map(|(_, c)| *c), verdict);
                    @if n > 0 { span class=(if verdict == TruthVerdict::NotTrue { "vd no" } else { "vd" }) { (marks::truth(verdict)) (n) span.away { " " (marks::verdict_words(verdict)) } } }
                }
            }
        }
        @if claims.is_empty() {
            div.empty.hone.low { p { "No claim written down yet" } a.btn href={"/jobs/" (number) "/claims/new"} { "Add a claim" } }
        } @else {
            div.box tabindex="0" role="region" aria-label="Claims with what was told and found" {
                table.cf {
                    thead { tr { th scope="col" { span.away { "Number" } } th scope="col" { "Claim" } th.r scope="col" { "told" } th.r scope="col" { "found" } th scope="col" { "Verdict" } th scope="col" { "Matters" } } }
                    tbody {
                        @for (place, claim) in &claims {
                            tr {
                                td.faint { (place) }
                                th scope="row" { a href={"/jobs/" (number) "/claims/" (claim.id)} { (claim.component) } }
                                td.r.said { (claim.said.as_ref().map_or_else(|| "\u{2013}".to_owned(), words)) }
                                td.r.measured { @match found_words(&findings_of(job, claim)) { Some(found) => b { (found) }, None => span.faint { "\u{2013}" } } }
                                td { (standing_mark(claim)) }
                                td { (marks::weight(claim.weight)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// How a claim stands, by mark and word.
pub(crate) fn standing_mark(claim: &ClaimState) -> Markup {
    match claim.standing() {
        Standing::Judged(verdict) => marks::verdict(verdict),
        Standing::Open => html! { span.vd.open { (marks::ready()) "Not judged" } },
        Standing::Disputed => html! { span.vd.no { (marks::diamond()) "Two verdicts" } },
    }
}

fn open_questions(view: &JobView) -> Markup {
    let number = view.row.number;
    let mut questions: Vec<&Answered> = open(&view.job).collect();
    questions.sort_by_key(|q| (!q.question.value.stops_hand_over, q.question.id));
    let answered = view.job.questions.len() - questions.len();
    html! {
        h2 #open-title { a.plainlink href={"/jobs/" (number) "/questions"} { "Open questions" } }
        @for question in questions.iter().take(4) { (super::questions::short(question, view)) }
        @if questions.len() > 4 { p.small { a href={"/jobs/" (number) "/questions"} { (count_capital(questions.len() - 4)) " more" } } }
        @if questions.is_empty() {
            p.quiet { "None." @if answered > 0 { " " (count_capital(answered)) " " (plural(answered, "was", "were")) " answered." } }
        }
        p.ask-one { a.btn href={"/jobs/" (number) "/questions/new"} { "Ask" } }
    }
}

/// The newest entries, three of them.
fn latest(view: &JobView) -> Markup {
    let number = view.row.number;
    // What the stages and tables above do not show already.
    let told = ["job_opened", "reading", "drawing", "stage_passed"];
    let mut lines: Vec<_> = view.job.lines.iter().filter(|l| !l.superseded && !told.contains(&l.kind)).collect();
    lines.sort_by_key(|line| (line.at, line.id));
    html! {
        section.sec.latest aria-labelledby="latest-title" {
            h2 #latest-title { a.plainlink href={"/jobs/" (number) "/notebook"} { "Latest in the notebook" } }
            @if lines.is_empty() { p.quiet { "Nothing yet beyond the opening of the job." } }
            ol {
                @for line in lines.iter().rev().take(3) {
                    li {
                        (super::photos::thumb_of_line(view, line.id))
                        div {
                            p { a href={"/jobs/" (number) "/notebook/" (line.id)} { (super::forms::shorten(&line.words, 170)) } }
                            span.small.faint { (capital(&line.author)) ", " (day_and_clock(&line.at.to_string())) }
                        }
                    }
                }
            }
        }
    }
}

//! What lies under the picture: the pulls, what the figures hang on, what was not as it should be, the logs.

use super::side::sentence;
use crate::marks;
use crate::readings::Reading;
use crate::units::Units;
use crate::words::{fixed, thousands};
use maud::{Markup, html};
use pull::analysis::{Analysis, Comparison, NotAPull, PullKind, PullResult};
use pull::log::{Problem, Severity};
use quantity::UnitSystem;

/// The pulls of the run, used and left out, and what else the logs hold.
pub(crate) fn pulls(reading: &Reading, analysis: &Analysis, units: Units) -> Markup {
    let used = analysis.pulls.iter().filter(|p| p.left_out.is_none()).count();
    html! {
        details.fold #pulls open[analysis.pulls.len() > used] {
            summary { "Pulls " span { (used) " of " (analysis.pulls.len()) " in use" @if !analysis.not_pulls.is_empty() { ", " (analysis.not_pulls.len()) " stretches are no pulls" } } }
            div {
                div.box tabindex="0" role="region" aria-label="Pulls" {
                    table.pulls {
                        thead { tr {
                            th scope="col" { "Pull" } th scope="col" { "How" } th.r scope="col" { "Speeds" br; "rpm" }
                            th.r scope="col" { "Rate" br; "rpm/s" } th.r scope="col" { "Factor" }
                            th.r scope="col" { "Intake air" br; (units.temperature_unit()) } th.r scope="col" { "Oil" br; (units.temperature_unit()) }
                            th.r scope="col" { "Average torque" br; (units.torque_unit()) } th scope="col" { "In use" }
                        } }
                        tbody { @for pull in &analysis.pulls { (pull_row(reading, analysis, pull, units)) } }
                    }
                }
                @if !analysis.not_pulls.is_empty() {
                    h3.apart { "No pulls" }
                    ul.plainlist { @for stretch in &analysis.not_pulls { li { (not_a_pull(analysis, stretch)) } } }
                }
            }
        }
    }
}

fn pull_row(reading: &Reading, analysis: &Analysis, pull: &PullResult, units: Units) -> Markup {
    let dash = || "\u{2013}".to_owned();
    let log = analysis.logs.get(pull.log).map_or("", |log| log.name.as_str());
    html! {
        tr #{"pull-" (pull.number)} .out[pull.left_out.is_some()] {
            th scope="row" { b { (pull.number) } " " small.faint { (log) } }
            td { (kind(pull.kind)) }
            td.r { (thousands(pull.from_rpm)) "\u{2013}" (thousands(pull.to_rpm)) }
            td.r { @if pull.rate_rpm_s == 0.0 { (dash()) } @else { (thousands(pull.rate_rpm_s)) } }
            td.r { (fixed(pull.factor, 3)) }
            td.r { (pull.air_temperature_k.map_or_else(dash, |k| units.temperature(k))) }
            td.r { (pull.oil_temperature_k.map_or_else(dash, |k| units.temperature(k))) }
            td.r { (pull.band_mean_torque_nm.map_or_else(dash, |t| units.torque(t))) }
            td { (in_use(reading, pull)) }
        }
    }
}

/// In use, with a way to leave the pull out; or the reason why it is out, with a way back.
fn in_use(reading: &Reading, pull: &PullResult) -> Markup {
    let number = reading.run.number;
    let by_person = reading.stated.setup.left_out.contains_key(&pull.number);
    html! {
        @match &pull.left_out {
            Some(reason) => {
                span { "Left out: " (reason) }
                @if by_person {
                    form.inline method="post" action={"/runs/" (number) "/take-back"} {
                        input type="hidden" name="revision" value=(reading.run.revision);
                        input type="hidden" name="pull" value=(pull.number);
                        button.btn.soft type="submit" { "Take back in" span.away { " pull " (pull.number) } }
                    }
                }
            },
            None => {
                details.leave #{"leave-" (pull.number)} {
                    summary { "Leave out" span.away { " pull " (pull.number) } }
                    form.inline method="post" action={"/runs/" (number) "/leave-out"} {
                        input type="hidden" name="revision" value=(reading.run.revision);
                        input type="hidden" name="pull" value=(pull.number);
                        label for={"why-" (pull.number)} { "Why pull " (pull.number) " does not count" }
                        input.field #{"why-" (pull.number)} name="reason" required maxlength="200" autocomplete="off";
                        button.btn type="submit" { "Leave out" }
                    }
                }
            },
        }
    }
}

fn kind(kind: PullKind) -> &'static str {
    match kind {
        PullKind::SweepUp => "sweep up",
        PullKind::SweepDown => "sweep down",
        PullKind::StepTest => "step test",
        PullKind::Hold => "hold",
    }
}

fn not_a_pull(analysis: &Analysis, stretch: &NotAPull) -> String {
    let log = analysis.logs.get(stretch.log).map_or("", |log| log.name.as_str());
    format!(
        "{log}, {} to {} s ({} to {} rpm): {}",
        fixed(stretch.from_s, 1),
        fixed(stretch.to_s, 1),
        thousands(stretch.from_rpm),
        thousands(stretch.to_rpm),
        stretch.reason
    )
}

/// What the reading found not as it should be.
pub(crate) fn problems(problems: &[Problem]) -> Markup {
    let stops = problems.iter().filter(|p| p.severity == Severity::Stop).count();
    let losses = problems.iter().filter(|p| p.severity != Severity::Note).count();
    html! {
        @if !problems.is_empty() {
            details.fold #problems open[stops > 0] {
                summary { "Found in the logs " span { (problems.len()) @if losses > 0 { ", " (losses) " with values missing" } @else { ", no value is affected" } } }
                div.box.scroll #problems-box tabindex="0" role="region" aria-label="Found in the logs" { ul.problems { @for problem in problems { (problem_line(problem)) } } }
            }
        }
    }
}

fn problem_line(problem: &Problem) -> Markup {
    html! {
        li {
            @match problem.severity { Severity::Note => (marks::square()), _ => (marks::diamond()) }
            div {
                p { @if problem.severity != Severity::Note { b { (problem.what) } } @else { (problem.what) } @if problem.count > 1 { span.faint { " (" (thousands(problem.count as f64)) " times)" } } }
                p.at { (at_what(problem)) @if let Some(next) = &problem.next { " " span.next { (sentence(next)) } } }
            }
        }
    }
}

/// Place, what stands there, what happened to it.
fn at_what(problem: &Problem) -> String {
    let found = problem.found.as_ref().map(|found| match &problem.expected {
        Some(expected) => format!("found {found}, expected {expected}"),
        None => format!("found {found}"),
    });
    let parts = [problem.place.clone(), found, problem.effect.clone()];
    parts.iter().flatten().filter(|p| !p.trim().is_empty()).map(|p| sentence(p)).collect::<Vec<_>>().join(" ")
}

/// What the figures hang on, in the report's words: what was read, left out, corrected, smoothed, added,
/// assumed; then the factor of every form for this weather.
pub(crate) fn hangs_on(
    reading: &Reading,
    analysis: &Analysis,
    comparison: Option<&Comparison>,
    units: UnitSystem,
) -> Markup {
    let lines = report::provenance(analysis, comparison, units);
    // Lines of one name stand together.
    let groups = lines.chunk_by(|a, b| a.name == b.name);
    html! {
        details.fold #hangs {
            summary { "What it hangs on " span { "weather, correction, load cell, smoothing, limits" } }
            div {
                dl.hangs {
                    @for group in groups {
                        dt { (group[0].name) }
                        dd { @for line in group { p { (line.text) } } }
                    }
                    @if let Some(key) = &reading.run.dyno {
                        dt { "Dyno\u{2019}s file" }
                        dd { a href={"/dynos/" (key)} { (key) } @if let Some(revision) = reading.stated.dyno_revision { ", as it stood at its change " (revision) } }
                    }
                    @if !analysis.correction.all.is_empty() {
                        dt { "Every factor, this weather" }
                        dd { table.factors { tbody { @for (_, label, factor) in &analysis.correction.all { tr { th scope="row" { (label) } td.r { (fixed(*factor, 4)) } } } } } }
                    }
                    @let sources = sources(analysis);
                    @if !sources.is_empty() { dt { "Limits of the flags" } dd { @for source in &sources { p { (source) } } } }
                }
            }
        }
    }
}

fn sources(analysis: &Analysis) -> Vec<String> {
    let mut sources: Vec<String> =
        analysis.flags.iter().map(|flag| format!("{}: {}", flag.rule.replace('_', " "), flag.source)).collect();
    sources.sort();
    sources.dedup();
    sources
}

/// The logs as they came, to be had byte for byte.
pub(crate) fn logs(reading: &Reading, analysis: Option<&Analysis>) -> Markup {
    let number = reading.run.number;
    html! {
        details.fold #logs {
            summary { "Logs and files " span { (reading.run.files.len()) @if reading.run.files.len() == 1 { " log, kept as it came" } @else { " logs, kept as they came" } } }
            div {
                @if analysis.is_some() {
                    p.row { span.quiet { "The run as" }
                        a.btn.soft href={"/runs/" (number) "/run.pdf?paper=a4"} { "PDF, A4" }
                        a.btn.soft href={"/runs/" (number) "/run.pdf?paper=letter"} { "PDF, Letter" }
                        a.btn.soft href={"/runs/" (number) "/run.svg"} { "SVG" }
                        a.btn.soft href={"/runs/" (number) "/run.json"} { "JSON" }
                    }
                }
                div.box tabindex="0" role="region" aria-label="Logs" { table {
                thead { tr { th scope="col" { "Log" } th scope="col" { "Kind" } th.r scope="col" { "Rows" } th.r scope="col" { "Channels" } th.r scope="col" { "Bytes" } th scope="col" { "SHA-256" } } }
                tbody {
                    @for (i, file) in reading.run.files.iter().enumerate() {
                        @let facts = analysis.and_then(|a| a.logs.get(i));
                        tr {
                            th scope="row" { a href={"/runs/" (number) "/logs/" (i + 1)} download { (file.name) } }
                            td { (facts.map_or("", |f| f.dialect.as_str())) }
                            td.r { @if let Some(facts) = facts { (thousands(facts.rows_kept as f64)) @if facts.rows_kept != facts.rows_found { span.faint { " of " (thousands(facts.rows_found as f64)) } } } }
                            td.r { @if let Some(facts) = facts { (facts.channels.len()) } }
                            td.r { (thousands(file.size as f64)) }
                            td { code title=(file.sha256) { (file.sha256.get(..12).unwrap_or_default()) } }
                        }
                    }
                }
            } } }
        }
    }
}

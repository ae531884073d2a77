//! "How it was measured": what every figure hangs on, line by line.

use crate::conditions::{range, signed_percent};
use crate::say::{self, Kind};
use crate::words::ProvenanceLine;
use pull::analysis::{Analysis, Comparison, PullKind};
use pull::log::Severity;
use quantity::{UnitSystem, digits};

/// What was read, left out, corrected, smoothed, added and assumed, and what was not as it should be.
pub fn provenance(analysis: &Analysis, comparison: Option<&Comparison>, system: UnitSystem) -> Vec<ProvenanceLine> {
    let mut lines = Lines::default();
    correction(analysis, system, &mut lines);
    lines.add("Inertia torque", inertia(analysis, system));
    let half = analysis.curve.half_width_rpm;
    let smoothing = if half > 0.0 {
        format!("local regression over ±{} rpm, no wider", digits(half, 0))
    } else {
        "held speeds averaged, joined by straight lines".to_owned()
    };
    lines.add("Smoothing", smoothing);
    budget(analysis, system, &mut lines);
    problems(analysis, &mut lines);
    load_cell(analysis, system, &mut lines);
    pulls(analysis, &mut lines);
    read_from(analysis, &mut lines);
    weather(analysis, &mut lines);
    for lag in &analysis.lags {
        let how = if lag.how == "found" { "found by laying up- and down-sweeps on each other" } else { "as stated" };
        lines.add("Lag", format!("{}: {} s, {how}", lag.role.replace('_', " "), digits(lag.lag_s, 2)));
    }
    analysis.remarks.iter().chain(&analysis.figure_remarks).for_each(|remark| lines.add("Note", remark.clone()));
    for warning in comparison.iter().flat_map(|c| &c.warnings) {
        lines.add("Comparison", warning.clone());
    }
    analysis.unjudged.iter().for_each(|rule| lines.add("Not judged", rule.clone()));
    lines.all
}

#[derive(Default)]
struct Lines {
    all: Vec<ProvenanceLine>,
}

impl Lines {
    fn add(&mut self, name: &str, text: String) {
        if !text.trim().is_empty() {
            self.all.push(ProvenanceLine { name: name.to_owned(), text: say::stopped(&text) });
        }
    }
}

fn read_from(analysis: &Analysis, lines: &mut Lines) {
    let mut dialects: Vec<&str> = Vec::new();
    for log in &analysis.logs {
        if !dialects.contains(&log.dialect.as_str()) {
            dialects.push(&log.dialect);
        }
    }
    for dialect in dialects {
        let logs: Vec<_> = analysis.logs.iter().filter(|log| log.dialect == dialect).collect();
        let names: Vec<String> = logs.iter().map(|log| log.name.clone()).collect();
        let found: usize = logs.iter().map(|log| log.rows_found).sum();
        let left: usize = logs.iter().map(|log| log.rows_found.saturating_sub(log.rows_kept)).sum();
        let rows = match left {
            0 => format!("{} rows", say::rpm(found as f64)),
            _ => format!("{} of {} rows left out", say::rpm(left as f64), say::rpm(found as f64)),
        };
        lines.add("Read from", format!("{} ({dialect}), {rows}", crate::finding::listed(&names)));
    }
    if !analysis.dyno.is_empty() {
        lines.add("Dyno", analysis.dyno.clone());
    }
}

fn pulls(analysis: &Analysis, lines: &mut Lines) {
    for pull in &analysis.pulls {
        if let Some(why) = &pull.left_out {
            lines.add("Left out", format!("pull {}: {why}", pull.number));
        }
    }
    let used: Vec<_> = analysis.pulls.iter().filter(|p| p.left_out.is_none()).collect();
    let sweeps: Vec<f64> = used.iter().map(|p| p.rate_rpm_s.abs()).filter(|r| *r > 0.0).collect();
    if !sweeps.is_empty() {
        let mean = sweeps.iter().sum::<f64>() / sweeps.len() as f64;
        let down = used.iter().any(|p| p.kind == PullKind::SweepDown);
        let how = if down { "sweeps, some of them downward" } else { "sweeps" };
        lines.add("Pulls", format!("{}, {how} at {} rpm/s", say::pulls(used.len()), digits(mean, 0)));
    } else if !used.is_empty() {
        lines.add("Pulls", format!("{}, speeds held", say::pulls(used.len())));
    }
}

fn weather(analysis: &Analysis, lines: &mut Lines) {
    let named = ["barometer", "intake air", "humidity"].iter().zip(&analysis.weather.origins);
    let origins: Vec<String> =
        named.filter(|(_, origin)| !origin.is_empty()).map(|(what, origin)| format!("{what} {origin}")).collect();
    lines.add("Weather", origins.join("; "));
    analysis.weather.doubts.iter().for_each(|doubt| lines.add("Doubt", doubt.clone()));
}

fn correction(analysis: &Analysis, system: UnitSystem, lines: &mut Lines) {
    let c = &analysis.correction;
    if say::is_corrected(analysis) {
        let range = range(c).map_or_else(String::new, |r| format!(", {r}"));
        let expanded = digits(2.0 * c.u_factor, 4);
        let how = c.words.strip_prefix("corrected ").unwrap_or(&c.words);
        let observed = analysis.figures.observed_mean_torque_nm.map_or_else(String::new, |mean| {
            let decimals = say::decimals(Kind::Torque, system, mean.expanded);
            let value = say::value(Kind::Torque, system, mean.value, decimals);
            format!("; average torque observed {value} {}", Kind::Torque.unit(system))
        });
        lines.add(
            "Correction",
            format!("{how} to {}; factor {} ±{expanded}{range}{observed}", c.reference, digits(c.factor, 4)),
        );
    } else {
        lines.add("Correction", c.words.clone());
    }
    c.notes.iter().for_each(|note| lines.add("Correction", note.clone()));
}

fn inertia(analysis: &Analysis, system: UnitSystem) -> String {
    let inertia = &analysis.inertia;
    let label = inertia.label.strip_prefix("inertia torque ").unwrap_or(&inertia.label);
    if inertia.inertia_kg_m2.is_none() {
        return label.to_owned();
    }
    let mean = system.torque(inertia.mean_added_nm, Some(1));
    format!("{label}; {mean} on average")
}

fn load_cell(analysis: &Analysis, system: UnitSystem, lines: &mut Lines) {
    let Some(check) = &analysis.load_cell else {
        return lines.add("Load cell", "no check is stated for it".to_owned());
    };
    let applied = if check.applied { "its line is applied" } else { "its line is not applied" };
    let when = if check.when.is_empty() { String::new() } else { format!(" {}", check.when) };
    lines.add(
        "Load cell",
        format!(
            "checked{when}, {} readings: as found {}, largest departure from the line {}, up against down {}; {applied}",
            check.readings,
            signed_percent(check.as_found_rel),
            system.torque(check.linearity_nm, Some(1)),
            system.torque(check.hysteresis_nm, Some(1))
        ),
    );
}

/// The three largest parts of the uncertainty of the average torque.
fn budget(analysis: &Analysis, system: UnitSystem, lines: &mut Lines) {
    let mut parts: Vec<_> = analysis.budget.iter().filter(|line| line.u_nm.is_finite() && line.u_nm > 0.0).collect();
    parts.sort_by(|a, b| b.u_nm.total_cmp(&a.u_nm).then(a.name.cmp(&b.name)));
    let words: Vec<String> =
        parts.iter().take(3).map(|p| format!("{} ±{}", p.name, system.torque(2.0 * p.u_nm, Some(1)))).collect();
    if !words.is_empty() {
        lines.add("Uncertainty", format!("k = 2; the largest parts are {}", crate::finding::listed(&words)));
    }
}

fn problems(analysis: &Analysis, lines: &mut Lines) {
    for problem in analysis.problems.iter().filter(|p| p.severity != Severity::Note) {
        let place = problem.place.as_ref().map_or_else(String::new, |place| format!(" ({place})"));
        let times = if problem.count > 1 { format!(", {} times", problem.count) } else { String::new() };
        let effect =
            problem.effect.as_ref().map_or_else(String::new, |effect| format!("; {}", effect.trim_end_matches('.')));
        lines.add("Problem", format!("{}{place}{times}{effect}", problem.what.trim_end_matches('.')));
    }
}

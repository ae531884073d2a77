//! A run in the terminal: the finding first, peaks last.
//!
//! The sentences are made by `report`, so that page, paper and terminal say the same. Here they
//! are only laid out. Colours are left out by the stream where it is no terminal or `NO_COLOR` is set.

use crate::cli::UnitSystem;
use crate::shown::json::power_w;
use crate::shown::spark;
use crate::shown::told::Told;
use crate::shown::units::Shown;
use pull::analysis::{Analysis, Comparison, PullKind, PullResult};
use pull::log::{Problem, Severity};
use report::{Condition, FigureRow, PeakCell, PeakRow, Piece};

const STRONG: &str = "\x1b[1m";
const QUIET: &str = "\x1b[2m";
const END: &str = "\x1b[0m";
/// Most characters in a line.
const WIDTH: usize = 100;
/// Most rows of the table.
const ROWS: usize = 16;

/// The whole text.
pub(crate) fn text(analysis: &Analysis, comparison: Option<&Comparison>, units: UnitSystem) -> String {
    let told = Told::new(analysis, comparison, units);
    let shown = Shown::new(units);
    let mut page = Page::default();
    page.line(&wrap(&format!("{STRONG}{}{END}{}", told.finding.strong, told.finding.rest), 0));
    page.blank();
    page.line(&wrap(&conditions(&told.conditions), 0));
    page.blank();
    page.heading(&band_heading(analysis));
    figures(&mut page, &told.figures);
    for line in &told.plateau {
        let share = analysis.figures.plateau.map_or(0.95, |p| p.share);
        let whose = if told.plateau.len() > 1 { format!(" ({})", line.name) } else { String::new() };
        page.line(&format!("  {:<24}  {} within {:.0} % of best{whose}", "Plateau", line.text, 100.0 * (1.0 - share)));
    }
    page.blank();
    picture_and_table(&mut page, analysis, comparison, shown);
    pulls(&mut page, analysis, shown);
    page.heading("How well the pulls repeat");
    page.line(&wrap(&format!("  {}", running(&told.repeat)), 2));
    page.blank();
    if !told.flags.is_empty() || !analysis.unjudged.is_empty() {
        page.heading("Flags");
        if told.flags.is_empty() {
            page.line("  None.");
        }
        for flag in &told.flags {
            page.line(&wrap(
                &format!("  {:>2}  {} ({}; limit: {})", flag.number, flag.sentence, flag.level, flag.source),
                6,
            ));
        }
        for line in not_judged(&analysis.unjudged) {
            page.line(&wrap(&format!("  {line}"), 4));
        }
        page.blank();
    }
    if let Some(comparison) = comparison {
        compared(&mut page, comparison, shown);
    }
    problems(&mut page, &analysis.problems);
    page.heading("How it was measured");
    // What was not judged stands with the flags.
    for line in told.provenance.iter().filter(|line| line.name != "Not judged") {
        page.line(&wrap(&format!("  {}: {}", line.name, line.text), 4));
    }
    page.blank();
    peaks(&mut page, &told.peaks);
    page.text
}

/// The finding as one sentence without styles.
pub(crate) fn finding(analysis: &Analysis, comparison: Option<&Comparison>, units: UnitSystem) -> String {
    let finding = Told::new(analysis, comparison, units).finding;
    format!("{}{}", finding.strong, finding.rest)
}

/// Lines of text in the making.
#[derive(Debug, Default)]
struct Page {
    text: String,
}

impl Page {
    fn line(&mut self, line: &str) {
        self.text += line.trim_end();
        self.text.push('\n');
    }

    fn blank(&mut self) {
        self.text.push('\n');
    }

    fn heading(&mut self, words: &str) {
        self.line(&format!("{STRONG}{words}{END}"));
    }
}

fn band_heading(analysis: &Analysis) -> String {
    let (from, to) = (thousands(analysis.band.from_rpm), thousands(analysis.band.to_rpm));
    if analysis.band_stated {
        format!("Over the band of use, {from} to {to} rpm")
    } else {
        format!("Over {from} to {to} rpm, the span that all pulls cover (say --band for the band of use)")
    }
}

fn conditions(all: &[Condition]) -> String {
    all.iter().map(|c| format!("{} {}", c.name, running(&c.pieces).trim_start())).collect::<Vec<_>>().join(" · ")
}

/// Running text, its figures strong.
fn running(pieces: &[Piece]) -> String {
    pieces.iter().map(|p| if p.strong { format!("{STRONG}{}{END}", p.text) } else { p.text.clone() }).collect()
}

fn figures(page: &mut Page, rows: &[FigureRow]) {
    for row in rows {
        let mut line = format!("  {:<24}  {STRONG}{:>8}{END}", row.name, row.now);
        line += &if row.expanded.is_empty() { String::new() } else { format!(" ±{}", row.expanded) };
        line += &format!(" {}", row.note);
        if let Some(observed) = &row.observed {
            line += &format!("  {QUIET}observed {observed}{END}");
        }
        if let Some(before) = &row.before {
            line += &format!("  {QUIET}before {before}{END}");
        }
        page.line(&line);
    }
}

fn picture_and_table(page: &mut Page, analysis: &Analysis, comparison: Option<&Comparison>, shown: Shown) {
    let curve = &analysis.curve;
    let torque: Vec<(f64, f64)> =
        curve.rpm.iter().zip(&curve.torque_nm).map(|(rpm, nm)| (*rpm, shown.torque_value(*nm))).collect();
    let unit = format!("{}{}", shown.torque_unit(), basis(analysis));
    for line in spark::curve(&torque, (analysis.band.from_rpm, analysis.band.to_rpm), &unit) {
        page.line(&format!("  {line}"));
    }
    page.blank();
    let (torque_head, power_head) =
        (format!("torque {}", shown.torque_unit()), format!("power {}", shown.power_unit()));
    let (w, p) = (torque_head.chars().count(), power_head.chars().count().max(9));
    let mut head = format!("  {:>7}  {torque_head:>w$}  {:>6}  {power_head:>p$}  {:>5}", "rpm", "±", "pulls");
    if comparison.is_some() {
        head += &format!("  {:>9}  {:>6}", "gained", "±");
    }
    page.line(&format!("{QUIET}{head}{END}"));
    let power = power_w(curve);
    for i in rows_shown(&curve.rpm, &curve.torque_nm) {
        let cell = |text: String, there: f64| if there.is_finite() { text } else { "–".to_owned() };
        let nm = curve.torque_nm[i];
        let u = curve.u_nm.get(i).copied().unwrap_or(f64::NAN);
        let mut line = format!(
            "  {:>7}  {:>w$}  {:>6}  {:>p$}  {:>5}",
            thousands(curve.rpm[i]),
            cell(shown.torque(nm), nm),
            cell(shown.torque(2.0 * u), u),
            cell(shown.power(power[i]), nm),
            curve.pulls.get(i).copied().unwrap_or(0),
        );
        if let Some(comparison) = comparison {
            let gained = comparison.curve_nm.get(i).copied().unwrap_or(f64::NAN);
            let half = comparison.curve_half_nm.get(i).copied().unwrap_or(f64::NAN);
            let sign = if gained > 0.0 { "+" } else { "" };
            line += &format!(
                "  {:>9}  {:>6}",
                cell(format!("{sign}{}", shown.torque(gained)), gained),
                cell(shown.torque(half), half)
            );
        }
        page.line(&line);
    }
    page.blank();
}

/// "corrected" or "observed" behind the unit.
fn basis(analysis: &Analysis) -> &'static str {
    if analysis.correction.applied == gas::correction::Standard::Observed { ", observed" } else { ", corrected" }
}

/// Rows for the table: round speeds, few enough to read.
fn rows_shown(rpm: &[f64], torque: &[f64]) -> Vec<usize> {
    let tested: Vec<usize> = (0..rpm.len()).filter(|i| torque.get(*i).is_some_and(|t| t.is_finite())).collect();
    for step in [100.0, 200.0, 250.0, 500.0, 1000.0, 2000.0] {
        let rows: Vec<usize> = tested.iter().copied().filter(|i| (rpm[*i] / step).fract().abs() < 1e-9).collect();
        if (2..=ROWS).contains(&rows.len()) {
            return rows;
        }
    }
    tested.iter().copied().step_by(tested.len().div_ceil(ROWS).max(1)).collect()
}

fn pulls(page: &mut Page, analysis: &Analysis, shown: Shown) {
    page.heading("Pulls");
    for pull in &analysis.pulls {
        page.line(&wrap(&pull_line(analysis, pull, shown), 6));
    }
    for rest in &analysis.not_pulls {
        let log = analysis.logs.get(rest.log).map_or("", |l| l.name.as_str());
        page.line(&wrap(
            &format!(
                "   {QUIET}–  {log}, {:.1} to {:.1} s: {}: {}{END}",
                rest.from_s,
                rest.to_s,
                rest.kind.replace('_', " "),
                rest.reason
            ),
            6,
        ));
    }
    page.blank();
}

fn pull_line(analysis: &Analysis, pull: &PullResult, shown: Shown) -> String {
    let log = analysis.logs.get(pull.log).map_or("", |l| l.name.as_str());
    let (from, to) = (thousands(pull.from_rpm), thousands(pull.to_rpm));
    let how = match pull.kind {
        PullKind::SweepUp => format!("sweep up {from} to {to} rpm, {:.0} rpm/s", pull.rate_rpm_s),
        PullKind::SweepDown => format!("sweep down {to} to {from} rpm, {:.0} rpm/s", pull.rate_rpm_s.abs()),
        PullKind::StepTest => format!("step test {from} to {to} rpm"),
        PullKind::Hold => format!("hold at {} rpm", thousands((pull.from_rpm + pull.to_rpm) / 2.0)),
    };
    let result = match (&pull.left_out, pull.band_mean_torque_nm) {
        (Some(reason), _) if reason.starts_with("left out") => reason.clone(),
        (Some(reason), _) => format!("left out: {reason}"),
        (None, Some(mean)) => format!("mean {} {}, factor {:.4}", shown.torque(mean), shown.torque_unit(), pull.factor),
        (None, None) => format!("does not cover the band, factor {:.4}", pull.factor),
    };
    format!("  {:>2}  {log}: {how}; {result}", pull.number)
}

fn compared(page: &mut Page, comparison: &Comparison, shown: Shown) {
    page.heading(&format!("Against {}", comparison.before));
    if let Some(difference) = comparison.difference_nm {
        let interval = match comparison.interval_nm {
            Some(half) => format!(" ±{} (95 %)", shown.torque(half)),
            None => ", no interval: too few pulls".to_owned(),
        };
        let verdict = match comparison.verdict.as_str() {
            "gain" => "a gain",
            "loss" => "a loss",
            "no_gain_shown" => "no gain shown",
            _ => "cannot tell",
        };
        let sign = if difference > 0.0 { "+" } else { "" };
        page.line(&format!(
            "  mean torque {sign}{}{interval} {}: {STRONG}{verdict}{END}",
            shown.torque(difference),
            shown.torque_unit()
        ));
    } else {
        page.line("  cannot tell: the two runs have no band in common");
    }
    if let Some((drift, half)) = comparison.aba_drift_nm {
        let half = half.map_or(String::new(), |h| format!(" ±{} (95 %)", shown.torque(h)));
        page.line(&format!(
            "  the earlier build drifted by {}{half} {} between its two runs",
            shown.torque(drift),
            shown.torque_unit()
        ));
    }
    for warning in &comparison.warnings {
        page.line(&wrap(&format!("  doubtful: {warning}"), 4));
    }
    page.blank();
}

fn problems(page: &mut Page, problems: &[Problem]) {
    if problems.is_empty() {
        return;
    }
    page.heading("Not as it should be in the logs");
    // The same in several logs is said once.
    let mut once: Vec<(Problem, usize)> = Vec::new();
    for problem in problems {
        match once.iter_mut().find(|(p, _)| p.what == problem.what && p.place == problem.place) {
            Some((first, logs)) => {
                first.count += problem.count;
                *logs += 1;
            }
            None => once.push((problem.clone(), 1)),
        }
    }
    for (problem, logs) in &once {
        let mark = match problem.severity {
            Severity::Note => "note",
            Severity::Loss => "loss",
            Severity::Stop => "stop",
        };
        let times = match (problem.count, *logs) {
            (1, _) => String::new(),
            // Many sentences begin with the count themselves.
            (count, 1) if problem.what.starts_with(&count.to_string()) => String::new(),
            (count, 1) => format!(" ({count} times)"),
            (count, logs) if count == logs => format!(" (in {logs} logs)"),
            (count, logs) => format!(" ({count} times in {logs} logs)"),
        };
        let place = problem.place.as_ref().map_or(String::new(), |p| format!(" {p}."));
        let effect = problem.effect.as_ref().map_or(String::new(), |e| format!(" Effect: {e}."));
        page.line(&wrap(&format!("  {mark}  {}{times}{place}{effect}", problem.what), 8));
    }
    page.blank();
}

/// What could not be judged, shortly: channels that the log does not have in one line, the rest as told.
fn not_judged(all: &[String]) -> Vec<String> {
    const NO_CHANNEL: &str = "the log has no such channel.";
    let (missing, other): (Vec<&String>, Vec<&String>) = all.iter().partition(|line| line.ends_with(NO_CHANNEL));
    let mut names: Vec<String> = Vec::new();
    for line in missing {
        let name = line.split(" was not judged").next().unwrap_or(line).to_lowercase();
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let mut lines = Vec::new();
    if !names.is_empty() {
        lines.push(format!("Not judged, since the log has no such channel: {}.", names.join("; ")));
    }
    lines.extend(other.into_iter().cloned());
    lines
}

fn peaks(page: &mut Page, rows: &[PeakRow]) {
    if rows.is_empty() {
        return;
    }
    page.heading("Peaks, for the record");
    let cell = |c: &PeakCell, unit: &str| format!("{} {unit} {}", c.value, c.at);
    for row in rows {
        let before =
            row.before.as_ref().map_or(String::new(), |b| format!("  {QUIET}before {}{END}", cell(b, &row.unit)));
        page.line(&format!("  {:<16}  {}{before}", row.name, cell(&row.now, &row.unit)));
    }
}

/// 3,600 for speeds.
fn thousands(value: f64) -> String {
    let digits = format!("{:.0}", value.abs());
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if value < 0.0 { format!("−{out}") } else { out }
}

/// Breaks a line at blanks; what follows is indented. Styles take no room.
fn wrap(line: &str, indent: usize) -> String {
    let mut out = String::new();
    let mut column = 0;
    let lead = line.len() - line.trim_start_matches(' ').len();
    out.push_str(&line[..lead]);
    column += lead;
    let kept_together = line[lead..].replace(" %", "\u{a0}%");
    for (i, word) in kept_together.split(' ').enumerate() {
        let wide = visible(word);
        if i > 0 && column + 1 + wide > WIDTH {
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            column = indent;
        } else if i > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += wide;
    }
    out.replace('\u{a0}', " ")
}

/// Characters that take room in the terminal.
fn visible(word: &str) -> usize {
    let mut count = 0;
    let mut in_style = false;
    for c in word.chars() {
        match c {
            '\x1b' => in_style = true,
            'm' if in_style => in_style = false,
            _ if in_style => {}
            _ => count += 1,
        }
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lines_break_at_blanks_and_styles_take_no_room() {
        let word = format!("{STRONG}abcde{END}");
        let line = vec![word.as_str(); 40].join(" ");
        let wrapped = wrap(&line, 2);
        assert!(wrapped.lines().all(|l| visible(l) <= WIDTH));
        assert!(wrapped.lines().skip(1).all(|l| l.starts_with("  ")));
        assert_eq!(wrapped.split_whitespace().count(), 40);
    }

    #[test]
    fn the_table_shows_round_speeds() {
        let rpm: Vec<f64> = (0..=180).map(|i| 2000.0 + 25.0 * f64::from(i)).collect();
        let torque = vec![100.0; rpm.len()];
        let rows: Vec<f64> = rows_shown(&rpm, &torque).into_iter().map(|i| rpm[i]).collect();
        assert!(rows.len() <= ROWS);
        assert!(rows.iter().all(|r| r % 500.0 == 0.0), "{rows:?}");
        assert_eq!(thousands(12_345.4), "12,345");
    }
}

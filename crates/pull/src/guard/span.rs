//! From a measure in every row to spans, and from spans to flags.

use super::check::Series;
use super::num::{grouped, kind_key, say};
use super::rules::{Check, Limit, On, Rule, When};
use super::view::View;
use super::{Flag, Level, Parts, Worst};
use crate::role::{Kind, Role};

/// A span ends when its condition has not held for longer than this, s.
const RELEASE_S: f64 = 0.1;
/// Rows without a value bridge a span up to this, s.
const BRIDGE_S: f64 = 0.5;

/// Rows from the first to the last in which the condition held.
type Span = std::ops::RangeInclusive<usize>;

/// The flags of a rule on one channel.
pub(super) fn flags(view: &View<'_>, rule: &Rule, series: &Series<'_>) -> Vec<Flag> {
    let spans = |limit: &Option<Limit>, confirm: Option<&Vec<bool>>| match limit {
        Some(limit) => spans(view, rule, series, limit, confirm),
        None => Vec::new(),
    };
    let warn = spans(&rule.warn, None);
    let abort = spans(&rule.abort, series.confirm.as_ref());
    let mut all: Vec<Span> = warn.into_iter().chain(abort.iter().cloned()).collect();
    all.sort_by_key(|span| *span.start());
    let mut merged: Vec<Span> = Vec::new();
    for span in all {
        match merged.last_mut() {
            Some(last) if span.start() <= last.end() => *last = *last.start()..=*last.end().max(span.end()),
            _ => merged.push(span),
        }
    }
    let level = |span: &Span| {
        let hit = abort.iter().any(|a| a.start() <= span.end() && a.end() >= span.start());
        if hit { Level::Abort } else { Level::Warn }
    };
    merged.iter().filter_map(|span| flag(view, rule, series, span, level(span))).collect()
}

fn spans(view: &View<'_>, rule: &Rule, series: &Series<'_>, limit: &Limit, confirm: Option<&Vec<bool>>) -> Vec<Span> {
    if !ever_passed(view, series, limit) {
        return Vec::new();
    }
    let in_pull = rule.when.contains(&When::InPull);
    let judged = |row: usize| {
        view.since_pull_start_s(row) >= rule.settle_s
            && rule.when.iter().chain(&limit.when).all(|w| view.holds(*w, row))
            && confirm.is_none_or(|c| c[row])
    };
    let mut found = Vec::new();
    let mut open: Option<(usize, usize)> = None;
    // Time without a value since the condition last held, s.
    let mut blind_s = 0.0;
    let close = |open: &mut Option<(usize, usize)>, found: &mut Vec<Span>| {
        if let Some((first, last)) = open.take() {
            let held_s = view.time[last] - view.time[first] + view.step_s;
            // A thousandth of a row: the difference of two times is not exact.
            if held_s + 1e-3 * view.step_s >= limit.hold_s {
                found.push(first..=last);
            }
        }
    };
    for row in 0..series.measure.len() {
        if let Some((_, last)) = open {
            let other_pull = in_pull && view.pull_of[row] != view.pull_of[last];
            if other_pull
                || view.time[row] - view.time[last] - blind_s > RELEASE_S + 0.5 * view.step_s
                || blind_s > BRIDGE_S
            {
                close(&mut open, &mut found);
            }
        }
        // The cheap question first: in most rows the limit is not passed.
        match passed(view, series, limit, row) {
            Some(false) => {}
            None => blind_s += view.step_s,
            Some(true) if judged(row) => {
                let first = open.map_or(row, |o| o.0);
                open = Some((first, row));
                blind_s = 0.0;
            }
            Some(true) => {}
        }
    }
    close(&mut open, &mut found);
    found
}

/// Whether the limit is passed anywhere: nearly every rule ends here, so it is asked in blocks without branches.
fn ever_passed(view: &View<'_>, series: &Series<'_>, limit: &Limit) -> bool {
    if limit.per_1000_rpm {
        return (0..series.measure.len()).any(|row| excess(view, series, limit, row) > 0.0);
    }
    let at = limit.at(0.0);
    series.measure.chunks(4096).any(|rows| {
        if series.below {
            rows.iter().fold(false, |any, v| any | (*v < at))
        } else {
            rows.iter().fold(false, |any, v| any | (*v > at))
        }
    })
}

/// Whether the limit is passed in a row; `None` without a value.
fn passed(view: &View<'_>, series: &Series<'_>, limit: &Limit, row: usize) -> Option<bool> {
    let over = excess(view, series, limit, row);
    over.is_finite().then_some(over > 0.0)
}

/// How far beyond the limit, SI; NaN without a value.
fn excess(view: &View<'_>, series: &Series<'_>, limit: &Limit, row: usize) -> f64 {
    let limit = if limit.per_1000_rpm { limit.at(view.rpm[row]) } else { limit.at(0.0) };
    if series.below { limit - series.measure[row] } else { series.measure[row] - limit }
}

fn flag(view: &View<'_>, rule: &Rule, series: &Series<'_>, span: &Span, level: Level) -> Option<Flag> {
    let limit = match level {
        Level::Abort => rule.abort.as_ref(),
        _ => rule.warn.as_ref(),
    }?;
    let beyond = |row: &usize| excess(view, series, limit, *row);
    let worst = span.clone().filter(|row| beyond(row).is_finite()).max_by(|a, b| beyond(a).total_cmp(&beyond(b)))?;
    let speeds = || span.clone().map(|row| view.rpm[row]).filter(|v| v.is_finite());
    let (from_rpm, to_rpm) = (speeds().fold(f64::INFINITY, f64::min), speeds().fold(f64::NEG_INFINITY, f64::max));
    if !from_rpm.is_finite() {
        return None;
    }
    let role = series.which.as_ref().map_or(series.role, |which| which[worst]);
    let kind = rule.on.kind();
    let share = rule.check.is_share();
    let difference = !rule.check.is_value() && !share;
    let by = say(kind, series.measure[worst], difference, share);
    let shown = say(kind, series.shown[worst], false, false);
    let pull = view.pull_of[worst].map_or(0, |p| view.pulls[p].number);
    let words = rule.words.replace("{by}", &by).replace("{worst}", &shown);
    let words = if pull == 0 { words } else { format!("pull {pull} {words}") };
    let against_si = series.against.as_ref().map(|a| a[worst]).filter(|v| v.is_finite());
    let numbers = match (rule.check, against_si) {
        (Check::Above | Check::Below, _) if limit.per_1000_rpm => format!(
            "at worst {shown} at {} rpm, where the limit is {}",
            grouped(view.rpm[worst]),
            say(kind, limit.at(view.rpm[worst]), false, false)
        ),
        (Check::Above | Check::Below, _) => format!("at worst {shown}"),
        (Check::Events, _) => format!("at worst {by} within one second"),
        (_, Some(against)) => format!("at worst {shown} against {} ({by})", say(kind, against, false, false)),
        (_, None) => format!("at worst by {by}"),
    };
    let held_s = view.time[*span.end()] - view.time[*span.start()] + view.step_s;
    let place = if pull == 0 { "In the log".to_owned() } else { format!("Pull {pull}") };
    let hold = if limit.hold_s > 0.0 { format!(" for {} s", limit.hold_s) } else { String::new() };
    let verdict = match level {
        Level::Abort => "The pull should have been stopped: limit",
        _ => "Limit",
    };
    let mut sentence = format!(
        "{place}, {} to {} rpm, for {held_s:.2} s: {}{}, {numbers}. {verdict} {}{hold}.",
        grouped(from_rpm),
        grouped(to_rpm),
        rule.what,
        if matches!(rule.on, On::One(_)) { String::new() } else { format!(" ({})", role.label()) },
        limit_words(kind, limit, difference, share)
    );
    let swings = series.confirm.as_ref().map(|confirm| span.clone().any(|row| confirm[row]));
    let note = match swings {
        Some(true) => Some("Lambda or manifold pressure swings there too, as it does when valves no longer follow"),
        Some(false) => Some("Neither lambda nor manifold pressure is seen to swing there"),
        None => series.note,
    };
    if let Some(note) = note {
        sentence.push_str(&format!(" {note}."));
    }
    sentence.push_str(&format!(" Look at {}.", rule.look));
    Some(Flag {
        number: 0,
        rule: rule.key.clone(),
        level,
        pull,
        role: role.key(),
        from_rpm,
        to_rpm,
        from_s: view.time[*span.start()],
        to_s: view.time[*span.end()],
        words,
        sentence,
        source: rule.source.clone(),
        worst: Some(Worst {
            measure_si: series.measure[worst],
            limit_si: if limit.per_1000_rpm { limit.at(view.rpm[worst]) } else { limit.at(0.0) },
            value_si: series.shown[worst],
            against_si,
            kind: kind_key(kind).to_owned(),
            share,
            difference,
        }),
        parts: Parts {
            pulls: (pull > 0).then_some(pull).into_iter().collect(),
            form: rule.words.clone(),
            which: which_of(rule, role),
            hold_s: limit.hold_s,
            limit_at_speed: limit.per_1000_rpm,
            note: note.unwrap_or_default().to_owned(),
            look: rule.look.clone(),
        },
    })
}

/// "bank 1", "cylinder 3": which channel of those that the rule looks at.
fn which_of(rule: &Rule, role: Role) -> String {
    match rule.on {
        On::One(_) => String::new(),
        _ => role.label().split_once(", ").map_or_else(String::new, |(_, which)| which.to_owned()),
    }
}

/// A limit as typed, with the metric number behind it where that is another.
fn limit_words(kind: Kind, limit: &Limit, difference: bool, share: bool) -> String {
    let metric = say(kind, limit.si, difference, share);
    let plain =
        share || limit.per_1000_rpm || matches!(kind, Kind::Lambda | Kind::Count | Kind::Angle | Kind::Fraction);
    if plain || metric == limit.text { limit.text.clone() } else { format!("{} ({metric})", limit.text) }
}

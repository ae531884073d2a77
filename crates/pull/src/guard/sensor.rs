//! Sensor faults: values that cannot be, numbers that never change, gaps. They come before every rule.

use super::num::{grouped, kind_key, say};
use super::rules::{On, Sensor};
use super::view::View;
use super::{Flag, Level, Parts, Worst};
use crate::role::Role;
use rayon::prelude::*;

/// A change of engine speed that a live sensor follows, rpm.
const STUCK_RPM: f64 = 500.0;
/// From this share of faulty rows on, no row of the pull is believed.
const DISTRUST_SHARE: f64 = 0.2;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Fault {
    Low,
    High,
    LowInPull,
    Stuck,
    Gap,
}

/// Finds the faults of all sensors, marks their rows, and says so in a flag for each pull.
pub(super) fn faults(view: &mut View<'_>, sensors: &[Sensor]) -> Vec<Flag> {
    let asked: Vec<(&Sensor, Role)> = sensors
        .iter()
        .flat_map(|sensor| {
            let roles = match sensor.on {
                On::One(role) => view.roles(|r| *r == role),
                On::EachLambda => view.roles(|r| matches!(r, Role::Lambda(_))),
                On::EachExhaust => view.roles(|r| matches!(r, Role::ExhaustTemperature(_))),
                On::EachKnock => view.roles(|r| matches!(r, Role::Knock(_))),
            };
            roles.into_iter().map(move |role| (sensor, role))
        })
        .collect();
    let faulty: Vec<(&Sensor, Role, Vec<Option<Fault>>)> = asked
        .into_par_iter()
        .filter_map(|(sensor, role)| {
            let found = rows(view, sensor, view.table.values(role)?);
            found.iter().any(Option::is_some).then_some((sensor, role, found))
        })
        .collect();
    let mut flags = Vec::new();
    for (sensor, role, mut found) in faulty {
        flags.extend(say_faults(view, sensor, role, &found));
        for pull in &view.pulls {
            let rows = &mut found[pull.from_row..pull.to_row];
            let bad = rows.iter().filter(|f| f.is_some_and(|f| f != Fault::Gap)).count();
            if bad as f64 > DISTRUST_SHARE * rows.len() as f64 {
                rows.iter_mut().for_each(|f| *f = f.or(Some(Fault::Gap)));
            }
        }
        view.distrust(role, found.iter().map(Option::is_some).collect());
    }
    flags
}

/// What is the matter in each row.
fn rows(view: &View<'_>, sensor: &Sensor, values: &[f64]) -> Vec<Option<Fault>> {
    let mut found: Vec<Option<Fault>> = values
        .iter()
        .enumerate()
        .map(|(row, v)| {
            let below = |limit: &Option<super::Stated>| limit.as_ref().is_some_and(|l| *v < l.si);
            if below(&sensor.lowest) {
                Some(Fault::Low)
            } else if sensor.highest.as_ref().is_some_and(|l| *v > l.si) {
                Some(Fault::High)
            } else if view.pull_of[row].is_some() && below(&sensor.lowest_in_pull) {
                Some(Fault::LowInPull)
            } else {
                None
            }
        })
        .collect();
    if let Some(stuck_s) = sensor.stuck_s {
        let same = |a: usize, b: usize| values[a].to_bits() == values[b].to_bits() && values[a].is_finite();
        for_runs(values.len(), same, |run| {
            if view.time[run.end - 1] - view.time[run.start] < stuck_s {
                return;
            }
            let speeds = || view.rpm[run.clone()].iter().copied().filter(|v| v.is_finite());
            if speeds().fold(f64::NEG_INFINITY, f64::max) - speeds().fold(f64::INFINITY, f64::min) >= STUCK_RPM {
                found[run].iter_mut().for_each(|f| *f = f.or(Some(Fault::Stuck)));
            }
        });
    }
    if let Some(gap_s) = sensor.dropout_s
        && values.iter().any(|v| v.is_nan())
    {
        let missing =
            |a: usize, b: usize| values[a].is_nan() && values[b].is_nan() && view.pull_of[a] == view.pull_of[b];
        for_runs(values.len(), missing, |run| {
            if values[run.start].is_nan()
                && view.pull_of[run.start].is_some()
                && view.time[run.end - 1] - view.time[run.start] + view.step_s >= gap_s
            {
                found[run].fill(Some(Fault::Gap));
            }
        });
    }
    found
}

/// Visits runs of rows that belong together, neighbour by neighbour.
fn for_runs(rows: usize, together: impl Fn(usize, usize) -> bool, mut visit: impl FnMut(std::ops::Range<usize>)) {
    let mut start = 0;
    for row in 1..=rows {
        if row == rows || !together(row - 1, row) {
            visit(start..row);
            start = row;
        }
    }
}

/// One flag for each pull with faulty rows, or one for the log if nearly all rows of all pulls are faulty.
fn say_faults(view: &View<'_>, sensor: &Sensor, role: Role, found: &[Option<Fault>]) -> Vec<Flag> {
    let in_pulls = || found.iter().zip(&view.pull_of).filter(|(_, p)| p.is_some());
    let all = in_pulls().count();
    let bad = in_pulls().filter(|(f, _)| f.is_some()).count();
    if all > 0 && bad * 10 > all * 9 && view.pulls.len() > 1 {
        let first = view.pulls.iter().map(|p| p.from_row).min().unwrap_or(0);
        let last = view.pulls.iter().map(|p| p.to_row).max().unwrap_or(0);
        return flag(view, sensor, role, found, first..last, 0).into_iter().collect();
    }
    view.pulls.iter().filter_map(|p| flag(view, sensor, role, found, p.from_row..p.to_row, p.number)).collect()
}

fn flag(
    view: &View<'_>,
    sensor: &Sensor,
    role: Role,
    found: &[Option<Fault>],
    rows: std::ops::Range<usize>,
    pull: usize,
) -> Option<Flag> {
    let bad: Vec<usize> = rows.clone().filter(|row| found[*row].is_some() && view.pull_of[*row].is_some()).collect();
    let (first, last) = (*bad.first()?, *bad.last()?);
    let count = |fault: Fault| bad.iter().filter(|row| found[**row] == Some(fault)).count();
    let kinds = [Fault::High, Fault::Low, Fault::LowInPull, Fault::Stuck, Fault::Gap];
    let main = kinds.into_iter().max_by_key(|f| (count(*f), *f == Fault::High))?;
    let values = view.table.values(role)?;
    let shown = || bad.iter().filter(|row| found[**row] == Some(main)).map(|row| values[*row]);
    let (low, high) = (shown().fold(f64::INFINITY, f64::min), shown().fold(f64::NEG_INFINITY, f64::max));
    let number = |v: f64| say(role.kind(), v, false, false);
    let text = |limit: &Option<super::Stated>| limit.as_ref().map_or(String::new(), |l| l.text.clone());
    let (short, form, what, look) = match main {
        Fault::High => (
            "reads too high",
            "shows {worst}, above {limit}, which it cannot be; an open circuit looks like that",
            format!(
                "shows {}, above {}, which it cannot be; an open circuit looks like that",
                number(high),
                text(&sensor.highest)
            ),
            "the plug, the lead and the sensor",
        ),
        Fault::Low => (
            "reads too low",
            "shows {worst}, below {limit}, which it cannot be",
            format!("shows {}, below {}, which it cannot be", number(low), text(&sensor.lowest)),
            "the plug, the lead and the sensor",
        ),
        Fault::LowInPull => (
            "reads too low",
            "shows {worst} in a pull, below {limit}; an open or unplugged sensor looks like that",
            format!(
                "shows {} in a pull, below {}; an open or unplugged sensor looks like that",
                number(low),
                text(&sensor.lowest_in_pull)
            ),
            "the plug, the lead and the sensor",
        ),
        Fault::Stuck => (
            "is stuck",
            "shows exactly {worst} while the engine speed changes",
            format!(
                "shows exactly {} while the engine speed changes by {} rpm or more",
                number(low),
                grouped(STUCK_RPM)
            ),
            "the sensor, its sampling line, and the logger's channel",
        ),
        Fault::Gap => ("drops out", "has no value", "has no value".to_owned(), "the lead and the logger's channel"),
    };
    let speeds =
        || (first..=last).filter(|row| view.pull_of[*row].is_some()).map(|row| view.rpm[row]).filter(|v| v.is_finite());
    let (from_rpm, to_rpm) = (speeds().fold(f64::INFINITY, f64::min), speeds().fold(f64::NEG_INFINITY, f64::max));
    if !from_rpm.is_finite() {
        return None;
    }
    let place = if pull == 0 { "In all pulls".to_owned() } else { format!("In pull {pull}") };
    Some(Flag {
        number: 0,
        rule: format!("sensor_{}", sensor.on.key()),
        level: Level::SensorFault,
        pull,
        role: role.key(),
        from_rpm,
        to_rpm,
        from_s: view.time[first],
        to_s: view.time[last],
        words: format!("{} {short}", short_label(role)),
        sentence: format!(
            "{place}, {} to {} rpm, {} {what} ({} rows). This is a sensor fault: these values are not judged. Look at {look}.",
            grouped(from_rpm),
            grouped(to_rpm),
            role.label(),
            grouped(bad.len() as f64),
        ),
        source: sensor.source.clone(),
        worst: (main != Fault::Gap).then(|| {
            let value_si = if main == Fault::High { high } else { low };
            let limit = match main {
                Fault::High => &sensor.highest,
                Fault::Low => &sensor.lowest,
                Fault::LowInPull => &sensor.lowest_in_pull,
                Fault::Stuck | Fault::Gap => &None,
            };
            Worst {
                measure_si: value_si,
                limit_si: limit.as_ref().map_or(value_si, |l| l.si),
                value_si,
                against_si: None,
                kind: kind_key(role.kind()).to_owned(),
                share: false,
                difference: false,
            }
        }),
        parts: Parts {
            pulls: (pull > 0).then_some(pull).into_iter().collect(),
            form: format!("{} {form}", role.label()),
            look: look.to_owned(),
            ..Parts::default()
        },
    })
}

/// "exhaust 3", "lambda 1", "oil pressure".
pub(super) fn short_label(role: Role) -> String {
    match role {
        Role::ExhaustTemperature(n) => format!("exhaust {n}"),
        Role::Lambda(n) => format!("lambda {n}"),
        other => {
            let label = other.label();
            label.split(',').next().unwrap_or_default().to_owned()
        }
    }
}

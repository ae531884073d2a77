//! What each condition measures, row by row.

use super::num::median;
use super::rules::{Check, On, Rule, Rules, Target, When};
use super::torque;
use super::view::{Channels, View};
use crate::role::Role;
use std::borrow::Cow;

/// A measure over the rows of a log, to be held against the limits of a rule.
pub(super) struct Series<'v> {
    /// The channel it is drawn on.
    pub(super) role: Role,
    /// What is held against the limit, SI; NaN where it cannot be told.
    pub(super) measure: Cow<'v, [f64]>,
    /// The channel's value, SI.
    pub(super) shown: Cow<'v, [f64]>,
    /// What the value should be, SI.
    pub(super) against: Option<Vec<f64>>,
    /// The channel it is drawn on, where that differs by row.
    pub(super) which: Option<Vec<Role>>,
    /// Rows in which the abort level may count.
    pub(super) confirm: Option<Vec<bool>>,
    /// The limit is passed downwards.
    pub(super) below: bool,
    /// A sentence to be added, without its full stop.
    pub(super) note: Option<&'static str>,
}

/// What came of a rule: a series for each channel, and what must be said about it.
#[derive(Default)]
pub(super) struct Found<'v> {
    pub(super) series: Vec<Series<'v>>,
    pub(super) remarks: Vec<String>,
}

impl<'v> Series<'v> {
    pub(super) fn new(role: Role, measure: impl Into<Cow<'v, [f64]>>, shown: impl Into<Cow<'v, [f64]>>) -> Series<'v> {
        let (measure, shown) = (measure.into(), shown.into());
        Series { role, measure, shown, against: None, which: None, confirm: None, below: false, note: None }
    }
}

/// The measure of a rule on every channel it looks at.
///
/// # Errors
/// The reason why the rule cannot be judged at all, without a full stop.
pub(super) fn series<'v>(view: &'v View<'_>, rule: &Rule, rules: &Rules) -> Result<Found<'v>, String> {
    // A rule for engines of the other kind has nothing to say.
    let boosted = view.boosted.unwrap_or(false);
    if (rule.when.contains(&When::Boosted) && !boosted) || (rule.when.contains(&When::NotBoosted) && boosted) {
        return Ok(Found::default());
    }
    match rule.check {
        Check::Above | Check::Below => {
            let below = rule.check == Check::Below;
            each(view, rule, |role, values| Series { below, ..Series::new(role, values.clone(), values) })
        }
        Check::AboveTarget | Check::BelowTarget => against_target(view, rule, rules),
        Check::Drop { within_s } => {
            each(view, rule, |role, values| Series::new(role, moved(view, &values, within_s, false), values))
        }
        Check::Rise { within_s } => {
            each(view, rule, |role, values| Series::new(role, moved(view, &values, within_s, true), values))
        }
        Check::Spread => spread(view, rule),
        Check::BelowStart => each(view, rule, |role, values| below_start(view, role, values, None)),
        Check::BelowStartOverBoost => {
            let boost =
                view.boost.as_ref().ok_or("the log has neither boost nor manifold pressure with a barometer")?;
            each(view, rule, |role, values| below_start(view, role, values, Some(boost)))
        }
        Check::RatioShort => ratio_short(view),
        Check::BoostFalls => boost_falls(view),
        Check::Events => events(view, rule),
        Check::Drift => each(view, rule, |role, values| drift(view, role, values)),
        Check::TorqueLoss { within_rpm } => torque::loss(view, within_rpm),
        Check::ShortOfLast => torque::short_of_last(view),
        Check::BelowBarometer => {
            let manifold = view.manifold.as_ref().ok_or(NO_CHANNEL)?;
            let air = view.barometer.as_ref().ok_or("no barometer is logged or stated")?;
            let measure: Vec<f64> = air.iter().zip(manifold).map(|(a, m)| a - m).collect();
            let series = Series::new(view.manifold_role, measure, manifold.as_slice());
            Ok(one(Series { against: Some(air.clone()), ..series }))
        }
        Check::ZeroShift => torque::zero_shift(view),
    }
}

pub(super) const NO_CHANNEL: &str = "the log has no such channel";

pub(super) fn one(series: Series<'_>) -> Found<'_> {
    Found { series: vec![series], remarks: Vec::new() }
}

/// The channels of a rule with their values.
fn channels<'v>(view: &'v View<'_>, on: On) -> Result<Channels<'v>, String> {
    let of = |roles: Vec<Role>| roles.into_iter().filter_map(|r| view.values(r).map(|v| (r, v))).collect::<Vec<_>>();
    let found = match on {
        On::EachLambda => {
            let (banks, left_out) = view.lambdas();
            if banks.is_empty() && left_out {
                return Err(
                    "the log gives air–fuel ratio, and the fuel's stoichiometric ratio is not stated".to_owned()
                );
            }
            banks
        }
        On::EachExhaust => of(view.roles(|r| matches!(r, Role::ExhaustTemperature(_)))),
        On::EachKnock => of(view.roles(|r| matches!(r, Role::Knock(_)))),
        On::One(Role::ManifoldPressure) => {
            view.manifold.iter().map(|v| (view.manifold_role, Cow::Borrowed(v.as_slice()))).collect()
        }
        On::One(Role::Boost) => view.boost.iter().map(|v| (Role::Boost, Cow::Borrowed(v.as_slice()))).collect(),
        On::One(role) => of(view.roles(|r| *r == role)),
    };
    if found.is_empty() { Err(NO_CHANNEL.to_owned()) } else { Ok(found) }
}

fn each<'v>(
    view: &'v View<'_>,
    rule: &Rule,
    make: impl Fn(Role, Cow<'v, [f64]>) -> Series<'v>,
) -> Result<Found<'v>, String> {
    let series = channels(view, rule.on)?.into_iter().map(|(role, values)| make(role, values)).collect();
    Ok(Found { series, remarks: Vec::new() })
}

fn against_target<'v>(view: &'v View<'_>, rule: &Rule, rules: &Rules) -> Result<Found<'v>, String> {
    let rows = view.time.len();
    let channels = channels(view, rule.on)?;
    let mut remarks = Vec::new();
    let logged = match rule.on {
        On::EachLambda => view.values(Role::LambdaTarget),
        On::One(Role::ManifoldPressure) => view.values(Role::ManifoldTarget),
        _ => None,
    };
    let target = match (logged, &rule.target, rule.on) {
        (Some(target), _, _) => target.into_owned(),
        (None, Some(stated), _) => vec![stated.si; rows],
        (None, None, On::EachLambda) => {
            let fuel = view.setup.fuel.clone().unwrap_or_default();
            let row = lambda_target(&rules.targets, &fuel, view.boosted.unwrap_or(false))
                .ok_or("the log has no lambda target and the rules have no row for this fuel")?;
            remarks.push(format!(
                "The log has no lambda target: lambda is held against the table of the guard rules ({}, {}).",
                if row.fuels.is_empty() { "any fuel".to_owned() } else { row.fuels.join(", ") },
                row.source
            ));
            (0..rows).map(|i| row.at(view.load(i))).collect()
        }
        (None, None, On::One(Role::ManifoldPressure)) => {
            return Err("the log has no channel for the pressure aimed at, and the rule states none".to_owned());
        }
        (None, None, _) => return Err("the rule states no limit of the engine or its parts; add `target`".to_owned()),
    };
    let sign = if rule.check == Check::AboveTarget { 1.0 } else { -1.0 };
    let series = channels
        .into_iter()
        .map(|(role, values)| {
            let measure: Vec<f64> = values.iter().zip(&target).map(|(v, t)| sign * (v - t)).collect();
            Series { against: Some(target.clone()), ..Series::new(role, measure, values) }
        })
        .collect();
    Ok(Found { series, remarks })
}

/// The first row for this fuel, else the first for any fuel.
fn lambda_target<'t>(targets: &'t [Target], fuel: &str, boosted: bool) -> Option<&'t Target> {
    let fuel = fuel.to_lowercase();
    let fits = |t: &&Target| t.boosted == boosted;
    let named = targets.iter().filter(fits).find(|t| t.fuels.iter().any(|f| fuel.contains(&f.to_lowercase())));
    named.or_else(|| targets.iter().filter(fits).find(|t| t.fuels.is_empty()))
}

/// How far a value has fallen (or risen) from its highest (lowest) within a time before it.
fn moved(view: &View<'_>, values: &[f64], within_s: f64, rise: bool) -> Vec<f64> {
    let sign = if rise { -1.0 } else { 1.0 };
    let mut best: std::collections::VecDeque<usize> = std::collections::VecDeque::new();
    (0..values.len())
        .map(|row| {
            let value = sign * values[row];
            if value.is_nan() {
                return f64::NAN;
            }
            while best.back().is_some_and(|b| sign * values[*b] <= value) {
                best.pop_back();
            }
            best.push_back(row);
            while best
                .front()
                .is_some_and(|b| view.time[row] - view.time[*b] > within_s || view.pull_of[*b] != view.pull_of[row])
            {
                best.pop_front();
            }
            best.front().map_or(f64::NAN, |b| sign * values[*b] - value)
        })
        .collect()
}

/// Hottest less coldest cylinder; drawn on the one farther from the mean.
fn spread<'v>(view: &'v View<'_>, rule: &Rule) -> Result<Found<'v>, String> {
    let cylinders = channels(view, rule.on)?;
    if cylinders.len() < 2 {
        return Err("only one cylinder is logged".to_owned());
    }
    let rows = view.time.len();
    let first = cylinders[0].0;
    let mut series = Series::new(first, vec![f64::NAN; rows], vec![f64::NAN; rows]);
    let (mut which, mut against) = (vec![first; rows], vec![f64::NAN; rows]);
    for row in 0..rows {
        let (mut cold, mut hot) = ((f64::INFINITY, first), (f64::NEG_INFINITY, first));
        let (mut sum, mut count) = (0.0, 0);
        for (role, values) in cylinders.iter().filter(|c| c.1[row].is_finite()) {
            let value = values[row];
            sum += value;
            count += 1;
            if value < cold.0 {
                cold = (value, *role);
            }
            if value > hot.0 {
                hot = (value, *role);
            }
        }
        if count < 2 {
            continue;
        }
        let mean = sum / f64::from(count);
        let (far, other) = if mean - cold.0 > hot.0 - mean { (cold, hot) } else { (hot, cold) };
        series.measure.to_mut()[row] = hot.0 - cold.0;
        series.shown.to_mut()[row] = far.0;
        which[row] = far.1;
        against[row] = other.0;
    }
    Ok(one(Series { which: Some(which), against: Some(against), ..series }))
}

/// Below the median of the pull's first tenth; with boost, for the value less boost.
fn below_start<'v>(view: &View<'_>, role: Role, values: Cow<'v, [f64]>, boost: Option<&Vec<f64>>) -> Series<'v> {
    let seen: Cow<'v, [f64]> = match boost {
        Some(boost) => values.iter().zip(boost).map(|(v, b)| v - b).collect(),
        None => values,
    };
    let mut start = vec![f64::NAN; seen.len()];
    for pull in &view.pulls {
        let reference = median(seen[view.start_rows(pull)].to_vec()).unwrap_or(f64::NAN);
        start[pull.from_row..pull.to_row].fill(reference);
    }
    let measure: Vec<f64> = seen.iter().zip(&start).map(|(v, s)| s - v).collect();
    Series { against: Some(start), ..Series::new(role, measure, seen) }
}

fn ratio_short<'v>(view: &'v View<'_>) -> Result<Found<'v>, String> {
    let Some(blower) = view.values(Role::BlowerSpeed) else {
        if view.boosted == Some(true) && view.setup.blower_ratio.is_some() {
            return Err("the log has no blower speed; whether the belt slips cannot be told from it".to_owned());
        }
        // No blower, as far as is known: nothing to judge.
        return Ok(Found::default());
    };
    let Some(ratio) = view.setup.blower_ratio.as_ref().map(|k| k.value).filter(|r| *r > 0.0) else {
        return Err("no drive ratio is stated; whether the belt slips cannot be told".to_owned());
    };
    let due: Vec<f64> = view.rpm.iter().map(|rpm| rpm * std::f64::consts::PI / 30.0 * ratio).collect();
    let measure: Vec<f64> =
        blower.iter().zip(&due).map(|(b, d)| if *d > 0.0 { 1.0 - b / d } else { f64::NAN }).collect();
    Ok(one(Series { against: Some(due), ..Series::new(Role::BlowerSpeed, measure, blower) }))
}

/// Boost below its highest so far while the speed rises, by medians over 50 rpm. Only for a fixed
/// drive without a blower speed channel.
fn boost_falls<'v>(view: &'v View<'_>) -> Result<Found<'v>, String> {
    if view.setup.blower_ratio.is_none() || view.table.values(Role::BlowerSpeed).is_some() {
        return Ok(Found::default());
    }
    let boost = view.boost.as_ref().ok_or("the log has no boost; whether the belt slips cannot be told")?;
    let mut measure = vec![f64::NAN; boost.len()];
    let mut against = vec![f64::NAN; boost.len()];
    for pull in view.pulls.iter().filter(|p| p.up) {
        let bins = torque::bins(view, pull, boost, 50.0);
        let mut highest = f64::NEG_INFINITY;
        let mut fallen = std::collections::BTreeMap::new();
        for (bin, value) in bins {
            highest = highest.max(value);
            if highest > 10_000.0 {
                fallen.insert(bin, (1.0 - value / highest, highest));
            }
        }
        let fallen = torque::ByBin::new(&fallen);
        for row in pull.from_row..pull.to_row {
            if let Some((share, highest)) = fallen.get(torque::bin(view.rpm[row], 50.0)) {
                measure[row] = share;
                against[row] = highest;
            }
        }
    }
    let note = "The drive is fixed and blower speed is not logged, so the belt is one cause among others";
    let series = Series::new(Role::Boost, measure, boost.as_slice());
    Ok(one(Series { against: Some(against), note: Some(note), ..series }))
}

/// Events within the second before each row. A channel that only ever counts up is a running count;
/// other whole numbers are events where they rise. A channel with fractions is a level, not a count.
fn events<'v>(view: &'v View<'_>, rule: &Rule) -> Result<Found<'v>, String> {
    let mut found = Found::default();
    for (role, values) in channels(view, rule.on)? {
        if values.iter().any(|v| v.is_finite() && v.fract() != 0.0) {
            found.remarks.push(format!(
                "{} was not judged: it is a level with fractions, not a count; add a rule `above` with the level that counts.",
                super::capital(&role.label())
            ));
            continue;
        }
        let mut last = f64::NAN;
        let mut new: Vec<f64> = Vec::with_capacity(values.len());
        for value in values.iter() {
            new.push(if value.is_finite() && last.is_finite() { (value - last).max(0.0) } else { 0.0 });
            if value.is_finite() {
                last = *value;
            }
        }
        let mut first = 0;
        let mut sum = 0.0;
        let measure: Vec<f64> = (0..values.len())
            .map(|row| {
                sum += new[row];
                while view.time[row] - view.time[first] > 1.0 {
                    sum -= new[first];
                    first += 1;
                }
                if values[row].is_finite() { sum } else { f64::NAN }
            })
            .collect();
        found.series.push(Series::new(role, measure, values));
    }
    Ok(found)
}

/// The start of each pull against the start of the first.
fn drift<'v>(view: &View<'_>, role: Role, values: Cow<'v, [f64]>) -> Series<'v> {
    let mut measure = vec![f64::NAN; values.len()];
    let mut against = vec![f64::NAN; values.len()];
    let mut first = None;
    for pull in &view.pulls {
        let rows = view.start_rows(pull);
        let Some(now) = median(values[rows.clone()].to_vec()) else { continue };
        let reference = *first.get_or_insert(now);
        measure[rows.clone()].fill((now - reference).abs());
        against[rows].fill(reference);
    }
    Series { against: Some(against), ..Series::new(role, measure, values) }
}

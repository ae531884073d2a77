//! Torque that falls steeply, torque below the pull before, and a zero that moved.

use super::PullSpan;
use super::check::{Found, NO_CHANNEL, Series, one};
use super::num::median;
use super::view::View;
use crate::role::Role;
use std::collections::BTreeMap;

/// Lambda counts as disturbed when its medians over 25 rpm differ by more than this.
const LAMBDA_SWING: f64 = 0.03;
/// Manifold pressure counts as disturbed when its medians over 25 rpm differ by more than this, Pa.
const MANIFOLD_SWING_PA: f64 = 2_000.0;
/// Lambda is seen late; it is looked at this far beyond the span, rpm.
const SWING_BEYOND_RPM: f64 = 100.0;
/// At standstill the engine turns slower than this, rpm.
const STANDSTILL_RPM: f64 = 50.0;
/// Least time at standstill, s.
const STANDSTILL_S: f64 = 0.5;
/// Without a throttle channel, this much of a pull's end may already be the throttle closing, s.
const END_S: f64 = 0.2;

/// The ramp at a row is taken over this time to either side, s.
const RAMP_HALF_S: f64 = 0.15;
/// A ramp off the pull's usual ramp by more than this share and this play is not steady.
const RAMP_SHARE: f64 = 0.5;
const RAMP_PLAY_RPM_S: f64 = 50.0;
/// Time after an unsteady ramp until the torque channel counts again, s.
const RAMP_SETTLE_S: f64 = 0.2;

/// Number of the bin of a speed.
pub(super) fn bin(rpm: f64, width: f64) -> i64 {
    (rpm / width).floor() as i64
}

/// Medians of a channel over bins of speed within a pull.
pub(super) fn bins(view: &View<'_>, pull: &PullSpan, values: &[f64], width: f64) -> BTreeMap<i64, f64> {
    let rows = (pull.from_row..pull.to_row).filter(|row| values[*row].is_finite() && view.rpm[*row].is_finite());
    let mut cells: Vec<(i64, f64)> = rows.map(|row| (bin(view.rpm[row], width), values[row])).collect();
    // Rows come nearly in order of speed, which a stable sort is fast on.
    cells.sort_by_key(|cell| cell.0);
    cells
        .chunk_by(|a, b| a.0 == b.0)
        .filter_map(|cell| median(cell.iter().map(|c| c.1).collect()).map(|m| (cell[0].0, m)))
        .collect()
}

/// What was found per bin of speed, for rows to look up.
pub(super) struct ByBin<T> {
    first: i64,
    found: Vec<Option<T>>,
}

impl<T: Copy> ByBin<T> {
    pub(super) fn new(found: &BTreeMap<i64, T>) -> Self {
        let first = found.keys().next().copied().unwrap_or(0);
        let last = found.keys().next_back().copied().unwrap_or(first - 1);
        Self { first, found: (first..=last).map(|b| found.get(&b).copied()).collect() }
    }

    pub(super) fn get(&self, bin: i64) -> Option<T> {
        usize::try_from(bin - self.first).ok().and_then(|i| self.found.get(i).copied().flatten())
    }
}

/// Rows of a pull in which the speed ramp is steady. Where it stalls, reverses or catches up, the brake
/// feels the inertia of engine and rotor, and torque says nothing about the engine.
fn steady(view: &View<'_>, pull: &PullSpan) -> Vec<bool> {
    let rows = pull.to_row - pull.from_row;
    let reach = |time_s: f64| ((time_s / view.step_s.max(1e-6)).round() as usize).clamp(1, rows.max(1));
    let half = reach(RAMP_HALF_S);
    let slope: Vec<f64> = (0..rows)
        .map(|i| {
            let (a, b) = (pull.from_row + i.saturating_sub(half), pull.from_row + (i + half).min(rows - 1));
            (view.rpm[b] - view.rpm[a]) / (view.time[b] - view.time[a])
        })
        .collect();
    let usual = median(slope.clone()).unwrap_or(0.0);
    let odd: Vec<bool> = slope.iter().map(|s| (s - usual).abs() > RAMP_SHARE * usual.abs() + RAMP_PLAY_RPM_S).collect();
    // The torque channel is often filtered: it needs a moment to settle.
    let after = reach(RAMP_SETTLE_S);
    let mut last_odd: Option<usize> = None;
    odd.iter()
        .enumerate()
        .map(|(i, odd)| {
            if *odd {
                last_odd = Some(i);
            }
            last_odd.is_none_or(|l| i - l > after)
        })
        .collect()
}

/// Torque without the rows in which the throttle is not open or the ramp is not steady.
fn at_full_throttle(view: &View<'_>) -> Result<Vec<f64>, String> {
    let mut torque = view.values(Role::Torque).ok_or(NO_CHANNEL)?.into_owned();
    for pull in &view.pulls {
        let steady = steady(view, pull);
        let end_s = view.time[pull.to_row - 1];
        for row in pull.from_row..pull.to_row {
            let closing = !view.has_throttle() && end_s - view.time[row] < END_S;
            if closing || !view.throttle_above(row, 0.9) || !steady[row - pull.from_row] {
                torque[row] = f64::NAN;
            }
        }
    }
    Ok(torque)
}

/// Torque lost against the highest within a span of speed below, by medians over 25 rpm; rows in which
/// lambda or manifold pressure is disturbed are marked for the abort level.
pub(super) fn loss<'v>(view: &'v View<'_>, within_rpm: f64) -> Result<Found<'v>, String> {
    const WIDTH: f64 = 25.0;
    let torque = at_full_throttle(view)?;
    let lambdas = view.lambdas().0;
    let rows = torque.len();
    let (mut measure, mut against, mut confirm) = (vec![f64::NAN; rows], vec![f64::NAN; rows], vec![false; rows]);
    for pull in &view.pulls {
        let medians = bins(view, pull, &torque, WIDTH);
        let mut signs: Vec<(BTreeMap<i64, f64>, f64)> =
            lambdas.iter().map(|(_, v)| (bins(view, pull, v, WIDTH), LAMBDA_SWING)).collect();
        signs.extend(view.manifold.iter().map(|v| (bins(view, pull, v, WIDTH), MANIFOLD_SWING_PA)));
        let back = (within_rpm / WIDTH).round() as i64;
        let beyond = (SWING_BEYOND_RPM / WIDTH).round() as i64;
        let mut found = BTreeMap::new();
        for (b, now) in &medians {
            let highest = medians.range(b - back..*b).map(|(_, v)| *v).fold(f64::NEG_INFINITY, f64::max);
            if highest > 0.0 {
                let disturbed = signs.iter().any(|(cells, swing)| {
                    let there = || cells.range(b - back - beyond..=b + beyond).map(|(_, v)| *v);
                    there().fold(f64::NEG_INFINITY, f64::max) - there().fold(f64::INFINITY, f64::min) > *swing
                });
                found.insert(*b, (1.0 - now / highest, highest, disturbed));
            }
        }
        let found = ByBin::new(&found);
        for row in pull.from_row..pull.to_row {
            if let Some((share, highest, disturbed)) =
                found.get(bin(view.rpm[row], WIDTH)).filter(|_| torque[row].is_finite())
            {
                measure[row] = share;
                against[row] = highest;
                confirm[row] = disturbed;
            }
        }
    }
    let series = Series::new(Role::Torque, measure, torque);
    Ok(one(Series { against: Some(against), confirm: Some(confirm), ..series }))
}

/// Torque below the pull before of the same direction, by medians over 100 rpm.
pub(super) fn short_of_last<'v>(view: &'v View<'_>) -> Result<Found<'v>, String> {
    const WIDTH: f64 = 100.0;
    let torque = at_full_throttle(view)?;
    let mut measure = vec![f64::NAN; torque.len()];
    let mut against = vec![f64::NAN; torque.len()];
    for (i, pull) in view.pulls.iter().enumerate() {
        let Some(before) = view.pulls[..i].iter().rev().find(|p| p.up == pull.up) else { continue };
        let (now, then) = (bins(view, pull, &torque, WIDTH), bins(view, before, &torque, WIDTH));
        // The first and last bin of a pull are only partly filled and lie at another mean speed.
        let whole = |cells: &BTreeMap<i64, f64>, b: &i64| {
            cells.keys().next().is_some_and(|first| first < b) && cells.keys().next_back().is_some_and(|last| last > b)
        };
        let found: BTreeMap<i64, (f64, f64)> = now
            .iter()
            .filter_map(|(b, a)| then.get(b).map(|z| (b, a, z)))
            .filter(|(b, _, z)| whole(&now, b) && whole(&then, b) && **z > 0.0)
            .map(|(b, a, z)| (*b, (1.0 - a / z, *z)))
            .collect();
        let found = ByBin::new(&found);
        for row in pull.from_row..pull.to_row {
            if let Some((share, z)) = found.get(bin(view.rpm[row], WIDTH)).filter(|_| torque[row].is_finite()) {
                measure[row] = share;
                against[row] = z;
            }
        }
    }
    Ok(one(Series { against: Some(against), ..Series::new(Role::Torque, measure, torque) }))
}

/// Torque at standstill before the first pull against after the last.
pub(super) fn zero_shift<'v>(view: &'v View<'_>) -> Result<Found<'v>, String> {
    let torque = view.values(Role::Torque).ok_or(NO_CHANNEL)?;
    let first = view.pulls.iter().map(|p| p.from_row).min().ok_or("the log has no pull")?;
    let last = view.pulls.iter().map(|p| p.to_row).max().unwrap_or(torque.len());
    let still = |rows: std::ops::Range<usize>| -> Vec<usize> {
        rows.filter(|row| view.rpm[*row].abs() < STANDSTILL_RPM && torque[*row].is_finite()).collect()
    };
    let (before, after) = (still(0..first), still(last..torque.len()));
    let long = |rows: &[usize]| rows.len() as f64 * view.step_s >= STANDSTILL_S;
    if !long(&before) || !long(&after) {
        return Err("the engine does not stand still before and after the pulls in this log, so whether the zero moved cannot be told".to_owned());
    }
    let middle = |rows: &[usize]| median(rows.iter().map(|r| torque[*r]).collect()).unwrap_or(f64::NAN);
    let (zero, now) = (middle(&before), middle(&after));
    let mut measure = vec![f64::NAN; torque.len()];
    after.iter().for_each(|row| measure[*row] = (now - zero).abs());
    let shown = vec![now; torque.len()];
    Ok(one(Series { against: Some(vec![zero; torque.len()]), ..Series::new(Role::Torque, measure, shown) }))
}

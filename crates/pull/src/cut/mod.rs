//! Finds the pulls in a long log, and says why the rest is none.
//!
//! Nothing is assumed about the order of speeds: a pull may wobble, stall for a moment or turn back.
//! The log is first parted into stretches under load; inside a stretch, holds (speed inside
//! ±[`HOLD_BAND_RPM`] for [`HOLD_TIME_S`]) are told from legs of rising or falling speed, where a
//! leg ends only when speed has turned back by more than [`TURN_BACK_RPM`]. What is left over is named:
//! idling, warm-up, part load, coasting down, an aborted pull.
//!
//! The thresholds are common practice, no source.

mod motion;
mod rest;

use crate::analysis::{NotAPull, PullKind};
use crate::log::Table;
use crate::role::Role;
use crate::stats::quantile;
use motion::Motion;

/// Speed may wander this far to either side and still count as held, rpm.
pub const HOLD_BAND_RPM: f64 = 30.0;
/// Shortest hold, s.
pub const HOLD_TIME_S: f64 = 2.0;
/// A leg of rising speed ends when speed has fallen by this much, rpm.
pub const TURN_BACK_RPM: f64 = 200.0;
/// Shortest span of a sweep, rpm.
pub const LEAST_SPAN_RPM: f64 = 600.0;
/// A sweep that spans less than this share of the longest one was stopped early.
pub const ABORTED_SHARE: f64 = 0.6;
/// Torque above this share of the log's top torque counts as under load.
const LOAD_SHARE: f64 = 0.35;
/// Throttle above this share of its top counts as open.
const THROTTLE_SHARE: f64 = 0.9;
/// Gaps in load shorter than this do not end a stretch, s.
const BRIDGE_S: f64 = 0.4;

/// One pull found: rows and how it was run.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// How it was run.
    pub kind: PullKind,
    /// First row.
    pub from_row: usize,
    /// One past the last row.
    pub to_row: usize,
    /// Lowest and highest speed, rpm.
    pub from_rpm: f64,
    /// Highest speed, rpm.
    pub to_rpm: f64,
    /// Rows under full load about it (first, one past the last): the pull, and where the brake held the speed
    /// before its ramp and after it.
    pub loaded: (usize, usize),
    /// Rows of each hold of a step test (first, one past the last).
    pub holds: Vec<(usize, usize)>,
    /// Why it should not be used, if a rule says so.
    pub aborted: Option<String>,
}

/// What was found in a log.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cuts {
    /// Pulls in order of time.
    pub pulls: Vec<Cut>,
    /// The rest, in order of time.
    pub rest: Vec<NotAPull>,
}

/// Parts a log into pulls and the rest. `torque_nm` is the load signal (brake torque as logged, one
/// value a row); the table must have engine speed, otherwise nothing is found.
pub fn cut(table: &Table, torque_nm: &[f64], log_index: usize) -> Cuts {
    let Some(speed) = table.values(Role::Speed) else { return Cuts::default() };
    let motion = Motion::new(&table.time_s, speed);
    let n = table.rows();
    let Some(top_torque) = quantile(torque_nm, 0.98).filter(|t| *t > 0.0) else { return Cuts::default() };
    let throttle = table.values(Role::Throttle);
    let top_throttle = throttle.and_then(|t| quantile(t, 0.995)).filter(|t| *t > 0.0);

    let open = |i: usize| match (throttle, top_throttle) {
        (Some(values), Some(top)) if values[i].is_finite() => values[i] >= THROTTLE_SHARE * top,
        _ => true,
    };
    let loaded = |i: usize| torque_nm[i] >= LOAD_SHARE * top_torque && open(i);
    let stretches = stretches(&table.time_s, n, loaded);

    let mut found = Vec::new();
    for &(a, b) in &stretches {
        split_stretch(&motion, a, b, &mut found);
    }
    for cut in &mut found {
        trim(cut, &motion, torque_nm, throttle, top_throttle);
    }
    found.retain(|c| c.to_row > c.from_row + 4);
    for c in &mut found {
        let (lo, hi) = motion.span(c.from_row, c.to_row);
        c.from_rpm = lo;
        c.to_rpm = hi;
    }
    let dropped: Vec<Cut>;
    (found, dropped) = found.into_iter().partition(|c| {
        c.kind != PullKind::SweepUp && c.kind != PullKind::SweepDown || c.to_rpm - c.from_rpm >= LEAST_SPAN_RPM
    });
    mark_aborted(&mut found);
    let rest = rest::rest(&motion, torque_nm, top_torque, throttle, top_throttle, &found, &dropped, log_index);
    Cuts { pulls: found, rest }
}

/// Runs of rows for which `is` holds; holes shorter than [`BRIDGE_S`] are bridged, runs shorter than
/// half a second dropped.
fn stretches(time_s: &[f64], n: usize, is: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    let mut start: Option<usize> = None;
    for i in 0..=n {
        let yes = i < n && is(i);
        match (yes, start) {
            (true, None) => start = Some(i),
            (false, Some(s)) => {
                match out.last_mut() {
                    Some(last) if time_s[s] - time_s[last.1 - 1] <= BRIDGE_S => last.1 = i,
                    _ => out.push((s, i)),
                }
                start = None;
            }
            _ => {}
        }
    }
    out.retain(|&(a, b)| time_s[b - 1] - time_s[a] >= 0.5);
    out
}

/// Holds and legs of one stretch under load.
fn split_stretch(motion: &Motion, a: usize, b: usize, found: &mut Vec<Cut>) {
    let holds = motion.holds(a, b);
    let total = motion.time(b - 1) - motion.time(a);
    let held: f64 = holds.iter().map(|&(s, e)| motion.time(e - 1) - motion.time(s)).sum();
    let blank = |kind, from_row, to_row, holds| Cut {
        kind,
        from_row,
        to_row,
        from_rpm: 0.0,
        to_rpm: 0.0,
        loaded: (from_row, to_row),
        holds,
        aborted: None,
    };
    if !holds.is_empty() && held >= 0.4 * total {
        let mut speeds: Vec<f64> = holds.iter().map(|&(s, e)| motion.mean_rpm(s, e)).collect();
        speeds.sort_by(f64::total_cmp);
        speeds.dedup_by(|x, y| (*x - *y).abs() < 150.0);
        if speeds.len() >= 3 {
            found.push(blank(PullKind::StepTest, holds[0].0, holds[holds.len() - 1].1, holds));
            return;
        }
        if motion.time(holds[0].1 - 1) - motion.time(holds[0].0) >= 5.0 || total >= 10.0 {
            for hold in holds {
                if motion.time(hold.1 - 1) - motion.time(hold.0) >= 5.0 {
                    found.push(blank(PullKind::Hold, hold.0, hold.1, vec![hold]));
                }
            }
            // The way from one hold to the next is no sweep unless it is a long one.
            return;
        }
    }
    for (s, e, up) in motion.legs(a, b, TURN_BACK_RPM) {
        let (lo, hi) = motion.span(s, e);
        if hi - lo >= LEAST_SPAN_RPM * 0.5 {
            found.push(blank(if up { PullKind::SweepUp } else { PullKind::SweepDown }, s, e, Vec::new()));
        }
    }
}

/// Takes off the ends of a sweep where the throttle was still opening or already closing.
///
/// With a throttle channel: rows below 97 % of its top. Without: at the start, while torque is below
/// 93 % of what it is half a second later (at most 3 s, and only while speed has moved less than
/// 600 rpm); at the end, rows where torque has fallen below 75 % of what it was half a second before: a
/// fall of the torque itself (valve float is some 5 to 10 %) is not cut away.
fn trim(cut: &mut Cut, motion: &Motion, torque_nm: &[f64], throttle: Option<&[f64]>, top: Option<f64>) {
    if !matches!(cut.kind, PullKind::SweepUp | PullKind::SweepDown) {
        return;
    }
    if let (Some(values), Some(top)) = (throttle, top) {
        let wide = |i: usize| values[i] >= 0.97 * top;
        while cut.from_row < cut.to_row && !wide(cut.from_row) {
            cut.from_row += 1;
        }
        while cut.to_row > cut.from_row && !wide(cut.to_row - 1) {
            cut.to_row -= 1;
        }
    }
    let (first_time, first_rpm) = (motion.time(cut.from_row.min(motion.rows() - 1)), motion.rpm(cut.from_row));
    while cut.from_row < cut.to_row {
        let i = cut.from_row;
        if motion.time(i) - first_time > 3.0 || (motion.rpm(i) - first_rpm).abs() > 600.0 {
            break;
        }
        let later = mean_between(motion, torque_nm, motion.time(i) + 0.3, motion.time(i) + 0.7, i, cut.to_row);
        if torque_nm[i] >= 0.93 * later || !later.is_finite() {
            break;
        }
        cut.from_row += 1;
    }
    while cut.to_row > cut.from_row {
        let i = cut.to_row - 1;
        let earlier = mean_between(motion, torque_nm, motion.time(i) - 0.7, motion.time(i) - 0.3, cut.from_row, i);
        if torque_nm[i] >= 0.75 * earlier || !earlier.is_finite() {
            break;
        }
        cut.to_row -= 1;
    }
    cut.loaded = (cut.from_row, cut.to_row);
    trim_standing_ends(cut, motion);
}

/// Takes off the ends of a sweep where the brake held the speed before the ramp or after it: there is no
/// acceleration there, and a smoothed acceleration of the ramp must not be added to it. A row stands when
/// the calmed speed changes by less than half of the sweep's mean rate over 0.2 s.
fn trim_standing_ends(cut: &mut Cut, motion: &Motion) {
    if cut.to_row < cut.from_row + 4 {
        return;
    }
    let (a, b) = (cut.from_row, cut.to_row);
    let rate = (motion.rpm(b - 1) - motion.rpm(a)) / (motion.time(b - 1) - motion.time(a)).max(1e-9);
    let stands = |i: usize| {
        let lo = a + motion.times(a, b).partition_point(|t| *t < motion.time(i) - 0.1);
        let hi = (a + motion.times(a, b).partition_point(|t| *t <= motion.time(i) + 0.1)).saturating_sub(1).max(lo);
        let span = motion.time(hi) - motion.time(lo);
        span > 0.0 && (motion.rpm(hi) - motion.rpm(lo)) / span / rate < 0.5
    };
    while cut.from_row + 4 < cut.to_row && stands(cut.from_row) {
        cut.from_row += 1;
    }
    while cut.to_row > cut.from_row + 4 && stands(cut.to_row - 1) {
        cut.to_row -= 1;
    }
}

/// Mean of the finite values between two times, looked for between two rows; NaN if there is none.
fn mean_between(motion: &Motion, values: &[f64], from_s: f64, to_s: f64, lo: usize, hi: usize) -> f64 {
    let a = lo + motion.times(lo, hi).partition_point(|t| *t < from_s);
    let b = lo + motion.times(lo, hi).partition_point(|t| *t <= to_s);
    let (mut sum, mut n) = (0.0, 0.0);
    for v in &values[a..b] {
        if v.is_finite() {
            sum += v;
            n += 1.0;
        }
    }
    sum / n
}

/// Marks sweeps that were stopped early: they span less than [`ABORTED_SHARE`] of the longest sweep.
fn mark_aborted(found: &mut [Cut]) {
    let longest =
        found.iter().filter(|c| c.kind == PullKind::SweepUp).map(|c| c.to_rpm - c.from_rpm).fold(0.0, f64::max);
    for cut in found.iter_mut().filter(|c| c.kind == PullKind::SweepUp) {
        let span = cut.to_rpm - cut.from_rpm;
        if span < ABORTED_SHARE * longest {
            cut.aborted = Some(format!(
                "stopped early: spans {span:.0} rpm, less than {:.0} % of the longest pull's {longest:.0} rpm",
                100.0 * ABORTED_SHARE
            ));
        }
    }
}

#[cfg(test)]
mod tests;

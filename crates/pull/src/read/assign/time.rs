//! Time stamps made to increase, and what was done to them.
//!
//! Equal stamps are spread evenly up to the next one; a short step back cuts the rows that come too
//! late; a long one begins a new part, placed [`PART_GAP_S`] behind the part before it, so that nothing
//! is joined across it; missing stamps lie evenly between their neighbours. Every repair is a problem
//! in the log. Left out: clocks that run fast or slow, and stamps that are wrong but increase.

use crate::log::{Problem, Severity};

/// Distance between two parts of one file, s.
pub(crate) const PART_GAP_S: f64 = 10.0;

/// Rows that may come late before a step back counts as a new part.
const MOST_LATE: usize = 20;

/// Repaired time and what it did.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Repaired {
    /// Time from the first row, s, increasing.
    pub(crate) time_s: Vec<f64>,
    /// Rows cut out (indices into the rows before), in order.
    pub(crate) cut: Vec<usize>,
    /// First row (after cutting) of every part but the first.
    pub(crate) parts: Vec<usize>,
    pub(crate) problems: Vec<Problem>,
}

fn problem(severity: Severity, code: &str, what: String, effect: &str, count: usize) -> Problem {
    Problem {
        severity,
        code: code.to_owned(),
        what,
        place: None,
        found: None,
        expected: Some("a time that increases from row to row".to_owned()),
        effect: Some(effect.to_owned()),
        next: None,
        count,
    }
}

/// Repairs time stamps given in seconds. `forced` are rows at which a new part begins in any case.
pub(crate) fn repair(mut t: Vec<f64>, forced: &[usize], column: &str) -> Repaired {
    let mut out = Repaired::default();
    let step = usual_step(&t);
    fill_missing(&mut t, step, column, &mut out.problems);
    if forced.is_empty() && t.windows(2).all(|w| w[0] < w[1]) {
        from_zero(&mut t);
        out.time_s = t;
        return out;
    }
    let (late, starts) = steps_back(&t, forced, step);
    if !late.is_empty() {
        let rows: Vec<String> = late.iter().take(8).map(|r| (r + 1).to_string()).collect();
        let n = late.len();
        let mut p = problem(
            Severity::Loss,
            "time_backward",
            format!("In {n} of {} rows the time in \"{column}\" steps back.", t.len()),
            "these rows are cut out; every other row stays",
            n,
        );
        p.place = Some(format!("data row {}{}", rows.join(", "), if n > rows.len() { " and more" } else { "" }));
        out.problems.push(p);
        let mut next = late.iter().peekable();
        let mut row = 0;
        t.retain(|_| {
            let drop = next.next_if(|l| **l == row).is_some();
            row += 1;
            !drop
        });
    }
    let mut parts: Vec<usize> = starts.iter().map(|s| s - late.partition_point(|l| l < s)).collect();
    parts.dedup();
    parts.retain(|s| *s > 0 && *s < t.len());
    let equal = spread_equal(&mut t, &parts, step);
    if equal > 0 {
        let share = equal * 2 > t.len();
        let what = if share {
            format!(
                "The clock in \"{column}\" is coarser than the rows: {equal} of {} rows repeat the time before them.",
                t.len()
            )
        } else {
            format!("{equal} of {} rows repeat the time before them in \"{column}\".", t.len())
        };
        out.problems.push(problem(
            Severity::Note,
            "time_repeated",
            what,
            "they are spread evenly up to the next time",
            equal,
        ));
    }
    for (n, start) in parts.iter().enumerate() {
        let end = parts.get(n + 1).copied().unwrap_or(t.len());
        let shift = t[start - 1] + PART_GAP_S - t[*start];
        // A file whose time runs on over a repeated header needs no shift, only the break.
        if t[*start] <= t[start - 1] {
            t[*start..end].iter_mut().for_each(|v| *v += shift);
            let mut p = problem(
                Severity::Note,
                "time_restarts",
                format!("The time in \"{column}\" begins again."),
                "a new part begins there, placed 10 s behind the one before; no pull is joined across it",
                1,
            );
            p.place = Some(format!("data row {}", start + 1));
            out.problems.push(p);
        }
    }
    from_zero(&mut t);
    out.time_s = t;
    out.cut = late;
    out.parts = parts;
    out
}

fn from_zero(t: &mut [f64]) {
    if let Some(first) = t.first().copied()
        && first != 0.0
    {
        t.iter_mut().for_each(|v| *v -= first);
    }
}

/// The middle of the steps forward; 0.01 s when there is none.
fn usual_step(t: &[f64]) -> f64 {
    let stride = (t.len() / 5000).max(1);
    let mut steps: Vec<f64> =
        t.windows(2).step_by(stride).map(|w| w[1] - w[0]).filter(|d| d.is_finite() && *d > 0.0).collect();
    if steps.is_empty() {
        return 0.01;
    }
    let middle = steps.len() / 2;
    *steps.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// Puts missing stamps evenly between their neighbours.
fn fill_missing(t: &mut [f64], step: f64, column: &str, problems: &mut Vec<Problem>) {
    let missing = t.iter().filter(|v| !v.is_finite()).count();
    if missing == 0 {
        return;
    }
    let Some(first) = t.iter().position(|v| v.is_finite()) else {
        return;
    };
    for at in (0..first).rev() {
        t[at] = t[at + 1] - step;
    }
    let mut at = first;
    while at + 1 < t.len() {
        if t[at + 1].is_finite() {
            at += 1;
            continue;
        }
        let next = t[at + 1..].iter().position(|v| v.is_finite()).map(|n| at + 1 + n);
        let end = next.unwrap_or(t.len());
        let each = match next {
            Some(next) if t[next] > t[at] => (t[next] - t[at]) / (next - at) as f64,
            _ => step,
        };
        let base = t[at];
        for row in at + 1..end {
            t[row] = base + each * (row - at) as f64;
        }
        at = end.min(t.len() - 1);
    }
    problems.push(problem(
        Severity::Note,
        "time_missing",
        format!("{missing} of {} rows have no time in \"{column}\".", t.len()),
        "each is put evenly between its neighbours",
        missing,
    ));
}

/// Rows that come too late, and rows at which a new part begins.
fn steps_back(t: &[f64], forced: &[usize], step: f64) -> (Vec<usize>, Vec<usize>) {
    let mut late = Vec::new();
    let mut starts = Vec::new();
    let mut highest = f64::NEG_INFINITY;
    let mut row = 0;
    while row < t.len() {
        if forced.binary_search(&row).is_ok() {
            starts.push(row);
        } else if t[row] < highest {
            let ahead = t[row..].iter().take(MOST_LATE + 1).position(|v| *v >= highest);
            match ahead {
                Some(n) if !(row + 1..row + n).any(|r| forced.binary_search(&r).is_ok()) => {
                    late.extend(row..row + n);
                    row += n;
                    continue;
                }
                // The last few rows of a log, out of order: late, not a part.
                None if t.len() - row <= 2 && highest - t[row] < 10.0 * step => {
                    late.extend(row..t.len());
                    break;
                }
                _ => starts.push(row),
            }
        }
        highest = t[row];
        row += 1;
    }
    (late, starts)
}

/// Spreads runs of equal stamps up to the next stamp; gives the number of rows moved.
fn spread_equal(t: &mut [f64], parts: &[usize], step: f64) -> usize {
    let mut moved = 0;
    let mut start = 0;
    let mut before = step;
    while start < t.len() {
        let part_end = parts.iter().copied().find(|p| *p > start).unwrap_or(t.len());
        let value = t[start];
        let mut end = start + 1;
        while end < part_end && t[end] == value {
            end += 1;
        }
        let count = end - start;
        let width = if end < part_end { t[end] - value } else { before };
        if count > 1 {
            for (n, v) in t[start..end].iter_mut().enumerate() {
                *v = value + width * n as f64 / count as f64;
            }
            moved += count - 1;
        }
        before = width;
        start = end;
    }
    moved
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_coarse_clock_is_spread() {
        let r = repair(vec![5.0, 5.0, 6.0, 6.0, 7.0, 7.0], &[], "t");
        assert_eq!(r.time_s, [0.0, 0.5, 1.0, 1.5, 2.0, 2.5]);
        assert_eq!(r.problems[0].code, "time_repeated");
    }

    #[test]
    fn a_late_row_is_cut_and_a_restart_begins_a_part() {
        let r = repair(vec![0.0, 1.0, 3.0, 2.0, 4.0], &[], "t");
        assert_eq!((r.time_s, r.cut), (vec![0.0, 1.0, 3.0, 4.0], vec![3]));
        let mut t: Vec<f64> = (0..50).map(f64::from).collect();
        t.extend((0..50).map(f64::from));
        let r = repair(t, &[], "t");
        assert_eq!(r.parts, [50]);
        assert_eq!(r.time_s[50] - r.time_s[49], PART_GAP_S);
        assert!(r.cut.is_empty());
    }

    #[test]
    fn three_restarts_stay_in_order() {
        let t: Vec<f64> = (0..3).flat_map(|_| (0..40).map(f64::from)).collect();
        let r = repair(t, &[], "t");
        assert_eq!(r.parts, [40, 80]);
        assert!(r.time_s.windows(2).all(|w| w[0] < w[1]));
    }

    #[test]
    fn missing_stamps_lie_between_their_neighbours() {
        let nan = f64::NAN;
        let r = repair(vec![nan, 1.0, nan, 3.0, nan], &[], "t");
        // 3 s and 1 s are two rows apart; the only step known is the default of 0.01 s. Rounding: a few 1e-16.
        assert!((r.time_s[2] - r.time_s[1] - 1.0).abs() < 1e-12 && (r.time_s[1] - 0.01).abs() < 1e-12);
        assert!(r.time_s.windows(2).all(|w| w[0] < w[1]));
    }

    proptest::proptest! {
        #[test]
        fn whatever_comes_in_increases(t in proptest::collection::vec(proptest::prop_oneof![
            proptest::num::f64::ANY, (0..50i32).prop_map(f64::from)], 0..120)) {
            let t: Vec<f64> = t.into_iter().map(|v| if v.abs() > 1e9 || (v != 0.0 && v.abs() < 1e-3) { 1.0 } else { v }).collect();
            let n = t.len();
            let r = repair(t.clone(), &[], "t");
            proptest::prop_assert_eq!(r.time_s.len() + r.cut.len(), n);
            if t.iter().any(|v| v.is_finite()) {
                proptest::prop_assert!(r.time_s.windows(2).all(|w| w[0] < w[1]), "{:?}", r);
            }
        }
    }
    use proptest::prelude::*;
}

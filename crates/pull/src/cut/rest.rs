//! Names for the stretches of a log that are no pulls.

use super::motion::Motion;
use super::{Cut, LEAST_SPAN_RPM};
use crate::analysis::NotAPull;

/// Shortest rest worth a line, s.
const LEAST_REST_S: f64 = 1.0;
/// Mean speed below which an unloaded stretch is called idling, rpm (common practice, no source).
const IDLING_RPM: f64 = 1300.0;

/// The stretches between the pulls, each with a name and a reason.
#[allow(clippy::too_many_arguments, reason = "one call site; a struct would only rename the arguments")]
pub(super) fn rest(
    motion: &Motion,
    torque_nm: &[f64],
    top_torque: f64,
    throttle: Option<&[f64]>,
    top_throttle: Option<f64>,
    pulls: &[Cut],
    dropped: &[Cut],
    log: usize,
) -> Vec<NotAPull> {
    let mut out = Vec::new();
    let mut at = 0;
    let first_pull = pulls.first().map_or(usize::MAX, |p| p.from_row);
    let mut ends: Vec<(usize, usize)> = pulls.iter().map(|p| (p.from_row, p.to_row)).collect();
    ends.push((motion.rows(), motion.rows()));
    for (from, to) in ends {
        if from > at && motion.time(from - 1) - motion.time(at) >= LEAST_REST_S {
            let (a, b) = (at, from);
            let (lo, hi) = motion.span(a, b);
            let finite: Vec<f64> = torque_nm[a..b].iter().copied().filter(|t| t.is_finite()).collect();
            let mean_torque = finite.iter().sum::<f64>() / finite.len().max(1) as f64;
            let share = mean_torque / top_torque;
            let falling = motion.rpm(b - 1) < motion.rpm(a) - LEAST_SPAN_RPM;
            let short = dropped.iter().find(|d| d.from_row >= a && d.to_row <= b);
            let throttle_share = match (throttle, top_throttle) {
                (Some(v), Some(top)) => v[a..b].iter().copied().filter(|v| v.is_finite()).fold(0.0, f64::max) / top,
                _ => f64::NAN,
            };
            let (kind, reason) = if let Some(d) = short {
                (
                    "aborted",
                    format!(
                        "under load from {:.0} to {:.0} rpm only; a pull spans at least {LEAST_SPAN_RPM:.0} rpm",
                        d.from_rpm, d.to_rpm
                    ),
                )
            } else if motion.mean_rpm(a, b) < IDLING_RPM && share < 0.3 {
                ("idling", format!("speed {:.0} rpm on average, without load", motion.mean_rpm(a, b)))
            } else if b <= first_pull && share < 0.6 {
                ("warm_up", format!("before the first pull, torque {:.0} % of the log's top on average", 100.0 * share))
            } else if falling && share < 0.35 {
                ("coast_down", format!("speed falls from {hi:.0} to {lo:.0} rpm without load"))
            } else if throttle_share < 0.9 {
                ("part_load", format!("throttle no wider than {:.0} % of its top", 100.0 * throttle_share))
            } else {
                ("part_load", format!("torque {:.0} % of the log's top on average", 100.0 * share))
            };
            out.push(NotAPull {
                log,
                from_s: motion.time(a),
                to_s: motion.time(b - 1),
                from_rpm: lo,
                to_rpm: hi,
                kind: kind.to_owned(),
                reason,
            });
        }
        at = to.max(at);
    }
    out
}

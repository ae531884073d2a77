//! One table per log: every channel brought to the time base of the engine-speed channel.
//!
//! A CSV log has one time base and is used as it is. A measurement log with several rates keeps
//! each rate in its own group; channels of the other groups are joined by straight lines between
//! their samples, never across a gap longer than [`gap_limit_s`] and never beyond their ends.

use crate::log::{Channel, Log, Table};
use crate::role::Role;
use std::borrow::Cow;

/// The group that carries engine speed and, if several do, also torque, force or power; the one with
/// most rows among those. `None` if no group has engine speed.
pub fn base_group(log: &Log) -> Option<usize> {
    let loads = [Role::Torque, Role::CellForce, Role::BrakePower];
    log.groups
        .iter()
        .enumerate()
        .filter(|(_, g)| g.channel(Role::Speed).is_some())
        .max_by_key(|(i, g)| {
            let loaded = loads.iter().any(|r| g.channel(*r).is_some());
            (loaded, g.rows(), usize::MAX - i)
        })
        .map(|(i, _)| i)
}

/// Longest stretch without a sample that may be bridged by a straight line, s: five usual sample
/// distances of the channel, at least 0.5 s and at most 2 s.
pub fn gap_limit_s(time_s: &[f64]) -> f64 {
    let n = time_s.len();
    if n < 2 {
        return 0.5;
    }
    let usual = (time_s[n - 1] - time_s[0]) / (n - 1) as f64;
    (5.0 * usual).clamp(0.5, 2.0)
}

/// All channels on the time base of engine speed; borrowed when the log has only one group.
/// `None` if no group has engine speed.
pub fn one_table(log: &Log) -> Option<Cow<'_, Table>> {
    let base = base_group(log)?;
    if log.groups.len() == 1 {
        return Some(Cow::Borrowed(&log.groups[0]));
    }
    let mut table = log.groups[base].clone();
    for (i, group) in log.groups.iter().enumerate() {
        if i == base {
            continue;
        }
        let limit = gap_limit_s(&group.time_s);
        for channel in &group.channels {
            let Some(role) = channel.role else { continue };
            if role == Role::Time || table.channel(role).is_some() {
                continue;
            }
            let si = resample(&group.time_s, &channel.si, &table.time_s, limit);
            table.channels.push(Channel {
                name: channel.name.clone(),
                unit_text: channel.unit_text.clone(),
                role: Some(role),
                si,
            });
        }
    }
    Some(Cow::Owned(table))
}

/// Values of a series at other times, by straight lines between neighbouring samples that are both
/// present and no further apart than `limit_s`; NaN elsewhere. Both time series must rise.
pub fn resample(time_s: &[f64], values: &[f64], at_s: &[f64], limit_s: f64) -> Vec<f64> {
    let present: Vec<usize> = (0..time_s.len()).filter(|&i| values[i].is_finite()).collect();
    let mut out = Vec::with_capacity(at_s.len());
    let mut k = 0;
    for &t in at_s {
        while k + 1 < present.len() && time_s[present[k + 1]] <= t {
            k += 1;
        }
        let value = match (present.get(k), present.get(k + 1)) {
            (Some(&a), _) if time_s[a] == t => values[a],
            (Some(&a), Some(&b)) if time_s[a] < t && t < time_s[b] && time_s[b] - time_s[a] <= limit_s => {
                let share = (t - time_s[a]) / (time_s[b] - time_s[a]);
                values[a] + share * (values[b] - values[a])
            }
            _ => f64::NAN,
        };
        out.push(value);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn resampling_never_bridges_a_gap_nor_leaves_the_ends() {
        let t = [0.0, 1.0, 2.0, 10.0, 11.0];
        let v = [0.0, 10.0, f64::NAN, 100.0, 110.0];
        let out = resample(&t, &v, &[-0.5, 0.5, 1.5, 5.0, 10.5, 11.0, 11.5], 2.0);
        assert!(out[0].is_nan());
        assert_eq!(out[1], 5.0);
        assert!(out[2].is_nan(), "from 1 s to 10 s is a gap");
        assert!(out[3].is_nan());
        assert_eq!(out[4], 105.0);
        assert_eq!(out[5], 110.0);
        assert!(out[6].is_nan());
    }
}

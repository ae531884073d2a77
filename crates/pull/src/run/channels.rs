//! Other channels of the run over speed: mean and range of the pulls in use.

use super::one_pull::OnePull;
use crate::analysis::ChannelCurve;
use crate::bins::Grid;
use crate::guard::{Flag, Level};
use crate::role::Role;

/// Pools the channels of the pulls in use. Where a guard found a sensor at fault the values are left empty:
/// they are faults, not values.
pub(super) fn pool(pulls: &[OnePull], used: &[usize], grid: Grid, flags: &[Flag]) -> Vec<ChannelCurve> {
    let mut roles: Vec<Role> = Vec::new();
    for i in used {
        for (role, _) in &pulls[*i].channels {
            if !roles.contains(role) {
                roles.push(*role);
            }
        }
    }
    roles.sort();
    roles
        .into_iter()
        .map(|role| {
            let key = role.key();
            let faults: Vec<&Flag> = flags.iter().filter(|f| f.level == Level::SensorFault && f.role == key).collect();
            let mut c = ChannelCurve {
                label: role.label(),
                role: key,
                mean: Vec::with_capacity(grid.points),
                low: Vec::with_capacity(grid.points),
                high: Vec::with_capacity(grid.points),
            };
            for g in 0..grid.points {
                let n = grid.rpm(g);
                let (mut sum, mut count, mut lo, mut hi) = (0.0, 0.0, f64::INFINITY, f64::NEG_INFINITY);
                for i in used {
                    let at_fault =
                        faults.iter().any(|f| (f.pull == 0 || f.pull == i + 1) && n >= f.from_rpm && n <= f.to_rpm);
                    let value = pulls[*i].channels.iter().find(|(r, _)| *r == role).map_or(f64::NAN, |(_, v)| v[g]);
                    if value.is_finite() && !at_fault {
                        sum += value;
                        count += 1.0;
                        lo = lo.min(value);
                        hi = hi.max(value);
                    }
                }
                // A mean over fewer than half of the pulls would step where a pull ends.
                let there = count * 2.0 >= used.len() as f64 && count > 0.0;
                c.mean.push(if there { sum / count } else { f64::NAN });
                c.low.push(if there { lo } else { f64::NAN });
                c.high.push(if there { hi } else { f64::NAN });
            }
            c
        })
        .filter(|c| c.mean.iter().any(|v| v.is_finite()))
        .collect()
}

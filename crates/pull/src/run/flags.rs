//! Flags of several pulls brought together and numbered in order of speed.

use crate::guard::Flag;

/// Numbers flags from 1 in order of the speed at which they begin.
pub(super) fn settle(mut flags: Vec<Flag>) -> Vec<Flag> {
    flags.sort_by(|a, b| a.from_rpm.total_cmp(&b.from_rpm).then(a.pull.cmp(&b.pull)).then(a.rule.cmp(&b.rule)));
    for (i, f) in flags.iter_mut().enumerate() {
        f.number = i + 1;
    }
    flags
}

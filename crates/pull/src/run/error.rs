//! Why a run cannot be read at all.

use crate::analysis::NotAPull;
use crate::log::Log;
use thiserror::Error;

/// Why a run cannot be read at all.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum AnalyseError {
    /// No channel is engine speed.
    #[error(
        "{log}: no channel is engine speed, so nothing can be drawn over rpm\n  found    {found}\n  go on    say which column it is: --role COLUMN=speed"
    )]
    NoSpeed {
        /// Log.
        log: String,
        /// Channels as written.
        found: String,
    },
    /// No channel gives torque, power, or force with an arm.
    #[error(
        "{log}: no channel gives torque\n  found    {found}\n  expected torque, brake power, or load-cell force together with the arm in the dyno's file\n  go on    say which column it is: --role COLUMN=torque"
    )]
    NoTorque {
        /// Log.
        log: String,
        /// Channels as written.
        found: String,
    },
    /// No stretch of any log is a pull.
    #[error("{}: no pull was found\n  found    {}\n  expected a stretch under load that spans at least 600 rpm, or holds of 2 s and more\n  go on    check which column is torque and its unit", .logs.join(", "), in_words(.rest))]
    NoPull {
        /// Logs.
        logs: Vec<String>,
        /// What was found instead.
        rest: Vec<NotAPull>,
    },
}

fn in_words(rest: &[NotAPull]) -> String {
    if rest.is_empty() {
        return "no load in the whole log".to_owned();
    }
    let mut out: Vec<String> = rest
        .iter()
        .take(4)
        .map(|r| format!("{} from {:.1} to {:.1} s: {}", r.kind.replace('_', " "), r.from_s, r.to_s, r.reason))
        .collect();
    if rest.len() > 4 {
        out.push(format!("and {} more stretches", rest.len() - 4));
    }
    out.join("; ")
}

impl AnalyseError {
    pub(super) fn no_speed(log: &Log) -> Self {
        Self::NoSpeed { log: log.name.clone(), found: found(log) }
    }

    pub(super) fn no_torque(log: &Log) -> Self {
        Self::NoTorque { log: log.name.clone(), found: found(log) }
    }
}

fn found(log: &Log) -> String {
    log.groups
        .iter()
        .flat_map(|g| g.channels.iter())
        .map(|c| match c.role {
            Some(role) => format!("{} ({})", c.name, role.label()),
            None => c.name.clone(),
        })
        .collect::<Vec<_>>()
        .join(", ")
}

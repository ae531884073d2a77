//! From a raw log and a proposal to a log in SI units.

use super::fit::{self, UnitFor};
use super::time;
use super::{ColumnProposal, Proposal, Question};
use crate::log::{Channel, Log, Problem, RawColumn, RawGroup, RawLog, Severity, Table};
use crate::role::Role;
use rayon::prelude::*;

/// Why a log cannot be settled yet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SettleError {
    /// Needed questions are open.
    #[error("{} must be answered first", if .questions.len() == 1 { "1 question".to_owned() } else { format!("{} questions", .questions.len()) })]
    Open {
        /// The needed questions.
        questions: Vec<Question>,
    },
    /// The reader met something that must be decided or corrected first.
    #[error("{} must be put right first", if .problems.len() == 1 { "1 problem".to_owned() } else { format!("{} problems", .problems.len()) })]
    Stopped {
        /// The problems of severity `Stop`.
        problems: Vec<Problem>,
    },
    /// The proposal was made for another log.
    #[error("the proposal does not belong to this log: column {column} of group {group} is not there")]
    OtherLog {
        /// Group of the proposal.
        group: usize,
        /// Column of the proposal.
        column: usize,
    },
}

/// Makes the log in SI units.
///
/// Channels that are not settled come along without a role, in the unit as written. An air–fuel ratio
/// becomes lambda by `fuel_stoich` (mass of air per mass of fuel); a fuel volume flow becomes a mass
/// flow by `fuel_density` (kg/m³) when it is given.
///
/// # Errors
/// [`SettleError`] with the questions or problems in the way.
pub fn settle(
    raw: RawLog,
    proposal: &Proposal,
    fuel_stoich: Option<f64>,
    fuel_density: Option<f64>,
) -> Result<Log, SettleError> {
    let stopped: Vec<Problem> = raw.problems.iter().filter(|p| p.severity == Severity::Stop).cloned().collect();
    if !stopped.is_empty() {
        return Err(SettleError::Stopped { problems: stopped });
    }
    let open: Vec<Question> = proposal.questions.iter().filter(|q| q.must).cloned().collect();
    if !open.is_empty() {
        return Err(SettleError::Open { questions: open });
    }
    for c in &proposal.columns {
        if raw.groups.get(c.group).and_then(|g| g.columns.get(c.column)).is_none() {
            return Err(SettleError::OtherLog { group: c.group, column: c.column });
        }
    }
    let rows_found = raw.groups.iter().map(|g| g.rows_found).sum();
    let mut problems = raw.problems;
    for question in &proposal.questions {
        problems.push(Problem {
            severity: Severity::Note,
            code: "not_settled".to_owned(),
            what: question.text.clone(),
            place: (!question.column.is_empty()).then(|| format!("column \"{}\"", question.column)),
            found: (!question.found.is_empty()).then(|| question.found.clone()),
            expected: None,
            effect: Some("the channel is kept and not used".to_owned()),
            next: Some(question.answer_flag.clone()),
            count: 1,
        });
    }
    let groups: Vec<Table> = raw
        .groups
        .into_iter()
        .enumerate()
        .filter(|(_, group)| !group.columns.is_empty())
        .map(|(at, group)| table(group, at, proposal, fuel_stoich, fuel_density, &mut problems))
        .collect();
    problems.sort_by_key(|p| std::cmp::Reverse(p.severity));
    let rows_kept = groups.iter().map(Table::rows).sum();
    Ok(Log { name: raw.name, dialect: raw.dialect, groups, problems, rows_found, rows_kept })
}

fn table(
    group: RawGroup,
    at: usize,
    proposal: &Proposal,
    fuel_stoich: Option<f64>,
    fuel_density: Option<f64>,
    problems: &mut Vec<Problem>,
) -> Table {
    let of = |column: usize| proposal.columns.iter().find(|c| c.group == at && c.column == column);
    let rows = group.rows;
    let time_at =
        (0..group.columns.len()).find(|c| of(*c).is_some_and(|p| p.role == Some(Role::Time) && p.sure && !p.ignored));
    let mut columns: Vec<(Option<&ColumnProposal>, RawColumn)> =
        group.columns.into_iter().enumerate().map(|(c, column)| (of(c), column)).collect();
    let segments = columns.iter().find(|(_, c)| c.name == crate::read::csv::SEGMENT);
    let forced: Vec<usize> = segments
        .map_or(Vec::new(), |(_, c)| (1..c.values.len()).filter(|r| c.values[*r] != c.values[*r - 1]).collect());
    let time = match time_at {
        Some(c) => {
            let (proposed, column) = columns.remove(c);
            let unit = proposed.and_then(|p| p.unit.as_deref()).unwrap_or("s");
            let mut t = column.values;
            if let UnitFor::Is(unit) = fit::unit_for(Role::Time, unit)
                && unit.scale != 1.0
            {
                t.iter_mut().for_each(|v| *v *= unit.scale);
            }
            time::repair(t, &forced, &column.name)
        }
        None => {
            let rate = proposal.rate_hz.unwrap_or(1.0);
            let t = (0..rows).map(|row| row as f64 / rate).collect();
            time::repair(t, &forced, "rows counted")
        }
    };
    problems.extend(time.problems);
    let cut = &time.cut;
    let parts = time.parts;
    let mut channels: Vec<Channel> = columns
        .into_par_iter()
        .map(|(proposed, column)| channel(proposed, column, cut, fuel_stoich, fuel_density))
        .collect();
    let kept = time.time_s.len();
    if !parts.is_empty() {
        channels.retain(|c| c.name != crate::read::csv::SEGMENT);
        channels.push(Channel {
            name: crate::read::csv::SEGMENT.to_owned(),
            unit_text: "-".to_owned(),
            role: None,
            si: (0..kept).map(|row| parts.partition_point(|p| *p <= row) as f64 + 1.0).collect(),
        });
    }
    Table { time_s: time.time_s, channels }
}

fn channel(
    proposed: Option<&ColumnProposal>,
    column: RawColumn,
    cut: &[usize],
    fuel_stoich: Option<f64>,
    fuel_density: Option<f64>,
) -> Channel {
    let mut si = column.values;
    if !cut.is_empty() {
        let mut next = cut.iter().peekable();
        let mut row = 0;
        si.retain(|_| {
            let drop = next.next_if(|c| **c == row).is_some();
            row += 1;
            !drop
        });
    }
    let written = proposed.and_then(|p| p.unit.clone()).or(column.unit_text).unwrap_or_default();
    let mut out = Channel { name: column.name, unit_text: written.clone(), role: None, si };
    let Some(role) = proposed.filter(|p| p.sure && !p.ignored).and_then(|p| p.role) else { return out };
    let (scale, offset) = match (role, fit::unit_for(role, &written)) {
        (_, UnitFor::Is(unit)) => (unit.scale, unit.offset),
        // A knock level in any unit: compared with itself only.
        (Role::Knock(_), _) => (1.0, 0.0),
        _ => return out,
    };
    out.role = Some(role);
    let scale = match (role, fuel_stoich, fuel_density) {
        (Role::AirFuelRatio(bank), Some(stoich), _) => {
            out.role = Some(Role::Lambda(bank));
            scale / stoich
        }
        (Role::FuelVolumeFlow, _, Some(density)) => {
            out.role = Some(Role::FuelFlow);
            scale * density
        }
        _ => scale,
    };
    if scale != 1.0 || offset != 0.0 {
        out.si.iter_mut().for_each(|v| *v = *v * scale + offset);
    }
    out
}

//! What was settled is kept for the next log of the same dyno.

use super::Proposal;
use crate::cell::{Answers, CellFile, Known};
use quantity::{Dimension, Origin, find_unit_in};

/// The cell file with what was settled for this log: roles and units of all settled columns, answers
/// about the decimal mark, the date order, the row rate and the arm. Nothing that stood there is lost.
///
/// What the reader concluded from name and unit alone is kept as well: the person has seen it with the
/// log, and a column that changes its unit later is then noticed by the unit it writes itself.
pub fn learn(cell: &CellFile, proposal: &Proposal, answers: &Answers) -> CellFile {
    let mut out = cell.clone();
    for column in &proposal.columns {
        let settled = column.sure && column.role.is_some();
        let answered = answers.roles.contains_key(&column.name) || answers.units.contains_key(&column.name);
        if !answered && !settled {
            continue;
        }
        let note = out.channels.entry(column.name.clone()).or_default();
        note.ignored = column.ignored;
        note.role = if column.ignored { None } else { column.role };
        if column.unit.is_some() {
            note.unit.clone_from(&column.unit);
        }
    }
    out.decimal = answers.decimal.or(out.decimal);
    out.rate_hz = answers.rate_hz.or(out.rate_hz);
    out.date_order = answers.date_order.clone().or(out.date_order);
    if let Some(text) = &answers.arm
        && let Some(value) = length_m(text)
    {
        let origin = Origin::Claimed { by: "the person who read the log in".to_owned() };
        out.arm = Some(Known { value, u: None, text: text.clone(), origin });
    }
    out
}

/// A length with its unit, in m, above zero.
pub(super) fn length_m(text: &str) -> Option<f64> {
    let text = text.trim();
    let at = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '+')))?;
    let number: f64 = text[..at].trim().replace(',', ".").parse().ok()?;
    let unit = find_unit_in(text[at..].trim(), Dimension::Length).ok()?;
    let value = unit.to_si(number);
    (value > 0.0 && value.is_finite()).then_some(value)
}

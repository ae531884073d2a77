//! What is known of a log before it is read.

use super::csv::clock::DateOrder;
use crate::cell::{Answers, CellFile};
use std::collections::BTreeSet;

/// What a person or the cell file has settled about the way a log is written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ReadHints {
    /// Decimal mark, `.` or `,`; `None` lets the reader conclude it.
    pub decimal: Option<char>,
    /// Order of day and month; needed only where a log runs past midnight and its dates have two readings.
    pub date_order: Option<DateOrder>,
    /// Go on without the rows that cannot be read; they are counted and listed.
    pub leave_out_bad_rows: bool,
    /// Columns of no interest: text in them stops nothing.
    pub ignored: BTreeSet<String>,
}

impl ReadHints {
    /// Hints from the cell file and from answers; answers win.
    pub fn new(cell: &CellFile, answers: &Answers) -> Self {
        let noted = cell.channels.iter().filter(|(name, note)| note.ignored && !answers.roles.contains_key(*name));
        let answered = answers.roles.iter().filter(|(_, role)| role.as_str() == "none");
        Self {
            decimal: answers.decimal.or(cell.decimal).filter(|c| matches!(c, '.' | ',')),
            date_order: answers.date_order.as_deref().or(cell.date_order.as_deref()).and_then(DateOrder::from_key),
            leave_out_bad_rows: answers.leave_out_bad_rows,
            ignored: noted.map(|(name, _)| name.clone()).chain(answered.map(|(name, _)| name.clone())).collect(),
        }
    }
}

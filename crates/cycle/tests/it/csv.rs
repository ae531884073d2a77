//! Reading tables of `validation/`.

pub(crate) use table::{Row, close_to_share as close, rows as table};

pub(crate) fn number(row: &Row, column: &str) -> f64 {
    row.number(column)
}

//! Form of a bore or a journal: taper and out-of-round.
//!
//! Model: taper is greatest less least along one axis, out-of-round greatest less least at one height; the
//! worst of each counts, and its noise reaches as far as the studentised range of all readings says, as in
//! [`engine::clearances::bore_sheet`]. Lobes that the axes cannot see are left out.

use super::{Args, FormulaInfo, Item, Outcome, formula, needs, values};
use crate::sheet::uncertain::range_of;

pub(super) fn list() -> Vec<FormulaInfo> {
    let of = [needs("of", "readings at several heights and axes")];
    vec![
        formula("taper", "Greatest less least along one axis; the worst axis counts.", &of, true, taper),
        formula("out_of_round", "Greatest less least at one height; the worst height counts.", &of, true, out_of_round),
    ]
}

fn taper(args: &Args<'_>) -> Result<Outcome, String> {
    worst(args, |item| &item.row, "a taper needs two heights along one axis")
}

fn out_of_round(args: &Args<'_>) -> Result<Outcome, String> {
    worst(args, |item| &item.group, "out-of-round needs two axes at one height")
}

/// The worst range among readings that agree in `same`.
fn worst(args: &Args<'_>, same: impl Fn(&Item) -> &(String, String), why: &str) -> Result<Outcome, String> {
    let items = args.some("of")?;
    let mut worst: Option<(f64, &str)> = None;
    for first in items {
        let line: Vec<f64> = items.iter().filter(|i| same(i).0 == same(first).0).map(|i| i.value.value).collect();
        if line.len() < 2 {
            continue;
        }
        let greatest = line.iter().copied().fold(f64::MIN, f64::max);
        let range = greatest - line.iter().copied().fold(f64::MAX, f64::min);
        if worst.is_none_or(|(found, _)| range > found) {
            worst = Some((range, &same(first).1));
        }
    }
    let Some((range, at)) = worst else { return Err(why.to_owned()) };
    let words = if range > 0.0 { format!("worst {}", at.to_lowercase()) } else { String::new() };
    Ok(Outcome { value: range_of(range, &values(items), args.source), words })
}

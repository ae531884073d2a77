//! Ports on the flow bench.
//!
//! What a spread is like, and whether it goes with the place of the port, is common practice
//! ([`engine::port_spread`]); it proves nothing about who did the work.

use super::{Args, FormulaInfo, Item, Outcome, formula, may, needs};
use crate::sheet::uncertain::{Uncertain, propagate};
use engine::flow_bench::by_square_root;
use engine::port_spread::{Likeness, Pattern, Repeat, by_position, over_lifts, spread};

pub(super) fn list() -> Vec<FormulaInfo> {
    let flows = needs("flows", "flows of like ports");
    let repeat = may("repeat", "repeatability of the bench, half-width as a share; 0.5 % without");
    vec![
        formula(
            "flow_spread",
            "Greatest less least flow over the mean, at one lift.",
            &[flows, repeat],
            false,
            flow_spread,
        ),
        formula(
            "mean_flow_spread",
            "Mean of the spreads of all lifts, and what it is like.",
            &[flows, repeat],
            false,
            mean_flow_spread,
        ),
        formula(
            "port_pattern",
            "End ports less middle ports over the mean, over all lifts, and what the pattern points to.",
            &[flows, repeat],
            false,
            port_pattern,
        ),
        formula(
            "flow_at",
            "Flow at another test pressure, by the square root.",
            &[needs("flow", "flow read"), needs("from", "test pressure"), needs("to", "wanted test pressure")],
            false,
            flow_at,
        ),
        formula(
            "flow_ratio",
            "Mean flow over mean flow, over the lifts that both have.",
            &[needs("over", "flows above the line"), needs("under", "flows below the line")],
            false,
            flow_ratio,
        ),
    ]
}

fn bench(args: &Args<'_>) -> Result<Repeat, String> {
    Repeat::within(args.maybe("repeat")?.map_or(0.005, |r| r.value)).map_err(|e| e.to_string())
}

fn flow_spread(args: &Args<'_>) -> Result<Outcome, String> {
    let flows: Vec<f64> = args.some("flows")?.iter().map(|i| i.value.value).collect();
    let found = spread(&flows, bench(args)?).map_err(|e| e.to_string())?;
    let words = if found.is_real() { like(found.likeness()) } else { "no more than the bench's own scatter" };
    Ok(Outcome {
        value: Uncertain::with_own(found.spread, found.u_spread, args.source.to_owned()),
        words: words.to_owned(),
    })
}

fn like(likeness: Likeness) -> &'static str {
    match likeness {
        Likeness::MachinedLike => "like machine work",
        Likeness::SkilledHandLike => "like a skilled hand",
        Likeness::HomeLike => "like home work",
        Likeness::CannotTell => "what it is like cannot be told",
    }
}

/// Readings of each lift at which every port was read, in the order of the ports.
fn by_lift(items: &[Item]) -> Result<Vec<Vec<&Item>>, String> {
    let mut lifts: Vec<(&(String, String), Vec<&Item>)> = Vec::new();
    for item in items {
        match lifts.iter_mut().find(|(row, _)| row.0 == item.row.0) {
            Some((_, of)) => of.push(item),
            None => lifts.push((&item.row, vec![item])),
        }
    }
    let mut columns: Vec<usize> = items.iter().map(|i| i.column).collect();
    columns.sort_unstable();
    columns.dedup();
    let mut whole: Vec<Vec<&Item>> =
        lifts.into_iter().map(|(_, of)| of).filter(|of| of.len() == columns.len()).collect();
    for of in &mut whole {
        of.sort_by_key(|i| i.column);
    }
    if whole.is_empty() { Err("no lift at which every port was read".to_owned()) } else { Ok(whole) }
}

fn mean_flow_spread(args: &Args<'_>) -> Result<Outcome, String> {
    let repeat = bench(args)?;
    let spreads = by_lift(args.some("flows")?)?
        .iter()
        .map(|of| spread(&of.iter().map(|i| i.value.value).collect::<Vec<_>>(), repeat).map_err(|e| e.to_string()))
        .collect::<Result<Vec<_>, _>>()?;
    let (mean, u, likeness) = over_lifts(&spreads).map_err(|e| e.to_string())?;
    let real = spreads.iter().any(engine::port_spread::Spread::is_real);
    let words = if real { like(likeness) } else { "no more than the bench's own scatter" };
    Ok(Outcome { value: Uncertain::with_own(mean, u, args.source.to_owned()), words: words.to_owned() })
}

fn port_pattern(args: &Args<'_>) -> Result<Outcome, String> {
    let repeat = bench(args)?;
    let lifts = by_lift(args.some("flows")?)?;
    // Each lift counts by its share of the mean, so that high lifts do not outweigh low ones.
    let ports = lifts[0].len();
    let mut means = vec![0.0; ports];
    for of in &lifts {
        let mean = of.iter().map(|i| i.value.value).sum::<f64>() / ports as f64;
        for (sum, item) in means.iter_mut().zip(of) {
            *sum += item.value.value / mean / lifts.len() as f64;
        }
    }
    let found = by_position(&means, repeat).map_err(|e| e.to_string())?;
    let words = match found.pattern {
        Pattern::NotReal => "no more than the bench's own scatter",
        Pattern::ByPosition => "the end ports stand apart: casting, core shift or the angle of the tool",
        Pattern::Scattered => "each port is its own: the hand that did it",
        Pattern::CannotTell => "neither place nor scatter shows",
    };
    let u = 0.5 * found.half_width;
    Ok(Outcome {
        value: Uncertain::with_own(found.ends_less_middles, u, args.source.to_owned()),
        words: words.to_owned(),
    })
}

fn flow_at(args: &Args<'_>) -> Result<Outcome, String> {
    let inputs = [args.one("flow")?, args.one("from")?, args.one("to")?];
    propagate(&inputs, |x| by_square_root(x[0], x[1], x[2]).map_err(|e| e.to_string())).map(Outcome::plain)
}

fn flow_ratio(args: &Args<'_>) -> Result<Outcome, String> {
    let (over, under) = (args.some("over")?, args.some("under")?);
    let has = |items: &[Item], row: &str| items.iter().any(|i| i.row.0 == row);
    let over: Vec<&Uncertain> = over.iter().filter(|i| has(under, &i.row.0)).map(|i| &i.value).collect();
    let both = args.some("over")?;
    let under: Vec<&Uncertain> = under.iter().filter(|i| has(both, &i.row.0)).map(|i| &i.value).collect();
    if over.is_empty() || under.is_empty() {
        return Err("no lift at which both were read".to_owned());
    }
    let split = over.len();
    let all: Vec<&Uncertain> = over.into_iter().chain(under).collect();
    propagate(&all, |x| {
        let mean = |x: &[f64]| x.iter().sum::<f64>() / x.len() as f64;
        Ok(mean(&x[..split]) / mean(&x[split..]))
    })
    .map(Outcome::plain)
}

//! Means, ranges, differences, ratios.

use super::{Args, FormulaInfo, Item, Outcome, formula, may, needs, values};
use crate::sheet::uncertain::{Uncertain, propagate, range_of};

pub(super) fn list() -> Vec<FormulaInfo> {
    let readings = needs("of", "readings or figures of one kind");
    vec![
        formula(
            "mean",
            "Mean of readings. What one instrument is off by does not average out.",
            &[readings],
            false,
            mean,
        ),
        formula("smallest", "Smallest reading.", &[readings], false, smallest),
        formula("greatest", "Greatest reading.", &[readings], true, greatest),
        formula("sum", "Sum of readings.", &[readings], false, sum),
        formula("range", "Greatest less least, with the reach of the readings' noise.", &[readings], true, range),
        formula("relative_range", "Greatest less least over the mean, as a share.", &[readings], false, relative_range),
        formula(
            "difference",
            "One value less another: a clearance (diametral), a stretch, a growth.",
            &[needs("outer", "the value taken from"), needs("inner", "the value taken off")],
            false,
            difference,
        ),
        formula(
            "end_play",
            "Travel between two ends of an indicator, whichever is greater.",
            &[needs("one", "one end"), needs("other", "the other end")],
            false,
            end_play,
        ),
        formula(
            "ratio",
            "One value over another.",
            &[needs("over", "above the line"), needs("under", "below the line")],
            false,
            ratio,
        ),
        formula(
            "loss",
            "What is lost against new, as a share of new.",
            &[needs("new", "when new"), needs("now", "now")],
            false,
            loss,
        ),
        formula(
            "product",
            "One value times another.",
            &[needs("of", "a value"), needs("by", "a factor")],
            false,
            product,
        ),
        formula(
            "middle",
            "Mean of two angles, or of a value read from both sides.",
            &[needs("one", "one side"), needs("other", "the other side"), may("off", "what it is held against")],
            false,
            middle,
        ),
    ]
}

fn mean(args: &Args<'_>) -> Result<Outcome, String> {
    let items = args.some("of")?;
    propagate(&values(items), |x| Ok(x.iter().sum::<f64>() / x.len() as f64)).map(Outcome::plain)
}

fn sum(args: &Args<'_>) -> Result<Outcome, String> {
    propagate(&values(args.some("of")?), |x| Ok(x.iter().sum())).map(Outcome::plain)
}

/// The greatest and the least of a set and where they are.
fn ends(items: &[Item]) -> (&Item, &Item) {
    let (mut greatest, mut least) = (&items[0], &items[0]);
    for item in items {
        if item.value.value > greatest.value.value {
            greatest = item;
        }
        if item.value.value < least.value.value {
            least = item;
        }
    }
    (greatest, least)
}

/// "Cylinder 3", "bottom, along": what tells items of a set from each other.
fn named(item: &Item, items: &[Item]) -> String {
    let differs = |f: &dyn Fn(&Item) -> String| items.iter().any(|i| f(i) != f(item));
    let mut parts = Vec::new();
    let mut tell = |f: &dyn Fn(&Item) -> String| {
        if differs(f) && !f(item).is_empty() {
            parts.push(f(item));
        }
    };
    tell(&|i| i.head.clone());
    tell(&|i| i.group.1.clone());
    tell(&|i| i.row.1.clone());
    parts.join(", ")
}

fn smallest(args: &Args<'_>) -> Result<Outcome, String> {
    let items = args.some("of")?;
    let (_, least) = ends(items);
    Ok(Outcome { value: least.value.clone(), words: named(least, items) })
}

fn greatest(args: &Args<'_>) -> Result<Outcome, String> {
    let items = args.some("of")?;
    let (greatest, _) = ends(items);
    Ok(Outcome { value: greatest.value.clone(), words: named(greatest, items) })
}

fn range(args: &Args<'_>) -> Result<Outcome, String> {
    let items = args.some("of")?;
    if items.len() < 2 {
        return Err("a range needs two readings".to_owned());
    }
    let (greatest, least) = ends(items);
    let value = range_of(greatest.value.value - least.value.value, &values(items), args.source);
    Ok(Outcome { value, words: between(items, greatest, least) })
}

fn between(items: &[Item], greatest: &Item, least: &Item) -> String {
    if greatest.value.value == least.value.value {
        return String::new();
    }
    let (most, least) = (named(greatest, items), named(least, items));
    if most.is_empty() { String::new() } else { format!("most {most}; least {least}") }
}

fn relative_range(args: &Args<'_>) -> Result<Outcome, String> {
    let items = args.some("of")?;
    if items.len() < 2 {
        return Err("a spread needs two readings".to_owned());
    }
    let (greatest, least) = ends(items);
    let mean = items.iter().map(|i| i.value.value).sum::<f64>() / items.len() as f64;
    if !(mean.abs() > 0.0) {
        return Err("the mean is zero".to_owned());
    }
    let absolute = range_of(greatest.value.value - least.value.value, &values(items), args.source);
    let value = Uncertain::with_own(absolute.value / mean.abs(), absolute.u() / mean.abs(), args.source.to_owned());
    Ok(Outcome { value, words: between(items, greatest, least) })
}

fn difference(args: &Args<'_>) -> Result<Outcome, String> {
    propagate(&[args.one("outer")?, args.one("inner")?], |x| Ok(x[0] - x[1])).map(Outcome::plain)
}

fn end_play(args: &Args<'_>) -> Result<Outcome, String> {
    let (one, other) = (args.one("one")?, args.one("other")?);
    let (far, near) = if one.value >= other.value { (one, other) } else { (other, one) };
    propagate(&[far, near], |x| Ok(x[0] - x[1])).map(Outcome::plain)
}

fn ratio(args: &Args<'_>) -> Result<Outcome, String> {
    let under = args.one("under")?;
    if under.value == 0.0 {
        return Err("the value below the line is zero".to_owned());
    }
    propagate(&[args.one("over")?, under], |x| Ok(x[0] / x[1])).map(Outcome::plain)
}

fn loss(args: &Args<'_>) -> Result<Outcome, String> {
    let new = args.one("new")?;
    if !(new.value > 0.0) {
        return Err("the value when new is not above zero".to_owned());
    }
    propagate(&[new, args.one("now")?], |x| Ok((x[0] - x[1]) / x[0])).map(Outcome::plain)
}

fn product(args: &Args<'_>) -> Result<Outcome, String> {
    propagate(&[args.one("of")?, args.one("by")?], |x| Ok(x[0] * x[1])).map(Outcome::plain)
}

fn middle(args: &Args<'_>) -> Result<Outcome, String> {
    let mut inputs = vec![args.one("one")?, args.one("other")?];
    if let Some(off) = args.maybe("off")? {
        inputs.push(off);
    }
    propagate(&inputs, |x| Ok(0.5 * (x[0] + x[1]) - x.get(2).copied().unwrap_or(0.0))).map(Outcome::plain)
}

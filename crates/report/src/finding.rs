//! The finding: one sentence that stands first on the page, on paper and in the terminal.

use crate::say::{self, Kind};
use crate::words::Finding;
use pull::analysis::{Analysis, Comparison};
use pull::guard::Level;
use quantity::UnitSystem;

/// The finding of a run: gain or loss against an earlier run when there is one, else the average
/// torque over the band; then the one thing that a reader must know before relying on it.
///
/// A comparison whose interval holds zero is "no gain shown"; one without an interval is "cannot tell".
pub fn finding(analysis: &Analysis, comparison: Option<&Comparison>, system: UnitSystem) -> Finding {
    let mut finding = comparison
        .and_then(|comparison| against(analysis, comparison, system))
        .unwrap_or_else(|| alone(analysis, system));
    if let Some(caution) = caution(analysis, comparison) {
        finding.rest.push(' ');
        finding.rest.push_str(&caution);
    }
    finding
}

fn against(analysis: &Analysis, comparison: &Comparison, system: UnitSystem) -> Option<Finding> {
    let before = say::inside(&comparison.before);
    let Some(difference) = comparison.difference_nm.filter(|d| d.is_finite()) else {
        return Some(Finding {
            strong: "Cannot tell".to_owned(),
            rest: format!(
                " whether anything changed against {before}: the two runs share no stretch of the band of use."
            ),
        });
    };
    let over = comparison.band.map_or_else(|| band(analysis), |b| format!("over {}", say::span(b.from_rpm, b.to_rpm)));
    let interval = comparison.interval_nm.filter(|i| i.is_finite());
    let decimals = say::decimals(Kind::Torque, system, interval.unwrap_or(1.0));
    let unit = Kind::Torque.unit(system);
    let text = |nm: f64| say::value(Kind::Torque, system, nm, decimals);
    let within = interval.map_or_else(String::new, |i| format!(", ±{}", text(i)));
    Some(match comparison.verdict.as_str() {
        "gain" | "loss" => Finding {
            strong: format!("{} {unit} {}", text(difference.abs()), if difference < 0.0 { "less" } else { "more" }),
            rest: format!(" than {before} on average {over}{within} (95 %)."),
        },
        "no_gain_shown" => Finding {
            strong: "No gain shown:".to_owned(),
            rest: format!(
                " {}{} {unit} against {before} on average {over}{within} (95 %), which may as well be noise.",
                if difference > 0.0 { "+" } else { "" },
                text(difference)
            ),
        },
        _ => Finding {
            strong: "Cannot tell".to_owned(),
            rest: format!(
                " whether anything changed: {}{} {unit} against {before} on average {over}, and {}.",
                if difference > 0.0 { "+" } else { "" },
                text(difference),
                if interval.is_none() { "too few pulls to know the scatter" } else { "the comparison is in doubt" }
            ),
        },
    })
}

fn alone(analysis: &Analysis, system: UnitSystem) -> Finding {
    let used = say::in_use(analysis);
    let Some(mean) = analysis.figures.mean_torque_nm.filter(|f| f.value.is_finite()) else {
        let rest = match say::tested(&analysis.curve) {
            Some((from, to)) => {
                format!(" {}: the pulls cover {} only.", band(analysis), say::span(from, to))
            }
            None => " that can be judged: no pull is in use.".to_owned(),
        };
        let strong = if rest.starts_with(" that") { "No curve" } else { "No average" };
        return Finding { strong: strong.to_owned(), rest };
    };
    let decimals = say::decimals(Kind::Torque, system, mean.expanded);
    let strong =
        format!("{} {} on average", say::value(Kind::Torque, system, mean.value, decimals), Kind::Torque.unit(system));
    let repeats = match (used, analysis.repeat.mean_spread) {
        (0 | 1, _) => "one pull, so how well it repeats is not known".to_owned(),
        (_, Some(spread)) => format!("{} repeat within {}", say::pulls(used), say::percent(spread, 1)),
        (_, None) => format!("how well {} repeat is not known over this band", say::pulls(used)),
    };
    Finding { strong, rest: format!(" {}; {repeats}.", band(analysis)) }
}

/// "over the band of use, 3,000 to 6,200 rpm", or "over 2,000 to 6,600 rpm" when nobody named a band.
fn band(analysis: &Analysis) -> String {
    let span = say::span(analysis.band.from_rpm, analysis.band.to_rpm);
    if analysis.band_stated { format!("over the band of use, {span}") } else { format!("over {span}") }
}

/// The one thing to know before relying on the finding; the gravest first.
fn caution(analysis: &Analysis, comparison: Option<&Comparison>) -> Option<String> {
    let stop: Vec<String> =
        analysis.flags.iter().filter(|f| f.level == Level::Abort).map(|f| f.number.to_string()).collect();
    if !stop.is_empty() {
        let which = if stop.len() == 1 { format!("Flag {}", stop[0]) } else { format!("Flags {}", listed(&stop)) };
        return Some(format!("{which}: the pull should have been stopped."));
    }
    if analysis.correction.range_verdict.as_deref() == Some("outside") {
        return Some("The correction factor is outside the range that its standard allows.".to_owned());
    }
    if comparison.is_some_and(|c| !c.warnings.is_empty()) {
        return Some("The two runs were not made alike; see below.".to_owned());
    }
    if analysis.figures.still_climbing.as_deref() == Some("climbing") {
        let (_, to) = say::tested(&analysis.curve)?;
        return Some(format!("Power was still climbing at {} rpm.", say::rpm(to)));
    }
    None
}

/// "1", "1 and 2", "1, 2 and 3".
pub(crate) fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

//! Small helpers for saying numbers: digits by uncertainty, counts in words, spans of speed.

use pull::analysis::{Analysis, Curve, Figure};
use quantity::{Shown, UnitSystem, decimals_for, digits, thousands};
use std::f64::consts::TAU;

/// The two quantities that carry an uncertainty through the whole report.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// N·m inside.
    Torque,
    /// W inside.
    Power,
}

impl Kind {
    pub(crate) fn show(self, system: UnitSystem, si: f64, decimals: Option<u8>) -> Shown {
        match self {
            Kind::Torque => system.torque(si, decimals),
            Kind::Power => system.power(si, decimals),
        }
    }

    pub(crate) fn unit(self, system: UnitSystem) -> &'static str {
        self.show(system, 0.0, None).unit
    }

    /// The value as a plain number in the person's unit.
    pub(crate) fn number(self, system: UnitSystem, si: f64) -> f64 {
        // Both units are plain multiples of the SI unit.
        let shown = match self {
            Kind::Torque => system.unit(quantity::Dimension::Torque),
            Kind::Power => system.unit(quantity::Dimension::Power),
        };
        shown.from_si(si)
    }
}

/// Decimals that an expanded uncertainty supports; none beyond one, and one when it is not known.
pub(crate) fn decimals(kind: Kind, system: UnitSystem, expanded_si: f64) -> u8 {
    decimals_for(kind.number(system, expanded_si)).unwrap_or(1).min(1)
}

/// Digits of a value, with its uncertainty's place.
pub(crate) fn value(kind: Kind, system: UnitSystem, si: f64, decimals: u8) -> String {
    thousands(&kind.show(system, si, Some(decimals)).number)
}

/// "1.6": the ± of a figure; empty when it is not known.
pub(crate) fn expanded(kind: Kind, system: UnitSystem, figure: Figure) -> String {
    let u = kind.number(system, figure.expanded);
    if !(u.is_finite() && u > 0.0) {
        return String::new();
    }
    digits(u, i32::from(decimals(kind, system, figure.expanded)))
}

/// A speed: "3,600".
pub(crate) fn rpm(rpm: f64) -> String {
    thousands(&digits(rpm, 0))
}

/// "3,000 to 6,200 rpm".
pub(crate) fn span(from_rpm: f64, to_rpm: f64) -> String {
    format!("{} to {} rpm", rpm(from_rpm), rpm(to_rpm))
}

/// A share as percent: "0.6 %".
pub(crate) fn percent(share: f64, decimals: i32) -> String {
    format!("{} %", digits(share * 100.0, decimals))
}

/// "one pull", "three pulls", "14 pulls".
pub(crate) fn pulls(count: usize) -> String {
    const WORDS: [&str; 13] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    let number = WORDS.get(count).map_or_else(|| count.to_string(), |w| (*w).to_owned());
    format!("{number} {}", if count == 1 { "pull" } else { "pulls" })
}

/// The same text with its first letter large.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

/// Mean torque to power: N·m at a speed in rpm gives W.
pub(crate) fn power_w(rpm: f64, torque_nm: f64) -> f64 {
    torque_nm * rpm * TAU / 60.0
}

/// Number of pulls in use.
pub(crate) fn in_use(analysis: &Analysis) -> usize {
    analysis.pulls.iter().filter(|pull| pull.left_out.is_none()).count()
}

/// First and last speed with a torque.
pub(crate) fn tested(curve: &Curve) -> Option<(f64, f64)> {
    let mut speeds = curve.rpm.iter().zip(&curve.torque_nm).filter(|(_, t)| t.is_finite()).map(|(rpm, _)| *rpm);
    let first = speeds.next()?;
    Some((first, speeds.next_back().unwrap_or(first)))
}

/// Whether a correction was applied.
pub(crate) fn is_corrected(analysis: &Analysis) -> bool {
    analysis.correction.applied != gas::correction::Standard::Observed
}

/// The name of the run before as it stands in the middle of a sentence: "Run 3" becomes "run 3".
pub(crate) fn inside(name: &str) -> String {
    match name.strip_prefix("Run ") {
        Some(rest) => format!("run {rest}"),
        None => name.to_owned(),
    }
}

/// A sentence: first letter large, full stop at the end.
pub(crate) fn sentence(text: &str) -> String {
    capital(&stopped(text))
}

/// The text with a full stop at its end.
pub(crate) fn stopped(text: &str) -> String {
    let text = text.trim();
    let end = if text.is_empty() || text.ends_with(['.', '?', ':']) { "" } else { "." };
    format!("{text}{end}")
}

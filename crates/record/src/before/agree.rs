//! Two tests that say the same of one cylinder.
//!
//! Two independent tests that agree weigh more than either alone (common practice, no source).

use super::check::once;
use super::judged::Suggestion;
use super::kinds_pressure::AirAt;
use super::numbers::{Gauge, show};
use super::patterns::Sign;
use super::table::Table;
use super::writer::suggestions;
use super::{ExpectedFromBuild, Judged, TestBefore, judge_with};
use quantity::Dimension;
use std::collections::BTreeSet;

/// What two of these tests say together. Tests that were judged unusable (piston at overlap) do not count.
pub fn agree(tests: &[TestBefore], expected: Option<&ExpectedFromBuild>, table: &Table) -> Vec<Suggestion> {
    let low = low_cylinders(tests, expected, table);
    let mut out: Vec<Suggestion> = Vec::new();
    for test in tests {
        match test {
            TestBefore::LeakDown(t) if t.tdc != Some(super::Tdc::Overlap) => {
                let gauge = Gauge::new(table, t.instrument.as_ref(), "leak_down.gauge_repeat");
                for row in once(&t.cylinders, |x| x.cylinder).into_iter().filter(|x| low.contains(&x.cylinder)) {
                    let Some(lost) = row.reading.as_ref().and_then(|r| super::judge_leak::lost(table, gauge, r)) else {
                        continue;
                    };
                    if lost.value < table.value("leak_down.worth_a_look") {
                        continue;
                    }
                    let because = format!(
                        "cylinder {}: low on compression, {} lost",
                        row.cylinder,
                        show(Dimension::Fraction, lost.value, Some(lost.u))
                    );
                    air(table, row.cylinder, &row.air_at, row.heard_in_cylinder, &because, &mut out);
                }
            }
            TestBefore::CylinderBalance(t) => {
                for cylinder in super::judge_running::small_drops(table, t).into_iter().filter(|c| low.contains(c)) {
                    let because = format!("cylinder {cylinder}: low on compression, small drop when shorted");
                    suggestions(table, Sign::AgreeWeak, &[cylinder], &because, &mut out);
                }
            }
            _ => {}
        }
    }
    // The same words from a repeated test say it once.
    let mut seen = BTreeSet::new();
    out.retain(|s| seen.insert((s.sign.clone(), s.cylinders.clone())));
    out
}

fn air(table: &Table, cylinder: u32, at: &[AirAt], heard_in: Option<u32>, because: &str, out: &mut Vec<Suggestion>) {
    for at in at {
        let (sign, cylinders) = match (at, heard_in) {
            (AirAt::Filler, _) => (Sign::AgreeFiller, vec![cylinder]),
            (AirAt::Throttle, _) => (Sign::AgreeThrottle, vec![cylinder]),
            (AirAt::Exhaust, _) => (Sign::AgreeExhaust, vec![cylinder]),
            (AirAt::Radiator, _) => (Sign::AgreeRadiator, vec![cylinder]),
            (AirAt::NextPlugHole, Some(other)) => (Sign::AgreeNextHole, vec![cylinder.min(other), cylinder.max(other)]),
            (AirAt::NextPlugHole, None) | (AirAt::Nowhere, _) => continue,
        };
        suggestions(table, sign, &cylinders, because, out);
    }
}

/// Cylinders that a cranking test marks as low.
fn low_cylinders(tests: &[TestBefore], expected: Option<&ExpectedFromBuild>, table: &Table) -> BTreeSet<u32> {
    const SIGNS: [Sign; 3] = [Sign::PairLow, Sign::TwoLow, Sign::OneLow];
    let marks = |judged: Judged| {
        let low = judged.suggestions.into_iter().filter(|s| SIGNS.iter().any(|sign| sign.key() == s.sign));
        low.flat_map(|s| s.cylinders).collect::<Vec<_>>()
    };
    let cranking = tests.iter().filter(|t| matches!(t, TestBefore::Cranking(_)));
    cranking.flat_map(|t| marks(judge_with(t, expected, table))).collect()
}

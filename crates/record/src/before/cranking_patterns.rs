//! What the pattern of a cranking test points to.

use super::check::{not_negative, positive};
use super::judge_cranking::{Against, Read, low_ones, reference};
use super::judged::WarningKind;
use super::numbers::{Est, Gauge, median, show};
use super::patterns::Sign;
use super::writer::Writer;
use super::{CrankingCylinder, ExpectedFromBuild};
use quantity::Dimension;

pub(super) fn patterns(
    out: &mut Writer<'_>,
    read: &[Read<'_>],
    low: &[u32],
    against: Against,
    expected: Option<&ExpectedFromBuild>,
) {
    let all: Vec<u32> = read.iter().map(|r| r.cylinder).collect();
    let text =
        |cylinder: u32| read.iter().find(|r| r.cylinder == cylinder).map_or(String::new(), |r| r.stated.text.clone());
    let readings = |cylinders: &[u32]| {
        let words: Vec<String> = cylinders.iter().map(|c| format!("cylinder {c} {}", text(*c))).collect();
        words.join(", ")
    };
    let value = |cylinder: u32| read.iter().find(|r| r.cylinder == cylinder).map_or(f64::NAN, |r| r.own.value);
    let alike = |a: u32, b: u32| {
        let (a, b) = (value(a), value(b));
        a.min(b) / a.max(b) >= 1.0 - out.table.value("cranking.pair_within")
    };
    let known = |a: u32, b: u32| expected.and_then(|e| e.neighbours(a, b));
    let mut pairs: Vec<[u32; 2]> = Vec::new();
    let mut maybe_pairs: Vec<[u32; 2]> = Vec::new();
    for (n, a) in low.iter().enumerate() {
        for b in &low[n + 1..] {
            match known(*a, *b) {
                Some(true) if alike(*a, *b) => pairs.push([*a, *b]),
                None if low.len() == 2 && alike(*a, *b) => maybe_pairs.push([*a, *b]),
                _ => {}
            }
        }
    }
    for pair in &pairs {
        out.sign(Sign::PairLow, pair, &format!("neighbours low: {}", readings(pair)));
    }
    for pair in &maybe_pairs {
        out.sign(Sign::TwoLow, pair, &format!("two low: {}; the layout is not stated", readings(pair)));
    }
    for cylinder in low.iter().filter(|c| !pairs.iter().chain(&maybe_pairs).any(|p| p.contains(c))) {
        out.sign(Sign::OneLow, &[*cylinder], &readings(&[*cylinder]));
    }
    let band = expected.and_then(|e| e.cranking.as_ref());
    match against {
        Against::Below if low.is_empty() && read.len() > 1 => {
            out.sign(Sign::AllLowEven, &all, "even, and all below what the build leads to expect");
        }
        Against::Above => out.sign(Sign::AboveExpected, &all, "above what the build leads to expect"),
        _ => {}
    }
    // Within reach of what a late closing gives: the number is low and the engine is not at fault.
    if let Some(band) = band.filter(|_| against == Against::Within && low.is_empty())
        && reference(read) < out.table.value("cranking.usual_low")
        && band.closing_after_bdc_deg >= out.table.value("cranking.late_closing").to_degrees()
    {
        let because = format!(
            "intake closing {:.0}° after bottom at {}, ratio from there {:.2}",
            band.closing_after_bdc_deg, band.check_lift, band.closing_ratio
        );
        out.sign(Sign::LateClosing, &all, &because);
    }
}

/// First strokes and the wet test.
pub(super) fn strokes_and_oil(out: &mut Writer<'_>, rows: &[&CrankingCylinder], read: &[Read<'_>], gauge: Gauge<'_>) {
    let first = |row: &CrankingCylinder| not_negative(row.first.as_ref(), Dimension::Pressure).map(|s| gauge.own(s));
    let firsts: Vec<(u32, Est, &Read<'_>)> = read.iter().filter_map(|r| Some((r.cylinder, first(r.row)?, r))).collect();
    let (low_first, stays) = (out.table.value("cranking.first_low"), out.table.value("cranking.low_share"));
    if firsts.len() >= 3 {
        for (cylinder, own, r) in &firsts {
            let others: Vec<f64> = firsts.iter().filter(|f| f.0 != *cylinder).map(|f| f.1.value).collect();
            let usual = median(&others);
            if usual > 0.0 && own.clearly_below(low_first * usual) {
                let because = format!(
                    "cylinder {cylinder}: first stroke {}, last {}; first stroke of the others about {}",
                    r.row.first.as_ref().map_or("", |s| s.text.as_str()),
                    r.stated.text,
                    show(Dimension::Pressure, usual, None)
                );
                let last_others: Vec<f64> =
                    read.iter().filter(|o| o.cylinder != *cylinder).map(|o| o.own.value).collect();
                // What it lacks at the last stroke against what it lacked at the first tells building from staying.
                let lacked = 1.0 - own.value / usual;
                let lacks = 1.0 - r.own.value / median(&last_others);
                if r.own.clearly_below(stays * median(&last_others)) && lacks > 0.5 * lacked {
                    out.sign(Sign::FirstLowStays, &[*cylinder], &because);
                } else if lacks < 0.5 * lacked {
                    out.sign(Sign::FirstLowBuilds, &[*cylinder], &because);
                }
            }
        }
    }
    let (clear, little) = (out.table.value("cranking.wet_clear_rise"), out.table.value("cranking.wet_little"));
    for row in rows {
        let Some(wet) = positive(row.wet.as_ref(), Dimension::Pressure) else {
            continue;
        };
        let Some(dry) = read.iter().find(|r| r.cylinder == row.cylinder) else {
            let words = format!("Cylinder {}: read with oil and not without; the rise is not known.", row.cylinder);
            out.warn(WarningKind::NotNoted, words);
            continue;
        };
        let ratio = gauge.own(wet).over(dry.own);
        let rise = Est { value: ratio.value - 1.0, u: ratio.u };
        let key = format!("wet_rise_{}", row.cylinder);
        let label = format!("rise with oil, cylinder {}", row.cylinder);
        out.figure(&key, &label, Dimension::Fraction, rise.value, Some(rise.u), "");
        let because = format!("{} dry, {} with oil", dry.stated.text, wet.text);
        if rise.value >= clear && rise.clearly_above(little) {
            out.sign(Sign::WetRises, &[row.cylinder], &because);
        } else if rise.clearly_below(clear) {
            // A sound cylinder changes little too: that it does not rise means something for a low one alone.
            if low_ones(out, read).contains(&row.cylinder) {
                out.sign(Sign::WetDoesNotRise, &[row.cylinder], &because);
            }
        } else {
            let words = format!(
                "Cylinder {}: the rise with oil of {} lies too near to {} to tell rings from valves.",
                row.cylinder,
                show(Dimension::Fraction, rise.value, Some(rise.u)),
                show(Dimension::Fraction, clear, None)
            );
            out.warn(WarningKind::HowItWasDone, words);
        }
    }
}

//! Cranking compression: spreads, the expected pressure, patterns.
//!
//! Model: one gauge reads all cylinders, so that what its scale is off by cancels in a ratio. "Low" is meant against
//! the middle of the better half of the readings: one or two bad cylinders do not move it.
//! Left out: the gauge hose, whose volume takes a share of a small cylinder's pressure.

use super::check::{once, positive};
use super::cranking_patterns::{patterns, strokes_and_oil};
use super::judged::{SourceTag, Sourced, WarningKind};
use super::numbers::{Est, Gauge, list, maybe, median, show};
use super::writer::{Hold, Line, Writer};
use super::{Cell, Cranking, CrankingCylinder, ExpectedFromBuild};
use crate::Stated;
use quantity::{Dimension, Limits, Verdict, verdict};

/// One cylinder that has a last reading.
pub(super) struct Read<'a> {
    pub(super) cylinder: u32,
    pub(super) row: &'a CrankingCylinder,
    pub(super) stated: &'a Stated,
    pub(super) own: Est,
}

pub(super) fn judge(out: &mut Writer<'_>, t: &Cranking, expected: Option<&ExpectedFromBuild>) {
    let gauge = Gauge::new(out.table, t.instrument.as_ref(), "cranking.repeat");
    let rows = once(&t.cylinders, |x| x.cylinder);
    let read: Vec<Read<'_>> = rows
        .iter()
        .filter_map(|row| {
            let stated = positive(row.last.as_ref(), Dimension::Pressure)?;
            Some(Read { cylinder: row.cylinder, row, stated, own: gauge.own(stated) })
        })
        .collect();
    warnings(out, t, &read, gauge, expected);
    let values: Vec<f64> = read.iter().map(|r| r.own.value).collect();
    let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
    let low = low_ones(out, &read);
    table_rows(out, t, mean, &low);
    let hold = throttle_or_speed(out, t);
    spreads(out, &read, gauge, mean, hold.as_deref());
    let against = expectation(out, t, &read, gauge, expected, hold.as_deref());
    patterns(out, &read, &low, against, expected);
    strokes_and_oil(out, &rows, &read, gauge);
}

/// The middle of the better half: what the sound cylinders make.
pub(super) fn reference(read: &[Read<'_>]) -> f64 {
    let mut values: Vec<f64> = read.iter().map(|r| r.own.value).collect();
    values.sort_by(|a, b| b.total_cmp(a));
    values.truncate(values.len().div_ceil(2));
    median(&values)
}

/// Cylinders clearly below the share of the reference at which one counts as low.
pub(super) fn low_ones(out: &Writer<'_>, read: &[Read<'_>]) -> Vec<u32> {
    if read.len() < 2 {
        return Vec::new();
    }
    let least = out.table.value("cranking.low_share") * reference(read);
    read.iter().filter(|r| r.own.clearly_below(least)).map(|r| r.cylinder).collect()
}

fn table_rows(out: &mut Writer<'_>, t: &Cranking, mean: f64, low: &[u32]) {
    let good = once(&t.cylinders, |x| x.cylinder);
    let highest = good.iter().filter_map(|x| positive(x.last.as_ref(), Dimension::Pressure)).map(|s| s.si);
    let highest = highest.fold(f64::NAN, f64::max);
    for x in &t.cylinders {
        let mut cells = vec![Cell::read("first stroke", x.first.as_ref())];
        cells.push(Cell::read("last stroke", x.last.as_ref()).out(low.contains(&x.cylinder)));
        let counted = good.iter().any(|g| std::ptr::eq(*g, x));
        if let Some(last) = positive(x.last.as_ref(), Dimension::Pressure).filter(|_| counted) {
            cells.push(Cell::number("of the highest", Dimension::Fraction, last.si / highest));
            cells.push(Cell::number("against the mean", Dimension::Fraction, last.si / mean - 1.0));
        }
        if x.wet.is_some() {
            cells.push(Cell::read("with oil", x.wet.as_ref()));
        }
        if !x.remark.is_empty() {
            cells.push(Cell::words("remark", &x.remark));
        }
        out.row(format!("cylinder {}", x.cylinder), cells);
    }
}

/// Why a low number says little, if the throttle was shut, the starter slow or the strokes too few.
fn throttle_or_speed(out: &Writer<'_>, t: &Cranking) -> Option<String> {
    let slow = out.table.value("cranking.speed_least");
    if t.throttle_open == Some(false) {
        return Some("the throttle was shut".to_owned());
    }
    if positive(t.speed.as_ref(), Dimension::RotationalSpeed).is_some_and(|s| s.si < slow) {
        return Some("the starter turned too slowly".to_owned());
    }
    let few = out.table.value("cranking.strokes_least");
    t.strokes.filter(|n| f64::from(*n) < few).map(|_| "there were too few strokes".to_owned())
}

fn spreads(out: &mut Writer<'_>, read: &[Read<'_>], gauge: Gauge<'_>, mean: f64, low_says_little: Option<&str>) {
    let by = |a: &&Read<'_>, b: &&Read<'_>| a.own.value.total_cmp(&b.own.value);
    let (Some(lowest), Some(highest)) = (read.iter().min_by(by), read.iter().max_by(by)) else {
        return;
    };
    let p = Dimension::Pressure;
    let (low, high) = (gauge.whole(lowest.stated), gauge.whole(highest.stated));
    out.figure("lowest", "lowest", p, low.value, Some(low.u), &format!("cylinder {}", lowest.cylinder));
    let hold = low_says_little.map(|why| Hold { inside: false, outside: true, why });
    out.limits("lowest", "", low, hold);
    if read.len() < 2 {
        return;
    }
    out.figure("highest", "highest", p, high.value, Some(high.u), &format!("cylinder {}", highest.cylinder));
    let n = read.len() as f64;
    let u = read.iter().map(|r| r.own.u * r.own.u).sum::<f64>().sqrt() / n;
    let whole = gauge.with_scale(Est { value: mean, u }, highest.stated);
    out.figure("mean", "mean", p, whole.value, Some(whole.u), "");
    let share = lowest.own.over(highest.own);
    let note = format!("cylinders {} and {}", lowest.cylinder, highest.cylinder);
    out.figure("lowest_share", "lowest ÷ highest", Dimension::Fraction, share.value, Some(share.u), &note);
    out.limits("lowest_share", "", share, None);
    // The lowest is part of the mean: mean = own/n + rest/n, so its own doubt counts with (1 − q/n).
    let q = lowest.own.value / mean;
    let rest = read.iter().filter(|r| r.cylinder != lowest.cylinder).map(|r| r.own.u * r.own.u).sum::<f64>().sqrt();
    let u = (lowest.own.u * (1.0 - q / n)).hypot(q * rest / n) / mean;
    let of_mean = Est { value: q, u };
    out.figure("lowest_of_mean", "lowest against the mean", Dimension::Fraction, q, Some(u), &note_of(lowest));
    out.limits("lowest_of_mean", "", of_mean, None);
    let spread = highest.own.minus(lowest.own);
    out.figure("spread", "highest less lowest", p, spread.value, Some(spread.u), "");
}

fn note_of(read: &Read<'_>) -> String {
    format!("cylinder {}", read.cylinder)
}

/// Where the middle of the readings lies against the expected band.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Against {
    Below,
    Within,
    Above,
    NotKnown,
}

fn local_pa(out: &Writer<'_>, t: &Cranking) -> Option<f64> {
    if let Some(s) = positive(t.station_pressure.as_ref(), Dimension::Pressure) {
        return Some(s.si);
    }
    let height = maybe(t.altitude.as_ref(), Dimension::Length)?;
    Some(super::judge_running::standard_pressure(out.table, height.si))
}

fn expectation(
    out: &mut Writer<'_>,
    t: &Cranking,
    read: &[Read<'_>],
    gauge: Gauge<'_>,
    expected: Option<&ExpectedFromBuild>,
    low_says_little: Option<&str>,
) -> Against {
    let Some(expected) = expected else {
        return Against::NotKnown;
    };
    let Some(band) = &expected.cranking else {
        out.warn(
            WarningKind::NotNoted,
            format!("No cranking pressure to expect from the build: {}.", expected.cranking_lacks),
        );
        return Against::NotKnown;
    };
    let local = local_pa(out, t);
    if local.is_none() && !band.local_stated {
        let words = format!(
            "Barometer and height not noted: the expected pressure stands on {}.",
            show(Dimension::Pressure, band.local_pa, None)
        );
        out.warn(WarningKind::NotNoted, words);
    }
    let (low, high) = band.at(local.unwrap_or(band.local_pa));
    let note = format!(
        "ratio {:.2} from intake closing {:.0}° after bottom at {}; exponent 1.2 to 1.3, 0 to 5 % leakage",
        band.closing_ratio, band.closing_after_bdc_deg, band.check_lift
    );
    out.figure("expected_low", "expected, from", Dimension::Pressure, low, None, &note);
    out.figure("expected_high", "expected, to", Dimension::Pressure, high, None, &note);
    if read.is_empty() {
        return Against::NotKnown;
    }
    let values: Vec<f64> = read.iter().map(|r| r.own.value).collect();
    let u = read.iter().map(|r| r.own.u).fold(0.0, f64::max);
    let middle = Est { value: median(&values), u };
    let middle = gauge.with_scale(middle, read[0].stated);
    out.figure("median", "middle reading", Dimension::Pressure, middle.value, Some(middle.u), "");
    let source = SourceTag {
        tag: "build".to_owned(),
        standing: Sourced::Computed,
        what: format!("from the description of the engine; {note}"),
    };
    let words = format!("the build leads to expect {}", between(low, high));
    let limits = Limits::between(low, high);
    // A shut throttle makes a number low; a high one stays high.
    let is_low = middle.value < low;
    let hold = low_says_little.filter(|_| is_low).map(|why| Hold { inside: false, outside: true, why });
    let line = Line { figure: "median", place: "", value: middle, limits, hold };
    out.line(line, Dimension::Pressure, &words, &source, false);
    match verdict(middle.value, middle.u, limits) {
        Verdict::Inside => Against::Within,
        Verdict::CannotTell => Against::NotKnown,
        Verdict::Outside if is_low && low_says_little.is_some() => Against::NotKnown,
        Verdict::Outside if is_low => Against::Below,
        Verdict::Outside => Against::Above,
    }
}

fn between(low: f64, high: f64) -> String {
    format!("{} to {}", show(Dimension::Pressure, low, None), show(Dimension::Pressure, high, None))
}

fn warnings(
    out: &mut Writer<'_>,
    t: &Cranking,
    read: &[Read<'_>],
    gauge: Gauge<'_>,
    expected: Option<&ExpectedFromBuild>,
) {
    use WarningKind::{HowItWasDone, NotNoted};
    out.not_noted(&[
        ("warm or cold", t.warm.is_some()),
        ("throttle", t.throttle_open.is_some()),
        ("plugs out", t.plugs_out.is_some()),
        ("ignition and injectors", t.ignition_and_injectors_off.is_some()),
        ("strokes", t.strokes.is_some() || t.cylinders.iter().all(|x| x.strokes.is_some())),
        ("cranking speed", t.speed.is_some()),
        ("oil temperature", t.oil_temperature.is_some()),
        ("barometer or height", t.station_pressure.is_some() || t.altitude.is_some()),
    ]);
    if t.warm == Some(false) {
        out.warn(HowItWasDone, "Tested cold: clearances and ring gaps are not at size. Repeat warm before judging.");
    }
    if t.throttle_open == Some(false) {
        let span = format!(
            "{} to {}",
            show(Dimension::Pressure, out.table.value("cranking.throttle_low"), None),
            show(Dimension::Pressure, out.table.value("cranking.throttle_high"), None)
        );
        out.warn(
            HowItWasDone,
            format!("Throttle shut: it reads {span} low (from memory). Repeat with the throttle wide open."),
        );
    }
    if t.plugs_out == Some(false) {
        out.warn(HowItWasDone, "Plugs left in: the starter turns slower and unevenly. Repeat with all plugs out.");
    }
    if t.ignition_and_injectors_off == Some(false) {
        out.warn(HowItWasDone, "Ignition or injectors on: fuel washes the bores and may light. Switch both off.");
    }
    let least = out.table.value("cranking.speed_least");
    if let Some(speed) = positive(t.speed.as_ref(), Dimension::RotationalSpeed).filter(|s| s.si < least) {
        let words = format!(
            "Cranked at {}; at least {} is wanted (from memory). Charge the battery and repeat.",
            speed.text,
            show(Dimension::RotationalSpeed, least, None)
        );
        out.warn(HowItWasDone, words);
    }
    let few = out.table.value("cranking.strokes_least");
    let strokes: Vec<u32> = t.cylinders.iter().filter_map(|x| x.strokes.or(t.strokes)).collect();
    if strokes.iter().any(|n| f64::from(*n) < few) {
        out.warn(HowItWasDone, format!("Fewer than {few:.0} strokes: the gauge has not filled. Repeat with 4 or 5."));
    }
    if strokes.iter().min() != strokes.iter().max() {
        out.warn(HowItWasDone, "Not the same number of strokes at each cylinder: the readings do not compare.");
    }
    if !gauge.known() && !read.is_empty() && read.iter().any(|r| r.stated.u_si.is_none()) {
        let words = format!(
            "The gauge's uncertainty is not stated: ± {} of the reading is assumed.",
            show(Dimension::Fraction, 2.0 * gauge.usual_share, None)
        );
        out.warn(NotNoted, words);
    }
    if let Some(cylinders) = expected.and_then(|e| e.cylinders) {
        let missing: Vec<u32> = (1..=cylinders.min(64)).filter(|n| !read.iter().any(|r| r.cylinder == *n)).collect();
        if !missing.is_empty() {
            let word = if missing.len() == 1 { "cylinder" } else { "cylinders" };
            out.warn(NotNoted, format!("No reading of {word} {}.", list(&missing)));
        }
        let over: Vec<u32> = read.iter().map(|r| r.cylinder).filter(|n| *n > cylinders).collect();
        if !over.is_empty() {
            let words = format!("Cylinder {} is written; the build has {cylinders} cylinders.", list(&over));
            out.warn(WarningKind::NotPossible, words);
        }
    }
}

//! Cooling system under pressure, and the test for combustion gas.

use super::check::{not_negative, positive};
use super::judged::WarningKind;
use super::numbers::{Est, Gauge, show};
use super::patterns::Sign;
use super::writer::{Hold, Writer};
use super::{Cell, CoolingPressure, GasTest};
use quantity::Dimension;

pub(super) fn cooling(out: &mut Writer<'_>, t: &CoolingPressure) {
    use WarningKind::HowItWasDone;
    let gauge = Gauge::new(out.table, t.instrument.as_ref(), "cooling_pressure.repeat");
    out.not_noted(&[
        ("pressure at the start", t.start.is_some()),
        ("pressure at the end", t.end.is_some()),
        ("time", t.time.is_some()),
        ("combustion gas", t.gas.is_some()),
    ]);
    let cells = vec![
        Cell::read("start", t.start.as_ref()),
        Cell::read("end", t.end.as_ref()),
        Cell::read("time", t.time.as_ref()),
    ];
    out.row("pressure", cells);
    let gas = match t.gas {
        None => "–",
        Some(GasTest::NoChange) => "no change of colour",
        Some(GasTest::Changed) => "colour changed",
    };
    out.row("combustion gas", vec![Cell::words("test", gas)]);
    if !t.leak_seen.is_empty() {
        out.row("water seen", vec![Cell::words("where", &t.leak_seen)]);
    }
    let start = positive(t.start.as_ref(), Dimension::Pressure);
    let end = not_negative(t.end.as_ref(), Dimension::Pressure);
    if let (Some(start), Some(end)) = (start, end) {
        // One gauge: its scale cancels in the difference, its repeat does not.
        let drop: Est = gauge.own(start).minus(gauge.own(end));
        let note = t.time.as_ref().map_or(String::new(), |s| format!("in {}", s.text));
        out.figure("drop", "drop", Dimension::Pressure, drop.value, Some(drop.u), &note);
        let (least, long) = (out.table.value("cooling_pressure.least"), out.table.value("cooling_pressure.time"));
        let low = start.si < least * (1.0 - 0.02);
        let short = positive(t.time.as_ref(), Dimension::Time).is_none_or(|s| s.si < long);
        let why = if low { "the pressure was less than the test asks for" } else { "it was not held long enough" };
        if low || short {
            let words = format!(
                "The test asks for {} over {}; a drop counts, that it held does not.",
                show(Dimension::Pressure, least, None),
                minutes(long)
            );
            out.warn(HowItWasDone, words);
        }
        let hold = (low || short).then_some(Hold { inside: true, outside: false, why });
        out.limits("drop", "", drop, hold);
        if drop.clearly_above(0.0) {
            out.sign(Sign::CoolingFalls, &[], &format!("{} at the start, {} at the end", start.text, end.text));
        }
    }
    if t.gas == Some(GasTest::Changed) {
        out.sign(Sign::CoolingGas, &[], "the fluid changed colour");
    }
}

fn minutes(seconds: f64) -> String {
    format!("{:.0} min", seconds / 60.0)
}

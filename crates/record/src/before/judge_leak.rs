//! Leak-down: percent lost, where the air goes, and the form of aircraft engines.

use super::check::{not_negative, once, positive, share};
use super::judged::WarningKind;
use super::kinds_pressure::{AirAt, LeakDown, LeakDownAircraft, LeakReading, Tdc};
use super::numbers::{Est, Gauge, and, median, show};
use super::patterns::Sign;
use super::table::Table;
use super::writer::{Hold, Writer, capital};
use super::{Cell, ExpectedFromBuild, LeakCylinder};
use quantity::Dimension;

/// Share lost, with its uncertainty, where the reading can be.
pub(super) fn lost(table: &Table, gauge: Gauge<'_>, reading: &LeakReading) -> Option<Est> {
    // A percent scale repeats to a number of points, not to a share of what it shows.
    let point = |stated: &crate::Stated| match stated.u_si {
        Some(u) => u,
        None => {
            let of_gauge = gauge.instrument.and_then(|i| i.u_si).unwrap_or(0.0);
            stated.u_or_step().hypot(table.value("leak_down.repeat")).hypot(of_gauge)
        }
    };
    match reading {
        LeakReading::Lost(s) => share(s).map(|s| Est { value: s.si, u: point(s) }),
        LeakReading::Held(s) => share(s).map(|s| Est { value: 1.0 - s.si, u: point(s) }),
        LeakReading::Gauges { supply, cylinder } => {
            let supply = positive(Some(supply), Dimension::Pressure)?;
            let cylinder = not_negative(Some(cylinder), Dimension::Pressure)?;
            if cylinder.si > supply.si {
                return None;
            }
            // Two gauges: what their scales are off by does not cancel.
            let held = gauge.whole(cylinder).over(gauge.whole(supply));
            Some(Est { value: 1.0 - held.value, u: held.u })
        }
    }
}

fn reading_text(reading: &LeakReading) -> String {
    match reading {
        LeakReading::Lost(s) => format!("{} lost", s.text),
        LeakReading::Held(s) => format!("{} held", s.text),
        LeakReading::Gauges { supply, cylinder } => format!("{} of {}", cylinder.text, supply.text),
    }
}

pub(super) fn judge(out: &mut Writer<'_>, t: &LeakDown, expected: Option<&ExpectedFromBuild>) {
    use WarningKind::{HowItWasDone, LooksLikeASlip};
    let gauge = Gauge::new(out.table, t.instrument.as_ref(), "leak_down.gauge_repeat");
    out.not_noted(&[
        (
            "supply pressure",
            t.supply.is_some() || t.cylinders.iter().any(|x| matches!(x.reading, Some(LeakReading::Gauges { .. }))),
        ),
        ("orifice", t.orifice.is_some()),
        ("hot or cold", t.hot.is_some()),
        ("which top dead centre", t.tdc.is_some_and(|tdc| tdc != Tdc::NotChecked)),
        ("crank locked", t.crank_locked.is_some()),
    ]);
    if t.hot == Some(false) {
        out.warn(HowItWasDone, "Tested cold: rings and pistons leak more than hot. Repeat hot before judging.");
    }
    if t.crank_locked == Some(false) {
        out.warn(
            HowItWasDone,
            "Crank not locked: the air turns it off top dead centre, and it may swing a bar. Lock it.",
        );
    }
    if t.orifice.is_none() {
        out.warn(HowItWasDone, "Testers with another orifice show another percentage: compare with this tester only.");
    }
    let overlap = t.tdc == Some(Tdc::Overlap);
    if overlap {
        out.warn(
            HowItWasDone,
            "Piston at overlap: both valves are off their seats. These figures say nothing; repeat at firing.",
        );
    }
    let rows = once(&t.cylinders, |x| x.cylinder);
    let read: Vec<(&LeakCylinder, Est)> =
        rows.iter().filter_map(|row| Some((*row, lost(out.table, gauge, row.reading.as_ref()?)?))).collect();
    for x in &t.cylinders {
        let found = read.iter().find(|(row, _)| std::ptr::eq(*row, x)).map(|(_, est)| *est);
        let mut cells = vec![Cell::words("reading", &x.reading.as_ref().map_or("–".to_owned(), reading_text))];
        if let Some(est) = found {
            let mut cell = Cell::number("lost", Dimension::Fraction, est.value);
            cell.text = show(Dimension::Fraction, est.value, Some(est.u));
            cells.push(cell);
            let bands = out.table.bands("leak_down", "lost", est.value - 2.0 * est.u, est.value + 2.0 * est.u);
            let words: Vec<&str> = bands.iter().map(|b| b.words.as_str()).collect();
            if !overlap && !words.is_empty() {
                cells.push(Cell::words("band", &words.join(" or ")));
            }
        }
        cells.push(Cell::words("air", &air_words(&x.air_at, x.heard_in_cylinder)));
        if !x.remark.is_empty() {
            cells.push(Cell::words("remark", &x.remark));
        }
        out.row(format!("cylinder {}", x.cylinder), cells);
    }
    slips(out, &read);
    let hold = overlap.then_some(Hold { inside: true, outside: true, why: "the piston stood at overlap" });
    for (row, est) in &read {
        let place = format!("cylinder {}", row.cylinder);
        out.limits("lost", &place, *est, hold);
    }
    figures(out, &read, hold);
    if overlap {
        return;
    }
    let least = out.table.value("leak_down.worth_a_look");
    let mut unheard = Vec::new();
    for (row, est) in &read {
        let air = AirOf { cylinder: row.cylinder, at: &row.air_at, heard_in: row.heard_in_cylinder };
        let because = format!(
            "cylinder {}: {} lost, air: {}",
            row.cylinder,
            show(Dimension::Fraction, est.value, Some(est.u)),
            air_words(&row.air_at, row.heard_in_cylinder)
        );
        if est.value >= least {
            air_signs(out, &air, &because, expected);
            if row.air_at.is_empty() {
                unheard.push(row.cylinder);
            }
        }
        if row.air_at.contains(&AirAt::Throttle) && row.air_at.contains(&AirAt::Exhaust) {
            let words = format!(
                "Cylinder {}: air at throttle and exhaust at once. Look whether the piston stood at overlap.",
                row.cylinder
            );
            out.warn(LooksLikeASlip, words);
        }
    }
    if !unheard.is_empty() {
        let words = format!("Nobody listened where the air of cylinder {} goes.", super::numbers::list(&unheard));
        out.warn(WarningKind::NotNoted, words);
    }
}

/// A scale read the wrong way round.
fn slips(out: &mut Writer<'_>, read: &[(&LeakCylinder, Est)]) {
    let as_lost: Vec<f64> =
        read.iter().filter(|(r, _)| matches!(r.reading, Some(LeakReading::Lost(_)))).map(|(_, e)| e.value).collect();
    if as_lost.len() >= 2 && median(&as_lost) >= out.table.value("leak_down.looks_held") {
        let words = format!(
            "Most cylinders show {} lost or more. Look whether the scale shows percent held.",
            show(Dimension::Fraction, out.table.value("leak_down.looks_held"), None)
        );
        out.warn(WarningKind::LooksLikeASlip, words);
    }
    let as_held: Vec<f64> =
        read.iter().filter(|(r, _)| matches!(r.reading, Some(LeakReading::Held(_)))).map(|(_, e)| e.value).collect();
    if as_held.len() >= 2 && median(&as_held) >= out.table.value("leak_down.looks_held") {
        out.warn(
            WarningKind::LooksLikeASlip,
            "Most cylinders hold very little. Look whether the scale shows percent lost.",
        );
    }
}

fn figures(out: &mut Writer<'_>, read: &[(&LeakCylinder, Est)], hold: Option<Hold<'_>>) {
    let by = |a: &&(&LeakCylinder, Est), b: &&(&LeakCylinder, Est)| a.1.value.total_cmp(&b.1.value);
    let (Some(best), Some(worst)) = (read.iter().min_by(by), read.iter().max_by(by)) else {
        return;
    };
    let f = Dimension::Fraction;
    let note = |row: &LeakCylinder| format!("cylinder {}", row.cylinder);
    out.figure("most_lost", "most lost", f, worst.1.value, Some(worst.1.u), &note(worst.0));
    if read.len() < 2 {
        return;
    }
    out.figure("least_lost", "least lost", f, best.1.value, Some(best.1.u), &note(best.0));
    let mean = read.iter().map(|r| r.1.value).sum::<f64>() / read.len() as f64;
    let u = read.iter().map(|r| r.1.u * r.1.u).sum::<f64>().sqrt() / read.len() as f64;
    out.figure("mean_lost", "mean lost", f, mean, Some(u), "");
    let spread = worst.1.minus(best.1);
    out.figure(
        "spread",
        "spread, points",
        f,
        spread.value,
        Some(spread.u),
        "most less least lost, in points of percent",
    );
    out.limits("spread", "", spread, hold);
}

/// The air of one cylinder.
pub(super) struct AirOf<'a> {
    cylinder: u32,
    at: &'a [AirAt],
    heard_in: Option<u32>,
}

fn air_words(at: &[AirAt], heard_in: Option<u32>) -> String {
    if at.is_empty() {
        return "not listened".to_owned();
    }
    let words: Vec<String> = at
        .iter()
        .map(|at| match (at, heard_in) {
            (AirAt::NextPlugHole, Some(n)) => format!("plug hole of cylinder {n}"),
            _ => at.name().to_owned(),
        })
        .collect();
    and(&words)
}

fn air_signs(out: &mut Writer<'_>, air: &AirOf<'_>, because: &str, expected: Option<&ExpectedFromBuild>) {
    for at in air.at {
        let (sign, cylinders) = match at {
            AirAt::Throttle => (Sign::AirThrottle, vec![air.cylinder]),
            AirAt::Exhaust => (Sign::AirExhaust, vec![air.cylinder]),
            AirAt::Filler => (Sign::AirFiller, vec![air.cylinder]),
            AirAt::Radiator => (Sign::AirRadiator, vec![air.cylinder]),
            AirAt::NextPlugHole => match air.heard_in {
                Some(other) => {
                    if expected.and_then(|e| e.neighbours(air.cylinder, other)) == Some(false) {
                        let words = format!(
                            "Cylinders {} and {other} are no neighbours in the build. Look whether the number is right.",
                            air.cylinder
                        );
                        out.warn(WarningKind::LooksLikeASlip, words);
                    }
                    (Sign::AirNextHole, vec![air.cylinder.min(other), air.cylinder.max(other)])
                }
                None => {
                    let words = format!("Cylinder {}: air at a plug hole, and it is not noted at which.", air.cylinder);
                    out.warn(WarningKind::NotNoted, words);
                    continue;
                }
            },
            AirAt::Nowhere => continue,
        };
        out.sign(sign, &cylinders, because);
    }
}

pub(super) fn judge_aircraft(out: &mut Writer<'_>, t: &LeakDownAircraft, expected: Option<&ExpectedFromBuild>) {
    use WarningKind::{HowItWasDone, NotNoted};
    let gauge = Gauge::new(out.table, t.instrument.as_ref(), "leak_down.gauge_repeat");
    out.not_noted(&[
        ("supply pressure", t.supply.is_some()),
        ("orifice", t.orifice.is_some()),
        ("hot or cold", t.hot.is_some()),
        ("which top dead centre", t.tdc.is_some_and(|tdc| tdc != Tdc::NotChecked)),
    ]);
    let wanted = out.table.value("leak_down_aircraft.supply");
    let supply = positive(t.supply.as_ref(), Dimension::Pressure);
    // The rule is a pair of readings, not a percentage: at another supply it does not hold.
    let off_supply =
        supply.is_none_or(|s| (s.si / wanted - 1.0).abs() > out.table.value("leak_down_aircraft.supply_within"));
    let overlap = t.tdc == Some(Tdc::Overlap);
    let bore_m = positive(t.bore.as_ref(), Dimension::Length).map(|s| s.si).or(expected.and_then(|e| e.bore_m));
    let large = out.table.value("leak_down_aircraft.large_bore");
    let orifice = positive(t.orifice.as_ref(), Dimension::Length);
    let mut wrong_orifice = false;
    match (bore_m, orifice) {
        (Some(bore_m), Some(orifice)) => {
            let key =
                if bore_m < large { "leak_down_aircraft.orifice_small" } else { "leak_down_aircraft.orifice_large" };
            let due = out.table.value(key);
            // Half a drill size: 0.0005 in.
            wrong_orifice = (orifice.si - due).abs() > 0.0005 * 0.0254;
            if wrong_orifice {
                let words = format!(
                    "Orifice {}; the form asks for {} with this bore. The figures do not compare with its limit.",
                    orifice.text,
                    show(Dimension::Length, due, None)
                );
                out.warn(HowItWasDone, words);
            }
        }
        (None, _) => out.warn(NotNoted, "Bore not known: it decides which orifice the form asks for."),
        (Some(_), None) => {}
    }
    let why = if overlap {
        "the piston stood at overlap"
    } else if supply.is_none() {
        "the supply pressure is not noted"
    } else if off_supply {
        "the supply is not 80 psi"
    } else if wrong_orifice {
        "the orifice is not that of the form"
    } else {
        "it was not tested hot"
    };
    let useless = overlap || off_supply || wrong_orifice;
    let cold = t.hot != Some(true);
    // Cold, a cylinder leaks more: what holds cold holds hot.
    let hold = (useless || cold).then_some(Hold { inside: useless, outside: true, why });
    if useless {
        out.warn(HowItWasDone, format!("Not judged by the form: {why}."));
    }
    for row in once(&t.cylinders, |x| x.cylinder) {
        let place = format!("cylinder {}", row.cylinder);
        let mut cells = vec![Cell::read("held", row.held.as_ref())];
        let held = not_negative(row.held.as_ref(), Dimension::Pressure);
        if let (Some(held), Some(supply)) = (held, supply) {
            cells.push(Cell::number("of the supply", Dimension::Fraction, held.si / supply.si));
        }
        cells.push(Cell::words("air", &air_words(&row.air_at, row.heard_in_cylinder)));
        out.row(place.clone(), cells);
        let Some(held) = held else { continue };
        let est = gauge.whole(held);
        out.limits("held", &place, est, hold);
        let least = out.table.value("leak_down_aircraft.worth_a_look");
        if !useless && est.value < least {
            let because = format!(
                "{}: {} held, air: {}",
                capital(&place),
                held.text,
                air_words(&row.air_at, row.heard_in_cylinder)
            );
            let air = AirOf { cylinder: row.cylinder, at: &row.air_at, heard_in: row.heard_in_cylinder };
            air_signs(out, &air, &because, expected);
        }
    }
}

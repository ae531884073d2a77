//! Tests on the running engine: oil pressure, vacuum, blow-by, cylinder balance.

use super::check::{not_negative, once, positive};
use super::judged::WarningKind;
use super::numbers::{Est, Gauge, maybe, show};
use super::patterns::Sign;
use super::table::Table;
use super::writer::{Hold, Writer};
use super::{
    BlowBy, Cell, CylinderBalance, ExpectedFromBuild, OilPressure, RingPack, Vacuum, VacuumNeedle, VacuumPort,
};
use crate::Stated;
use quantity::{Dimension, formula};

/// 1,000 rpm in rad/s.
fn thousand_rpm() -> f64 {
    1000.0 * std::f64::consts::PI / 30.0
}

/// Pressure at a height by the rule of the trade: it falls by a fixed amount for each step of height.
pub(super) fn standard_pressure(table: &Table, height_m: f64) -> f64 {
    const SEA_LEVEL_PA: f64 = 101_325.0;
    SEA_LEVEL_PA - height_m / table.value("air.fall_height") * table.value("air.fall")
}

fn gauge_not_stated(out: &mut Writer<'_>, gauge: Gauge<'_>, stated: &[&Stated]) {
    if !gauge.known() && stated.iter().any(|s| s.u_si.is_none()) {
        let words = format!(
            "The gauge's uncertainty is not stated: ± {} of the reading is assumed.",
            show(Dimension::Fraction, 2.0 * gauge.usual_share, None)
        );
        out.warn(WarningKind::NotNoted, words);
    }
}

pub(super) fn oil_pressure(out: &mut Writer<'_>, t: &OilPressure) {
    use WarningKind::HowItWasDone;
    let gauge = Gauge::new(out.table, t.instrument.as_ref(), "oil_pressure.repeat");
    let hot_k = out.table.value("oil_pressure.hot");
    let oil = positive(t.oil_temperature.as_ref(), Dimension::Temperature);
    out.not_noted(&[
        ("oil temperature", oil.is_some()),
        ("grade of the oil", !t.grade.trim().is_empty()),
        ("mechanical gauge", t.mechanical_gauge.is_some()),
        ("idle", t.points.iter().any(|p| p.idle)),
    ]);
    let cold = oil.is_none_or(|s| s.si < hot_k);
    if let Some(oil) = oil.filter(|s| s.si < hot_k) {
        let words = format!(
            "Oil at {}, hot means at least {}: thick oil flatters the pressure. What is low now is lower hot.",
            oil.text,
            show(Dimension::Temperature, hot_k, None)
        );
        out.warn(HowItWasDone, words);
    }
    if t.mechanical_gauge == Some(false) {
        out.warn(HowItWasDone, "Read on the gauge in the dash. Fit a mechanical gauge before judging.");
    }
    // Cold oil can only flatter: what is below stays below.
    let hold = cold.then_some(Hold { inside: true, outside: false, why: "the oil was not hot" });
    let mut points: Vec<(f64, &Stated, bool)> = Vec::new();
    for p in &t.points {
        let speed = positive(Some(&p.speed), Dimension::RotationalSpeed);
        let pressure = not_negative(Some(&p.pressure), Dimension::Pressure);
        let mut cells = vec![Cell::read("pressure", Some(&p.pressure))];
        if let (Some(speed), Some(pressure)) = (speed, pressure) {
            points.push((speed.si, pressure, p.idle));
            if !p.idle {
                let per = pressure.si / (speed.si / thousand_rpm());
                cells.push(Cell::number("per 1,000 rpm", Dimension::Pressure, per));
            }
        }
        let place = if p.idle { format!("idle, {}", p.speed.text) } else { p.speed.text.clone() };
        out.row(place, cells);
    }
    gauge_not_stated(out, gauge, &points.iter().map(|p| p.1).collect::<Vec<_>>());
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut per_thousand: Vec<(f64, Est)> = Vec::new();
    for (speed, pressure, idle) in &points {
        let est = gauge.whole(pressure);
        let rpm = formula::rpm_from_rad_s(*speed);
        let place = show(Dimension::RotationalSpeed, *speed, None);
        if *idle {
            out.limits("idle", &format!("idle, {place}"), est, hold);
        } else {
            let per = Est { value: est.value * 1000.0 / rpm, u: est.u * 1000.0 / rpm };
            out.limits("per_1000_rpm", &place, per, hold);
            per_thousand.push((*speed, per));
        }
        out.limits("any", &place, est, None);
    }
    if let Some(least) = per_thousand.iter().min_by(|a, b| a.1.value.total_cmp(&b.1.value)) {
        let note = format!("at {}", show(Dimension::RotationalSpeed, least.0, None));
        out.figure(
            "least_per_1000_rpm",
            "least per 1,000 rpm",
            Dimension::Pressure,
            least.1.value,
            Some(least.1.u),
            &note,
        );
    }
    oil_patterns(out, &points, &per_thousand, gauge);
}

fn oil_patterns(out: &mut Writer<'_>, points: &[(f64, &Stated, bool)], per_thousand: &[(f64, Est)], gauge: Gauge<'_>) {
    let rule = out.table.value("oil_pressure.per_1000_rpm");
    let below = per_thousand.iter().filter(|p| p.1.clearly_below(rule)).count();
    if below > 0 && below == per_thousand.len() {
        out.sign(Sign::OilLowEverywhere, &[], "below the rule at every speed read");
    }
    // One gauge reads all points: what its scale is off by cancels.
    let falls = points.windows(2).find(|w| gauge.own(w[1].1).minus(gauge.own(w[0].1)).clearly_below(0.0));
    if let Some(w) = falls {
        let because = format!(
            "{} at {}, {} at {}",
            w[0].1.text,
            show(Dimension::RotationalSpeed, w[0].0, None),
            w[1].1.text,
            show(Dimension::RotationalSpeed, w[1].0, None)
        );
        out.sign(Sign::OilWorseWithSpeed, &[], &because);
    } else if let (Some(first), Some(last)) = (per_thousand.first(), per_thousand.last())
        && per_thousand.len() > 1
        && last.1.clearly_below(rule)
        && first.1.clearly_above(rule)
    {
        out.sign(Sign::OilWorseWithSpeed, &[], "enough at low speed, below the rule at high speed");
    }
}

pub(super) fn vacuum(out: &mut Writer<'_>, t: &Vacuum, expected: Option<&ExpectedFromBuild>) {
    use WarningKind::HowItWasDone;
    let gauge = Gauge::new(out.table, t.instrument.as_ref(), "vacuum.repeat");
    out.not_noted(&[
        ("what the needle did", t.needle.is_some()),
        ("port", t.port.is_some()),
        ("warm or cold", t.warm.is_some()),
        ("idle speed", t.idle_speed.is_some()),
        ("barometer or height", t.station_pressure.is_some() || t.altitude.is_some()),
    ]);
    let bad_port = match t.port {
        Some(VacuumPort::OnePlane) => Some("it was read in one plane of a split plenum"),
        Some(VacuumPort::Ported) => Some("it was read above the throttle"),
        Some(VacuumPort::Manifold) | None => None,
    };
    if let Some(why) = bad_port {
        out.warn(HowItWasDone, format!("Not a true manifold port: {why}. Repeat where all runners join."));
    }
    if t.warm == Some(false) {
        out.warn(HowItWasDone, "Read cold: idle and spark are not as they will be. Repeat warm.");
    }
    let mut cells = vec![Cell::read("idle", t.idle.as_ref())];
    if let Some(flick) = &t.flick {
        cells.push(Cell::read("flick", Some(flick)));
    }
    out.row("idle", cells);
    if t.held_first.is_some() || t.held_later.is_some() {
        let place = t.held_speed.as_ref().map_or("held".to_owned(), |s| format!("held at {}", s.text));
        let cells =
            vec![Cell::read("reached", t.held_first.as_ref()), Cell::read("after holding", t.held_later.as_ref())];
        out.row(place, cells);
    }
    let overlap = expected.and_then(|e| e.overlap_deg);
    let long = t.long_overlap.or(overlap.map(|o| o >= out.table.value("vacuum.long_overlap").to_degrees()));
    let idle = vac(t.idle.as_ref());
    let mut low_for_stock = false;
    if let Some(idle) = idle {
        gauge_not_stated(out, gauge, &[idle]);
        let here = gauge.whole(idle);
        out.figure("idle", "idle", Dimension::Pressure, here.value, Some(here.u), "");
        let local = positive(t.station_pressure.as_ref(), Dimension::Pressure).map(|s| s.si);
        let height = maybe(t.altitude.as_ref(), Dimension::Length).map(|s| s.si);
        let local = local.or(height.map(|h| standard_pressure(out.table, h)));
        // Thin air leaves less to draw: the reading as it would be at sea level is deeper by what the barometer lacks.
        let lacks = local.map_or(0.0, |p| standard_pressure(out.table, 0.0) - p);
        let at_sea = Est { value: here.value - lacks, u: here.u };
        let depth = Est { value: -at_sea.value, u: at_sea.u };
        if local.is_some() {
            let note = format!("{} added for the thinner air", show(Dimension::Pressure, lacks, None));
            out.figure(
                "idle_at_sea_level",
                "idle, as at sea level",
                Dimension::Pressure,
                at_sea.value,
                Some(at_sea.u),
                &note,
            );
        }
        // Without the height a low reading may be thin air.
        let no_height = Hold { inside: false, outside: true, why: "neither barometer nor height is noted" };
        let hold = match bad_port {
            Some(why) => Some(Hold { inside: true, outside: true, why }),
            None => local.is_none().then_some(no_height),
        };
        let figure = if long == Some(true) { "depth_long_overlap" } else { "depth" };
        out.limits(figure, "", depth, hold);
        low_for_stock = depth.clearly_below(out.table.value("vacuum.stock_least"));
    }
    if bad_port.is_some() {
        return;
    }
    let said = |s: &Option<Stated>| s.as_ref().map_or(String::new(), |s| s.text.clone());
    let wavers = matches!(t.needle, Some(VacuumNeedle::Wavering | VacuumNeedle::Drift));
    if long == Some(true) && (low_for_stock || wavers) {
        let because = match overlap {
            Some(o) => format!("{} at idle, overlap {o:.0}°", said(&t.idle)),
            None => format!("{} at idle, long overlap noted", said(&t.idle)),
        };
        out.sign(Sign::VacuumLongOverlap, &[], &because);
    } else if low_for_stock && matches!(t.needle, Some(VacuumNeedle::Steady)) {
        out.sign(Sign::VacuumSteadyLow, &[], &format!("steady at {}", said(&t.idle)));
    } else if t.needle == Some(VacuumNeedle::Drift) {
        out.sign(Sign::VacuumDrift, &[], "the needle drifts");
    }
    match t.needle {
        Some(VacuumNeedle::RegularFlick) => {
            let by = if t.flick.is_some() { format!(" by {}", said(&t.flick)) } else { String::new() };
            out.sign(Sign::VacuumFlick, &[], &format!("regular flick{by}"));
        }
        Some(VacuumNeedle::FastFlutter) => out.sign(Sign::VacuumFlutter, &[], "fast flutter that grows with speed"),
        _ => {}
    }
    if let (Some(first), Some(later)) = (vac(t.held_first.as_ref()), vac(t.held_later.as_ref())) {
        // Both count below zero: a sag brings the reading up towards zero.
        let sag = gauge.own(later).minus(gauge.own(first));
        if sag.clearly_above(0.0) {
            out.sign(Sign::VacuumSag, &[], &format!("{} when reached, {} after holding", first.text, later.text));
        }
    }
}

/// A vacuum counts below zero.
fn vac(stated: Option<&Stated>) -> Option<&Stated> {
    maybe(stated, Dimension::Pressure).filter(|s| s.si <= 0.0)
}

pub(super) fn blow_by(out: &mut Writer<'_>, t: &BlowBy) {
    let gauge = Gauge::new(out.table, t.instrument.as_ref(), "blow_by.repeat");
    out.not_noted(&[("ring pack", t.rings.is_some()), ("full load", t.full_load.is_some())]);
    if t.full_load == Some(false) {
        out.warn(WarningKind::HowItWasDone, "Not at full load: the limits are for full load.");
    }
    let read: Vec<&Stated> =
        t.pulls.iter().filter_map(|p| not_negative(Some(&p.flow), Dimension::VolumeFlow)).collect();
    for (n, pull) in t.pulls.iter().enumerate() {
        let mut cells = vec![Cell::read("flow", Some(&pull.flow))];
        if pull.speed.is_some() {
            cells.push(Cell::read("speed", pull.speed.as_ref()));
        }
        out.row(format!("pull {}", n + 1), cells);
    }
    gauge_not_stated(out, gauge, &read);
    let Some(most) = read.iter().copied().max_by(|a, b| a.si.total_cmp(&b.si)) else {
        return;
    };
    let est = gauge.whole(most);
    out.figure("most", "most", Dimension::VolumeFlow, est.value, Some(est.u), "");
    let hold = (t.full_load != Some(true)).then_some(Hold {
        inside: true,
        outside: false,
        why: "it was not read at full load",
    });
    match t.rings {
        Some(RingPack::Race) => out.limits("most_race", "", est, hold),
        Some(RingPack::Street) => out.limits("most_street", "", est, hold),
        None => {}
    }
    out.limits("most", "", est, hold);
    let rises = read.windows(2).all(|w| w[1].si > w[0].si);
    if read.len() >= 3 && rises && gauge.own(read[read.len() - 1]).minus(gauge.own(read[0])).clearly_above(0.0) {
        let texts: Vec<&str> = read.iter().map(|s| s.text.as_str()).collect();
        out.sign(Sign::BlowByClimbs, &[], &texts.join(", "));
    }
}

pub(super) fn balance(out: &mut Writer<'_>, t: &CylinderBalance) {
    let gauge = Gauge::new(out.table, t.instrument.as_ref(), "cylinder_balance.repeat");
    out.not_noted(&[("idle speed", t.idle_speed.is_some()), ("idle control", t.idle_control_off.is_some())]);
    if t.idle_control_off == Some(false) {
        out.warn(WarningKind::HowItWasDone, "Idle control on: it fills the drop. Switch it off and repeat.");
    }
    let rows = once(&t.cylinders, |x| x.cylinder);
    let read: Vec<(u32, &Stated)> = rows
        .iter()
        .filter_map(|x| Some((x.cylinder, not_negative(Some(&x.drop), Dimension::RotationalSpeed)?)))
        .collect();
    let small = small_drops(out.table, t);
    let mean = read.iter().map(|r| r.1.si).sum::<f64>() / read.len().max(1) as f64;
    for x in &t.cylinders {
        let mut cells = vec![Cell::read("drop", Some(&x.drop)).out(small.contains(&x.cylinder))];
        if read.iter().any(|r| std::ptr::eq(r.1, &x.drop)) && mean > 0.0 {
            cells.push(Cell::number("against the mean", Dimension::Fraction, x.drop.si / mean - 1.0));
        }
        out.row(format!("cylinder {}", x.cylinder), cells);
    }
    if read.len() < 2 || !(mean > 0.0) {
        return;
    }
    let by = |a: &&(u32, &Stated), b: &&(u32, &Stated)| a.1.si.total_cmp(&b.1.si);
    let (Some(least), Some(most)) = (read.iter().min_by(by), read.iter().max_by(by)) else {
        return;
    };
    let (least_own, most_own) = (gauge.own(least.1), gauge.own(most.1));
    out.figure("mean_drop", "mean drop", Dimension::RotationalSpeed, mean, None, "");
    let spread = most_own.minus(least_own);
    let of_mean = Est { value: spread.value / mean, u: spread.u / mean };
    let note = format!("cylinders {} and {}", most.0, least.0);
    out.figure("spread_of_mean", "spread over the mean", Dimension::Fraction, of_mean.value, Some(of_mean.u), &note);
    out.limits("spread_of_mean", "", of_mean, None);
    for cylinder in small {
        let text = read.iter().find(|r| r.0 == cylinder).map_or("", |r| r.1.text.as_str());
        let because = format!(
            "cylinder {cylinder} drops by {text}, the mean is {}",
            show(Dimension::RotationalSpeed, mean, None)
        );
        out.sign(Sign::BalanceSmallDrop, &[cylinder], &because);
    }
}

/// Cylinders whose drop is clearly below that of the others.
pub(super) fn small_drops(table: &Table, t: &CylinderBalance) -> Vec<u32> {
    let gauge = Gauge::new(table, t.instrument.as_ref(), "cylinder_balance.repeat");
    let rows = once(&t.cylinders, |x| x.cylinder);
    let read: Vec<(u32, Est)> = rows
        .iter()
        .filter_map(|x| Some((x.cylinder, gauge.own(not_negative(Some(&x.drop), Dimension::RotationalSpeed)?))))
        .collect();
    if read.len() < 3 {
        return Vec::new();
    }
    let share = table.value("cylinder_balance.small_share");
    let below = |r: &&(u32, Est)| {
        let others: Vec<f64> = read.iter().filter(|o| o.0 != r.0).map(|o| o.1.value).collect();
        r.1.clearly_below(share * super::numbers::median(&others))
    };
    read.iter().filter(below).map(|r| r.0).collect()
}

//! Lobes and events of a camshaft.
//!
//! Angles are crank angles after the top dead centre of overlap (rad inside); lobe separation is in cam
//! degrees. Dial readings are lobe lift, zero on the base circle. The curve through them is that of
//! [`engine::cam::lift_table`]; events and centrelines read off a degree wheel need no curve.

use super::{Args, FormulaInfo, Item, Outcome, formula, may, needs};
use crate::sheet::uncertain::{Uncertain, propagate};
use engine::cam::lift_table::{Ends, LiftTable, TableFit, fit};
use std::f64::consts::PI;

pub(super) fn list() -> Vec<FormulaInfo> {
    let dial = needs("dial", "dial readings over crank angle, from base circle to base circle");
    let wheel = may("wheel", "standard uncertainty of an angle on the degree wheel");
    let below = needs("below", "how far below greatest lift, on both sides");
    let check = needs("check", "check lift");
    vec![
        formula("lobe_lift", "Greatest lift of the curve through dial readings.", &[dial], false, lobe_lift),
        formula(
            "centreline_after",
            "Middle of equal lift on both sides of the nose, after top dead centre: intake.",
            &[dial, below, wheel],
            false,
            centreline_after,
        ),
        formula(
            "centreline_before",
            "Middle of equal lift on both sides of the nose, before top dead centre: exhaust.",
            &[dial, below, wheel],
            false,
            centreline_before,
        ),
        formula("duration", "Crank angle above a check lift.", &[dial, check, wheel], false, duration),
        formula(
            "closes_after_bottom",
            "Intake closing at a check lift, after bottom dead centre.",
            &[dial, check, wheel],
            false,
            closes_after_bottom,
        ),
        formula(
            "dial_scatter",
            "Scatter of dial readings about their curve, one standard deviation.",
            &[dial],
            false,
            dial_scatter,
        ),
        formula(
            "duration_of_events",
            "Opening before and closing after the dead centres, and half a turn between.",
            &[needs("opens", "opening before its dead centre"), needs("closes", "closing after the other")],
            false,
            duration_of_events,
        ),
        formula(
            "centreline_of_events",
            "Half the duration less the event at top dead centre.",
            &[
                needs("duration", "duration"),
                needs("event", "intake opening before, or exhaust closing after, top dead centre"),
            ],
            false,
            centreline_of_events,
        ),
        formula(
            "lobe_separation",
            "Half the sum of both centrelines, in cam degrees.",
            &[needs("intake", "intake centreline"), needs("exhaust", "exhaust centreline")],
            false,
            lobe_separation,
        ),
        formula(
            "advance",
            "Lobe separation less intake centreline, crank degrees; negative is late.",
            &[needs("intake", "intake centreline"), needs("exhaust", "exhaust centreline")],
            false,
            advance,
        ),
        formula(
            "plus",
            "One value and another: overlap from intake opening and exhaust closing.",
            &[needs("one", "a value"), needs("other", "another")],
            false,
            plus,
        ),
        formula(
            "valve_lift",
            "Lobe lift times rocker ratio less lash.",
            &[needs("lobe_lift", "lobe lift"), needs("rocker", "rocker ratio"), may("lash", "lash at the valve")],
            false,
            valve_lift,
        ),
    ]
}

/// The curve through the readings, in their order over angle.
fn curve(args: &Args<'_>) -> Result<TableFit, String> {
    let items = args.some("dial")?;
    let mut rows: Vec<(f64, &Item)> = Vec::with_capacity(items.len());
    for item in items {
        let at = item.at.ok_or("the dial readings have no angles: give the first angle and the step")?;
        rows.push((at.to_degrees(), item));
    }
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mean_square = items.iter().map(|i| i.value.u().powi(2)).sum::<f64>() / items.len() as f64;
    let table = LiftTable {
        rows: rows.iter().map(|(deg, item)| (*deg, item.value.value)).collect(),
        u_lift_m: mean_square.sqrt(),
        ends: Ends::BaseCircle,
    };
    fit(&table).map_err(|e| e.to_string())
}

fn doubtful(fit: &TableFit) -> String {
    match fit.doubtful_rows.as_slice() {
        [] => String::new(),
        rows => {
            let numbers: Vec<String> = rows.iter().map(|r| (r + 1).to_string()).collect();
            format!("read again: reading {}", numbers.join(", "))
        }
    }
}

fn wheel_u(args: &Args<'_>) -> Result<f64, String> {
    Ok(args.maybe("wheel")?.map_or(0.0, |w| w.value))
}

fn lobe_lift(args: &Args<'_>) -> Result<Outcome, String> {
    let fit = curve(args)?;
    let found = fit.lobe_lift_m();
    Ok(Outcome { value: Uncertain::with_own(found.value, found.u, args.source.to_owned()), words: doubtful(&fit) })
}

fn centreline(args: &Args<'_>, sign: f64) -> Result<Outcome, String> {
    let fit = curve(args)?;
    let below_m = args.one("below")?.value;
    let found = fit.centreline_by_equal_lift_deg(below_m).map_err(|e| e.to_string())?;
    // The wheel's doubt stands in both readings; the dead centre is in it too, so it is not halved.
    let u = found.u.to_radians().hypot(wheel_u(args)?);
    let nose_deg = sign * fit.curve.nose_deg();
    let words = format!("greatest lift at {nose_deg:.1}°");
    Ok(Outcome { value: Uncertain::with_own(sign * found.value.to_radians(), u, args.source.to_owned()), words })
}

fn centreline_after(args: &Args<'_>) -> Result<Outcome, String> {
    centreline(args, 1.0)
}

fn centreline_before(args: &Args<'_>) -> Result<Outcome, String> {
    centreline(args, -1.0)
}

fn duration(args: &Args<'_>) -> Result<Outcome, String> {
    let found = curve(args)?.duration_deg(args.one("check")?.value).map_err(|e| e.to_string())?;
    let u = found.u.to_radians().hypot(std::f64::consts::SQRT_2 * wheel_u(args)?);
    Ok(Outcome::plain(Uncertain::with_own(found.value.to_radians(), u, args.source.to_owned())))
}

fn closes_after_bottom(args: &Args<'_>) -> Result<Outcome, String> {
    let fit = curve(args)?;
    let lift_m = args.one("check")?.value;
    let (_, closes_deg) = fit.curve.crossings_deg(lift_m).map_err(|e| e.to_string())?;
    let half = fit.duration_deg(lift_m).map_err(|e| e.to_string())?.u.to_radians() / std::f64::consts::SQRT_2;
    let u = half.hypot(wheel_u(args)?);
    Ok(Outcome::plain(Uncertain::with_own(closes_deg.to_radians() - PI, u, args.source.to_owned())))
}

fn dial_scatter(args: &Args<'_>) -> Result<Outcome, String> {
    let fit = curve(args)?;
    let spare = args.all("dial").len() as f64 - fit.effective_parameters;
    // Relative uncertainty of a standard deviation: 1/√(2ν), GUM annex E.4.3 (from memory).
    let u = if spare > 1.0 { fit.found_u_m / (2.0 * spare).sqrt() } else { fit.found_u_m };
    Ok(Outcome { value: Uncertain::with_own(fit.found_u_m, u, args.source.to_owned()), words: doubtful(&fit) })
}

fn duration_of_events(args: &Args<'_>) -> Result<Outcome, String> {
    propagate(&[args.one("opens")?, args.one("closes")?], |x| {
        let duration = x[0] + PI + x[1];
        if duration > 0.0 { Ok(duration) } else { Err("the valve closes before it opens".to_owned()) }
    })
    .map(Outcome::plain)
}

fn centreline_of_events(args: &Args<'_>) -> Result<Outcome, String> {
    propagate(&[args.one("duration")?, args.one("event")?], |x| Ok(0.5 * x[0] - x[1])).map(Outcome::plain)
}

fn lobe_separation(args: &Args<'_>) -> Result<Outcome, String> {
    propagate(&[args.one("intake")?, args.one("exhaust")?], |x| Ok(0.5 * (x[0] + x[1]))).map(Outcome::plain)
}

fn advance(args: &Args<'_>) -> Result<Outcome, String> {
    propagate(&[args.one("intake")?, args.one("exhaust")?], |x| Ok(0.5 * (x[1] - x[0]))).map(Outcome::plain)
}

fn plus(args: &Args<'_>) -> Result<Outcome, String> {
    propagate(&[args.one("one")?, args.one("other")?], |x| Ok(x[0] + x[1])).map(Outcome::plain)
}

fn valve_lift(args: &Args<'_>) -> Result<Outcome, String> {
    let none = Uncertain::exact(0.0);
    let inputs = [args.one("lobe_lift")?, args.one("rocker")?, args.maybe("lash")?.unwrap_or(&none)];
    propagate(&inputs, |x| Ok(x[0] * x[1] - x[2])).map(Outcome::plain)
}

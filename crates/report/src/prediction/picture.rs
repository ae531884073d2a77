//! Pictures of a prediction: the curve, and a cylinder's cycle.

use super::text::prediction_finding;
use crate::EnginePicture;
use crate::engine_pictures::Drawing;
use chart::{Line, LineKind, RunPicture, Strip, XAxis, XMark, XScale, XyPicture};
use cycle::predict::{Figures, Point, Prediction};
use cycle::solve::trace::Trace;
use quantity::{Dimension, UnitSystem};

/// Torque, power, filling, spark and knock over speed.
pub fn prediction_picture(prediction: &Prediction, units: UnitSystem) -> RunPicture {
    let curve = |of: &dyn Fn(&Point, &Figures) -> f64| -> Vec<(f64, f64)> {
        let at = |p: &Point| (p.operating.rpm(), p.figures.as_ref().map_or(f64::NAN, |f| of(p, f)));
        prediction.points.iter().map(at).collect()
    };
    let strip = |key: &str, name: &str, unit: &str, weight: f64, decimals: u8, points: Vec<(f64, f64)>| Strip {
        key: key.to_owned(),
        name: name.to_owned(),
        unit_and_basis: if unit.is_empty() { "predicted".to_owned() } else { format!("{unit}, predicted") },
        unit: unit.to_owned(),
        weight,
        decimals,
        lines: vec![Line { kind: LineKind::Predicted, name: "predicted".to_owned(), points, ..Line::default() }],
        ..Strip::default()
    };
    let torque_unit = units.unit(Dimension::Torque);
    let power_unit = units.unit(Dimension::Power);
    let mut torque =
        strip("torque", "Torque", torque_unit.symbol, 2.0, 0, curve(&|_, f| torque_unit.from_si(f.torque_nm)));
    let mut power = strip("power", "Power", power_unit.symbol, 1.5, 0, curve(&|_, f| power_unit.from_si(f.power_w)));
    if prediction.band.is_some() {
        let half = |p: &Point| p.band_nm.unwrap_or(f64::NAN);
        let low = curve(&|p, f| torque_unit.from_si(f.torque_nm - half(p)));
        let high = curve(&|p, f| torque_unit.from_si(f.torque_nm + half(p)));
        torque.lines[0].band = Some(low.iter().zip(&high).map(|(a, b)| (a.1, b.1)).collect());
        let share = |p: &Point, f: &Figures| half(p) / f.torque_nm.abs();
        let low = curve(&|p, f| power_unit.from_si(f.power_w * (1.0 - share(p, f))));
        let high = curve(&|p, f| power_unit.from_si(f.power_w * (1.0 + share(p, f))));
        power.lines[0].band = Some(low.iter().zip(&high).map(|(a, b)| (a.1, b.1)).collect());
    }
    let mut strips = vec![
        torque,
        power,
        strip("filling", "Filling", "%", 1.0, 1, curve(&|_, f| 100.0 * f.filling)),
        strip(
            "spark",
            "Spark",
            "° before top",
            1.0,
            0,
            curve(&|_, f| f.cylinders.first().map_or(f64::NAN, |c| c.spark_btdc_deg)),
        ),
    ];
    if prediction.parts.charger.is_some() {
        let unit = units.unit(Dimension::Pressure);
        strips.push(strip(
            "boost",
            "Boost",
            unit.symbol,
            1.0,
            1,
            curve(&|_, f| f.boost_pa.map_or(f64::NAN, |b| unit.from_si(b))),
        ));
    }
    let speeds = prediction.points.iter().map(|p| p.operating.rpm());
    RunPicture {
        title: format!("{}, predicted", prediction.name),
        summary: prediction_finding(prediction, units),
        rpm_from: speeds.clone().fold(f64::MAX, f64::min),
        rpm_to: speeds.fold(0.0, f64::max),
        strips,
        ..RunPicture::default()
    }
}

/// A cylinder's cycle: pressure over volume, waves at the valves, flow through them.
pub fn trace_pictures(trace: &Trace, rpm: f64, units: UnitSystem) -> Vec<EnginePicture> {
    let pressure = units.unit(Dimension::Pressure);
    let line = |label: &str, points: Vec<(f64, f64)>| Line {
        kind: LineKind::Predicted,
        label: label.to_owned(),
        points,
        ..Line::default()
    };
    let strip = |key: &str, name: &str, unit: &str, lines: Vec<Line>| Strip {
        key: key.to_owned(),
        name: name.to_owned(),
        unit_and_basis: format!("{unit}, predicted"),
        unit: unit.to_owned(),
        weight: 1.0,
        decimals: 1,
        lines,
        ..Strip::default()
    };
    let over = |of: &dyn Fn(usize) -> f64| -> Vec<(f64, f64)> {
        (0..trace.theta_deg.len()).map(|i| (trace.theta_deg[i], of(i))).collect()
    };
    let p = |pa: f64| pressure.from_si(pa);
    let cc = |m3: f64| m3 * 1e6;
    let at = format!("cylinder {} at {} rpm", trace.cylinder, super::whole(rpm));
    // Stroke by stroke, each from small to large: a line of the picture runs one way.
    let stroke = |from_deg: f64, label: &str| {
        let inside = |i: &usize| (from_deg..=from_deg + 180.0).contains(&trace.theta_deg[*i]);
        let mut points: Vec<(f64, f64)> =
            (0..trace.v_m3.len()).filter(inside).map(|i| (cc(trace.v_m3[i]), p(trace.p_pa[i]))).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        line(label, points)
    };
    let strokes = vec![stroke(0.0, "expansion"), stroke(180.0, ""), stroke(360.0, ""), stroke(540.0, "compression")];
    let most = trace.p_pa.iter().copied().fold(0.0, f64::max);
    let largest = trace.v_m3.iter().copied().fold(0.0, f64::max);
    let pv = XyPicture {
        title: format!("Pressure over volume, {at}"),
        summary: format!("The highest pressure is {:.0} {}.", p(most), pressure.symbol),
        axis: XAxis {
            name: "volume above the piston, cm³".to_owned(),
            scale: XScale::Decimal,
            from: 0.0,
            to: cc(largest),
        },
        strips: vec![strip("pressure", "Pressure", pressure.symbol, strokes)],
        marks: Vec::new(),
    };
    let degrees = XAxis {
        name: "crank degrees after firing top dead centre".to_owned(),
        scale: XScale::Degrees,
        from: 0.0,
        to: 720.0,
    };
    let marks = vec![
        XMark { at: 180.0, label: "bottom".to_owned() },
        XMark { at: 360.0, label: "overlap".to_owned() },
        XMark { at: 540.0, label: "bottom".to_owned() },
    ];
    // While gas is exchanged: what the waves do at the valves is small beside what burns.
    let low = |pa: f64| if pa < 4.0e5 { p(pa) } else { f64::NAN };
    let waves = XyPicture {
        title: format!("Pressure at the valves, {at}"),
        summary: "Pressure in the ports beside both valves, and in the cylinder while gas is exchanged.".to_owned(),
        axis: degrees.clone(),
        strips: vec![
            strip("intake", "Intake port", pressure.symbol, vec![line("", over(&|i| p(trace.intake_pa[i])))]),
            strip("exhaust", "Exhaust port", pressure.symbol, vec![line("", over(&|i| p(trace.exhaust_pa[i])))]),
            strip("cylinder", "Cylinder", pressure.symbol, vec![line("", over(&|i| low(trace.p_pa[i])))]),
        ],
        marks: marks.clone(),
    };
    let flow = XyPicture {
        title: format!("Flow through the valves, {at}"),
        summary: "Below zero gas goes the wrong way.".to_owned(),
        axis: degrees,
        strips: vec![
            strip("intake", "Into the cylinder", "g/s", vec![line("", over(&|i| 1e3 * trace.intake_kg_s[i]))]),
            strip("exhaust", "Out of it", "g/s", vec![line("", over(&|i| 1e3 * trace.exhaust_kg_s[i]))]),
        ],
        marks,
    };
    [("pressure-volume", pv), ("waves", waves), ("flow", flow)]
        .into_iter()
        .map(|(key, picture)| EnginePicture {
            key,
            title: picture.title.clone(),
            finding: picture.summary.clone(),
            drawing: Drawing::Strips(picture),
        })
        .collect()
}

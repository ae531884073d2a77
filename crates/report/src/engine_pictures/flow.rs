//! Effective area of every measured port over lift, the band between the ports, and their spread.

use super::{About, Drawing, EnginePicture, kind_of, measured};
use chart::{Line, LineKind, Strip, XAxis, XScale, XyPicture};
use engine::build::{Facts, Lack};
use engine::cam::Valve;
use engine::sheet::pictures::{Curve, port_flow};
use quantity::{Dimension, digits};

/// Two lifts nearer than this are one, mm.
const SAME_LIFT_MM: f64 = 1e-3;

pub(super) fn picture(about: &About<'_>) -> Result<EnginePicture, Lack> {
    let mut sides = Vec::new();
    let mut lack = None;
    for (valve, side) in [(Valve::Intake, "intake"), (Valve::Exhaust, "exhaust")] {
        match port_flow(about.build, valve) {
            Ok(ports) => sides.push((valve, side, ports)),
            Err(why) => lack = lack.or(Some(why)),
        }
    }
    if sides.is_empty() {
        return Err(lack.unwrap_or(Lack::Missing { keys: vec!["flow".to_owned()] }));
    }
    let unit = about.symbol(Dimension::Area);
    let mut area = Strip {
        key: "area".to_owned(),
        name: "Effective area".to_owned(),
        unit_and_basis: format!("{unit}, isentropic, from the bench"),
        unit: unit.to_owned(),
        weight: 2.6,
        from_zero: true,
        decimals: 2,
        ..Strip::default()
    };
    let mut spread = Strip {
        key: "spread".to_owned(),
        name: "Between ports".to_owned(),
        unit_and_basis: "%, greatest less least, of the mean".to_owned(),
        unit: "%".to_owned(),
        weight: 1.0,
        from_zero: true,
        decimals: 1,
        ..Strip::default()
    };
    let mut said = Vec::new();
    for (valve, side, ports) in &sides {
        let stated = Facts::new(about.build)
            .ports(*valve)
            .iter()
            .all(|(_, p)| measured(p.flow.first()) || measured(p.test_pressure.as_ref()));
        let kind = kind_of(stated);
        if let [only] = ports.as_slice() {
            let points = placed(about, &only.points);
            area.lines.push(Line {
                kind,
                label: only.name.clone(),
                name: only.name.clone(),
                points,
                ..Line::default()
            });
            said.push(format!("one {side} port was flowed, so its spread to the others is not known"));
            continue;
        }
        let rows = common(ports);
        said.push(match worst(&rows) {
            Some((lift_mm, share)) => format!(
                "the {} {side} ports differ most at {}, by {} %",
                ports.len(),
                about.length(1e-3 * lift_mm),
                digits(100.0 * share, 1)
            ),
            None => format!("the {} {side} ports share no lift, so they cannot be compared", ports.len()),
        });
        // Ports that nobody here measured are not drawn one by one: dashes upon dashes cannot be told apart.
        if stated || rows.is_empty() {
            singles(about, &mut area, ports, stated);
        }
        if rows.is_empty() {
            continue;
        }
        let mean = |row: &(f64, Vec<f64>)| row.1.iter().sum::<f64>() / row.1.len() as f64;
        let of = |v: f64| about.number(Dimension::Area, 1e-6 * v);
        let lift = |v: f64| about.number(Dimension::Length, 1e-3 * v);
        let edges = |row: &(f64, Vec<f64>)| (of(least(&row.1)), of(greatest(&row.1)));
        area.lines.push(Line {
            kind,
            label: format!("{side}, mean of {} ports", ports.len()),
            name: format!("{side} mean"),
            points: rows.iter().map(|row| (lift(row.0), of(mean(row)))).collect(),
            band: Some(rows.iter().map(edges).collect()),
            ..Line::default()
        });
        spread.lines.push(Line {
            kind,
            label: (*side).to_owned(),
            name: (*side).to_owned(),
            points: rows.iter().map(|row| (lift(row.0), 100.0 * share(&row.1))).collect(),
            ..Line::default()
        });
    }
    let mut strips = vec![area];
    if !spread.lines.is_empty() {
        strips.push(spread);
    }
    let mut finding = said.join("; ");
    finding.replace_range(..1, &finding[..1].to_uppercase());
    finding.push('.');
    let lifts = strips[0].lines.iter().flat_map(|l| &l.points).map(|p| p.0);
    let to = lifts.fold(0.0, f64::max) * 1.04;
    let title = "Port flow over lift".to_owned();
    let axis = XAxis {
        name: format!("valve lift, {}", about.symbol(Dimension::Length)),
        scale: XScale::Decimal,
        from: 0.0,
        to,
    };
    let drawing = XyPicture { title: title.clone(), summary: finding.clone(), axis, strips, marks: Vec::new() };
    Ok(EnginePicture { key: "port-flow", title, finding, drawing: Drawing::Strips(drawing) })
}

/// Each port as a thin line; the first with most and the one with least area carry their names.
fn singles(about: &About<'_>, strip: &mut Strip, ports: &[Curve], stated: bool) {
    let last = |c: &Curve| c.points.last().map_or(0.0, |p| p.1);
    let by_size = |a: &usize, b: &usize| last(&ports[*a]).total_cmp(&last(&ports[*b]));
    let named = [(0..ports.len()).min_by(by_size), (0..ports.len()).max_by(by_size)];
    for (index, port) in ports.iter().enumerate() {
        let label = if named.contains(&Some(index)) { port.name.clone() } else { String::new() };
        let kind = if stated { LineKind::SinglePull } else { LineKind::Predicted };
        let points = placed(about, &port.points);
        strip.lines.push(Line { kind, label, name: port.name.clone(), points, ..Line::default() });
    }
}

fn placed(about: &About<'_>, points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let place =
        |p: &(f64, f64)| (about.number(Dimension::Length, 1e-3 * p.0), about.number(Dimension::Area, 1e-6 * p.1));
    points.iter().map(place).collect()
}

/// Lifts at which every port was measured, with the area of each, mm and mm².
fn common(ports: &[Curve]) -> Vec<(f64, Vec<f64>)> {
    let Some(first) = ports.first() else { return Vec::new() };
    let at = |port: &Curve, lift: f64| port.points.iter().find(|p| (p.0 - lift).abs() < SAME_LIFT_MM).map(|p| p.1);
    first
        .points
        .iter()
        .filter_map(|(lift, _)| {
            let areas: Option<Vec<f64>> = ports.iter().map(|port| at(port, *lift)).collect();
            // Shut, every port flows the same nothing.
            areas.filter(|a| a.iter().all(|v| *v > 0.0)).map(|a| (*lift, a))
        })
        .collect()
}

fn least(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::INFINITY, f64::min)
}

fn greatest(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::NEG_INFINITY, f64::max)
}

fn share(values: &[f64]) -> f64 {
    (greatest(values) - least(values)) / (values.iter().sum::<f64>() / values.len() as f64)
}

fn worst(rows: &[(f64, Vec<f64>)]) -> Option<(f64, f64)> {
    rows.iter().map(|row| (row.0, share(&row.1))).max_by(|a, b| a.1.total_cmp(&b.1))
}

//! An invented run: a blown four for hill climbs, three pulls, judged against an earlier run.

use chart::{Area, BandOfUse, FlagMark, Line, LineKind, MeanLine, NoData, PlateauRow, RunPicture, Strip};
use std::f64::consts::TAU;

/// Torque of the invented engine, N·m.
fn torque(rpm: f64, best: f64, at: f64, below: f64, above: f64) -> f64 {
    let d = rpm - at;
    best - (if d < 0.0 { below } else { above }) * (d / 1000.0).powi(2) - 1.1 * (rpm / 173.0).sin()
}

fn grid(from: f64, to: f64, at: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let steps = ((to - from) / 25.0).round() as usize;
    (0..=steps).map(|i| from + 25.0 * i as f64).map(|rpm| (rpm, at(rpm))).collect()
}

fn band(points: &[(f64, f64)], half: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    points.iter().map(|p| (p.1 - half(p.0), p.1 + half(p.0))).collect()
}

fn kw(rpm: f64, nm: f64) -> f64 {
    nm * rpm * TAU / 60.0 / 1000.0
}

fn bump(rpm: f64, at: f64, width: f64) -> f64 {
    (-((rpm - at) / width).powi(2)).exp()
}

/// All five strips, a prediction, two flags, an earlier run that was stopped early.
pub(crate) fn hill_climb_four() -> RunPicture {
    let now = |rpm: f64| torque(rpm, 299.0, 4600.0, 10.4, 13.0);
    let was = |rpm: f64| torque(rpm, 271.0, 4000.0, 11.3, 11.6);
    let told = |rpm: f64| torque(rpm, 298.0, 4500.0, 9.6, 12.0);
    let lambda = |rpm: f64| 0.905 - 0.062 * (rpm - 2000.0) / 4600.0 + 0.004 * bump(rpm, 5475.0, 90.0);
    let lean = |rpm: f64| lambda(rpm) + 0.036 * bump(rpm, 5475.0, 80.0);
    let map = |rpm: f64| 133.0 + 14.0 * (1.0 - (-(rpm - 2000.0) / 500.0).exp()) + 10.0 * (rpm - 2000.0) / 4600.0;
    let line = |kind, label: &str, points: Vec<(f64, f64)>, half: &dyn Fn(f64) -> f64| Line {
        kind,
        label: label.to_owned(),
        name: label.split(',').next().unwrap_or_default().to_owned(),
        band: (kind != LineKind::Before).then(|| band(&points, half)),
        spread: (kind != LineKind::Before).then(|| points.iter().map(|p| half(p.0)).collect()),
        points,
        end_note: None,
    };
    let rough = |rpm: f64| 0.9 + 2.4 * bump(rpm, 5500.0, 150.0);
    let mut before = line(LineKind::Before, "Run 3, as received", grid(2000.0, 6300.0, was), &|_| 0.0);
    before.end_note = Some("knock, stopped here".to_owned());
    let torque_strip = Strip {
        key: "torque".into(),
        name: "Torque".into(),
        unit_and_basis: "N·m, corrected".into(),
        unit: "N·m".into(),
        weight: 5.2,
        lines: vec![
            line(LineKind::Predicted, "Predicted, ±2.2 %", grid(2000.0, 6600.0, told), &|_| 6.4),
            before,
            line(LineKind::Measured, "Run 14, three pulls", grid(2000.0, 6600.0, now), &rough),
        ],
        mean: Some(MeanLine {
            value: 290.1,
            from_rpm: 3000.0,
            to_rpm: 6200.0,
            label: "average".into(),
            value_text: "290.1".into(),
        }),
        say_start: true,
        decimals: 1,
        ..Strip::default()
    };
    let power_strip = Strip {
        key: "power".into(),
        name: "Power".into(),
        unit_and_basis: "kW, corrected".into(),
        unit: "kW".into(),
        weight: 1.9,
        lines: vec![
            line(LineKind::Predicted, "", grid(2000.0, 6600.0, |r| kw(r, told(r))), &|_| 1.0),
            line(LineKind::Before, "Run 3", grid(2000.0, 6300.0, |r| kw(r, was(r))), &|_| 0.0),
            line(LineKind::Measured, "Run 14", grid(2000.0, 6600.0, |r| kw(r, now(r))), &|_| 0.5),
        ],
        decimals: 1,
        ..Strip::default()
    };
    let lambda_points = grid(2000.0, 6600.0, lambda);
    let lambda_strip = Strip {
        key: "lambda".into(),
        name: "Lambda".into(),
        unit_and_basis: "grey: target ±0.02".into(),
        weight: 1.2,
        lines: vec![Line {
            band: Some(lambda_points.iter().map(|p| (p.1 - 0.002, lean(p.0).max(p.1 + 0.002))).collect()),
            points: lambda_points,
            ..Line::default()
        }],
        target: Some(Area {
            points: grid(2000.0, 6600.0, |r| 0.9 - 0.062 * (r - 2000.0) / 4600.0)
                .into_iter()
                .map(|p| (p.0, p.1 - 0.02, p.1 + 0.02))
                .collect(),
        }),
        decimals: 3,
        ..Strip::default()
    };
    let map_strip = Strip {
        key: "manifold".into(),
        name: "Manifold".into(),
        unit_and_basis: "kPa absolute, grey: target ±3".into(),
        unit: "kPa".into(),
        weight: 1.1,
        lines: vec![line(LineKind::Measured, "", grid(2000.0, 6600.0, map), &|_| 0.4)],
        target: Some(Area {
            points: grid(2000.0, 6600.0, |r| map(r).max(143.0)).iter().map(|p| (p.0, p.1 - 3.0, p.1 + 3.0)).collect(),
        }),
        decimals: 1,
        ..Strip::default()
    };
    let gain_strip = Strip {
        key: "gained".into(),
        name: "Gained".into(),
        unit_and_basis: "N·m, run 14 over run 3".into(),
        unit: "N·m".into(),
        weight: 1.2,
        lines: vec![line(LineKind::Gain, "", grid(2000.0, 6300.0, |r| now(r) - was(r)), &rough)],
        difference: true,
        no_data: vec![NoData { from_rpm: 6300.0, to_rpm: 6600.0, words: "no run 3".into() }],
        decimals: 1,
        ..Strip::default()
    };
    RunPicture {
        title: "Run 14, three pulls: torque, power, lambda, manifold pressure and gain over engine speed".into(),
        summary: "Average torque from 3,000 to 6,200 rpm is 290.1 N·m, 33 N·m more than run 3.".into(),
        rpm_from: 2000.0,
        rpm_to: 6600.0,
        band: Some(BandOfUse {
            from_rpm: 3000.0,
            to_rpm: 6200.0,
            label: "Agreed band of use".into(),
            note: "drag an end to judge another".into(),
        }),
        strips: vec![torque_strip, power_strip, lambda_strip, map_strip, gain_strip],
        flags: vec![
            FlagMark {
                number: 1,
                from_rpm: 2000.0,
                to_rpm: 2150.0,
                strip_key: "manifold".into(),
                words: "short of boost".into(),
                stretch: grid(2000.0, 2150.0, map),
            },
            FlagMark {
                number: 2,
                from_rpm: 5350.0,
                to_rpm: 5580.0,
                strip_key: "lambda".into(),
                words: "pull 2 lean by 0.02".into(),
                stretch: grid(5300.0, 5650.0, lean),
            },
        ],
    }
}

/// Plateaus of the invented run, the second open at the lower end.
pub(crate) fn plateaus() -> Vec<PlateauRow> {
    let row = |label: &str, kind, from_rpm, to_rpm| PlateauRow {
        label: label.to_owned(),
        kind,
        from_rpm,
        to_rpm,
        open_below: false,
        open_above: false,
    };
    vec![
        row("run 14", LineKind::Measured, 3300.0, 5625.0),
        PlateauRow { open_below: true, ..row("run 3", LineKind::Before, 2925.0, 5075.0) },
        row("predicted", LineKind::Predicted, 3150.0, 5575.0),
    ]
}

//! An invented run, read: a blown four for hill climbs, three pulls, and an earlier run of two.

use gas::correction::Standard;
use pull::analysis::{
    Analysis, BudgetLine, ChannelCurve, Comparison, Correction, Curve, Figure, Figures, InertiaUse, LagUse, LogFacts,
    Peak, Plateau, PullKind, PullResult, Repeat, Weather,
};
use pull::guard::{Flag, Level, Parts, Worst};
use pull::setup::{Band, Setup};
use std::f64::consts::TAU;

const FROM: f64 = 2000.0;
const STEP: f64 = 25.0;

fn torque(rpm: f64, best: f64, at: f64, below: f64, above: f64) -> f64 {
    let d = rpm - at;
    best - (if d < 0.0 { below } else { above }) * (d / 1000.0).powi(2) - 1.1 * (rpm / 173.0).sin()
}

fn now(rpm: f64) -> f64 {
    torque(rpm, 299.0, 4600.0, 10.4, 13.0)
}

fn was(rpm: f64) -> f64 {
    torque(rpm, 271.0, 4000.0, 11.3, 11.6)
}

fn bump(rpm: f64, at: f64, width: f64) -> f64 {
    (-((rpm - at) / width).powi(2)).exp()
}

fn grid(to: f64) -> Vec<f64> {
    (0..=((to - FROM) / STEP).round() as usize).map(|i| FROM + STEP * i as f64).collect()
}

fn curve(rpm: &[f64], pulls: usize, at: impl Fn(f64) -> f64) -> Curve {
    let each = |f: &dyn Fn(f64) -> f64| rpm.iter().map(|n| f(*n)).collect::<Vec<f64>>();
    let half = |n: f64| 0.9 + 2.4 * bump(n, 5500.0, 150.0);
    Curve {
        rpm: rpm.to_vec(),
        torque_nm: each(&at),
        u_within_nm: each(&|_| 0.1),
        u_between_nm: each(&|n| if pulls > 1 { half(n) / 2.0 } else { f64::NAN }),
        u_system_nm: each(&|n| 0.002 * at(n)),
        u_nm: each(&|n| (half(n) / 2.0).hypot(0.002 * at(n))),
        low_nm: each(&|n| at(n) - half(n)),
        high_nm: each(&|n| at(n) + half(n)),
        pulls: vec![pulls; rpm.len()],
        half_width_rpm: 75.0,
    }
}

/// Mean over a band by the trapezium rule.
fn mean(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let steps = ((to - from) / STEP).round() as usize;
    let at = |i: usize| f(from + STEP * i as f64);
    ((0..=steps).map(at).sum::<f64>() - (at(0) + at(steps)) / 2.0) / steps as f64
}

fn peak(value: f64, expanded: f64, rpm: f64) -> Peak {
    Peak { value, expanded, rpm, rpm_from: rpm - 150.0, rpm_to: rpm + 200.0, at_least: false }
}

fn figures(at: impl Fn(f64) -> f64 + Copy, least: f64, peaks: (f64, f64), plateau: (f64, f64)) -> Figures {
    let power = |n: f64| at(n) * n * TAU / 60.0;
    let (t, p) = peaks;
    Figures {
        mean_torque_nm: Some(Figure { value: mean(3000.0, 6200.0, at), expanded: 1.6 }),
        mean_power_w: Some(Figure { value: mean(3000.0, 6200.0, power), expanded: 780.0 }),
        least_torque_nm: Some(peak(at(least), 2.1, least)),
        plateau: Some(Plateau {
            share: 0.95,
            from_rpm: plateau.0,
            to_rpm: plateau.1,
            open_below: false,
            open_above: false,
        }),
        peak_torque: Some(peak(at(t), 2.0, t)),
        peak_power: Some(peak(power(p), 1200.0, p)),
        still_climbing: Some("not_climbing".to_owned()),
        ..Figures::default()
    }
}

fn pulls(rpm: &[f64]) -> Vec<PullResult> {
    (1..=3)
        .map(|number| PullResult {
            number,
            log: number - 1,
            kind: PullKind::SweepUp,
            from_s: 4.0,
            to_s: 19.3,
            from_rpm: 2000.0,
            to_rpm: 6600.0,
            rate_rpm_s: 300.0,
            factor: 1.029,
            air_temperature_k: Some(297.75),
            oil_temperature_k: Some(365.0),
            torque_nm: rpm.iter().map(|n| now(*n) + (number as f64 - 2.0) * 0.9).collect(),
            u_torque_nm: vec![0.2; rpm.len()],
            observed_nm: rpm.iter().map(|n| (now(*n) + (number as f64 - 2.0) * 0.9) / 1.029).collect(),
            end_slope: None,
            noise_nm: 1.4,
            band_mean_torque_nm: Some(290.0),
            band_mean_power_w: Some(139_500.0),
            left_out: None,
        })
        .collect()
}

fn channel(role: &str, label: &str, rpm: &[f64], at: impl Fn(f64) -> f64, above: impl Fn(f64) -> f64) -> ChannelCurve {
    ChannelCurve {
        role: role.to_owned(),
        label: label.to_owned(),
        mean: rpm.iter().map(|n| at(*n)).collect(),
        low: rpm.iter().map(|n| at(*n) - 0.0015 * at(*n)).collect(),
        high: rpm.iter().map(|n| at(*n) + 0.0015 * at(*n) + above(*n)).collect(),
    }
}

fn flag(number: usize, role: &str, span: (f64, f64), words: &str, sentence: &str) -> Flag {
    Flag {
        number,
        rule: "sample".to_owned(),
        level: Level::Warn,
        pull: 2,
        role: role.to_owned(),
        from_rpm: span.0,
        to_rpm: span.1,
        from_s: 1.0,
        to_s: 2.0,
        words: words.to_owned(),
        sentence: sentence.to_owned(),
        source: "common practice, no source".to_owned(),
        worst: None,
        parts: Parts { pulls: vec![2], ..Parts::default() },
    }
}

/// A flag with the pieces of its sentence: 28 kPa behind boost, found in two pulls.
fn told() -> Flag {
    Flag {
        pull: 0,
        worst: Some(Worst {
            measure_si: 28_000.0,
            limit_si: 20_684.0,
            value_si: 272_000.0,
            against_si: Some(300_000.0),
            kind: "gauge_pressure".to_owned(),
            share: false,
            difference: true,
        }),
        parts: Parts {
            pulls: vec![1, 3],
            form: "fuel pressure {by} behind boost".to_owned(),
            hold_s: 0.3,
            look: "the regulator's boost hose".to_owned(),
            ..Parts::default()
        },
        ..flag(3, "fuel_pressure", (5415.0, 5514.0), "fuel pressure 28 kPa behind boost", "as told")
    }
}

fn weather() -> Weather {
    Weather {
        barometer_pa: Some(97_900.0),
        air_temperature_k: Some(297.75),
        vapour_pressure_pa: Some(1_270.0),
        humidity: Some(0.41),
        dry_pressure_pa: Some(96_630.0),
        origins: vec!["measured, cell barometer".into(), "from the log".into(), "measured, hygrometer".into()],
        doubts: Vec::new(),
    }
}

fn correction() -> Correction {
    Correction {
        asked: Standard::Iso1585,
        applied: Standard::Iso1585,
        words: "corrected with the ISO 1585 factor".into(),
        reference: "99.0 kPa dry, 25 °C".into(),
        factor: 1.0287,
        u_factor: 0.0008,
        range: Some((0.93, 1.07)),
        range_verdict: Some("inside".into()),
        notes: Vec::new(),
        all: Vec::new(),
    }
}

fn channels(rpm: &[f64]) -> Vec<ChannelCurve> {
    let aim = |n: f64| 0.9 - 0.062 * (n - 2000.0) / 4600.0;
    let kpa = |n: f64| 133.0 + 14.0 * (1.0 - (-(n - 2000.0) / 500.0).exp()) + 10.0 * (n - 2000.0) / 4600.0;
    vec![
        channel("lambda_1", "lambda, bank 1", rpm, |n| aim(n) + 0.005, |n| 0.036 * bump(n, 5475.0, 80.0)),
        channel("lambda_target", "lambda aimed at", rpm, aim, |_| 0.0),
        channel("manifold_pressure", "manifold pressure, absolute", rpm, |n| kpa(n) * 1e3, |_| 0.0),
        channel("manifold_target", "manifold pressure aimed at", rpm, |n| kpa(n).max(140.0) * 1e3, |_| 0.0),
    ]
}

/// Three pulls with the average of the invented hill-climb job, two flags.
pub(crate) fn run() -> Analysis {
    let rpm = grid(6600.0);
    let mut figures = figures(now, 6200.0, (4675.0, 6250.0), (3300.0, 5625.0));
    figures.observed_mean_torque_nm = Some(Figure { value: 281.9, expanded: 1.5 });
    figures.observed_peak_power = Some(peak(168_100.0, 1100.0, 6250.0));
    Analysis {
        logs: (1..=3)
            .map(|i| LogFacts {
                name: format!("hill-climb-{i}.csv"),
                dialect: "CSV, semicolons, decimal comma".into(),
                rows_found: 1530,
                rows_kept: if i == 2 { 1526 } else { 1530 },
                channels: Vec::new(),
                duration_s: 30.6,
            })
            .collect(),
        setup: Setup { standard: Standard::Iso1585, ..Setup::default() },
        pulls: pulls(&rpm),
        not_pulls: Vec::new(),
        observed: curve(&rpm, 3, |n| now(n) / 1.0287),
        curve: curve(&rpm, 3, now),
        weather: weather(),
        correction: correction(),
        load_cell: Some(pull::analysis::LoadCellResult {
            when: "8 April, 07:50".into(),
            gain: 0.999,
            offset_nm: 0.1,
            linearity_nm: 0.2,
            hysteresis_nm: 0.4,
            as_found_rel: -0.001,
            applied: true,
            readings: 10,
        }),
        inertia: InertiaUse {
            inertia_kg_m2: Some(0.42),
            label: "inertia torque added, 0.42 kg·m²".into(),
            mean_added_nm: 13.2,
        },
        lags: vec![LagUse { role: "lambda_1".into(), lag_s: 0.18, how: "found".into() }],
        channels: channels(&rpm),
        band: Band { from_rpm: 3000.0, to_rpm: 6200.0 },
        band_stated: true,
        figures,
        repeat: Repeat {
            pulls: 3,
            mean_spread: Some(0.006),
            worst_spread: Some((0.016, 5475.0)),
            sd_nm: vec![0.9; rpm.len()],
            sd_band_mean_nm: Some(0.8),
            verdict: Some("inside".into()),
            limit: 0.01,
            ..Repeat::default()
        },
        flags: vec![
            flag(
                1,
                "manifold_pressure",
                (2000.0, 2150.0),
                "short of boost",
                "Manifold 3 to 5 kPa under target below 2,150 rpm: look at the bypass, which shuts late",
            ),
            flag(
                2,
                "lambda_1",
                (5350.0, 5580.0),
                "pull 2 lean by 0.04",
                "Pull 2 lean by up to 0.04 from 5,375 to 5,550 rpm; rail pressure dipped 20 kPa",
            ),
            told(),
        ],
        unjudged: Vec::new(),
        guards: "the rules that come with the tool".into(),
        budget: vec![
            BudgetLine { name: "load cell".into(), u_nm: 0.44, input: "0.15 %".into(), kind: 'B' },
            BudgetLine { name: "between pulls".into(), u_nm: 0.46, input: "scatter".into(), kind: 'A' },
            BudgetLine { name: "torque arm".into(), u_nm: 0.29, input: "0.1 %".into(), kind: 'B' },
            BudgetLine { name: "zero".into(), u_nm: 0.2, input: "0.2 N·m".into(), kind: 'B' },
        ],
        dyno: "North cell".into(),
        problems: Vec::new(),
        remarks: vec!["Humidity is taken from the hygrometer in the cell, not from the intake".into()],
        figure_remarks: Vec::new(),
        system: Default::default(),
    }
}

/// The same engine as it came in, stopped at 6,300 rpm.
pub(crate) fn comparison() -> Comparison {
    let rpm = grid(6600.0);
    let earlier = grid(6300.0);
    let difference = mean(3000.0, 6200.0, |n| now(n) - was(n));
    Comparison {
        before: "Run 3".into(),
        before_curve: curve(&earlier, 2, was),
        before_figures: figures(was, 6200.0, (4025.0, 5700.0), (2925.0, 5075.0)),
        band: Some(Band { from_rpm: 3000.0, to_rpm: 6200.0 }),
        difference_nm: Some(difference),
        interval_nm: Some(2.2),
        difference_w: Some(16_600.0),
        interval_w: Some(1_050.0),
        verdict: "gain".into(),
        curve_nm: rpm.iter().map(|n| if *n <= 6300.0 { now(*n) - was(*n) } else { f64::NAN }).collect(),
        curve_half_nm: rpm
            .iter()
            .map(|n| if *n <= 6300.0 { 2.4 + bump(*n, 5500.0, 150.0) } else { f64::NAN })
            .collect(),
        aba_drift_nm: None,
        warnings: Vec::new(),
    }
}

/// Names and foot of the sample's sheet.
pub(crate) fn meta() -> report::SheetMeta {
    report::SheetMeta {
        names: report::RunNames { title: "Three pulls, 8 April".into(), run: "Run 14".into() },
        shop: "job 31, invented".into(),
        date: "8 April 2026".into(),
        mark: "run 14, entry 6".into(),
    }
}

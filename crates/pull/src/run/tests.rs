//! Whole runs on made-up logs with a known truth.

use super::*;
use crate::cell::Known;
use crate::compare::compare;
use crate::log::Channel;
use gas::correction::InductionResponse;
use quantity::Origin;
use std::f64::consts::PI;

fn truth_nm(n: f64) -> f64 {
    290.0 - ((n - 4600.0) / 350.0).powi(2)
}

/// A log of `pulls` sweeps at 300 rpm/s, 50 Hz; the brake sees torque less J·dω/dt.
fn log(pulls: usize, gain: f64, inertia: f64, offsets: &[f64]) -> Log {
    let (mut time, mut rpm, mut torque) = (Vec::new(), Vec::new(), Vec::new());
    let mut t = 0.0;
    let mut push = |n: f64, nm: f64| {
        time.push(t);
        rpm.push(n * PI / 30.0);
        torque.push(nm);
        t += 0.02;
    };
    for _ in 0..250 {
        push(950.0, 4.0);
    }
    for k in 0..pulls {
        let mut n = 2000.0;
        while n <= 6500.0 {
            push(n, gain * (truth_nm(n) + offsets[k]) - inertia * 10.0 * PI);
            n += 6.0;
        }
        while n > 950.0 {
            push(n, -15.0);
            n -= 20.0;
        }
        for _ in 0..250 {
            push(950.0, 4.0);
        }
    }
    let ch =
        |name: &str, unit: &str, role, si| Channel { name: name.into(), unit_text: unit.into(), role: Some(role), si };
    let rows = time.len();
    let channels = vec![
        ch("n", "rpm", Role::Speed, rpm),
        ch("M", "N·m", Role::Torque, torque),
        ch("baro", "kPa", Role::Barometer, vec![97_900.0; rows]),
        ch("air", "°C", Role::IntakeAirTemperature, vec![297.75; rows]),
        ch("pv", "kPa", Role::VapourPressure, vec![1_270.0; rows]),
    ];
    Log {
        name: "made-up.csv".into(),
        dialect: "made up".into(),
        groups: vec![Table { time_s: time, channels }],
        problems: Vec::new(),
        rows_found: rows,
        rows_kept: rows,
    }
}

fn setup() -> Setup {
    Setup {
        standard: Standard::Iso1585,
        induction: InductionResponse::FollowsBarometer,
        band: Some(Band { from_rpm: 3000.0, to_rpm: 6200.0 }),
        ..Setup::default()
    }
}

fn cell(inertia: Option<f64>) -> CellFile {
    let known = |value: f64| Known {
        value,
        u: None,
        text: format!("{value} kg·m²"),
        origin: Origin::Assumed { why: "a test".into() },
    };
    CellFile { name: "test cell".into(), inertia: inertia.map(known), ..CellFile::default() }
}

fn mean_truth() -> f64 {
    // Mean of 290 − ((n − 4600)/350)² over 3,000 to 6,200: 290 − (1600³·2/3)/(350²·3200).
    290.0 - (2.0 * 1600f64.powi(3) / 3.0) / (350.0 * 350.0 * 3200.0)
}

#[test]
fn band_mean_factor_and_inertia_come_out_as_put_in() {
    // ISO 1585 at 97.9 kPa, 24.6 °C, 1.27 kPa vapour, temperature as the standard prints it (t + 273).
    let factor = (99.0f64 / 96.63).powf(1.2) * (297.6f64 / 298.0).powf(0.6);
    let offsets = [0.0, 0.6, -0.6];
    let logs = [log(3, 1.0 / factor, 0.4, &offsets)];
    let a = analyse(&logs, &cell(Some(0.4)), &setup(), &Rules::shipped()).unwrap();
    assert_eq!(a.pulls.iter().filter(|p| p.left_out.is_none()).count(), 3);
    assert!((a.correction.factor - factor).abs() < 1e-9, "{} against {factor}", a.correction.factor);
    let m = a.figures.mean_torque_nm.unwrap();
    assert!((m.value - mean_truth()).abs() < 0.05, "{} against {}", m.value, mean_truth());
    assert!((m.value - mean_truth()).abs() < m.expanded);
    let o = a.figures.observed_mean_torque_nm.unwrap();
    assert!((o.value * a.correction.factor - m.value).abs() < 0.05);
    assert!((a.inertia.mean_added_nm - 0.4 * 10.0 * PI).abs() < 0.01);
    assert!(a.repeat.mean_spread.unwrap() > 0.003 && a.repeat.verdict.as_deref() == Some("inside"));
    assert_eq!(a.figures.peak_torque.unwrap().rpm, 4600.0);
    assert!(a.not_pulls.iter().any(|r| r.kind == "coast_down"));

    let without = analyse(&logs, &cell(None), &setup(), &Rules::shipped()).unwrap();
    assert_eq!(without.inertia.label, "inertia torque not added");
    let gap = m.value - without.figures.mean_torque_nm.unwrap().value;
    assert!((gap - 0.4 * 10.0 * PI * factor).abs() < 0.05, "{gap}");
}

#[test]
fn boost_held_to_an_absolute_pressure_is_not_corrected_and_unknown_is_flagged() {
    let logs = [log(2, 1.0, 0.0, &[0.0, 0.5])];
    let held = Setup { induction: InductionResponse::HeldAbsolute, ..setup() };
    let a = analyse(&logs, &cell(None), &held, &Rules::shipped()).unwrap();
    assert_eq!((a.correction.applied, a.correction.factor), (Standard::Observed, 1.0));
    assert_eq!(format!("{:?}", a.curve.torque_nm), format!("{:?}", a.observed.torque_nm));
    let unknown = Setup { induction: InductionResponse::Unknown, ..setup() };
    let a = analyse(&logs, &cell(None), &unknown, &Rules::shipped()).unwrap();
    assert_eq!(a.correction.applied, Standard::Iso1585);
    assert!(!a.correction.notes.is_empty());
}

#[test]
fn a_left_out_pull_counts_for_nothing_and_keeps_its_reason() {
    let logs = [log(3, 1.0, 0.0, &[0.0, 30.0, 0.0])];
    let mut s = setup();
    s.left_out.insert(2, "rail pressure dipped".into());
    let a = analyse(&logs, &cell(None), &s, &Rules::shipped()).unwrap();
    assert_eq!(a.repeat.pulls, 2);
    assert!(a.pulls[1].left_out.as_deref().unwrap().contains("rail pressure dipped"));
    assert!(a.repeat.mean_spread.unwrap() < 1e-9);
}

#[test]
fn another_band_is_judged_without_the_log() {
    let logs = [log(3, 1.0, 0.0, &[0.0, 0.6, -0.6])];
    let a = analyse(&logs, &cell(None), &setup(), &Rules::shipped()).unwrap();
    let band = Band { from_rpm: 2500.0, to_rpm: 4000.0 };
    let again = rejudge(&a, band);
    let fresh = analyse(&logs, &cell(None), &Setup { band: Some(band), ..setup() }, &Rules::shipped()).unwrap();
    assert_eq!(again.figures, fresh.figures);
    // Compared as text: "no value" is never equal to itself.
    assert_eq!(format!("{:?}", again.repeat), format!("{:?}", fresh.repeat));
}

#[test]
fn a_real_gain_is_told_from_noise() {
    let before = analyse(&[log(3, 1.0, 0.0, &[0.0, 0.8, -0.8])], &cell(None), &setup(), &Rules::shipped()).unwrap();
    let more = analyse(&[log(3, 1.0, 0.0, &[10.0, 10.8, 9.2])], &cell(None), &setup(), &Rules::shipped()).unwrap();
    let same = analyse(&[log(3, 1.0, 0.0, &[0.5, 1.0, -0.4])], &cell(None), &setup(), &Rules::shipped()).unwrap();
    let c = compare(&more, &before, "run 3", None);
    assert_eq!(c.verdict, "gain");
    assert!((c.difference_nm.unwrap() - 10.0 * more.correction.factor).abs() < 0.05);
    // t(0.975, 4 dof) = 2.776, pooled sd 0.8, √(2/3).
    let expected = 2.776 * 0.8 * (2.0f64 / 3.0).sqrt() * more.correction.factor;
    assert!((c.interval_nm.unwrap() - expected).abs() < 0.01, "{:?} {expected}", c.interval_nm);
    assert!(c.curve_half_nm.iter().filter(|h| h.is_finite()).all(|h| *h > expected));
    assert_eq!(compare(&same, &before, "run 3", None).verdict, "no_gain_shown");
}

#[test]
fn logs_without_speed_torque_or_load_are_refused_with_words() {
    let mut l = log(1, 1.0, 0.0, &[0.0]);
    l.groups[0].channels.retain(|c| c.role != Some(Role::Torque));
    let e = analyse(&[l], &cell(None), &setup(), &Rules::shipped()).unwrap_err();
    assert!(e.to_string().contains("no channel gives torque"), "{e}");
    let mut l = log(1, 1.0, 0.0, &[0.0]);
    l.groups[0].channels.retain(|c| c.role != Some(Role::Speed));
    assert!(analyse(&[l], &cell(None), &setup(), &Rules::shipped()).unwrap_err().to_string().contains("engine speed"));
    let mut l = log(1, 1.0, 0.0, &[0.0]);
    for c in &mut l.groups[0].channels {
        if c.role == Some(Role::Torque) {
            c.si.fill(0.0);
        }
    }
    assert!(
        analyse(&[l], &cell(None), &setup(), &Rules::shipped()).unwrap_err().to_string().contains("no pull was found")
    );
}

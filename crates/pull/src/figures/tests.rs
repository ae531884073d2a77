//! Closed forms: a straight line and a parabola have known means, crossings and peaks.

use super::*;
use crate::cell::Uncertainties;
use crate::curve::pool;

fn system() -> System {
    System { cell: Uncertainties::default(), factor_rel: [0.0; 3], inertia_nm: 0.0 }
}

fn curve_of(truth: impl Fn(f64) -> f64, from: f64, to: f64) -> (Curve, PullCurve) {
    let grid = Grid::covering(from, to, 25.0);
    let torque_nm: Vec<f64> = grid.speeds().into_iter().map(truth).collect();
    let u_nm = vec![0.1; grid.points];
    let pull = PullCurve { torque_nm, u_nm, noise_nm: 1.0, end_slope: None };
    (pool(&[&pull], grid, 75.0, |_, t| 0.002 * t), pull)
}

fn inputs<'a>(
    curve: &'a Curve,
    pulls: &'a [&'a PullCurve],
    band: Band,
    system: &'a System,
    setup: &'a Setup,
) -> Inputs<'a> {
    let top_rpm = curve.rpm[curve.rpm.len() - 1];
    Inputs { curve, observed: curve, pulls, band, system, setup, flows: Flows::default(), top_rpm }
}

#[test]
fn the_mean_of_a_straight_line_is_its_middle_wherever_the_band_ends() {
    let (c, _) = curve_of(|n| 100.0 + n / 100.0, 2000.0, 6000.0);
    for (a, b) in [(2000.0, 6000.0), (2513.0, 4088.0), (3000.0, 3010.0)] {
        let m = band_mean(grid_of(&c), &c.torque_nm, Band { from_rpm: a, to_rpm: b }, |_, t| t).unwrap();
        assert!((m - (100.0 + (a + b) / 200.0)).abs() < 1e-9, "{a}–{b}: {m}");
    }
    assert!(band_mean(grid_of(&c), &c.torque_nm, Band { from_rpm: 1900.0, to_rpm: 3000.0 }, |_, t| t).is_none());
}

#[test]
fn peak_plateau_least_and_flatness_of_a_parabola() {
    // T = 300 − ((n − 4500)/300)²: 95 % of 300 is 285, reached √15 · 300 = 1,161.9 rpm on either side.
    let (c, p) = curve_of(|n| 300.0 - ((n - 4500.0) / 300.0).powi(2), 2000.0, 6000.0);
    let (s, setup, pulls) = (system(), Setup::default(), [&p]);
    let x = inputs(&c, &pulls, Band { from_rpm: 3000.0, to_rpm: 5500.0 }, &s, &setup);
    let (f, remarks) = figures(&x);
    assert!(remarks.is_empty(), "{remarks:?}");
    let peak = f.peak_torque.unwrap();
    assert_eq!((peak.rpm, peak.value, peak.at_least), (4500.0, 300.0, false));
    let plateau = f.plateau.unwrap();
    // Straight lines between points 25 rpm apart leave the parabola by at most (25/300)²/4 = 0.002 N·m, on a
    // slope of 0.026 N·m/rpm: 0.1 rpm.
    assert!((plateau.from_rpm - 3338.1).abs() < 0.2 && (plateau.to_rpm - 5661.9).abs() < 0.2, "{plateau:?}");
    let least = f.least_torque_nm.unwrap();
    assert_eq!((least.rpm, least.value), (3000.0, 275.0));
    assert!((f.flatness.unwrap() - 25.0 / f.mean_torque_nm.unwrap().value).abs() < 1e-12);
}

#[test]
fn a_band_beyond_the_data_gives_no_average_but_says_what_was_tested() {
    let (c, p) = curve_of(|_| 300.0, 2400.0, 6100.0);
    let (s, setup, pulls) = (system(), Setup::default(), [&p]);
    let (f, remarks) = figures(&inputs(&c, &pulls, Band { from_rpm: 2000.0, to_rpm: 6000.0 }, &s, &setup));
    assert!(f.mean_torque_nm.is_none() && f.least_torque_nm.is_none());
    assert!(remarks[0].contains("2400 to 6100"), "{remarks:?}");
}

#[test]
fn climbing_power_is_printed_as_at_least_and_extrapolated_only_on_request() {
    let climb = |n: f64| 300.0 - ((n - 4500.0) / 200.0).powi(2);
    // Power of this curve peaks where 300 − x²/40000 − 2 n x/40000 = 0 with x = n − 4500: n = 5,500.
    let (c, mut p) = curve_of(climb, 3000.0, 5300.0);
    let slope = (power_w(climb(5300.0), 5300.0) - power_w(climb(5100.0), 5100.0)) / 200.0;
    p.end_slope = Some((slope, 0.1 * slope));
    let (s, pulls) = (system(), [&p]);
    let mut setup = Setup::default();
    let band = Band { from_rpm: 3000.0, to_rpm: 5300.0 };
    let (f, _) = figures(&inputs(&c, &pulls, band, &s, &setup));
    assert_eq!(f.still_climbing.as_deref(), Some("climbing"));
    assert!(f.peak_power.unwrap().at_least && f.peak_to_peak_rpm.is_none() && f.extrapolated.is_none());
    setup.extrapolate = true;
    let (f, remarks) = figures(&inputs(&c, &pulls, band, &s, &setup));
    let e = f.extrapolated.unwrap();
    assert!((e.rpm - 5500.0).abs() <= 15.0 && !e.at_limit, "{e:?}");
    assert!(e.low_w < power_w(climb(5500.0), 5500.0) && e.high_w > power_w(climb(5500.0), 5500.0));
    assert!(remarks.iter().any(|r| r.contains("nothing was run there")));
    p.end_slope = Some((slope, slope));
    let pulls = [&p];
    let (f, _) = figures(&inputs(&c, &pulls, band, &s, &setup));
    assert_eq!(f.still_climbing.as_deref(), Some("cannot_tell"));
    assert!(f.peak_power.unwrap().at_least, "the highest point stands at the end of the data");
}

#[test]
fn accelerating_an_inertia_with_constant_torque_takes_j_delta_omega_over_t() {
    let (c, p) = curve_of(|_| 250.0, 2000.0, 6000.0);
    let (s, pulls) = (system(), [&p]);
    let known = crate::cell::Known {
        value: 3.0,
        u: None,
        text: "3 kg·m²".into(),
        origin: quantity::Origin::Assumed { why: "a test".into() },
    };
    let setup = Setup {
        accelerate: Some(crate::setup::Accelerate { inertia_kg_m2: known, from_rpm: 3000.0, to_rpm: 5000.0 }),
        ..Setup::default()
    };
    let (f, _) = figures(&inputs(&c, &pulls, Band { from_rpm: 3000.0, to_rpm: 5000.0 }, &s, &setup));
    assert!((f.accelerate_s.unwrap().value - 3.0 * 2000.0 * PI / 30.0 / 250.0).abs() < 1e-9);
}

/// Printed check values of `validation/units/t07_power_bmep.csv`: 542.327 N·m at 5,500 rpm of 5.735 L are
/// 312,357.93 W and 1,188,331.7 Pa. Tolerance: half the last digit.
#[test]
fn power_and_mean_pressure_match_the_table() {
    assert!((power_w(542.327, 5500.0) - 312_357.93).abs() < 0.005);
    assert!((bmep_pa(542.327, 0.005_735, true) - 1_188_331.7).abs() < 0.05);
    assert!((bmep_pa(542.327, 0.005_735, false) - 1_188_331.7 / 2.0).abs() < 0.05);
    // 0.092 m stroke at 6,000 rpm: 18.4 m/s (`t06_piston_kinematics`, one digit).
    assert!((mean_piston_speed_m_s(0.092, 6000.0) - 18.4).abs() < 1e-12);
}

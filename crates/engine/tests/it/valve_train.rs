//! Valve motion, springs, surge and toss.

use engine::cam::lift_table::{Ends, LiftTable, fit};
use engine::cam::{CamError, LiftCurve};
use engine::valve_train::motion::{
    MovingParts, effective_mass_kg, lobe_lift_m, measured_ratio, valve_lift_m, valve_lift_with_u,
};
use engine::valve_train::spring::{boost_force_n, retainer_clearance_m, seat_spread};
use engine::valve_train::surge::{
    RoundWire, harmonic_m, meeting_harmonic, rate_and_mass, surge_frequency_hz, surge_points,
};
use engine::valve_train::toss::{Held, contact_force_n, toss_speed};
use engine::valve_train::{Spring, SpringReading};
use std::f64::consts::PI;

const INCH_M: f64 = 0.0254;
const POUND_N: f64 = 4.448_221_615_260_5;

/// A whole turn of L (1 + cos θcam) / 2: one harmonic, every derivative known, no ramp.
fn harmonic_lobe(lobe_m: f64) -> Result<LiftCurve, CamError> {
    let rows = (0..180)
        .map(|k| {
            let crank_deg = -360.0 + 4.0 * f64::from(k);
            (crank_deg, 0.5 * lobe_m * (1.0 + (crank_deg * PI / 360.0).cos()))
        })
        .collect();
    Ok(fit(&LiftTable { rows, u_lift_m: 1e-9, ends: Ends::WholeTurn })?.curve)
}

fn spring() -> Spring {
    Spring::from_rate(1.9 * INCH_M, 1.1 * INCH_M, (150.0 * POUND_N, 3.0 * POUND_N), (400.0 * POUND_N / INCH_M, 1750.0))
        .expect("a spring")
}

#[test]
fn lift_at_the_valve() {
    // Expected: 0.297 in of lobe times 1.5 is 0.4455 in (a printed 0.446 in to three digits).
    let lift_m = valve_lift_m(0.297 * INCH_M, 1.5, 0.0).expect("a lift");
    assert!((lift_m / INCH_M - 0.4455).abs() < 1e-12);
    assert!((valve_lift_m(0.297 * INCH_M, 1.5, 0.020 * INCH_M).expect("a lift") / INCH_M - 0.4255).abs() < 1e-12);
    assert_eq!(valve_lift_m(1e-4, 1.5, 5e-4).expect("shut"), 0.0);
    // Marked 1.6, measured 1.52 ± 0.005 on 8 mm: 0.04 mm from the ratio, 1.52 × 0.01 from the lobe, 0.02 from the lash.
    let (_, u_m) = valve_lift_with_u((0.008, 1e-5), (1.52, 0.005), (5e-4, 2e-5)).expect("a lift");
    assert!((u_m - (4e-5_f64.powi(2) + 1.52e-5_f64.powi(2) + 2e-5_f64.powi(2)).sqrt()).abs() < 1e-12);
}

#[test]
fn lobe_behind_the_valve_and_the_ratio_between() {
    let valve_m = valve_lift_m(0.0080, 1.52, 4e-4).expect("a lift");
    assert!((lobe_lift_m(valve_m, 1.52, 4e-4).expect("a lift") - 0.0080).abs() < 1e-15);
    assert!(lobe_lift_m(0.0, 1.52, 4e-4).is_err());
    // 0.456 over 0.300 in is 1.52, not the 1.6 of the stamp; ± 0.001 in on both is ± 0.0061.
    let (ratio, u) =
        measured_ratio((0.456 * INCH_M, 0.001 * INCH_M), (0.300 * INCH_M, 0.001 * INCH_M)).expect("a ratio");
    assert!((ratio - 1.52).abs() < 1e-12);
    assert!((u - 0.006_065).abs() < 1e-6, "{u}");
}

#[test]
fn mass_at_the_valve() {
    let parts = MovingParts {
        valve_side_kg: 0.150,
        spring_kg: 0.090,
        lobe_side_kg: 0.200,
        rocker_kg_m2: 4e-5,
        rocker_valve_arm_m: 0.040,
    };
    // 0.150 + 0.030 + 4e-5 / 0.0016 + 0.2 / 2.25.
    let expected = 0.150 + 0.030 + 0.025 + 0.2 / 2.25;
    assert!((effective_mass_kg(&parts, 1.5).expect("a mass") - expected).abs() < 1e-15);
}

/// Expected: common practice, 10 psi on 3.2 in² is 32 lb (a 2.02 in valve has 3.2047 in²).
#[test]
fn boost_on_the_intake_valve() {
    let psi_pa = POUND_N / (INCH_M * INCH_M);
    let force_n = boost_force_n(10.0 * psi_pa, 3.2 * INCH_M * INCH_M).expect("a force");
    assert!((force_n / POUND_N - 32.0).abs() < 1e-9);
}

#[test]
fn two_readings_make_a_spring() {
    let reading = |height_in: f64, force_lb: f64| SpringReading {
        height_m: height_in * INCH_M,
        u_height_m: 0.002 * INCH_M,
        force_n: force_lb * POUND_N,
        u_force_n: 3.0 * POUND_N,
    };
    let spring =
        Spring::from_readings(reading(1.9, 150.0), reading(1.3, 390.0), 1.88 * INCH_M, 1.1 * INCH_M).expect("a spring");
    let rate_lb_in = spring.rate_n_m().0 / POUND_N * INCH_M;
    assert!((rate_lb_in - 400.0).abs() < 1e-9);
    // 0.020 in of shim at 400 lb/in is 8 lb.
    assert!((spring.seat_n().0 / POUND_N - 158.0).abs() < 1e-9);
    // Height ± 0.005 in at 400 lb/in is ± 2 lb (worked figure of the trade notes).
    assert!((spring.seat_change_n(0.005 * INCH_M) / POUND_N - 2.0).abs() < 1e-9);
    // Each reading: 3 lb and 400 × 0.002 = 0.8 lb; the rate takes both over 0.6 in.
    let u_lb = 3.0_f64.hypot(0.8);
    assert!((spring.rate_n_m().1 / POUND_N * INCH_M - u_lb * 2.0_f64.sqrt() / 0.6).abs() < 1e-9);
    let gap_m = spring.bind_gap_m(0.700 * INCH_M).expect("a gap");
    assert!((gap_m / INCH_M - 0.080).abs() < 1e-9);
    assert!((spring.force_n(0.600 * INCH_M).expect("a force").0 / POUND_N - 398.0).abs() < 1e-9);
    let spread = seat_spread(&[150.0, 147.0, 153.0]).expect("a spread");
    assert!((spread - 0.04).abs() < 1e-12);
}

#[test]
fn what_a_person_reads_about_a_spring() {
    let reading = |height_m: f64, force_n: f64| SpringReading { height_m, u_height_m: 0.0, force_n, u_force_n: 0.0 };
    let curve = harmonic_lobe(0.0150).expect("a lobe");
    let held = Held {
        curve: &curve,
        rocker_ratio: 1.5,
        lash_m: 0.0,
        spring: spring(),
        mass_kg: (0.25, 0.0),
        u_acceleration_share: 0.0,
    };
    let said = [
        spring().bind_gap_m(0.0210).expect_err("bind").to_string(),
        toss_speed(&held).expect_err("bind").to_string(),
        Spring::from_readings(reading(0.048, 700.0), reading(0.033, 650.0), 0.048, 0.028)
            .expect_err("rate")
            .to_string(),
        Spring::from_rate(0.028, 0.028, (700.0, 0.0), (7e4, 0.0)).expect_err("solid").to_string(),
        retainer_clearance_m(0.0140, 0.0145).expect_err("retainer").to_string(),
        valve_lift_m(0.008, 0.0, 0.0).expect_err("ratio").to_string(),
    ];
    insta::assert_snapshot!(said.join("\n"));
}

/// Expected: a helical spring of round wire, Wahl: f = d / (2π n D²) √(G / 2ρ), which has to equal
/// ½ √(k/m) with k and m from the same wire. Tolerance: rounding.
#[test]
fn surge_by_mass_and_by_wire() {
    let wire = RoundWire {
        wire_diameter_m: 0.0047,
        coil_diameter_m: 0.032,
        active_coils: 4.5,
        shear_modulus_pa: 79e9,
        density_kg_m3: 7850.0,
    };
    let (rate_n_m, mass_kg) = rate_and_mass(&wire).expect("a spring");
    let f = surge_frequency_hz(rate_n_m, mass_kg).expect("a frequency");
    let wahl = 0.0047 / (2.0 * PI * 4.5 * 0.032 * 0.032) * (79e9_f64 / (2.0 * 7850.0)).sqrt();
    assert!((f / wahl - 1.0).abs() < 1e-12, "{f} {wahl}");
    assert!((meeting_harmonic(f, 6000.0) - f / 50.0).abs() < 1e-12);
    let curve = harmonic_lobe(0.009).expect("a lobe");
    let points = surge_points(f, &curve, 9000.0).expect("points");
    assert!(points.windows(2).all(|pair| pair[0].engine_rpm > pair[1].engine_rpm));
    assert!(points.iter().all(|p| (p.engine_rpm / 120.0 * f64::from(p.order) - f).abs() < 1e-9));
    // The lobe is one harmonic: amplitude L/2 at order one, nothing above. Slack: a thousand times the stated scatter
    // of 1e-9 m.
    assert!((harmonic_m(&curve, 1) - 0.0045).abs() < 1e-6);
    assert!(harmonic_m(&curve, 7) < 1e-6);
}

/// Expected, closed form: lift L (1 + cos φ) / 2 with φ the cam angle; deceleration at the nose L ω² / 2. The spring's
/// force grows with lift and the deceleration falls with cos φ, so contact is lost where (S + k r l) / cos φ is least.
/// Over φ this least is found here by its own fine search. Tolerance: 1e-4, the curve is fitted through 180 rows.
#[test]
fn toss_of_a_harmonic_lobe() {
    let (lobe_m, ratio, mass_kg) = (0.0090, 1.6, 0.260);
    let curve = harmonic_lobe(lobe_m).expect("a lobe");
    let spring = spring();
    let held = Held {
        curve: &curve,
        rocker_ratio: ratio,
        lash_m: 0.0,
        spring,
        mass_kg: (mass_kg, 0.013),
        u_acceleration_share: 0.02,
    };
    let toss = toss_speed(&held).expect("a speed");
    let mut expected = f64::INFINITY;
    for k in 0..15_700 {
        let phi = f64::from(k) * 1e-4;
        let force = spring.seat_n().0 + spring.rate_n_m().0 * ratio * 0.5 * lobe_m * (1.0 + phi.cos());
        let cam_rad_s = (force / (mass_kg * ratio * 0.5 * lobe_m * phi.cos())).sqrt();
        expected = f64::min(expected, 2.0 * cam_rad_s * 30.0 / PI);
    }
    assert!((toss.engine_rpm / expected - 1.0).abs() < 1e-4, "{} against {expected}", toss.engine_rpm);
    // At that speed the contact force is zero there, and positive a little below.
    let at = contact_force_n(&held, toss.angle_deg, toss.engine_rpm).expect("a force");
    assert!(at.abs() < 1e-6 * toss.spring_n);
    assert!(contact_force_n(&held, toss.angle_deg, 0.98 * toss.engine_rpm).expect("a force") > 0.0);
    // Half of the relative uncertainties in quadrature.
    let (force, u_force) = spring.force_n(toss.valve_lift_m).expect("a force");
    let share = 0.5 * (u_force / force).hypot(0.05).hypot(0.02);
    assert!((toss.u_rpm / toss.engine_rpm - share).abs() < 1e-12);
}

//! Piston-to-valve clearance.

use engine::cam::lift_card::{CardPoint, LiftCard, lift_curve};
use engine::kinematics::SliderCrank;
use engine::piston_to_valve::{
    Floor, GapUncertainty, PistonToValveError, Relief, ValveOverPiston, least_by_advance, sweep, u_of_gap_m,
};
use std::f64::consts::PI;

const INCH_M: f64 = 0.0254;

fn crank() -> SliderCrank {
    SliderCrank::from_throw(0.0442, 0.14478, 0.0).expect("a crank")
}

fn valve() -> ValveOverPiston {
    ValveOverPiston {
        valve_angle_deg: 23.0,
        deck_m: 0.010 * INCH_M,
        gasket_m: 0.041 * INCH_M,
        valve_above_face_m: 0.120 * INCH_M,
        relief_depth_m: 0.100 * INCH_M,
        floor: Floor::ParallelToValveHead,
        allowance_m: 0.010 * INCH_M,
        relief: Some(Relief { radius_m: 0.0277, head_radius_m: 0.0257, off_centre_m: 0.0 }),
    }
}

/// Valve lift of a 274/224 card, 0.320 in of lobe, 1.5, with its nose at an angle after top dead centre.
fn lift(nose_deg: f64) -> impl Fn(f64) -> f64 {
    let card = LiftCard {
        lobe_lift_m: 0.320 * INCH_M,
        points: [(0.006, 274.0), (0.050, 224.0)].map(|(l, d)| CardPoint::symmetric(l * INCH_M, d)).to_vec(),
        nose_deg,
        ramp_deg: Some(18.0),
    };
    let curve = lift_curve(&card).expect("a curve").curve;
    move |angle_deg| 1.5 * curve.lift_m(angle_deg)
}

/// With a pin offset, angles count from true top dead centre: there the piston is highest, and an open valve closest.
#[test]
fn a_pin_offset_does_not_move_the_closest_point_of_a_still_valve() {
    let offset = SliderCrank::from_throw(0.046, 0.150, 0.0015).expect("a crank");
    let found = sweep(offset, &valve(), |_| 0.002, -20.0, 20.0, 2.0).expect("a sweep");
    assert!(found.least.angle_deg.abs() < 1e-3 && found.least.piston_m < 1e-12);
    // The slider-crank is not the same before and after: the offset shows in the steps.
    assert!((found.gaps[0].piston_m - found.gaps[20].piston_m).abs() > 1e-7);
}

/// Expected, closed form: an upright valve that stays open by a fixed lift comes closest at top dead centre, with
/// deck + gasket + height + relief − allowance − lift. Tilted, the stack counts divided by the cosine.
#[test]
fn the_static_stack_along_the_stem() {
    for tilt_deg in [0.0, 15.0, 23.0] {
        for floor in [Floor::SquareToBore, Floor::ParallelToValveHead] {
            let valve = ValveOverPiston { valve_angle_deg: tilt_deg, floor, ..valve() };
            let found = sweep(crank(), &valve, |_| 0.002, -20.0, 20.0, 2.0).expect("a sweep");
            let cos = (tilt_deg * PI / 180.0).cos();
            let expected = 0.161 * INCH_M / cos + 0.100 * INCH_M - 0.002;
            assert!((found.least.along_stem_m - expected).abs() < 1e-12, "{}", found.least.along_stem_m);
            assert!(found.least.angle_deg.abs() < 1e-3);
            assert_eq!(found.gaps.len(), 21);
            // Ten degrees on, the piston has gone down by x: x / cos or x · cos along the stem.
            let later = found.gaps.iter().find(|g| g.angle_deg == 10.0).expect("a step");
            let share = if floor == Floor::SquareToBore { 1.0 / cos } else { cos };
            assert!((later.along_stem_m - expected - later.piston_m * share).abs() < 1e-12);
        }
    }
}

/// Intake closest after, exhaust before top dead centre; advancing cuts intake and opens exhaust clearance, and
/// retarding the other way round (common practice, and a trade article on checking).
#[test]
fn advance_cuts_intake_and_retard_cuts_exhaust() {
    let advances = [-4.0, 0.0, 4.0];
    let range = (-40.0, 40.0, 1.0);
    let intake = least_by_advance(crank(), &valve(), lift(106.0), range, &advances).expect("intake");
    let exhaust = least_by_advance(crank(), &valve(), lift(-114.0), range, &advances).expect("exhaust");
    let (intake_deg, exhaust_deg) = (intake[1].1.angle_deg, exhaust[1].1.angle_deg);
    assert!((3.0..20.0).contains(&intake_deg), "{intake_deg}");
    assert!((-20.0..-3.0).contains(&exhaust_deg), "{exhaust_deg}");
    assert!(intake.windows(2).all(|w| w[1].1.along_stem_m < w[0].1.along_stem_m), "{intake:?}");
    assert!(exhaust.windows(2).all(|w| w[1].1.along_stem_m > w[0].1.along_stem_m), "{exhaust:?}");
    // A mirrored lobe over a crank without offset mirrors the clearance: intake at 106 against exhaust at −106.
    let there = sweep(crank(), &valve(), lift(106.0), -40.0, 40.0, 1.0).expect("a sweep").least;
    let mirrored = sweep(crank(), &valve(), lift(-106.0), -40.0, 40.0, 1.0).expect("a sweep").least;
    assert!((there.along_stem_m - mirrored.along_stem_m).abs() < 1e-10);
    assert!((there.angle_deg + mirrored.angle_deg).abs() < 1e-3);
}

/// The least between the steps is not missed: with steps of 10° it agrees with steps of 0.01°.
#[test]
fn the_least_clearance_does_not_depend_on_the_step() {
    let coarse = sweep(crank(), &valve(), lift(106.0), -40.0, 40.0, 10.0).expect("a sweep").least;
    let fine = sweep(crank(), &valve(), lift(106.0), -40.0, 40.0, 0.01).expect("a sweep").least;
    // Around its least the clearance is a parabola: 0.005° off costs less than 1e-10 m.
    assert!((coarse.along_stem_m - fine.along_stem_m).abs() < 1e-9);
    assert!((coarse.angle_deg - fine.angle_deg).abs() < 0.02);
}

#[test]
fn contact_is_a_negative_figure_and_the_radial_one_counts_inside_the_relief_only() {
    let contact = sweep(crank(), &valve(), |_| 0.012, -20.0, 20.0, 2.0).expect("a sweep");
    assert!(contact.least.along_stem_m < 0.0);
    let radial = contact.least_radial.expect("inside the relief");
    // 2 mm of room around the head less the sideways share of the piston's travel at that step.
    let sideways = radial.piston_m * (23.0 * PI / 180.0).sin();
    assert!((radial.radial_m.expect("a figure") - (0.002 - sideways)).abs() < 1e-12);
    let shut = sweep(crank(), &valve(), |_| 0.0, -20.0, 20.0, 2.0).expect("a sweep");
    assert_eq!(shut.least_radial, None);
}

#[test]
fn uncertainty_of_the_gap() {
    let u = GapUncertainty { stack_m: 5e-5, relief_m: 3e-5, lift_m: 2e-5, timing_deg: 0.5 };
    let found = u_of_gap_m(&ValveOverPiston { valve_angle_deg: 0.0, ..valve() }, 1e-4, &u);
    assert!((found - (5e-5_f64.powi(2) + 3e-5_f64.powi(2) + 2e-5_f64.powi(2) + 5e-5_f64.powi(2)).sqrt()).abs() < 1e-15);
}

#[test]
fn what_a_person_reads_about_impossible_geometry() {
    let said = |valve: ValveOverPiston| -> String {
        let error: PistonToValveError = sweep(crank(), &valve, |_| 0.0, -20.0, 20.0, 2.0).expect_err("impossible");
        error.to_string()
    };
    let tight = Relief { radius_m: 0.025, head_radius_m: 0.0257, off_centre_m: 0.0 };
    let lines = [
        said(ValveOverPiston { relief: Some(tight), ..valve() }),
        said(ValveOverPiston { deck_m: -0.010, ..valve() }),
        said(ValveOverPiston { valve_angle_deg: 67.0, ..valve() }),
        said(ValveOverPiston { gasket_m: -0.001, ..valve() }),
    ];
    insta::assert_snapshot!(lines.join("\n"));
}

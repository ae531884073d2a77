//! Valve events from a card and back.

use engine::cam::events::middle_of_two_readings_deg;
use engine::cam::timing::{StatedTiming, check_card, events_from_timing, timing};
use engine::cam::{CamError, CheckLift, LobeEvents, Reference, Valve, ValveEvent};
use proptest::prelude::*;

fn event(angle_deg: f64, reference: Reference) -> ValveEvent {
    ValveEvent::new(angle_deg, reference).expect("an angle")
}

fn check_lift(lift_in: f64) -> CheckLift {
    CheckLift::lifter_in(lift_in).expect("a lift")
}

fn published() -> (LobeEvents, LobeEvents) {
    let check = check_lift(0.006);
    let intake =
        LobeEvents::new(Valve::Intake, event(31.0, Reference::BeforeTop), event(63.0, Reference::AfterBottom), check);
    let exhaust =
        LobeEvents::new(Valve::Exhaust, event(77.0, Reference::BeforeBottom), event(29.0, Reference::AfterTop), check);
    (intake.expect("an intake lobe"), exhaust.expect("an exhaust lobe"))
}

/// Expected: the worked card of a trade article on lifters and cams: IO 31, IC 63, EO 77, EC 29 give
/// 274/286°, ICL 106, ECL 114, LSA 110; overlap 60 by arithmetic. Whole degrees and halves: exact.
#[test]
fn the_published_card() {
    let (intake, exhaust) = published();
    let found = timing(&intake, &exhaust).expect("timing");
    assert_eq!(found.intake_duration_deg, 274.0);
    assert_eq!(found.exhaust_duration_deg, 286.0);
    assert_eq!(found.intake_centreline_deg, 106.0);
    assert_eq!(found.exhaust_centreline_deg, 114.0);
    assert_eq!(found.lobe_separation_cam_deg, 110.0);
    assert_eq!(found.advance_deg, 4.0);
    assert_eq!(found.overlap_deg, 60.0);
    let (intake_back, exhaust_back) = events_from_timing(274.0, 286.0, 110.0, 4.0, check_lift(0.006)).expect("events");
    assert_eq!(intake_back, intake);
    assert_eq!(exhaust_back, exhaust);
}

/// A mild cam at 0.050 in opens after top dead centre; the reference says so and the overlap is negative.
#[test]
fn events_on_the_other_side_of_dead_centre() {
    let (intake, exhaust) = events_from_timing(204.0, 214.0, 112.0, 0.0, check_lift(0.050)).expect("events");
    assert_eq!((intake.opens().angle_deg(), intake.opens().reference()), (10.0, Reference::AfterTop));
    assert_eq!((intake.closes().angle_deg(), intake.closes().reference()), (34.0, Reference::AfterBottom));
    assert_eq!((exhaust.closes().angle_deg(), exhaust.closes().reference()), (5.0, Reference::BeforeTop));
    assert_eq!(timing(&intake, &exhaust).expect("timing").overlap_deg, -15.0);
}

#[test]
fn advancing_moves_every_event_earlier_and_keeps_durations() {
    let (intake, exhaust) = published();
    let intake_early = intake.advanced(4.0).expect("events");
    let found = timing(&intake_early, &exhaust.advanced(4.0).expect("events")).expect("timing");
    assert_eq!(intake_early.opens().angle_deg(), 35.0);
    assert_eq!((found.intake_centreline_deg, found.exhaust_centreline_deg), (102.0, 118.0));
    assert_eq!((found.lobe_separation_cam_deg, found.overlap_deg, found.advance_deg), (110.0, 60.0, 8.0));
}

#[test]
fn a_card_that_agrees_and_one_that_does_not() {
    let (intake, exhaust) = published();
    let mut stated = StatedTiming {
        intake_centreline_deg: Some(106.0),
        lobe_separation_cam_deg: Some(110.0),
        overlap_deg: Some(60.0),
        intake_duration_deg: Some(275.0),
        ..StatedTiming::default()
    };
    assert!(check_card(&intake, &exhaust, &stated, 0.5).is_ok());
    stated.intake_centreline_deg = Some(110.0);
    let faults = check_card(&intake, &exhaust, &stated, 0.5).expect_err("a contradiction");
    assert_eq!(faults.len(), 1);
    assert!(matches!(
        &faults[0],
        CamError::CardContradictsItself { stated_deg, from_events_deg, .. } if *stated_deg == 110.0 && *from_events_deg == 106.0
    ));
}

#[test]
fn what_a_person_reads_about_a_card() {
    let (intake, exhaust) = published();
    let fifty = exhaust;
    let fifty = LobeEvents::new(Valve::Exhaust, fifty.opens(), fifty.closes(), check_lift(0.050)).expect("events");
    let stated = StatedTiming { intake_centreline_deg: Some(110.0), overlap_deg: Some(65.0), ..Default::default() };
    let mut said: Vec<String> = check_card(&intake, &exhaust, &stated, 0.5)
        .expect_err("contradictions")
        .iter()
        .map(ToString::to_string)
        .collect();
    said.push(timing(&intake, &fifty).expect_err("two check lifts").to_string());
    said.push(timing(&exhaust, &intake).expect_err("exchanged").to_string());
    said.push(ValveEvent::new(-3.0, Reference::BeforeTop).expect_err("a bare sign").to_string());
    said.push(CheckLift::lifter_in(50.0).expect_err("thou for inches").to_string());
    let late = event(40.0, Reference::AfterTop);
    let early = event(150.0, Reference::BeforeBottom);
    said.push(LobeEvents::new(Valve::Intake, late, early, check_lift(0.050)).expect_err("upside down").to_string());
    insta::assert_snapshot!(said.join("\n"));
}

/// Expected: the worked rule of degreeing, centreline is the mean of two readings: 66 and 146 give 106; two
/// readings of ± 0.5° give a mean of ± 0.354°.
#[test]
fn the_middle_of_two_readings() {
    let (middle_deg, u_deg) = middle_of_two_readings_deg(66.0, 146.0, 0.5).expect("an angle");
    assert_eq!(middle_deg, 106.0);
    assert!((u_deg - 0.353_553_39).abs() < 1e-8);
    assert!(middle_of_two_readings_deg(f64::NAN, 146.0, 0.5).is_err());
}

proptest! {
    /// Card to figures to card. Slack: a few sums of numbers below 1000, 1e-13 each.
    #[test]
    fn events_come_back(
        intake in 180.0..340.0_f64, exhaust in 180.0..340.0_f64, separation in 95.0..120.0_f64, advance in -10.0..10.0_f64
    ) {
        let (i, e) = events_from_timing(intake, exhaust, separation, advance, check_lift(0.05)).expect("events");
        let found = timing(&i, &e).expect("timing");
        prop_assert!((found.intake_duration_deg - intake).abs() < 1e-10);
        prop_assert!((found.exhaust_duration_deg - exhaust).abs() < 1e-10);
        prop_assert!((found.lobe_separation_cam_deg - separation).abs() < 1e-10);
        prop_assert!((found.advance_deg - advance).abs() < 1e-10);
        // Overlap is both half durations less the separation in crank degrees.
        prop_assert!((found.overlap_deg - (0.5 * (intake + exhaust) - 2.0 * separation)).abs() < 1e-10);
    }
}

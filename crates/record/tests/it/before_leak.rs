//! Leak-down, in percent and in the form of aircraft engines.

use crate::before_sample::*;
use quantity::{Dimension, Verdict};
use record::before::*;

fn judged(test: &LeakDown) -> Judged {
    judge(&TestBefore::from(test.clone()), Some(&inline_four()))
}

const NOWHERE: &[AirAt] = &[AirAt::Nowhere];

#[test]
fn rules_judge_on_either_side() {
    for row in table("rules.csv").into_iter().filter(|r| r[2].starts_with("leak_down")) {
        for (reading, wanted) in [(&row[6], Verdict::Inside), (&row[7], Verdict::Outside)] {
            let out = if row[2] == "leak_down" {
                judged(&leak_down(&[(reading, NOWHERE)]))
            } else {
                judge(&TestBefore::from(aircraft(&[reading])), None)
            };
            assert_eq!(verdict_of(&out, &row[4]), wanted, "{}", row[0]);
        }
    }
}

#[test]
fn bands_and_spread() {
    let out =
        judged(&leak_down(&[("4", NOWHERE), ("8", NOWHERE), ("30", &[AirAt::Exhaust]), ("13", &[AirAt::Filler])]));
    let band = |n: usize| out.rows[n].cells.iter().find(|c| c.label == "band").expect("a band").text.clone();
    assert_eq!(band(2), "repair");
    assert_eq!(band(3), "usable or worn", "13 ± 2.1 reaches into both");
    assert_eq!(out.figure("spread").expect("a spread").si, 0.30 - 0.04);
    assert_eq!(verdict_of(&out, "5 points"), Verdict::Outside);
    assert_eq!(
        signs(&out),
        [("leak_down.air_exhaust".to_owned(), vec![3]), ("leak_down.air_filler".to_owned(), vec![4])]
    );
}

#[test]
fn held_and_gauges_are_turned_into_lost() {
    let mut test = leak_down(&[("10", NOWHERE), ("10", NOWHERE), ("10", NOWHERE)]);
    test.cylinders[1].reading = Some(LeakReading::Held(percent("90")));
    test.cylinders[2].reading = Some(LeakReading::Gauges {
        supply: stated("100 psi", Dimension::Pressure),
        cylinder: stated("620.5 kPa", Dimension::Pressure),
    });
    let out = judged(&test);
    let lost = |n: usize| out.rows[n].cells.iter().find(|c| c.label == "lost").expect("lost").si.expect("a number");
    assert!((lost(0) - 0.10).abs() < 1e-9 && (lost(1) - 0.10).abs() < 1e-9);
    assert!((lost(2) - (1.0 - 90.0 / 100.0)).abs() < 1e-3, "620.5 kPa are 90.0 psi");
    // Gauges the wrong way round are a fault, not a negative loss.
    test.cylinders[2].reading = Some(LeakReading::Gauges {
        supply: stated("60 psi", Dimension::Pressure),
        cylinder: stated("90 psi", Dimension::Pressure),
    });
    let out = judged(&test);
    assert!(warned(&out, "gauges are mixed up"));
    assert!(out.rows[2].cells.iter().all(|c| c.label != "lost"));
}

#[test]
fn where_the_air_goes() {
    let mut test = leak_down(&[
        ("22", &[AirAt::Throttle]),
        ("25", &[AirAt::NextPlugHole]),
        ("24", &[AirAt::NextPlugHole]),
        ("18", &[AirAt::Radiator]),
    ]);
    test.cylinders[1].heard_in_cylinder = Some(3);
    test.cylinders[2].heard_in_cylinder = Some(1);
    let out = judged(&test);
    assert_eq!(
        signs(&out),
        [
            ("leak_down.air_throttle".to_owned(), vec![1]),
            ("leak_down.air_next_plug_hole".to_owned(), vec![2, 3]),
            ("leak_down.air_next_plug_hole".to_owned(), vec![1, 3]),
            ("leak_down.air_radiator".to_owned(), vec![4]),
        ]
    );
    assert!(warned(&out, "Cylinders 3 and 1 are no neighbours"));
}

#[test]
fn overlap_takes_every_verdict_away() {
    let mut test = leak_down(&[("60", &[AirAt::Throttle, AirAt::Exhaust]), ("5", NOWHERE)]);
    assert!(warned(&judged(&test), "air at throttle and exhaust at once"));
    test.tdc = Some(Tdc::Overlap);
    let out = judged(&test);
    assert!(out.verdicts.iter().all(|v| v.verdict == Verdict::CannotTell), "{:#?}", out.verdicts);
    assert!(out.suggestions.is_empty());
    let cranked = TestBefore::from(cranking(&["100", "170", "168", "169"]));
    assert!(agree(&[cranked, TestBefore::from(test)], None, shipped()).is_empty());
}

#[test]
fn percent_held_taken_for_percent_lost_is_noticed() {
    let out = judged(&leak_down(&[("94", NOWHERE), ("92", NOWHERE), ("95", NOWHERE), ("66", NOWHERE)]));
    assert!(warned(&out, "percent held"), "{:#?}", out.warnings);
    assert!(!warned(&judged(&leak_down(&[("6", NOWHERE), ("8", NOWHERE)])), "percent held"));
}

fn aircraft(held: &[&str]) -> LeakDownAircraft {
    let cylinder = |(n, held): (usize, &&str)| AircraftCylinder {
        cylinder: n as u32 + 1,
        held: psi(held),
        ..AircraftCylinder::default()
    };
    LeakDownAircraft {
        cylinders: held.iter().enumerate().map(cylinder).collect(),
        supply: psi("80"),
        orifice: Some(stated("0.040 in", Dimension::Length)),
        bore: Some(stated("4.375 in", Dimension::Length)),
        hot: Some(true),
        tdc: Some(Tdc::Firing),
        instrument: Some(gauge()),
        ..LeakDownAircraft::default()
    }
}

#[test]
fn the_aircraft_form_holds_for_its_own_set_up_alone() {
    let out = |t: &LeakDownAircraft| judge(&TestBefore::from(t.clone()), None);
    let base = aircraft(&["72", "50"]);
    assert_eq!(out(&base).verdicts.iter().map(|v| v.verdict).collect::<Vec<_>>(), [Verdict::Inside, Verdict::Outside]);
    // A large bore asks for the larger orifice.
    let large = LeakDownAircraft { bore: Some(stated("5.125 in", Dimension::Length)), ..base.clone() };
    assert!(out(&large).verdicts.iter().all(|v| v.verdict == Verdict::CannotTell));
    assert!(warned(&out(&large), "0.060 in (1.52 mm)"));
    let right = LeakDownAircraft { orifice: Some(stated("0.060 in", Dimension::Length)), ..large };
    assert_eq!(out(&right).verdicts[1].verdict, Verdict::Outside);
    let other_supply = LeakDownAircraft { supply: psi("100"), ..base.clone() };
    assert!(out(&other_supply).verdicts.iter().all(|v| v.verdict == Verdict::CannotTell));
    // Cold, what holds holds; what leaks may close when hot.
    let cold = LeakDownAircraft { hot: Some(false), ..base };
    assert_eq!(
        out(&cold).verdicts.iter().map(|v| v.verdict).collect::<Vec<_>>(),
        [Verdict::Inside, Verdict::CannotTell]
    );
}

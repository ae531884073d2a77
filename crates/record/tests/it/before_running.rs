//! Oil pressure, vacuum, blow-by, cylinder balance.

use crate::before_sample::*;
use quantity::{Dimension, Verdict};
use record::Stated;
use record::before::*;

fn oil(points: &[(&str, &str, bool)], temperature: &str) -> Judged {
    let point = |(speed, pressure, idle): &(&str, &str, bool)| OilPressurePoint {
        speed: rpm(speed),
        pressure: psi(pressure).expect("psi"),
        idle: *idle,
    };
    let test = OilPressure {
        points: points.iter().map(point).collect(),
        oil_temperature: Some(stated(temperature, Dimension::Temperature)),
        grade: "10W-40".into(),
        mechanical_gauge: Some(true),
        instrument: Some(gauge()),
        ..OilPressure::default()
    };
    judge(&TestBefore::from(test), None)
}

#[test]
fn oil_pressure_per_speed() {
    let out = oil(&[("800", "22", true), ("2000", "30", false), ("3000", "21", false)], "205 °F");
    // 30 psi at 2,000 rpm is 15 per 1,000; 21 at 3,000 is 7.
    let least = out.figure("least_per_1000_rpm").expect("a figure").si / 6894.757;
    assert!((least - 7.0).abs() < 1e-4, "{least}");
    assert_eq!(verdict_of(&out, "at idle"), Verdict::Inside);
    let at_3000 = out.verdicts.iter().find(|v| v.place == "3,000 rpm" && v.limit.contains("10 psi")).expect("one");
    assert_eq!(at_3000.verdict, Verdict::Outside);
    assert_eq!(signs(&out), [("oil_pressure.worse_with_speed".to_owned(), vec![])]);
    let low = oil(&[("800", "7", true), ("2000", "12", false), ("3000", "19", false)], "205 °F");
    assert_eq!(verdict_of(&low, "at idle"), Verdict::Outside);
    assert_eq!(signs(&low), [("oil_pressure.low_everywhere".to_owned(), vec![])]);
}

#[test]
fn rules_judge_on_either_side() {
    for row in table("rules.csv").into_iter().filter(|r| r[2] == "oil_pressure") {
        for (reading, wanted) in [(&row[6], Verdict::Inside), (&row[7], Verdict::Outside)] {
            let idle = row[3] == "idle";
            let speed = if idle { "800" } else { "1000" };
            assert_eq!(verdict_of(&oil(&[(speed, reading, idle)], "200 °F"), "10 psi"), wanted, "{}", row[0]);
        }
    }
}

#[test]
fn cold_oil_flatters_and_cannot_pass() {
    let cold = oil(&[("800", "40", true), ("2000", "12", false)], "120 °F");
    assert_eq!(verdict_of(&cold, "at idle"), Verdict::CannotTell, "thick oil");
    let low = cold.verdicts.iter().find(|v| v.place == "2,000 rpm" && v.limit.contains("10 psi")).expect("one");
    assert_eq!(low.verdict, Verdict::Outside, "low with cold oil is low hot");
    assert!(warned(&cold, "thick oil flatters"));
}

#[test]
fn below_five_psi_nothing_runs() {
    let out = oil(&[("800", "3", true)], "200 °F");
    assert_eq!(out.do_not_run().len(), 1);
    assert!(oil(&[("800", "20", true)], "200 °F").do_not_run().is_empty());
}

fn vacuum(text: &str, needle: VacuumNeedle) -> Vacuum {
    Vacuum {
        idle: Some(stated(text, Dimension::Pressure)),
        needle: Some(needle),
        port: Some(VacuumPort::Manifold),
        warm: Some(true),
        idle_speed: Some(rpm("800")),
        altitude: Some(height("0 ft", None).expect("a height")),
        instrument: Some(gauge()),
        ..Vacuum::default()
    }
}

fn judged(test: &Vacuum, expected: Option<&ExpectedFromBuild>) -> Judged {
    judge(&TestBefore::from(test.clone()), expected)
}

#[test]
fn vacuum_patterns() {
    let good = judged(&vacuum("18 inHg vac", VacuumNeedle::Steady), None);
    assert_eq!((verdict_of(&good, "15 to 22"), signs(&good).len()), (Verdict::Inside, 0));
    let low = judged(&vacuum("12 inHg vac", VacuumNeedle::Steady), None);
    assert_eq!(verdict_of(&low, "15 to 22"), Verdict::Outside);
    assert_eq!(signs(&low)[0].0, "vacuum.steady_low");
    let mut flick = vacuum("18 inHg vac", VacuumNeedle::RegularFlick);
    flick.flick = Some(stated("4 inHg", Dimension::Pressure));
    assert_eq!(signs(&judged(&flick, None))[0].0, "vacuum.regular_flick");
    assert_eq!(signs(&judged(&vacuum("18 inHg vac", VacuumNeedle::FastFlutter), None))[0].0, "vacuum.fast_flutter");
    let mut sag = vacuum("18 inHg vac", VacuumNeedle::Steady);
    sag.held_first = Some(stated("19 inHg vac", Dimension::Pressure));
    sag.held_later = Some(stated("9 inHg vac", Dimension::Pressure));
    assert_eq!(signs(&judged(&sag, None))[0].0, "vacuum.sag_when_held");
    std::mem::swap(&mut sag.held_first, &mut sag.held_later);
    assert!(signs(&judged(&sag, None)).is_empty(), "rising vacuum is no sag");
}

#[test]
fn height_and_overlap_are_allowed_for() {
    // 12 inHg at 5,000 ft counts as 17 at sea level: 1 inHg for each 1,000 ft.
    let mut high = vacuum("12 inHg vac", VacuumNeedle::Steady);
    high.altitude = Some(height("5,000 ft", None).expect("a height"));
    let out = judged(&high, None);
    assert_eq!(verdict_of(&out, "15 to 22"), Verdict::Inside);
    let sea = out.figure("idle_at_sea_level").expect("a figure").si / -3386.389;
    assert!((sea - 17.0).abs() < 1e-3, "{sea}");
    // Without the height a low reading may be thin air; a good one is good.
    high.altitude = None;
    assert_eq!(verdict_of(&judged(&high, None), "15 to 22"), Verdict::CannotTell);
    let mut good = vacuum("18 inHg vac", VacuumNeedle::Steady);
    good.altitude = None;
    assert_eq!(verdict_of(&judged(&good, None), "15 to 22"), Verdict::Inside);
    // With 77° of overlap the same low and wavering needle is normal.
    let cam = ExpectedFromBuild { overlap_deg: Some(77.0), ..inline_four() };
    let out = judged(&vacuum("11 inHg vac", VacuumNeedle::Wavering), Some(&cam));
    assert_eq!(verdict_of(&out, "8 to 15"), Verdict::Inside);
    assert!(out.suggestions[0].nothing_wrong && out.suggestions[0].sign == "vacuum.long_overlap");
}

#[test]
fn a_port_of_one_plane_and_a_pressure_are_no_vacuum() {
    let mut plane = vacuum("12 inHg vac", VacuumNeedle::Steady);
    plane.port = Some(VacuumPort::OnePlane);
    let out = judged(&plane, None);
    assert_eq!(verdict_of(&out, "15 to 22"), Verdict::CannotTell);
    assert!(out.suggestions.is_empty() && warned(&out, "one plane"));
    let wrong = judged(&vacuum("17 inHg", VacuumNeedle::Steady), None);
    assert!(wrong.verdicts.is_empty() && warned(&wrong, "as in \"17 inHg vac\""), "{:#?}", wrong.warnings);
}

#[test]
fn blow_by_against_its_rings() {
    let flow = |text: &str| BlowByPull { speed: None, flow: stated(&format!("{text} cfm"), Dimension::VolumeFlow) };
    let test = |flows: &[&str], rings| {
        let pulls = flows.iter().map(|f| flow(f)).collect();
        let full_load = Some(true);
        judge(
            &TestBefore::from(BlowBy { pulls, rings, full_load, instrument: Some(gauge()), ..BlowBy::default() }),
            None,
        )
    };
    assert_eq!(verdict_of(&test(&["1.5"], Some(RingPack::Race)), "race ring pack"), Verdict::Inside);
    assert_eq!(verdict_of(&test(&["3.0"], Some(RingPack::Race)), "race ring pack"), Verdict::Outside);
    assert_eq!(verdict_of(&test(&["3.0"], Some(RingPack::Street)), "street"), Verdict::Inside);
    assert_eq!(signs(&test(&["2.0", "2.6", "3.4"], None))[0].0, "blow_by.climbs");
    assert!(signs(&test(&["2.0", "2.6", "2.4"], None)).is_empty());
    for row in table("rules.csv").into_iter().filter(|r| r[2] == "blow_by") {
        assert_eq!(verdict_of(&test(&[&row[6]], None), "Army diesel"), Verdict::Inside);
        assert_eq!(verdict_of(&test(&[&row[7]], None), "Army diesel"), Verdict::Outside);
    }
}

#[test]
fn a_small_drop_is_a_weak_cylinder() {
    let test = |drops: [&str; 4]| CylinderBalance {
        idle_speed: Some(rpm("850")),
        cylinders: drops.iter().zip(1..).map(|(d, n)| CylinderDrop { cylinder: n, drop: rpm(d) }).collect(),
        idle_control_off: Some(true),
        ..CylinderBalance::default()
    };
    let weak = judge(&TestBefore::from(test(["90", "92", "30", "88"])), None);
    assert_eq!(signs(&weak), [("cylinder_balance.small_drop".to_owned(), vec![3])]);
    assert_eq!(verdict_of(&weak, "15 %"), Verdict::Outside);
    // (92 − 30) ÷ 75, by hand.
    assert!((weak.figure("spread_of_mean").expect("a figure").si - 62.0 / 75.0).abs() < 1e-9);
    let even = judge(&TestBefore::from(test(["90", "91", "89", "90"])), None);
    assert_eq!((signs(&even).len(), verdict_of(&even, "15 %")), (0, Verdict::Inside));
    let low = TestBefore::from(cranking(&["168", "170", "110", "169"]));
    let both = agree(&[low, TestBefore::from(test(["90", "92", "30", "88"]))], None, shipped());
    assert_eq!(both[0].sign, "agree.low_and_small_drop");
}

#[test]
fn a_stated_plus_minus_is_believed() {
    let mut test = vacuum("14.8 inHg vac", VacuumNeedle::Steady);
    let with = |text: &str| Some(Stated::read(text, Dimension::Pressure, None).expect("a vacuum"));
    test.idle = with("14.4 ± 0.1 inHg vac");
    assert_eq!(verdict_of(&judged(&test, None), "15 to 22"), Verdict::Outside);
    test.idle = with("14.4 ± 1 inHg vac");
    assert_eq!(verdict_of(&judged(&test, None), "15 to 22"), Verdict::CannotTell);
}

//! The register, calibrations, and the uncertainty of one reading.

use jiff::civil::date;
use record::InstrumentUsed;
use record::instrument::{
    Calibration, PartTemperature, Register, STARTER_TEXT, Standing, combine, day_of, expansion, standing, starter,
    used, with_calibration,
};

const SHOP: &str = r#"version = 1
title = "the shop"

[[instrument]]
key = "bore_gauge_2"
name = "Bore gauge 2"
kind = "bore gauge"
measures = "length"
step = "0.001 mm"
plus_minus = "± 0.006 mm"
repeat = "0.002 mm"
coverage = 3
interval = "12 months"
standing = "certificate"

[[instrument.calibration]]
on = "2025-03-06"
by = "invented laboratory"
certificate = "A 17"

[[instrument.calibration]]
on = "2026-02-28"
certificate = "B 4"
as_found = "0.002 mm large at 92.750"
"#;

#[test]
fn the_register_divides_by_its_coverage() {
    let register = Register::parse(SHOP).unwrap();
    let gauge = register.find("bore_gauge_2").unwrap();
    assert!((gauge.u_si.unwrap() - 2e-6).abs() < 1e-15);
    assert!((gauge.u_repeat_si.unwrap() - 2e-6 / 3.0).abs() < 1e-15);
    assert_eq!(gauge.calibrations[1].as_found, "0.002 mm large at 92.750");
}

#[test]
fn the_calibration_that_counts_is_the_last_one_before_the_day() {
    let register = Register::parse(SHOP).unwrap();
    let gauge = register.find("bore_gauge_2").unwrap();
    let before = used(gauge, date(2025, 12, 24));
    assert_eq!((before.calibrated.as_deref(), before.due.as_deref()), (Some("2025-03-06"), Some("2026-03-06")));
    let after = used(gauge, date(2026, 3, 18));
    assert_eq!(after.due.as_deref(), Some("2027-02-28"));
    let never = used(gauge, date(2024, 1, 1));
    assert_eq!(standing(&never, date(2024, 1, 1)), Standing::NeverCalibrated);
}

#[test]
fn the_last_day_still_counts() {
    let gauge = InstrumentUsed {
        calibrated: Some("2025-03-06".to_owned()),
        due: Some("2026-03-06".to_owned()),
        ..InstrumentUsed::default()
    };
    assert_eq!(standing(&gauge, date(2026, 3, 6)), Standing::InDate { due: Some(date(2026, 3, 6)) });
    assert_eq!(standing(&gauge, date(2026, 3, 7)), Standing::Overdue { days: 1 });
    assert_eq!(standing(&gauge, date(2026, 3, 18)), Standing::Overdue { days: 12 });
    assert_eq!(standing(&gauge, date(2027, 3, 7)).to_string(), "overdue by 366 days");
    // A day that cannot be read counts for nothing.
    let broken = InstrumentUsed { due: Some("soon".to_owned()), ..gauge.clone() };
    assert_eq!(standing(&broken, date(2026, 1, 1)), Standing::NeverCalibrated);
    let open = InstrumentUsed { due: None, ..gauge };
    assert_eq!(standing(&open, date(2036, 1, 1)), Standing::InDate { due: None });
}

#[test]
fn the_day_is_that_of_the_writers_clock() {
    assert_eq!(day_of("2026-03-18T00:30:00+01:00"), Some(date(2026, 3, 18)));
    assert_eq!(day_of("yesterday"), None);
}

#[test]
fn the_starter_register_is_honest_and_not_calibrated() {
    for instrument in &starter().instruments {
        assert!(instrument.calibrations.is_empty(), "{}", instrument.key);
        assert_eq!(instrument.standing, "common practice, no source", "{}", instrument.key);
    }
    let micrometer = starter().find("micrometer").unwrap();
    assert!((micrometer.u_si.unwrap() - 2e-6).abs() < 1e-15, "± 0.004 mm for 95 %");
    let bench = starter().find("flow_bench").unwrap();
    assert!((bench.u_share.unwrap() - 0.02).abs() < 1e-12);
    assert_eq!(starter().for_kind("bore gauge", quantity::Dimension::Length)[0].key, "bore_gauge");
}

#[test]
fn faults_of_a_register() {
    let with = |from: &str, to: &str| {
        let text = SHOP.replace(from, to);
        assert_ne!(text, SHOP);
        Register::parse(&text).unwrap_err().to_string()
    };
    let all = [
        with("measures = \"length\"", "measures = \"lengt\""),
        with("± 0.006 mm", "0.006"),
        with("± 0.006 mm", "0.006 g"),
        with("± 0.006 mm", "0 mm"),
        with("plus_minus = \"± 0.006 mm\"\nrepeat = \"0.002 mm\"\n", ""),
        with("repeat = \"0.002 mm\"", "repeat = \"0.2 mm\""),
        with("coverage = 3", "coverage = 30"),
        with("12 months", "a year"),
        with("on = \"2026-02-28\"", "on = \"28.2.2026\""),
        with("on = \"2026-02-28\"", "on = \"2026-02-28\"\nuntil = \"2026-01-01\""),
        with("Bore gauge 2", "Bore gauge, the second"),
        with("certificate = \"A 17\"", "certficate = \"A 17\""),
        with("version = 1", "version = 3"),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

fn gauge() -> InstrumentUsed {
    InstrumentUsed {
        key: "g".to_owned(),
        name: "Gauge".to_owned(),
        step_si: Some(2e-6),
        u_si: Some(5e-6),
        u_repeat_si: Some(3e-6),
        ..InstrumentUsed::default()
    }
}

#[test]
fn one_reading_adds_instrument_and_last_digit() {
    let found = combine(&[92.752e-3], 1e-6, None, Some(&gauge()), None, "here");
    // The scale's own step of 2 µm is coarser than the digit written.
    let digit = 2e-6 / 12f64.sqrt();
    assert!((found.u_si() - 5e-6_f64.hypot(digit)).abs() < 1e-15);
    let shared = found.parts.iter().find(|p| p.source == "instrument g").unwrap();
    assert!((shared.u_si - 4e-6).abs() < 1e-15, "√(5² − 3²)");
}

#[test]
fn what_a_person_states_counts_in_place_of_the_register() {
    let found = combine(&[92.752e-3], 1e-6, Some(1e-6), Some(&gauge()), None, "here");
    assert!((found.u_si() - 1e-6).abs() < 1e-15);
}

#[test]
fn repeats_average_the_noise_and_not_the_gauge() {
    let readings = [10.000e-3, 10.004e-3, 10.002e-3];
    let found = combine(&readings, 1e-6, None, Some(&gauge()), None, "here");
    assert!((found.shown_si - 10.002e-3).abs() < 1e-15);
    // s = 2 µm of three; noise 3 µm over √3; shared 4 µm; digit 2/√12 over √3.
    let expected = (4.0f64 + 9.0 + 4.0 / 12.0) / 3.0 + 16.0;
    assert!((found.u_si() - expected.sqrt() * 1e-6).abs() < 1e-12);
}

/// By hand: 92.7 mm of 2618 (22.3e-6) at 30 °C under a steel micrometer (11.5e-6).
#[test]
fn temperature_moves_the_size_and_leaves_its_doubt() {
    let (part, steel) = (expansion("2618 forged").unwrap(), expansion("steel").unwrap());
    let warm = PartTemperature { part_k: 303.15, u_k: 0.5, part, gauge: Some(steel) };
    let found = combine(&[92.7e-3], 1e-9, None, None, Some(warm), "here");
    let shift = found.value_si - 92.7e-3;
    assert!((shift + 92.7e-3 * 10.8e-6 * 10.0).abs() < 5e-9, "about −0.010 mm: {shift}");
    let of = |what: &str| found.parts.iter().find(|p| p.what == what).unwrap().u_si.abs();
    assert!((of("temperature of the part") - 92.7e-3 * 10.8e-6 * 0.5).abs() < 1e-12);
    // A tenth of the expansion, evenly spread.
    assert!((of("expansion of 2618 forged") - 92.7e-3 * 10.0 * 22.3e-7 / 3f64.sqrt()).abs() < 1e-12);
    let at_20 = PartTemperature { part_k: 293.15, u_k: 0.0, part, gauge: Some(steel) };
    assert_eq!(combine(&[92.7e-3], 1e-9, None, None, Some(at_20), "here").value_si, 92.7e-3);
}

/// Rule of the trade, worked out from 13e-6 per °F: aluminium grows 0.0005 in on 4 in for 10 °F.
#[test]
fn aluminium_grows_as_the_rule_says() {
    let per_k = expansion("aluminium").unwrap().per_k;
    let growth_in = 4.0 * per_k * 10.0 / 1.8;
    assert!((growth_in - 0.0005).abs() < 0.00003, "{growth_in}");
}

#[test]
fn a_calibration_is_added_and_comments_stay() {
    let new = Calibration {
        on: date(2026, 9, 1),
        by: "invented laboratory".to_owned(),
        certificate: "C 9".to_owned(),
        as_found: "in tolerance".to_owned(),
        until: None,
    };
    let text = with_calibration(STARTER_TEXT, "bore_gauge", &new).unwrap();
    let register = Register::parse(&text).unwrap();
    assert_eq!(register.find("bore_gauge").unwrap().calibrations, std::slice::from_ref(&new));
    assert_eq!(register.instruments.len(), starter().instruments.len());
    assert!(text.starts_with("# A register to start from"));
    let twice = with_calibration(SHOP, "bore_gauge_2", &new).unwrap();
    assert_eq!(Register::parse(&twice).unwrap().find("bore_gauge_2").unwrap().calibrations.len(), 3);
    let absent = with_calibration(SHOP, "bore_gage_2", &new).unwrap_err().to_string();
    assert_eq!(
        absent,
        "line 1, column 1: no instrument is called `bore_gage_2`; nothing was written; did you mean `bore_gauge_2`?"
    );
}

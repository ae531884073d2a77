//! Correction factors against `validation/corrections`.

use gas::correction::{AmbientAir, FrictionTorque, Standard, corrected_torque_nm, factor, friction};
use table::rows;

fn air(row: &table::Row) -> AmbientAir {
    let (pressure, celsius) = (row.number("p_baro_Pa"), row.number("t_inlet_degC"));
    AmbientAir::from_humidity(pressure, celsius + 273.15, row.number("rh_1")).expect("usable air")
}

/// Expected: `t01_corrections.csv`, 12 states of air.
/// Asked for: 2e-4 in the factor. Held to: 1e-6 for all but J607, which is the rounding of the
/// table's pressures and shares (8 digits); 3e-5 for J607, where the table takes 460/520 °F and we
/// take 459.7/519.7 (at 5 °C the roots differ by 0.5 × 0.3/520 × 19/501 ≈ 1.1e-5, at 33 °C by 9e-6).
#[test]
fn factors_match_the_twelve_cases() {
    let forms = [
        (Standard::SaeJ1349, "cf_sae_j1349_1p18", 1e-6),
        (Standard::SaeJ1349Unrounded, "cf_sae_j1349_eta85_unrounded", 1e-6),
        (Standard::SaeJ1349KnownFriction, "cf_sae_bare_99kPa_25C", 1e-6),
        (Standard::SaeJ607, "cf_sae_j607_bare", 3e-5),
        (Standard::SaeJ607WithFriction, "cf_sae_j607_bare", 3e-5),
        (Standard::Iso1585, "cf_iso1585_r85_jis", 1e-6),
        (Standard::JisD1001, "cf_iso1585_r85_jis", 1e-6),
        (Standard::Din70020, "cf_din70020_total_p", 1e-6),
    ];
    let cases = rows("corrections/t01_corrections.csv");
    assert_eq!(cases.len(), 12);
    for (standard, column, tolerance) in forms {
        let mut worst = 0.0f64;
        for row in &cases {
            let ours = factor(standard, &air(row)).expect("usable air");
            let difference = (ours - row.number(column)).abs();
            assert!(difference <= tolerance, "{standard}, {}: {ours}, off by {difference:e}", row.text("case"));
            worst = worst.max(difference);
        }
        println!("{standard}: largest difference {worst:.1e}");
    }
}

/// Vapour and dry pressure of the same table; tolerance from its eight printed digits.
#[test]
fn dry_pressure_matches_the_twelve_cases() {
    for row in rows("corrections/t01_corrections.csv") {
        let air = air(&row);
        // Eight digits of a pressure above 1e5: 5e-3; the total, printed with eight, as much again.
        assert!((air.dry_pressure_pa() - row.number("p_dry_Pa")).abs() < 1e-2, "{row:?}");
    }
}

/// Expected: a public text of 1995 on the J607 practice, worked example: 85 °F, 28.85 inHg, 85 %
/// gives 1.1005 and 55 °F, 30.10 inHg, 35 % gives 0.994.
/// We find 1.1011 and 0.9943. The first differs by 6e-4, as much as 0.016 inHg of vapour pressure;
/// the text reads that from a list of its own. Tolerance: 0.02 inHg in 28, so 8e-4, plus half of
/// the example's last printed digit.
#[test]
fn j607_matches_the_public_worked_example() {
    let inhg = 3_386.388_64;
    for (fahrenheit, barometer, humidity, expected, half_digit) in
        [(85.0, 28.85, 0.85, 1.1005, 0.000_05), (55.0, 30.10, 0.35, 0.994, 0.000_5)]
    {
        let kelvin = (fahrenheit + 459.67) / 1.8;
        let air = AmbientAir::from_humidity(barometer * inhg, kelvin, humidity).expect("usable air");
        let ours = factor(Standard::SaeJ607, &air).expect("usable air");
        assert!((ours - expected).abs() < 8e-4 + half_digit, "{ours} against {expected}");
    }
}

/// Expected: `t01_corrections_known_friction.csv`.
/// Tolerance: 1e-6 of the torque from the table's digits for J1349; 3e-5 for J607 as above.
#[test]
fn torque_with_friction_matches_the_table() {
    let cases = rows("corrections/t01_corrections_known_friction.csv");
    assert_eq!(cases.len(), 6);
    for row in cases {
        let (observed, friction) = (row.number("torque_observed_Nm"), row.number("torque_friction_Nm"));
        for (standard, column, tolerance) in [
            (Standard::SaeJ1349KnownFriction, "torque_corr_j1349_known_friction_Nm", 1e-6),
            (Standard::SaeJ1349, "torque_corr_j1349_1p18_Nm", 1e-6),
            (Standard::SaeJ607WithFriction, "torque_corr_j607_known_friction_Nm", 3e-5),
            (Standard::SaeJ607, "torque_corr_j607_bare_Nm", 3e-5),
        ] {
            let ours = corrected_torque_nm(standard, &air(&row), observed, Some(friction)).expect("usable");
            let allowed = tolerance * (observed + friction);
            assert!((ours - row.number(column)).abs() < allowed, "{standard}: {ours} in {row:?}");
        }
    }
}

/// Expected: `t01_friction_torque_1995_list.csv`, column FMEP. Tolerance: its 8 printed digits.
#[test]
fn the_friction_list_gives_its_own_entries() {
    let list = rows("corrections/t01_friction_torque_1995_list.csv");
    assert_eq!(list.len(), 15);
    for row in &list {
        let ours = friction::list_1995_fmep_pa(row.number("mean_piston_speed_m_s")).expect("in the list");
        assert!((ours / row.number("fmep_4stroke_Pa") - 1.0).abs() < 1e-7, "{ours} in {row:?}");
        // And back to a torque, for a swept volume of 5.7 L.
        let torque = FrictionTorque::from_fmep(ours, 5.7e-3, true).expect("usable").nm();
        let expected = row.number("friction_torque_Nm_per_m3") * 5.7e-3;
        assert!((torque / expected - 1.0).abs() < 1e-7, "{torque}");
    }
    let between = friction::list_1995_fmep_pa(0.5 * (15.24 + 17.78)).expect("in the list");
    assert!((between - 0.5 * (242_251.24 + 275_521.8)).abs() < 0.1, "{between}");
    assert!(friction::list_1995_fmep_pa(40.0).is_err());
    assert!(friction::list_1995_fmep_pa(-1.0).is_err());
}

/// Identities of the formulae: at its own reference each standard gives 1; ISO is the bare J1349
/// factor to the power 1.2. Tolerance: 1e-12, rounding only, except J607, whose reference of
/// 29.92 inHg and 60 °F gives 1 by construction as well.
#[test]
fn each_standard_gives_one_at_its_reference() {
    let cases = [
        (Standard::SaeJ1349, 99_000.0, 298.15),
        (Standard::SaeJ1349Unrounded, 99_000.0, 298.15),
        (Standard::SaeJ1349KnownFriction, 99_000.0, 298.15),
        (Standard::SaeJ607, 29.92 * 3_386.388_64, 288.705_555_555_555_6),
        (Standard::Iso1585, 99_000.0, 298.15),
        (Standard::Din70020, 101_300.0, 293.15),
        (Standard::JisD1001, 99_000.0, 298.15),
    ];
    for (standard, pressure, kelvin) in cases {
        let dry = AmbientAir::new(pressure, kelvin, 0.0).expect("usable air");
        let ours = factor(standard, &dry).expect("usable air");
        assert!((ours - 1.0).abs() < 1e-12, "{standard}: {ours}");
    }
}

/// Expected: `worked_days.csv`, worked by another hand with Magnus for the vapour pressure and with
/// kelvin of 273.15. Tolerance: Magnus lies up to 0.3 % below ASHRAE at 7 to 31 °C, which is 0.002
/// inHg or 8e-5 of the factor; the other kelvin 1e-5; half of the last printed digit 5e-5. Together 1.5e-4.
#[test]
fn factors_match_three_days_worked_by_another_hand() {
    let days = rows("corrections/worked_days.csv");
    assert_eq!(days.len(), 3);
    for row in days {
        let pressure = row.number("p_baro_inHg") * 3_386.388_64;
        let kelvin = (row.number("t_degF") + 459.67) / 1.8;
        let air = AmbientAir::from_humidity(pressure, kelvin, row.number("rh_1")).expect("usable air");
        // Two printed decimals, and the difference of the vapour formulae.
        assert!((air.dry_pressure_pa() / 3_386.388_64 - row.number("p_dry_inHg")).abs() < 0.007, "{row:?}");
        for (standard, column) in [
            (Standard::SaeJ607, "cf_sae_j607"),
            (Standard::SaeJ1349, "cf_sae_j1349"),
            (Standard::Iso1585, "cf_iso1585"),
        ] {
            let ours = factor(standard, &air).expect("usable air");
            assert!((ours - row.number(column)).abs() < 1.5e-4, "{standard}: {ours} in {row:?}");
        }
    }
}

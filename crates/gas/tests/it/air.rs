//! Humid air and the atmosphere against `validation/humid_air`.

use gas::correction::AmbientAir;
use gas::humid_air::{self, Surface};
use gas::{AirError, atmosphere};
use table::{half_digit, rows};

fn kelvin(celsius: f64) -> f64 {
    celsius + 273.15
}

/// Expected: PsychroLib's coding of ASHRAE 2017, over ice up to 0.01 °C, over water above.
/// Tolerance: half of the last printed digit (the eighth), and 1e-9 relative for the rounding of the exponent
/// (its terms reach 40, so 40 × 2⁻⁵² × a few; 1e-9 is generous and still far below the digits).
#[test]
fn saturation_pressure_matches_psychrolib() {
    for row in rows("humid_air/t02_saturation_pressure.csv") {
        let t = row.number("t_degC");
        // The source takes the ice formula up to the triple point.
        let over = if t <= 0.01 { Surface::Ice } else { Surface::Water };
        let column = "p_ws_ashrae2017_psychrolib_Pa";
        check(&row, column, humid_air::saturation_pressure_pa(kelvin(t), over).expect("in range"));
        let liquid = "p_ws_ashrae_over_liquid_Pa";
        check(&row, liquid, humid_air::saturation_pressure_pa(kelvin(t), Surface::Water).expect("in range"));
    }
}

/// Expected: IAPWS-95 as coded in CoolProp, an independent formulation.
/// Tolerance: 0.03 %; the two formulations differ by up to 0.02 % from 5 to 50 °C.
#[test]
fn saturation_pressure_is_near_iapws() {
    let mut checked = 0;
    for row in rows("humid_air/t02_saturation_pressure.csv") {
        let expected = row.text("p_ws_coolprop_iapws95_Pa");
        if expected.is_empty() {
            continue;
        }
        let expected: f64 = expected.parse().expect("a number");
        let ours = humid_air::saturation_pressure_pa(kelvin(row.number("t_degC")), Surface::Water).expect("in range");
        assert!((ours / expected - 1.0).abs() < 3e-4, "{ours} against {expected}");
        checked += 1;
    }
    assert_eq!(checked, 14);
}

/// Expected: our formulae worked in Python, and PsychroLib. Tolerance: half of the last printed
/// digit; 0.1 % against CoolProp, which is a real gas.
#[test]
fn moist_air_matches_the_table() {
    let mut checked = 0;
    for row in rows("humid_air/t02_moist_air.csv") {
        let (t, p, rh) = (row.number("t_degC"), row.number("p_Pa"), row.number("rh_1"));
        let over = if t <= 0.0 { Surface::Ice } else { Surface::Water };
        let vapour = humid_air::vapour_pressure_pa(rh, kelvin(t), over).expect("in range");
        check(&row, "p_v_Pa", vapour);
        check(&row, "w_ideal_kg_per_kg_da", humid_air::humidity_ratio(vapour, p));
        check(&row, "rho_dry_component_kg_m3", humid_air::dry_density_kg_m3(p, kelvin(t), vapour));
        let density = humid_air::density_kg_m3(p, kelvin(t), vapour);
        check(&row, "rho_moist_ideal_kg_m3", density);
        // PsychroLib uses 287.042 and works through the humidity ratio: 1e-6 of difference in its printed digits.
        assert!((density - row.number("rho_moist_psychrolib_kg_m3")).abs() < 1e-6);
        let real = row.number("rho_moist_coolprop_kg_m3");
        assert!((density / real - 1.0).abs() < 1e-3, "{density} against real gas {real}");
        checked += 1;
    }
    assert_eq!(checked, 81);
}

/// Expected: PsychroLib. Tolerance: half of the last printed digit (the eighth) for the vapour pressure; 0.001 K
/// for the dew point, which PsychroLib finds by iteration to that.
#[test]
fn wet_bulb_and_dew_point_match_psychrolib() {
    for row in rows("humid_air/t02_wetbulb.csv") {
        let (dry, wet) = (kelvin(row.number("t_drybulb_degC")), kelvin(row.number("t_wetbulb_degC")));
        let pressure = row.number("p_Pa");
        let vapour = humid_air::vapour_pressure_from_wet_bulb_pa(dry, wet, pressure).expect("possible");
        check(&row, "p_v_Pa", vapour);
        check(&row, "w_kg_per_kg_da", humid_air::humidity_ratio(vapour, pressure));
        check(&row, "w_grains_per_lb_da", 7000.0 * humid_air::humidity_ratio(vapour, pressure));
        let air = AmbientAir::from_wet_bulb(pressure, dry, wet).expect("usable air");
        check(&row, "rh_1", air.humidity().expect("in range"));
        let dew_c = humid_air::dew_point_k(vapour).expect("in range") - 273.15;
        assert!((dew_c - row.number("t_dewpoint_degC")).abs() < 1e-3, "{dew_c}");
        let back = humid_air::vapour_pressure_from_dew_point_pa(kelvin(dew_c)).expect("in range");
        assert!((back / vapour - 1.0).abs() < 1e-9);
    }
}

/// Expected: formula in Python and the package fluids. The temperature is checked to its printed
/// digits. For pressure and density the table takes the gas constant of US 1976 (287.05307, exponent
/// 5.255876), we take that of ISO 2533 (287.05287, exponent 5.255880): 7e-7 in the density itself,
/// and 3.7e-6 × ln(288.15/216.65) = 1.1e-6 in the pressure at 11 km. Together below 2e-6.
#[test]
fn standard_atmosphere_matches_the_table() {
    let mut checked = 0;
    for row in rows("humid_air/t02_standard_atmosphere.csv") {
        let height = row.number("h_geopotential_m");
        if height > 11_000.0 {
            assert!(matches!(atmosphere::pressure_pa(height), Err(AirError::OutsideModel { .. })));
            continue;
        }
        check(&row, "T_K", atmosphere::temperature_k(height).expect("in range"));
        let pressure = atmosphere::pressure_pa(height).expect("in range");
        assert!((pressure / row.number("p_Pa") - 1.0).abs() < 2e-6, "{pressure} in {row:?}");
        assert!((pressure / row.number("p_fluids_Pa") - 1.0).abs() < 2e-6, "{pressure} in {row:?}");
        let density = atmosphere::density_kg_m3(height).expect("in range");
        assert!((density / row.number("rho_kg_m3") - 1.0).abs() < 2e-6, "{density} in {row:?}");
        let geometric = row.number("z_geometric_m");
        // The printed height carries half a unit in its last digit.
        assert!((atmosphere::geopotential_m(geometric) - height).abs() < 1e-3, "{geometric}");
        checked += 1;
    }
    assert!(checked > 10, "{checked}");
}

/// Expected: formula in Python with the rounded exponent 5.255876, which moves the pressure by less
/// than 3.7e-6 × ln(288.15/277.75) = 1.4e-7 at 1600 m. Tolerance: 2e-7 relative, 0.02 Pa.
#[test]
fn altimeter_setting_to_station_pressure_matches_the_table() {
    for row in rows("humid_air/t02_altimeter_to_station.csv") {
        let (setting, height) = (row.number("p_altimeter_setting_Pa"), row.number("h_station_m"));
        let station = atmosphere::station_from_altimeter_pa(setting, height).expect("in range");
        assert!((station / row.number("p_station_Pa") - 1.0).abs() < 2e-7, "{station} in {row:?}");
        let back = atmosphere::altimeter_from_station_pa(station, height).expect("in range");
        assert!((back - setting).abs() < 1e-6, "{back}");
    }
}

#[test]
fn air_that_cannot_be_is_an_error_and_says_why() {
    let cases = [
        ("inHg taken for pascals", AmbientAir::from_humidity(29.92, 300.0, 0.5)),
        ("°C taken for kelvin", AmbientAir::from_humidity(99_000.0, 25.0, 0.5)),
        ("percent taken for a share", AmbientAir::from_humidity(99_000.0, 298.15, 55.0)),
        ("negative humidity", AmbientAir::from_humidity(99_000.0, 298.15, -0.1)),
        ("no number", AmbientAir::from_humidity(f64::NAN, 298.15, 0.5)),
        ("endless", AmbientAir::from_humidity(99_000.0, f64::INFINITY, 0.5)),
        ("more vapour than air can hold", AmbientAir::new(99_000.0, 288.15, 4000.0)),
        ("negative vapour pressure", AmbientAir::new(99_000.0, 288.15, -1.0)),
        ("thermometers swapped", AmbientAir::from_wet_bulb(99_000.0, 291.15, 298.15)),
        ("wet bulb far too cold", AmbientAir::from_wet_bulb(99_000.0, 308.15, 278.15)),
        ("dew point above the air", AmbientAir::from_dew_point(99_000.0, 288.15, 298.15)),
    ];
    let said: Vec<String> = cases
        .into_iter()
        .map(|(name, result)| format!("{name}: {}", result.expect_err("an error").to_string().replace('\n', " ")))
        .collect();
    insta::assert_snapshot!(said.join("\n"));
}

fn check(row: &table::Row, column: &str, ours: f64) {
    let expected = row.number(column);
    let tolerance = half_digit(expected) * (1.0 + 1e-6) + expected.abs() * 1e-9;
    assert!((ours - expected).abs() <= tolerance, "{column}: {ours} against {expected} ± {tolerance:e} in {row:?}");
}

//! What people type into a setup.

use pull::setup::{Band, Setup};
use takein::CellSaid;
use takein::statement::{STATEMENTS, state};

fn said(key: &str, text: &str) -> Result<(Setup, CellSaid), String> {
    let (mut setup, mut cell) = (Setup::default(), CellSaid::default());
    state(&mut setup, &mut cell, key, text, "operator").map_err(|e| e.to_string())?;
    Ok((setup, cell))
}

/// Every key has an example, and the example is understood: a key that is listed and forgotten fails here.
#[test]
fn every_example_is_understood() {
    for (key, label, example) in STATEMENTS {
        for text in example.split(" or ").flat_map(|t| t.split(", ")) {
            said(key, text).unwrap_or_else(|e| panic!("{label}: {e}"));
        }
    }
}

/// Expected: 1 inHg is 3386.389 Pa (conventional inch of mercury, ISO 31-3 annex; from memory), 76 °F is
/// (76 + 459.67) / 1.8 K by definition of the scale, 1 in³ is 16.387064 cm³ by definition of the inch.
/// Tolerance: half the last digit of the printed factor, times the number.
#[test]
fn numbers_come_out_in_si() {
    let baro = said("baro", "29.2 inHg").unwrap().0.barometer_pa.unwrap();
    assert!((baro.value - 29.2 * 3386.389).abs() < 29.2 * 5e-4, "{}", baro.value);
    assert_eq!(baro.text, "29.2 inHg");
    assert_eq!(baro.origin.to_string(), "said by operator");
    let air = said("air", "76 F").unwrap().0.air_temperature_k.unwrap();
    assert!((air.value - (76.0 + 459.67) / 1.8).abs() < 1e-9);
    let swept = said("displacement", "355 in3").unwrap().0.displacement_m3.unwrap();
    assert!((swept.value - 355.0 * 16.387064e-6).abs() < 1e-12);
    let share = said("humidity", "45 %").unwrap().0.humidity.unwrap();
    assert!((share.value - 0.45).abs() < 1e-12);
}

#[test]
fn a_band_is_written_in_several_ways() {
    let band = Some(Band { from_rpm: 3000.0, to_rpm: 6200.0 });
    for text in ["3000-6200", "3,000–6,200 rpm", "3000 to 6200", " 3000 - 6200 "] {
        assert_eq!(said("band", text).unwrap().0.band, band, "{text}");
    }
    for text in ["6200-3000", "3000", "a-b", "3000-3000", "-3000-6000"] {
        assert!(said("band", text).is_err(), "{text}");
    }
}

#[test]
fn what_is_not_clear_is_refused_with_the_reason() {
    let cases = [
        ("baro", "29.2"),
        ("baro", "29.2 kg"),
        ("baro", "8 psi gauge"),
        ("air", "76"),
        ("air", "-500 C"),
        ("humidity", "45"),
        ("humidity", "120 %"),
        ("displacement", "2,400 L"),
        ("displacement", "big"),
        ("stroke", "0 mm"),
        ("cylinders", "four"),
        ("stoich", "14.7 kg"),
        ("standard", "best"),
        ("induction", "boosted"),
        ("smooth", "75 mm"),
        ("two_stroke", "maybe"),
        ("accelerate", "0.5 kg·m²"),
        ("weight", "1 kg"),
    ];
    let text: Vec<String> = cases.iter().map(|(key, text)| said(key, text).unwrap_err()).collect();
    insta::assert_snapshot!(text.join("\n"));
}

#[test]
fn an_empty_text_takes_a_statement_back() {
    let (mut setup, mut cell) = said("baro", "98 kPa").unwrap();
    state(&mut setup, &mut cell, "inertia", "0.4 kg·m²", "operator").unwrap();
    state(&mut setup, &mut cell, "smooth", "100", "operator").unwrap();
    for key in ["baro", "inertia", "smooth"] {
        state(&mut setup, &mut cell, key, " ", "operator").unwrap();
    }
    assert_eq!(setup, Setup::default());
    assert!(cell.is_empty());
}

#[test]
fn a_refused_statement_changes_nothing() {
    let (mut setup, mut cell) = said("baro", "98 kPa").unwrap();
    let before = setup.clone();
    assert!(state(&mut setup, &mut cell, "baro", "98", "operator").is_err());
    assert_eq!(setup, before);
}

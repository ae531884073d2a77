//! The unit table against published figures, and the look-up against shop spellings.

use quantity::{Dimension, PressureReference, UnitError, find_unit, find_unit_in, unit::all_units};
use table::{half_digit, rows};

fn si(written: f64, unit: &str, dimension: Dimension) -> f64 {
    find_unit_in(unit, dimension).unwrap_or_else(|error| panic!("{error}")).to_si(written)
}

/// Expected: `validation/units/t07_units.csv` (exact definitions and NIST SP 811).
/// Tolerance: half of the eighth digit, which is the last one printed, plus 1e-15 relative for the rounding of our products.
/// The last row of constants (gas constants, R) is no unit and is left to the crate that uses it.
#[test]
fn factors_match_the_table() {
    use Dimension as D;
    let mut checked = 0;
    for row in rows("units/t07_units.csv") {
        let name = row.text("quantity");
        let ours = match name {
            "hp_mechanical" => si(1.0, "hp", D::Power),
            "hp_metric_PS" => si(1.0, "PS", D::Power),
            "hp_electrical" => si(1.0, "hp (electric)", D::Power),
            "lbf" => si(1.0, "lbf", D::Force),
            "lbf_ft" => si(1.0, "lbf·ft", D::Torque),
            "psi" => si(1.0, "psi", D::Pressure),
            "inHg_conventional_0C" => si(1.0, "inHg", D::Pressure),
            "inHg_60F" => si(1.0, "inHg (60 °F)", D::Pressure),
            "mmHg_conventional" => si(1.0, "mmHg", D::Pressure),
            "inH2O_conventional" => si(1.0, "inH2O", D::Pressure),
            "inH2O_39.2F" => si(1.0, "inH2O (39.2 °F)", D::Pressure),
            "inH2O_60F" => si(1.0, "inH2O (60 °F)", D::Pressure),
            "atm" => si(1.0, "atm", D::Pressure),
            "bar" => si(1.0, "bar", D::Pressure),
            "kgf_cm2" => si(1.0, "kgf/cm²", D::Pressure),
            "kgf_m" => si(1.0, "kgf·m", D::Torque),
            "in3" => si(1.0, "in³", D::Volume),
            "cfm" => si(1.0, "cfm", D::VolumeFlow),
            "US_gallon" => si(1.0, "US gal", D::Volume),
            "lb" => si(1.0, "lb", D::Mass),
            "lb_per_min" => si(1.0, "lb/min", D::MassFlow),
            "Btu_IT" => si(1.0, "Btu", D::Energy),
            "Btu_per_lb" => si(1.0, "Btu/lb", D::SpecificEnergy),
            "lb_per_hp_h" => si(1.0, "lb/hp-h", D::SpecificFuel),
            "g_per_kWh" => si(1.0, "g/kWh", D::SpecificFuel),
            "lb_per_hp_h_in_g_per_kWh" => {
                find_unit("g/kWh").expect("a unit").from_si(si(1.0, "lb/hp-h", D::SpecificFuel))
            }
            "ft_per_min" => si(1.0, "ft/min", D::Velocity),
            "rpm" => si(1.0, "rpm", D::RotationalSpeed),
            "hp_from_lbft_rpm_divisor" => {
                si(1.0, "hp", D::Power) / (si(1.0, "lb-ft", D::Torque) * si(1.0, "rpm", D::RotationalSpeed))
            }
            "kW_from_Nm_rpm_divisor" => si(1.0, "kW", D::Power) / si(1.0, "rpm", D::RotationalSpeed),
            "PS_from_kgfm_rpm_divisor" => {
                si(1.0, "PS", D::Power) / (si(1.0, "kgf·m", D::Torque) * si(1.0, "rpm", D::RotationalSpeed))
            }
            "hp_in_PS" => si(1.0, "hp", D::Power) / si(1.0, "PS", D::Power),
            "kW_in_hp" => si(1.0, "kW", D::Power) / si(1.0, "hp", D::Power),
            "g_standard" => si(1.0, "g₀", D::Acceleration),
            // Checked with the formulae.
            "bmep_psi_from_lbft_in3_4stroke" | "bmep_kPa_from_Nm_L_4stroke" | "bmep_psi_from_hp_in3_rpm_4stroke" => {
                continue;
            }
            // No units.
            "R_universal" | "R_dry_air_ASHRAE" | "R_water_vapour_ASHRAE" | "R_air_ISO2533" => continue,
            other => panic!("a new row {other} is not checked"),
        };
        let expected = row.number("value");
        let tolerance = half_digit(expected) * (1.0 + 1e-6) + expected * 1e-15;
        assert!((ours - expected).abs() <= tolerance, "{name}: {ours} against {expected} ± {tolerance:e}");
        checked += 1;
    }
    assert_eq!(checked, 34);
}

#[test]
fn every_symbol_finds_its_own_unit() {
    for unit in all_units() {
        let found = find_unit_in(unit.symbol, unit.dimension).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!((found.scale, found.offset), (unit.scale, unit.offset), "{}", unit.symbol);
        let there_and_back = unit.from_si(unit.to_si(12.345));
        // Two roundings of a sum whose larger term is at most 460 (for °F): 460 × 2⁻⁵² × 2.
        assert!((there_and_back - 12.345).abs() < 3e-13, "{}", unit.symbol);
    }
}

#[test]
fn shop_spellings() {
    let cases = [
        ("lb-ft", "lb-ft"),
        ("lbf·ft", "lb-ft"),
        ("ft-lb", "lb-ft"),
        ("lb ft", "lb-ft"),
        ("FT.LBS", "lb-ft"),
        ("Lbs-Ft", "lb-ft"),
        ("[ft-lbf]", "lb-ft"),
        ("N·m", "N·m"),
        ("Nm", "N·m"),
        ("N-m", "N·m"),
        ("NM", "N·m"),
        ("N*m", "N·m"),
        ("(Nm)", "N·m"),
        ("inHg", "inHg"),
        ("in Hg", "inHg"),
        ("in. Hg", "inHg"),
        ("IN-HG", "inHg"),
        ("inHg vac", "inHg vac"),
        ("in Hg vacuum", "inHg vac"),
        ("psi", "psi"),
        ("PSIG", "psig"),
        ("psia", "psia"),
        ("psi (a)", "psia"),
        ("PSI gauge", "psig"),
        ("kPa", "kPa"),
        ("KPA", "kPa"),
        ("Mbar", "mbar"),
        ("MBAR", "mbar"),
        ("kpa", "kPa"),
        ("kPa abs", "kPa abs"),
        ("kPaA", "kPa abs"),
        ("kPa(g)", "kPa gauge"),
        ("mbar", "mbar"),
        ("hPa", "hPa"),
        ("MPa", "MPa"),
        ("bar", "bar"),
        ("barg", "barg"),
        ("bar a", "bara"),
        ("°F", "°F"),
        ("degF", "°F"),
        ("F", "°F"),
        ("Deg. F", "°F"),
        ("ºF", "°F"),
        ("deg C", "°C"),
        ("°c", "°C"),
        ("C", "°C"),
        ("℃", "°C"),
        ("K", "K"),
        ("rpm", "rpm"),
        ("RPM", "rpm"),
        ("1/min", "rpm"),
        ("r/min", "rpm"),
        ("min^-1", "rpm"),
        ("min⁻¹", "rpm"),
        ("U/min", "rpm"),
        ("hp", "hp"),
        ("HP", "hp"),
        ("bhp", "hp"),
        ("PS", "PS"),
        ("cv", "PS"),
        ("kW", "kW"),
        ("KW", "kW"),
        ("lb/h", "lb/h"),
        ("lb/hr", "lb/h"),
        ("lbs/hr", "lb/h"),
        ("LBS/HR", "lb/h"),
        ("g/s", "g/s"),
        ("kg/h", "kg/h"),
        ("cfm", "cfm"),
        ("CFM", "cfm"),
        ("L/min", "L/min"),
        ("l/min", "L/min"),
        ("%", "%"),
        ("deg", "°"),
        ("°", "°"),
        ("rad", "rad"),
        ("°CA", "° crank"),
        ("°BTDC", "° crank"),
        ("V", "V"),
        ("mV", "mV"),
        ("ms", "ms"),
        ("MS", "ms"),
        ("s", "s"),
        ("sec", "s"),
        ("h", "h"),
        ("Hz", "Hz"),
        ("g/kWh", "g/kWh"),
        ("g/kW-h", "g/kWh"),
        ("g/(kW·h)", "g/kWh"),
        ("lb/hp-h", "lb/hp-h"),
        ("lb/hp-hr", "lb/hp-h"),
        ("lb/(hp·h)", "lb/hp-h"),
        ("kg·m²", "kg·m²"),
        ("kg-m2", "kg·m²"),
        ("kg*m^2", "kg·m²"),
        ("lb-ft²", "lb-ft²"),
        ("thou", "thou"),
        ("mm", "mm"),
        ("in", "in"),
        ("in.", "in"),
        ("\"", "in"),
        ("cc", "cm³"),
        ("cm³", "cm³"),
        ("in³", "in³"),
        ("ci", "in³"),
        ("L", "L"),
        ("US gal", "US gal"),
        ("gal (US)", "US gal"),
        ("oz-in", "oz-in"),
        ("kgf·m", "kgf·m"),
        ("lb-in", "lb-in"),
        ("inH2O", "inH2O"),
        ("in H₂O", "inH2O"),
        ("mmHg", "mmHg"),
        ("torr", "torr"),
        ("atm", "atm"),
        ("λ", "λ"),
        ("Λ", "λ"),
        ("lambda", "λ"),
        ("AFR", "A/F"),
        ("A/F", "A/F"),
        ("ft/min", "ft/min"),
        ("feet per minute", "ft/min"),
        ("lb/ft³", "lb/ft³"),
        ("G", "g₀"),
        ("rpm/s", "rpm/s"),
    ];
    let wrong: Vec<String> = cases
        .iter()
        .filter_map(|(text, symbol)| match find_unit(text) {
            Ok(unit) if unit.symbol == *symbol => None,
            Ok(unit) => Some(format!("{text}: {} instead of {symbol}", unit.symbol)),
            Err(error) => Some(format!("{text}: {error}")),
        })
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_kind_asked_for_settles_the_reading() {
    assert_eq!(find_unit_in("lb", Dimension::Force).expect("lbf").symbol, "lbf");
    assert_eq!(find_unit_in("lb", Dimension::Mass).expect("lb").symbol, "lb");
    assert_eq!(find_unit_in("kg", Dimension::Force).expect("kgf").symbol, "kgf");
    assert_eq!(find_unit_in("ft-lb", Dimension::Energy).expect("ft-lb").dimension, Dimension::Energy);
    assert_eq!(find_unit_in("-", Dimension::Lambda).expect("lambda").scale, 1.0);
    assert_eq!(find_unit_in("F", Dimension::TemperatureDifference).expect("°F").offset, 0.0);
    assert_eq!(find_unit_in("C°", Dimension::Temperature).expect("°C").offset, 273.15);
    assert!(matches!(find_unit_in("deg", Dimension::Temperature), Err(UnitError::Ambiguous { .. })));
    assert!(matches!(find_unit_in("gal", Dimension::Volume), Err(UnitError::Ambiguous { .. })));
}

#[test]
fn a_vacuum_is_a_negative_gauge_pressure() {
    let unit = find_unit("inHg vac").expect("a unit");
    assert_eq!(unit.reference, PressureReference::Vacuum);
    // 18 × 3386.38864 Pa, the conventional inch of mercury.
    assert!((unit.to_si(18.0) + 60_954.995_5).abs() < 1e-3);
}

#[test]
fn milli_never_turns_into_mega() {
    for text in ["mPa", "mpa", "mW", "mJ", "Mm"] {
        assert!(matches!(find_unit(text), Err(UnitError::Unknown { .. })), "{text}: {:?}", find_unit(text));
    }
}

#[test]
fn what_a_person_reads_when_a_unit_is_not_clear() {
    let mut said = String::new();
    for text in [
        "lb", "gal", "gal/h", "oz", "ton", "mil", "-", "g", "scfm", "phi", "whp", "mpg", "°ATDC", "C°", "sg", "torks",
        "lbft2s", "", "qt", "mpa", "🦀",
    ] {
        said += &match find_unit(text) {
            Ok(unit) => format!("{text:?}: {}\n", unit.symbol),
            Err(error) => format!("{text:?}: {error}\n"),
        };
    }
    for (text, dimension) in [
        ("deg", Dimension::Temperature),
        ("psi", Dimension::Torque),
        ("furlong", Dimension::Length),
        ("rpms/", Dimension::RotationalSpeed),
        ("°C", Dimension::AirFuelRatio),
    ] {
        said += &match find_unit_in(text, dimension) {
            Ok(unit) => format!("{text:?} as {dimension}: {}\n", unit.symbol),
            Err(error) => format!("{text:?} as {dimension}: {error}\n"),
        };
    }
    insta::assert_snapshot!(said);
}

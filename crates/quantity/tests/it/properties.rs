//! Properties: what is printed reads back, and no text can make the reader panic.

use proptest::prelude::*;
use quantity::{
    AbsolutePressure, AirFuelRatio, Barometer, CrankAngle, Density, Dimension, Force, Fraction, GaugePressure, Inertia,
    Lambda, Length, Mass, MassFlow, Power, Quantity, RotationalSpeed, Shown, SpecificFuel, Temperature,
    TemperatureDifference, Time, Torque, UnitSystem, Velocity, Volume, VolumeFlow, find_unit, find_unit_in,
    format_with_uncertainty, parse, unit::all_units,
};

fn systems() -> impl Strategy<Value = UnitSystem> {
    prop_oneof![Just(UnitSystem::Metric), Just(UnitSystem::UsCustomary)]
}

/// Printed and read again: off by at most half of the last printed digit, and rounding (1e-12).
fn back<T: Quantity>(shown: &Shown, si: f64, read: impl Fn(T) -> f64) -> Result<(), TestCaseError> {
    let text = shown.to_string();
    let entered = parse::<T>(&text).map_err(|error| TestCaseError::fail(error.to_string()))?;
    let off = (read(entered.value) - si).abs();
    let allowed = 0.5 * entered.resolution_si * (1.0 + 1e-9) + 1e-12 * si.abs().max(1.0e-3);
    prop_assert!(off <= allowed, "{text}: off by {off:e}, allowed {allowed:e}");
    Ok(())
}

proptest! {
    // Unoptimised, a text that is no unit is compared with every known spelling; 128 keep it to seconds.
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn what_is_shown_reads_back(system in systems(), x in 0.001f64..1.0, decimals in 0u8..6) {
        let d = Some(decimals);
        let signed = 2.0 * x - 1.0;
        back(&system.torque(2000.0 * signed, d), 2000.0 * signed, Torque::nm)?;
        back(&system.power(1e6 * signed, d), 1e6 * signed, Power::watts)?;
        back(&system.absolute_pressure(4e5 * x, d), 4e5 * x, AbsolutePressure::pascals)?;
        back(&system.gauge_pressure(4e5 * signed, d), 4e5 * signed, GaugePressure::pascals)?;
        back(&system.barometer(1.1e5 * x, d), 1.1e5 * x, Barometer::pascals)?;
        back(&system.temperature(100.0 + 1200.0 * x, d), 100.0 + 1200.0 * x, Temperature::kelvin)?;
        back(&system.temperature_difference(90.0 * signed, d), 90.0 * signed, TemperatureDifference::kelvin)?;
        back(&system.length(0.2 * signed, d), 0.2 * signed, Length::metres)?;
        back(&system.volume(1e-3 * x, d), 1e-3 * x, Volume::m3)?;
        back(&system.engine_volume(1e-2 * x, d), 1e-2 * x, Volume::m3)?;
        back(&system.mass(300.0 * x, d), 300.0 * x, Mass::kg)?;
        back(&system.force(5000.0 * signed, d), 5000.0 * signed, Force::newtons)?;
        back(&system.mass_flow(0.5 * x, d), 0.5 * x, MassFlow::kg_s)?;
        back(&system.volume_flow(0.5 * x, d), 0.5 * x, VolumeFlow::m3_s)?;
        back(&system.specific_fuel(2e-7 * x, d), 2e-7 * x, SpecificFuel::kg_j)?;
        back(&system.velocity(40.0 * x, d), 40.0 * x, Velocity::m_s)?;
        back(&system.inertia(0.2 + 5.0 * x, Some(3)), 0.2 + 5.0 * x, Inertia::kg_m2)?;
        back(&system.density(10.0 + 1000.0 * x, d), 10.0 + 1000.0 * x, Density::kg_m3)?;
        back(&system.angle(6.0 * signed, d), 6.0 * signed, CrankAngle::radians)?;
        back(&system.fraction(x, d), x, Fraction::share)?;
        back(&system.lambda(0.6 + x, Some(3)), 0.6 + x, Lambda::value)?;
        back(&system.air_fuel_ratio(6.0 + 10.0 * x, d), 6.0 + 10.0 * x, AirFuelRatio::by_mass)?;
        back(&system.time(100.0 * x, d), 100.0 * x, Time::seconds)?;
        back(&system.rotational_speed(2000.0 * x, d), 2000.0 * x, RotationalSpeed::rad_s)?;
    }

    /// A value with its uncertainty reads back within the digits printed, spread included.
    #[test]
    fn what_is_shown_with_uncertainty_reads_back(system in systems(), value in -900.0f64..900.0, exponent in -4.0f64..2.0) {
        let u = 10f64.powf(exponent);
        let shown = system.with_uncertainty(Dimension::Torque, value, u).to_string();
        let entered = parse::<Torque>(&shown).map_err(|error| TestCaseError::fail(format!("{shown}: {error}")))?;
        let spread = entered.plus_minus_si.expect("a spread");
        // One digit of a number of 2 or more: off by a quarter at most (2.5 printed as 2 or 3).
        prop_assert!((spread / u - 1.0).abs() <= 0.25 + 1e-9, "{shown}: {spread} for {u}");
        // The value stands to the same place, or to tens: half of the spread's last digit, at most u/4 … u/2.
        prop_assert!((entered.value.nm() - value).abs() <= 0.5 * u + 1e-9, "{shown}: {value}");
    }

    #[test]
    fn conversion_there_and_back(written in -1e6f64..1e6) {
        for unit in all_units() {
            let back = unit.from_si(unit.to_si(written));
            // Two roundings of the scaled value, the offset (at most 460) and their sum: 6 × 2⁻⁵³ × (|x| + 460).
            prop_assert!((back - written).abs() <= 7e-16 * (written.abs() + 460.0), "{}: {written} {back}", unit.symbol);
        }
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,40}") {
        every_kind(&text);
    }

    /// The same with the letters that mean something here.
    #[test]
    fn no_text_of_known_parts_makes_the_reader_panic(
        parts in proptest::collection::vec(prop_oneof![
            Just("1"), Just("234"), Just("."), Just(","), Just(" "), Just("/"), Just("-"), Just("−"), Just("±"), Just("e"),
            Just(":1"), Just(" on "), Just("gasoline"), Just("λ"), Just("Λ"), Just("in"), Just("°"), Just("²"), Just("½"),
            Just("psi"), Just("vac"), Just("K"), Just("İ"), Just("\u{a0}"), Just("0"), Just("lambda"), Just("+"), Just("999999999999999999999"),
        ], 0..12)
    ) {
        every_kind(&parts.concat());
    }

    #[test]
    fn any_pair_of_numbers_prints(value in any::<f64>(), u in any::<f64>()) {
        let text = format_with_uncertainty(value, u);
        prop_assert!(text.contains('±'));
        for system in [UnitSystem::Metric, UnitSystem::UsCustomary] {
            prop_assert!(!system.torque(value, Some(2)).number.contains('-'));
        }
    }
}

fn every_kind(text: &str) {
    let _ = find_unit(text);
    let _ = find_unit_in(text, Dimension::Pressure);
    let _ = parse::<Length>(text).map_err(|error| error.to_string());
    let _ = parse::<AbsolutePressure>(text).map_err(|error| error.to_string());
    let _ = parse::<Temperature>(text).map_err(|error| error.to_string());
    let _ = parse::<Lambda>(text).map_err(|error| error.to_string());
    let _ = parse::<AirFuelRatio>(text).map_err(|error| error.to_string());
    let _ = parse::<RotationalSpeed>(text).map_err(|error| error.to_string());
    let _ = parse::<CrankAngle>(text).map_err(|error| error.to_string());
}

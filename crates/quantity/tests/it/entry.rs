//! What people type.

use quantity::{
    AbsolutePressure, AirFuelRatio, Altitude, Barometer, CamAngle, CrankAngle, Diameter, Entered, Force, Fraction,
    Fuel, GaugePressure, Inertia, Lambda, Length, Mass, MassFlow, ParseError, Power, Quantity, RotationalSpeed,
    SpecificFuel, Temperature, TemperatureDifference, Time, Torque, Velocity, Volume, VolumeFlow, parse,
};

fn read<T: Quantity>(text: &str) -> Entered<T> {
    parse(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// Rounding of one or two products of exact constants: a few times 2⁻⁵³, 1e-14 is ample.
fn near(ours: f64, expected: f64, what: &str) {
    assert!((ours - expected).abs() <= 1e-14 * expected.abs().max(1.0), "{what}: {ours} against {expected}");
}

#[test]
fn lengths() {
    for (text, inches, step) in [
        ("2.5 thou", 0.0025, 1e-4),
        (".0025 in", 0.0025, 1e-4),
        ("2.5thou", 0.0025, 1e-4),
        ("0.0025\"", 0.0025, 1e-4),
        ("2 1/2 in", 2.5, 0.5),
        ("2-1/2 in", 2.5, 0.5),
        ("2½ in", 2.5, 0.5),
        ("½\"", 0.5, 0.5),
        ("1/2 in", 0.5, 0.5),
        ("17/64 in", 17.0 / 64.0, 1.0 / 64.0),
        ("-1/2 in", -0.5, 0.5),
        ("−0.005 in", -0.005, 1e-3),
        ("4.0300 in", 4.03, 1e-4),
        ("63,5 mm", 2.5, 0.1 / 25.4),
        ("63.5mm", 2.5, 0.1 / 25.4),
        ("0,0635 m", 2.5, 1e-4 / 0.0254),
        ("6.35e-2 m", 2.5, 1e-4 / 0.0254),
        ("1,234.5 mm", 1234.5 / 25.4, 0.1 / 25.4),
        ("1.234,5 mm", 1234.5 / 25.4, 0.1 / 25.4),
        ("1 234.5 mm", 1234.5 / 25.4, 0.1 / 25.4),
        ("1234,567 mm", 1234.567 / 25.4, 0.001 / 25.4),
        ("0,125 in", 0.125, 0.001),
        ("1.234 mm", 1.234 / 25.4, 0.001 / 25.4),
        ("1,234,567 mm", 1_234_567.0 / 25.4, 1.0 / 25.4),
        ("5. in", 5.0, 1.0),
        ("  3.5\u{a0}in ", 3.5, 0.1),
        ("3 tenths", 0.0003, 1e-4),
    ] {
        let entered = read::<Length>(text);
        near(entered.value.inches(), inches, text);
        near(entered.resolution_si / 0.0254, step, text);
        assert_eq!(entered.text, text);
        near(read::<Diameter>(text).value.inches(), inches, text);
    }
}

#[test]
fn plus_minus() {
    for text in [
        "4.0302 ± 0.0002 in",
        "4.0302 in ± 0.0002 in",
        "4.0302±.0002in",
        "4.0302 in ± 0.2 thou",
        "4.0302 +/- 0.0002 in",
    ] {
        let entered = read::<Length>(text);
        near(entered.value.inches(), 4.0302, text);
        near(entered.plus_minus_si.expect("a spread") / 0.0254, 0.0002, text);
    }
    // A spread of temperature is a difference: no offset. 2 °F is 10/9 K.
    near(read::<Temperature>("85 ± 2 °F").plus_minus_si.expect("a spread"), 2.0 / 1.8, "85 ± 2 °F");
    assert_eq!(read::<Length>("4 in").plus_minus_si, None);
}

#[test]
fn the_rest_of_the_bench() {
    near(read::<Torque>("412 lb-ft").value.lb_ft(), 412.0, "torque");
    near(read::<Torque>("558.6 Nm").value.nm(), 558.6, "torque");
    near(read::<Power>("500 hp").value.hp(), 500.0, "power");
    near(read::<Power>("500 PS").value.kw(), 367.749_375, "power");
    near(read::<Barometer>("29.92 inHg").value.inhg(), 29.92, "barometer");
    near(read::<Barometer>("987 mbar").value.kpa(), 98.7, "barometer");
    near(read::<Barometer>("98.7 kPa abs").value.kpa(), 98.7, "barometer");
    near(read::<GaugePressure>("8 psi").value.psig(), 8.0, "boost");
    near(read::<GaugePressure>("18 inHg vac").value.inhg(), -18.0, "vacuum");
    near(read::<AbsolutePressure>("22.7 psia").value.psia(), 22.7, "manifold");
    near(read::<AbsolutePressure>("156 kPa abs").value.kpa(), 156.0, "manifold");
    near(read::<Temperature>("85F").value.fahrenheit(), 85.0, "°F");
    near(read::<Temperature>("-10 °C").value.kelvin(), 263.15, "°C");
    near(read::<Temperature>("303 K").value.celsius(), 29.85, "K");
    near(read::<TemperatureDifference>("18 °F").value.kelvin(), 10.0, "difference");
    near(read::<RotationalSpeed>("6,400 rpm").value.rpm(), 6400.0, "speed");
    near(read::<RotationalSpeed>("12 600 rpm").value.rpm(), 12_600.0, "speed");
    near(read::<RotationalSpeed>("6400 1/min").value.rpm(), 6400.0, "speed");
    near(read::<Altitude>("5,300 ft").value.metres(), 1615.44, "height");
    near(read::<CrankAngle>("32°").value.degrees(), 32.0, "crank");
    near(read::<CrankAngle>("32 °BTDC").value.degrees(), 32.0, "crank");
    near(read::<CamAngle>("110 deg").value.crank().degrees(), 220.0, "cam");
    near(read::<Mass>("620 g").value.kg(), 0.62, "mass");
    near(read::<Force>("411 lb").value.lbf(), 411.0, "force");
    near(read::<MassFlow>("123 lb/hr").value.lb_h(), 123.0, "fuel");
    near(read::<VolumeFlow>("650 cfm").value.cfm(), 650.0, "air");
    near(read::<Inertia>("9.5 lb-ft²").value.lb_ft2(), 9.5, "inertia");
    near(read::<SpecificFuel>("0.45 lb/hp-h").value.lb_hp_h(), 0.45, "fuel");
    near(read::<Fraction>("55 %").value.share(), 0.55, "humidity");
    near(read::<Velocity>("3,480.5 ft/min").value.ft_min(), 3480.5, "piston");
    near(read::<Time>("250 ms").value.seconds(), 0.25, "time");
    near(read::<Volume>("64 cc").value.cm3(), 64.0, "chamber");
    near(read::<Volume>("350 ci").value.in3(), 350.0, "engine");
}

#[test]
fn mixtures() {
    let entered = read::<Lambda>("12.8:1 AFR on gasoline");
    near(entered.value.value(), 12.8 / 14.7, "12.8 on gasoline");
    near(entered.resolution_si, 0.1 / 14.7, "step");
    assert_eq!(entered.fuel, Some(Fuel::Gasoline));
    near(read::<Lambda>("12.8:1 on gasoline").value.value(), 12.8 / 14.7, "12.8 on gasoline");
    near(read::<Lambda>("7.6 AFR on E85").value.value(), 7.6 / 9.8, "7.6 on E85");
    near(read::<Lambda>("12.8 ± 0.1 AFR on gasoline").plus_minus_si.expect("a spread"), 0.1 / 14.7, "spread");
    for text in ["0.85", "λ 0.85", "0.85 λ", "lambda 0.85", "Lambda = 0,85", "0.85 lambda"] {
        near(read::<Lambda>(text).value.value(), 0.85, text);
    }
    near(read::<AirFuelRatio>("12.8:1").value.by_mass(), 12.8, "ratio");
    near(read::<AirFuelRatio>("12.8 AFR on gasoline").value.by_mass(), 12.8, "ratio");
    near(read::<AirFuelRatio>("lambda 0.85 on E10").value.by_mass(), 0.85 * 14.1, "ratio");
}

/// Expected: the formulae of ethanol and methanol with atomic masses 12.011, 1.008, 15.999 and air
/// of 23.2 % oxygen by mass (from memory). Tolerance: half of the last digit used, and 0.01 for the
/// oxygen share (23.14 to 23.2 % in use moves 9.0 by 0.02).
#[test]
fn stoichiometric_ratios_follow_from_the_formulae() {
    let (c, h, o) = (12.011, 1.008, 15.999);
    let ethanol = 3.0 * 2.0 * o / 0.232 / (2.0 * c + 6.0 * h + o);
    let methanol = 1.5 * 2.0 * o / 0.232 / (c + 4.0 * h + o);
    assert!((Fuel::Ethanol.stoichiometric().by_mass() - ethanol).abs() < 0.07, "{ethanol}");
    assert!((Fuel::Methanol.stoichiometric().by_mass() - methanol).abs() < 0.02, "{methanol}");
    let blend = |share: f64| share * ethanol + (1.0 - share) * 14.7;
    assert!((Fuel::E10.stoichiometric().by_mass() - blend(0.10)).abs() < 0.07);
    assert!((Fuel::E85.stoichiometric().by_mass() - blend(0.85)).abs() < 0.07);
}

fn said<T: Quantity>(text: &str) -> String {
    match parse::<T>(text) {
        Ok(_) => format!("{} from {text:?}: READ", T::NAME),
        Err(error) => format!("{} from {text:?}: {error}", T::NAME),
    }
}

#[test]
fn what_a_person_reads_when_it_is_not_clear() {
    let all = [
        said::<Length>(""),
        said::<Length>("   "),
        said::<Length>("about 5 mm"),
        said::<Length>("1,234 mm"),
        said::<Length>("−1,234 mm"),
        said::<Length>("1.2.3 mm"),
        said::<Length>("1,23,4 mm"),
        said::<Length>("1.234,567.8 mm"),
        said::<Length>("12.5"),
        said::<Length>("12.5 mil"),
        said::<Length>("12.5 furlongs"),
        said::<Length>("12.5 psi"),
        said::<Length>("1/0 in"),
        said::<Length>("1/2.5 in"),
        said::<Length>("5 ± -1 mm"),
        said::<Length>("5 ± mm"),
        said::<Length>("1e999 mm"),
        said::<AbsolutePressure>("8 psi"),
        said::<AbsolutePressure>("8 psig"),
        said::<AbsolutePressure>("18 inHg vac"),
        said::<AbsolutePressure>("-3 psia"),
        said::<GaugePressure>("22.7 psia"),
        said::<Barometer>("18 inHg vac"),
        said::<Temperature>("85 deg"),
        said::<Temperature>("-500 °F"),
        said::<Temperature>("85"),
        said::<CrankAngle>("110 deg cam"),
        said::<CamAngle>("220 °CA"),
        said::<Lambda>("12.8:1"),
        said::<Lambda>("12.8 AFR"),
        said::<Lambda>("12.8"),
        said::<Lambda>("12.8:1 AFR on kerosene"),
        said::<AirFuelRatio>("lambda 0.85"),
        said::<AirFuelRatio>("12.8"),
        said::<Volume>("5 qt"),
        said::<VolumeFlow>("650 scfm"),
        said::<Inertia>("0 kg·m²"),
        said::<Mass>("3 N"),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn two_readings_name_both() {
    let error = parse::<Length>("1,234 mm").expect_err("two readings");
    let expected =
        ParseError::NumberAmbiguous { text: "1,234 mm".into(), first: "1234".into(), second: "1.234".into() };
    assert_eq!(error, expected);
}

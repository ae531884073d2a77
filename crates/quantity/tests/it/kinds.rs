//! Steps between types that look alike.

use quantity::{
    AbsolutePressure, Barometer, CamAngle, Diameter, GaugePressure, KindError, Observed, Origin, StoichiometricRatio,
    Temperature, Torque, VolumeFlow, VolumeFlowAt,
};

/// Expected: 18 inHg of vacuum under a barometer of 29.9 is 11.9 inHg absolute (common practice, no source).
#[test]
fn gauge_becomes_absolute_only_with_a_barometer() {
    let vacuum = GaugePressure::from_inhg(-18.0);
    let barometer = Barometer::from_inhg(29.9);
    let absolute = vacuum.absolute(barometer).expect("possible");
    assert!((absolute.inhg() - 11.9).abs() < 1e-12);
    assert!((absolute.gauge(barometer).inhg() + 18.0).abs() < 1e-12);
    assert!(matches!(GaugePressure::from_inhg(-31.0).absolute(barometer), Err(KindError::NotPossible { .. })));
}

#[test]
fn diameters_cam_degrees_and_temperatures() {
    assert_eq!(Diameter::from_mm(100.0).radius().mm(), 50.0);
    assert_eq!(Diameter::from_mm(100.0).radius().diameter(), Diameter::from_mm(100.0));
    assert!((CamAngle::from_degrees(110.0).crank().degrees() - 220.0).abs() < 1e-12);
    let rise = Temperature::from_fahrenheit(95.0).above(Temperature::from_fahrenheit(77.0));
    assert!((rise.kelvin() - 10.0).abs() < 1e-12);
}

/// Expected: 1 cfm of dry air at 101 325 Pa and 288.15 K is 4.719474e-4 × 1.2250 kg/s (ideal gas, 287.05).
#[test]
fn a_gas_flow_needs_its_condition() {
    let flow = VolumeFlowAt {
        flow: VolumeFlow::from_cfm(1.0),
        pressure: AbsolutePressure::from_pascals(101_325.0),
        temperature: Temperature::from_kelvin(288.15),
    };
    let ours = flow.mass_flow(287.05).kg_s();
    assert!((ours / (4.719_474_4e-4 * 1.225_0) - 1.0).abs() < 5e-5, "{ours}");
}

#[test]
fn a_corrected_figure_says_so() {
    let corrected = Observed::new(Torque::from_nm(500.0)).corrected(1.0291, "corrected with the J1349 factor");
    assert!((corrected.value().nm() - 514.55).abs() < 1e-9);
    assert_eq!(corrected.form(), "corrected with the J1349 factor");
    assert_eq!(corrected.factor(), 1.0291);
}

#[test]
fn a_ratio_that_no_fuel_has_is_refused() {
    let origin = || Origin::Claimed { by: "the owner".into() };
    assert!(StoichiometricRatio::new(14.2, origin()).is_ok());
    assert!(StoichiometricRatio::new(0.85, origin()).is_err());
    assert!(StoichiometricRatio::new(f64::NAN, origin()).is_err());
}

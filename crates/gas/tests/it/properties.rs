//! Properties that every correction has, over the air in which engines run.

use gas::correction::{AirUncertainty, AmbientAir, Standard, corrected_torque_nm, factor, factor_uncertainty};
use proptest::prelude::*;

fn air() -> impl Strategy<Value = AmbientAir> {
    (60_000.0f64..106_000.0, 260.0f64..320.0, 0.0f64..1.0)
        .prop_map(|(pressure, kelvin, humidity)| AmbientAir::from_humidity(pressure, kelvin, humidity).expect("usable"))
}

fn standards() -> impl Strategy<Value = Standard> {
    proptest::sample::select(Standard::ALL.as_slice()).prop_filter("a correction", |s| *s != Standard::Observed)
}

proptest! {
    /// Thinner air needs a larger factor: less pressure, more warmth; more vapour, except where humidity is left out.
    #[test]
    fn thinner_air_needs_a_larger_factor(air in air(), standard in standards()) {
        let here = factor(standard, &air).expect("usable");
        let higher = AmbientAir { pressure_pa: air.pressure_pa - 100.0, ..air };
        prop_assert!(factor(standard, &higher).expect("usable") > here);
        let warmer = AmbientAir { temperature_k: air.temperature_k + 1.0, ..air };
        prop_assert!(factor(standard, &warmer).expect("usable") > here);
        let damper = AmbientAir { vapour_pressure_pa: air.vapour_pressure_pa * 0.9, ..air };
        let with_less_vapour = factor(standard, &damper).expect("usable");
        if standard == Standard::Din70020 {
            prop_assert_eq!(with_less_vapour, here);
        } else {
            prop_assert!(with_less_vapour <= here);
        }
    }

    /// The factor with 85 % unrounded and the known-friction form agree when friction is 15/85 of the torque:
    /// the same statement said twice. Tolerance: rounding of a few products, 1e-12 of the torque.
    #[test]
    fn the_85_percent_form_is_the_known_friction_form(air in air(), torque in 10.0f64..2000.0) {
        let assumed = corrected_torque_nm(Standard::SaeJ1349Unrounded, &air, torque, None).expect("usable");
        let friction = torque * 0.15 / 0.85;
        let known = corrected_torque_nm(Standard::SaeJ1349KnownFriction, &air, torque, Some(friction)).expect("usable");
        prop_assert!((assumed - known).abs() <= 1e-12 * torque * 10.0, "{assumed} {known}");
    }

    /// No friction makes the friction forms the bare ones.
    #[test]
    fn without_friction_the_forms_meet(air in air(), torque in 10.0f64..2000.0) {
        let bare = corrected_torque_nm(Standard::SaeJ607, &air, torque, None).expect("usable");
        let with = corrected_torque_nm(Standard::SaeJ607WithFriction, &air, torque, Some(0.0)).expect("usable");
        prop_assert_eq!(bare, with);
    }

    /// The first-order uncertainty matches a real shift of the barometer by its uncertainty.
    /// Tolerance: the curvature, a few times (50/60 000) of the change.
    #[test]
    fn a_real_shift_of_the_barometer_agrees(air in air(), standard in standards()) {
        let u = AirUncertainty { pressure_pa: 50.0, temperature_k: 0.0, vapour_pressure_pa: 0.0 };
        let told = factor_uncertainty(standard, &air, &u).expect("usable").from_pressure;
        let shifted = AmbientAir { pressure_pa: air.pressure_pa + 50.0, ..air };
        let real = factor(standard, &air).expect("usable") - factor(standard, &shifted).expect("usable");
        prop_assert!((told / real - 1.0).abs() < 0.003, "{told} {real}");
    }
}

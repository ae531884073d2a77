//! Uncertainty of a factor.

use gas::correction::{
    AirUncertainty, AmbientAir, HumidityUncertainty, Standard, factor_uncertainty, factor_uncertainty_from_humidity,
};

/// Expected: the closed form for J1349 at its reference: −1.18 × x/p_dry per Pa and
/// 1.18 × x/(2 × 298) per kelvin; the sheet of sensitivities has −1.19 % per kPa and +0.198 % per K.
/// Tolerance: 1e-6 relative, the curvature left in the central difference
/// ((10 Pa / 99 kPa)² = 1e-8) and rounding (1e-16/1e-4 of a step).
#[test]
fn slopes_match_the_closed_form() {
    let air = AmbientAir::new(99_000.0, 298.15, 0.0).expect("usable air");
    let one = AirUncertainty { pressure_pa: 1000.0, temperature_k: 1.0, vapour_pressure_pa: 1000.0 };
    // Dry air: the vapour slope is taken across zero, which the formula allows.
    let u = factor_uncertainty(Standard::SaeJ1349, &air, &one).expect("usable air");
    let expected = 1.18 / 99.0;
    assert!((u.from_pressure / expected - 1.0).abs() < 1e-6, "{}", u.from_pressure);
    assert!((u.from_vapour / expected - 1.0).abs() < 1e-6, "{}", u.from_vapour);
    assert!((u.from_temperature / (1.18 / 596.0) - 1.0).abs() < 1e-6, "{}", u.from_temperature);
    assert!((u.from_pressure - 0.0119).abs() < 5e-5 && (u.from_temperature - 0.00198).abs() < 5e-6);
    let total = (u.from_pressure.powi(2) + u.from_temperature.powi(2) + u.from_vapour.powi(2)).sqrt();
    assert!((u.total - total).abs() < 1e-15);
}

/// Expected: +10 points of humidity at 30 °C move J1349 by +0.5 % (sheet of sensitivities; one digit).
/// The thermometer's error counts twice there, through the root and through the vapour, and the two
/// have the same sign: the sum must exceed the direct part alone.
#[test]
fn a_thermometer_error_counts_through_the_vapour_too() {
    let air = AmbientAir::from_humidity(99_500.0, 303.15, 0.5).expect("usable air");
    let u = HumidityUncertainty { pressure_pa: 0.0, temperature_k: 0.85, humidity: 0.10 };
    let with = factor_uncertainty_from_humidity(Standard::SaeJ1349, &air, &u).expect("usable air");
    assert!((with.from_vapour - 0.005).abs() < 5e-4, "{}", with.from_vapour);
    let direct = AirUncertainty { pressure_pa: 0.0, temperature_k: 0.85, vapour_pressure_pa: 0.0 };
    let without = factor_uncertainty(Standard::SaeJ1349, &air, &direct).expect("usable air");
    // Vapour slope at 30 °C is 243 Pa/K at saturation (Clausius–Clapeyron from the table's 25 and
    // 35 °C entries: 246), half of it here, times 1.19e-5 per Pa and 0.85 K: 0.0013.
    let through_vapour = with.from_temperature - without.from_temperature;
    assert!((through_vapour - 0.0013).abs() < 1e-4, "{through_vapour}");
}

#[test]
fn as_observed_carries_no_factor_uncertainty() {
    let air = AmbientAir::from_humidity(99_500.0, 303.15, 0.5).expect("usable air");
    let u = AirUncertainty { pressure_pa: 50.0, temperature_k: 0.85, vapour_pressure_pa: 200.0 };
    assert_eq!(factor_uncertainty(Standard::Observed, &air, &u).expect("usable air").total, 0.0);
}

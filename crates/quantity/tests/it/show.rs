//! Printed numbers.

use quantity::{
    Dimension, UnitSystem, decimals_for, digits, digits_with_uncertainty, format_with_uncertainty, thousands,
};

const SYSTEMS: [UnitSystem; 2] = [UnitSystem::Metric, UnitSystem::UsCustomary];

#[test]
fn what_each_system_prints() {
    let mut said = String::new();
    for system in SYSTEMS {
        let rows = [
            ("torque", system.torque(558.6, None)),
            ("torque, one decimal", system.torque(558.6, Some(1))),
            ("power", system.power(373_000.0, None)),
            ("absolute pressure", system.absolute_pressure(98_700.0, None)),
            ("gauge pressure", system.gauge_pressure(-61_000.0, None)),
            ("barometer", system.barometer(98_700.0, None)),
            ("mean pressure", system.mean_pressure(1.188e6, None)),
            ("temperature", system.temperature(303.15, None)),
            ("temperature difference", system.temperature_difference(-10.0, None)),
            ("length", system.length(0.102_362, None)),
            ("volume", system.volume(76e-6, None)),
            ("engine volume", system.engine_volume(5.735e-3, None)),
            ("mass", system.mass(0.62, None)),
            ("force", system.force(1830.0, None)),
            ("mass flow", system.mass_flow(0.0155, None)),
            ("volume flow", system.volume_flow(0.3, None)),
            ("specific fuel", system.specific_fuel(7.75e-8, None)),
            ("velocity", system.velocity(17.678, None)),
            ("inertia", system.inertia(0.8, None)),
            ("density", system.density(1.1769, None)),
            ("energy", system.energy(52_000.0, None)),
            ("angle", system.angle(0.558_505, None)),
            ("fraction", system.fraction(0.55, None)),
            ("lambda", system.lambda(0.78, None)),
            ("air–fuel ratio", system.air_fuel_ratio(12.8, None)),
            ("time", system.time(7.25, None)),
            ("voltage", system.voltage(13.5, None)),
            ("speed", system.speed_rpm(12_600.4, None)),
            ("speed from rad/s", system.rotational_speed(628.318_53, None)),
            ("torque with uncertainty", system.with_uncertainty(Dimension::Torque, 558.6, 3.4)),
            ("no value", system.torque(f64::NAN, None)),
        ];
        for (name, shown) in rows {
            said += &format!("{system:?} {name}: {shown}\n");
        }
    }
    insta::assert_snapshot!(said);
}

#[test]
fn every_system_unit_exists() {
    for unit in quantity::unit::all_units() {
        for system in SYSTEMS {
            assert_eq!(system.unit(unit.dimension).dimension, unit.dimension);
        }
    }
}

#[test]
fn digits_follow_the_uncertainty() {
    for (value, u, expected) in [
        (4.030_21, 0.000_2, "4.0302 ± 0.0002"),
        (512.34, 1.23, "512.3 ± 1.2"),
        (512.34, 3.2, "512 ± 3"),
        (512.34, 0.95, "512.3 ± 0.9"),
        (512.34, 0.96, "512.3 ± 1.0"),
        (512.34, 9.96, "512 ± 10"),
        (5231.0, 120.0, "5230 ± 120"),
        (5231.0, 320.0, "5200 ± 300"),
        (-0.004, 0.1, "0.00 ± 0.10"),
        (-3.2, 0.5, "−3.2 ± 0.5"),
        (512.34, 0.0, "512.340 ± –"),
        (f64::NAN, 0.5, "– ± 0.5"),
    ] {
        assert_eq!(format_with_uncertainty(value, u), expected, "{value} ± {u}");
    }
    assert_eq!(decimals_for(0.12), Some(2));
    assert_eq!(decimals_for(0.3), Some(1));
    assert_eq!(decimals_for(40.0), Some(0));
    assert_eq!(decimals_for(0.0), None);
    // Extremes must print something and not panic.
    for value in [f64::MAX, f64::MIN_POSITIVE, 5e-324, -f64::MAX] {
        digits_with_uncertainty(value, value.abs());
        digits_with_uncertainty(1.0, value.abs());
    }
}

#[test]
fn minus_and_thousands() {
    assert_eq!(digits(-0.04, 1), "0.0");
    assert_eq!(digits(-0.06, 1), "−0.1");
    assert_eq!(digits(f64::INFINITY, 1), "–");
    assert_eq!(thousands("999"), "999");
    assert_eq!(thousands("3600"), "3,600");
    assert_eq!(thousands("−12600.5"), "−12,600.5");
    assert_eq!(thousands("1234567"), "1,234,567");
    assert_eq!(thousands("–"), "–");
}

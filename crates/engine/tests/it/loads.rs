//! Tension at overlap and speed limits.

use engine::kinematics::SliderCrank;
use engine::loads::{
    Band, LimitedBy, PullingMasses, TensionInputs, per_bolt_n, speed_limit, tension_at_overlap_n, tension_with_u,
};
use engine::propagate::Estimate;
use engine::refused::Refused;
use proptest::prelude::*;
use std::f64::consts::PI;
use table::{close, rows};

const MASSES: PullingMasses = PullingMasses { reciprocating_kg: 0.745, rotating_kg: 0.30 };

fn crank() -> SliderCrank {
    SliderCrank::from_stroke(0.0884, 0.1448, 0.0).unwrap()
}

/// Mass times the acceleration at top dead centre of the kinematics table, and the big end's m r ω².
#[test]
fn tension_is_mass_times_the_tabulated_acceleration() {
    for row in rows("slider_crank/t06_piston_kinematics.csv") {
        let crank = SliderCrank::from_stroke(row.number("stroke_m"), row.number("rod_m"), 0.0).unwrap();
        let speed = row.number("n_rpm") * PI / 30.0;
        let by_hand = MASSES.reciprocating_kg * row.number("accel_tdc_m_s2")
            + MASSES.rotating_kg * 0.5 * row.number("stroke_m") * speed * speed;
        let found = tension_at_overlap_n(MASSES, crank, speed).unwrap();
        // The table prints eight digits.
        close("tension", found, by_hand, 1e-6 * by_hand);
        close("bolt", per_bolt_n(found, 2).unwrap(), 0.5 * found, 1e-9);
    }
    assert!(matches!(per_bolt_n(1.0, 0), Err(Refused::NotPossible { .. })));
}

/// Handbook: 10 % more speed is 21 % more load.
#[test]
fn a_tenth_more_speed_is_a_fifth_more_load() {
    let at = |speed: f64| tension_at_overlap_n(MASSES, crank(), speed).unwrap();
    close("ratio", at(660.0) / at(600.0), 1.21, 1e-12);
}

/// Handbook classes: mean piston speed of an endurance engine 4,200 to 4,500 ft/min. Stroke 88.4 mm:
/// rpm = ft/min · 0.3048 / (2 · 0.0884) = 7,240.7 and 7,757.9.
#[test]
fn the_lower_rule_sets_the_limit() {
    let ft_min = 0.3048 / 60.0;
    let class = Band { low: 4200.0 * ft_min, high: 4500.0 * ft_min };
    let alone = speed_limit(crank(), class, None).unwrap();
    close("low", alone.limit_rpm.low, 7240.7, 0.05);
    close("high", alone.limit_rpm.high, 7757.9, 0.05);
    assert_eq!(alone.limited_by, LimitedBy::PistonSpeed);
    let pull = |rpm: f64| tension_at_overlap_n(MASSES, crank(), rpm * PI / 30.0).unwrap();
    let weak = Band { low: pull(6000.0), high: pull(6500.0) };
    let found = speed_limit(crank(), class, Some((MASSES, weak))).unwrap();
    close("by tension", found.limit_rpm.low, 6000.0, 1e-8);
    close("by tension", found.limit_rpm.high, 6500.0, 1e-8);
    assert_eq!(found.limited_by, LimitedBy::Tension);
    let strong = Band { low: pull(9000.0), high: pull(9500.0) };
    let found = speed_limit(crank(), class, Some((MASSES, strong))).unwrap();
    assert_eq!(found.limited_by, LimitedBy::PistonSpeed);
    close("low", found.limit_rpm.low, 7240.7, 0.05);
}

#[test]
fn limits_that_cannot_be_are_refused() {
    let turned = Band { low: 25.0, high: 20.0 };
    assert!(matches!(speed_limit(crank(), turned, None), Err(Refused::Clash { .. })));
    let class = Band { low: 20.0, high: 25.0 };
    let nothing = PullingMasses { reciprocating_kg: 0.0, rotating_kg: 0.0 };
    assert!(speed_limit(crank(), class, Some((nothing, Band { low: 1e4, high: 2e4 }))).is_err());
    let negative = PullingMasses { reciprocating_kg: -0.7, rotating_kg: 0.0 };
    assert_eq!(
        tension_at_overlap_n(negative, crank(), 600.0).unwrap_err().to_string(),
        "a reciprocating mass of -700 g is not possible: expected a finite number of zero or more"
    );
}

/// Closed form without offset: F = ω² r [m (1 + r/l) + M], each input by its own derivative.
#[test]
fn tension_carries_its_uncertainty() {
    let inputs = TensionInputs {
        reciprocating_kg: Estimate::new(0.745, 0.0005).unwrap(),
        rotating_kg: Estimate::new(0.30, 0.002).unwrap(),
        stroke_m: Estimate::new(0.0884, 0.0001).unwrap(),
        rod_m: Estimate::new(0.1448, 0.0002).unwrap(),
        offset_m: Estimate::exact(0.0),
        speed_rad_s: Estimate::new(680.0, 2.0).unwrap(),
    };
    let (m, big, r, l, w) = (0.745, 0.30, 0.0442, 0.1448, 680.0f64);
    let parts = [
        w * w * r * (1.0 + r / l) * 0.0005,
        w * w * r * 0.002,
        w * w * (m * (1.0 + 2.0 * r / l) + big) * 0.00005,
        w * w * r * m * r / (l * l) * 0.0002,
        2.0 * w * r * (m * (1.0 + r / l) + big) * 2.0,
    ];
    let by_hand = parts.iter().map(|part| part * part).sum::<f64>().sqrt();
    let found = tension_with_u(&inputs).unwrap();
    close("value", found.value, w * w * r * (m * (1.0 + r / l) + big), 1e-6 * found.value);
    // The steps are a thousandth of the values at most: second order is 1e-6 of the part.
    close("u", found.u, by_hand, 1e-5 * by_hand);
}

proptest! {
    #[test]
    fn the_limit_meets_the_tension(
        stroke in 0.05..0.12f64, ratio in 1.4..2.2f64, offset in -0.002..0.002f64, limit in 1e4..1e5f64
    ) {
        let crank = SliderCrank::from_stroke(stroke, ratio * stroke, offset).unwrap();
        let band = Band { low: limit, high: 1.1 * limit };
        let found = speed_limit(crank, Band { low: 500.0, high: 500.0 }, Some((MASSES, band))).unwrap();
        let at_limit = tension_at_overlap_n(MASSES, crank, found.limit_rpm.low * PI / 30.0).unwrap();
        prop_assert!((at_limit / limit - 1.0).abs() < 1e-12);
    }
}

//! Channels that most logs have.

use crate::story::{Lag, Signal, Story, on_line};

/// Delay of the invented lambda sensors, s.
pub const LAMBDA_DELAY_S: f64 = 0.25;
/// Time constant of the invented exhaust thermocouples, s.
pub const EXHAUST_LAG_S: f64 = 1.2;

/// Delay of the invented manifold-pressure hoses, s.
pub const MANIFOLD_DELAY_S: f64 = 0.04;

/// °F in K.
pub fn f(temperature_f: f64) -> f64 {
    (temperature_f + 459.67) / 1.8
}

/// psi in Pa.
pub fn psi(pressure_psi: f64) -> f64 {
    pressure_psi * 6_894.757_293_168
}

/// A channel with one value at full load and one off load.
pub fn flat(key: &str, full: f64, off_load: f64, noise: f64) -> Signal {
    over(key, &[(0.0, full)], off_load, noise)
}

/// A channel given over speed at full load.
pub fn over(key: &str, full_load: &[(f64, f64)], off_load: f64, noise: f64) -> Signal {
    Signal {
        key: key.to_owned(),
        full_load: full_load.to_vec(),
        off_load: vec![(0.0, off_load)],
        bumps: Vec::new(),
        lag: Lag::None,
        noise,
        drift: 0.0,
        broken: None,
    }
}

/// A channel that follows speed whatever the load.
pub fn with_speed(key: &str, over_speed: &[(f64, f64)], noise: f64) -> Signal {
    Signal { off_load: over_speed.to_vec(), ..over(key, over_speed, 0.0, noise) }
}

/// Lambda of a bank, late by [`LAMBDA_DELAY_S`].
pub fn lambda(key: &str, full_load: &[(f64, f64)]) -> Signal {
    Signal { lag: Lag::Delay(LAMBDA_DELAY_S), ..over(key, full_load, 1.0, 0.003) }
}

/// Exhaust temperature of a cylinder in K, late by [`EXHAUST_LAG_S`].
pub fn exhaust(cylinder: u8, full_f: f64) -> Signal {
    let key = format!("exhaust_temperature_{cylinder}");
    Signal { lag: Lag::FirstOrder(EXHAUST_LAG_S), ..flat(&key, f(full_f), f(950.0), 1.0) }
}

/// Oil pressure that rises by 10 psi per 1,000 rpm from 10 psi: above the usual warning line everywhere.
pub fn oil_pressure() -> Signal {
    with_speed("oil_pressure", &[(0.0, psi(10.0)), (9000.0, psi(100.0))], psi(0.3))
}

/// Fuel flow in kg/s from a brake specific consumption in lb/hp-h and the observed power of the story.
pub fn fuel_flow(story: &Story, bsfc_lb_hp_h: f64) -> Signal {
    let kg_per_j = bsfc_lb_hp_h * 0.453_592_37 / 3_600.0 / crate::story::W_PER_HP;
    let factor = story.air.factor(story.form);
    let (first, last) = (story.running.from_rpm, story.running.to_rpm);
    let points: Vec<(f64, f64)> = (0..=60)
        .map(|i| {
            let rpm = first + (last - first) * f64::from(i) / 60.0;
            let power_w = on_line(&story.truth, rpm, true) / factor * rpm * std::f64::consts::PI / 30.0;
            (rpm, kg_per_j * power_w)
        })
        .collect();
    Signal { lag: Lag::FirstOrder(0.2), ..over("fuel_flow", &points, 0.001, 5e-5) }
}

/// The channels of a naturally aspirated engine on pump petrol: manifold near the barometer, two lambda banks,
/// oil, water, fuel and spark.
pub fn aspirated(story: &Story, banks: u8, lambda_full: f64) -> Vec<Signal> {
    let pa = story.air.pressure_pa;
    let mut signals = vec![
        Signal {
            lag: Lag::Delay(MANIFOLD_DELAY_S),
            ..over("manifold_pressure", &[(1500.0, pa - 400.0), (8000.0, pa - 1_500.0)], 45_000.0, 150.0)
        },
        flat("lambda_target", lambda_full, 1.0, 0.0),
        fuel_flow(story, 0.47),
        flat("fuel_pressure", psi(43.5), psi(43.5), psi(0.15)),
        oil_pressure(),
        Signal { drift: 2.0, ..flat("oil_temperature", f(210.0), f(208.0), 0.1) },
        Signal { drift: 1.0, ..flat("coolant_temperature", f(180.0), f(178.0), 0.1) },
        flat("spark_advance", 32.0_f64.to_radians(), 25.0_f64.to_radians(), 0.0),
        flat("knock_0", 0.0, 0.0, 0.0),
    ];
    for bank in 1..=banks {
        let aim = lambda_full + 0.004 * (f64::from(bank) - 1.0);
        signals.push(lambda(&format!("lambda_{bank}"), &[(0.0, aim)]));
    }
    signals
}

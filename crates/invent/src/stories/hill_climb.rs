//! The blown 2.4-litre four of a hill-climb car: as received, and after the build.

use super::signals::{MANIFOLD_DELAY_S, exhaust, flat, fuel_flow, lambda, over, with_speed};
use crate::air::{Air, Form};
use crate::cell::yard;
use crate::story::{Bump, Dirt, Engine, Lag, Running, Signal, Story};

/// Band of use, rpm.
pub const BAND: (f64, f64) = (3000.0, 6200.0);

/// Both runs.
pub fn all() -> Vec<Story> {
    vec![run_3(), run_14()]
}

fn engine() -> Engine {
    Engine {
        displacement: "2.4 L".into(),
        displacement_m3: 2.4e-3,
        stroke: "94 mm".into(),
        cylinders: 4,
        fuel: "98 RON pump".into(),
        held_absolute: false,
        marine: false,
        blower_ratio: None,
    }
}

fn base(key: &str, title: &str, truth: &[(f64, f64)], air: Air, to_rpm: f64) -> Story {
    Story {
        key: key.into(),
        title: title.into(),
        engine: engine(),
        truth: truth.to_vec(),
        torque_bumps: Vec::new(),
        form: Form::Iso1585,
        air,
        air_rise_k: 0.8,
        band: BAND,
        running: Running {
            from_rpm: 1900.0,
            to_rpm,
            rate_rpm_s: 200.0,
            pulls: 3,
            scales: Vec::new(),
            log_per_pull: true,
            aborted_at_rpm: None,
            only_aborted: false,
            hold: None,
            rate_hz: 100.0,
            warm_up: true,
        },
        signals: Vec::new(),
        dirt: Dirt { scatter_rel: 0.002, ..Dirt::default() },
        cell: yard(),
    }
}

/// Lambda aimed at, from 0.90 at 2,000 rpm to 0.83 at 6,600 rpm.
fn lambda_aim() -> Vec<(f64, f64)> {
    vec![(2000.0, 0.90), (6600.0, 0.83)]
}

fn channels(story: &Story, manifold: &[(f64, f64)], aim: &[(f64, f64)]) -> Vec<Signal> {
    let pa = story.air.pressure_pa;
    let rail: Vec<(f64, f64)> = manifold.iter().map(|(rpm, p)| (*rpm, 300_000.0 + (p - pa).max(0.0))).collect();
    let mut signals = vec![
        Signal { lag: Lag::Delay(MANIFOLD_DELAY_S), ..over("manifold_pressure", manifold, 45_000.0, 300.0) },
        over("manifold_target", aim, 45_000.0, 0.0),
        lambda("lambda_1", &lambda_aim()),
        over("lambda_target", &lambda_aim(), 1.0, 0.0),
        fuel_flow(story, 0.56),
        over("fuel_pressure", &rail, 300_000.0, 800.0),
        with_speed("oil_pressure", &[(600.0, 150_000.0), (1500.0, 250_000.0), (6800.0, 560_000.0)], 2_000.0),
        Signal { drift: 2.0, ..flat("oil_temperature", 371.15, 369.15, 0.1) },
        Signal { drift: 1.0, ..flat("coolant_temperature", 356.15, 355.15, 0.1) },
        over("spark_advance", &[(2000.0, 0.26), (6600.0, 0.42)], 0.35, 0.0),
        flat("knock_0", 0.0, 0.0, 0.0),
    ];
    signals.extend([1, 2, 3, 4].map(|c| exhaust(c, 1400.0 + 10.0 * f64::from(c))));
    signals
}

/// Run 3, as received: it knocked from 6,050 rpm and was stopped at 6,300.
pub fn run_3() -> Story {
    let truth = [
        (2000., 225.5),
        (2200., 233.5),
        (2400., 241.0),
        (2600., 248.0),
        (2800., 254.5),
        (3000., 259.5),
        (3200., 263.0),
        (3400., 266.0),
        (3600., 268.2),
        (3800., 270.0),
        (4000., 271.0),
        (4200., 270.8),
        (4400., 269.4),
        (4600., 267.0),
        (4800., 263.6),
        (5000., 259.4),
        (5200., 254.6),
        (5400., 249.2),
        (5600., 242.8),
        (5800., 235.0),
        (6000., 226.6),
        (6200., 217.4),
        (6300., 212.0),
    ];
    let air = Air { pressure_pa: 98_300.0, temperature_k: 294.55, humidity: 0.46 };
    let mut story = base("hill-climb-3", "the blown 2.4 four, as received", &truth, air, 6310.0);
    let map = [(2000., 131_000.), (2600., 138_000.), (3500., 143_000.), (5000., 147_000.), (6400., 149_000.)];
    story.signals = channels(&story, &map, &map);
    story.signals.retain(|s| s.key != "knock_0");
    story.signals.push(over("knock_0", &[(6050.0, 0.0), (6150.0, 3.0), (6300.0, 8.0)], 0.0, 0.0));
    story
}

/// Run 14, after the build: three pulls, the second lean for a moment while the rail pressure dips.
pub fn run_14() -> Story {
    let truth = [
        (2000., 229.4),
        (2200., 239.2),
        (2400., 248.8),
        (2600., 258.2),
        (2800., 267.2),
        (3000., 275.2),
        (3200., 282.2),
        (3400., 287.8),
        (3600., 291.9),
        (3800., 294.7),
        (4000., 296.6),
        (4200., 297.9),
        (4400., 298.8),
        (4600., 299.3),
        (4700., 299.3),
        (4900., 298.6),
        (5100., 296.6),
        (5300., 293.2),
        (5500., 289.0),
        (5700., 284.0),
        (5900., 277.8),
        (6100., 270.4),
        (6200., 266.5),
        (6400., 257.4),
        (6600., 247.2),
    ];
    // 97.9 kPa, 24.6 °C, vapour 1.27 kPa.
    let mut air = Air { pressure_pa: 97_900.0, temperature_k: 297.75, humidity: 1.0 };
    air.humidity = 1_270.0 / air.vapour_pa();
    let mut story = base("hill-climb-14", "the blown 2.4 four, after the build", &truth, air, 6650.0);
    let lean = |amount| Bump { pull: Some(2), centre_rpm: 5462.0, sigma_rpm: 65.0, amount };
    story.torque_bumps.push(lean(-0.014));
    // Aimed at and reached; the bypass shuts late, so that the manifold is short below 2,150 rpm.
    let aim = [
        (1900., 138_000.),
        (2400., 146_200.),
        (3000., 148_600.),
        (3600., 150_300.),
        (4400., 153_000.),
        (5500., 156_500.),
        (6650., 158_200.),
    ];
    let reached = [
        (1900., 128_000.),
        (2150., 135_000.),
        (2300., 142_500.),
        (2400., 145_900.),
        (3000., 148_500.),
        (3600., 150_200.),
        (4400., 153_200.),
        (5500., 156_300.),
        (6650., 158_000.),
    ];
    story.signals = channels(&story, &reached, &aim);
    for signal in &mut story.signals {
        match signal.key.as_str() {
            "lambda_1" => signal.bumps.push(lean(0.037)),
            "fuel_pressure" => signal.bumps.push(lean(-27_000.0)),
            _ => {}
        }
    }
    story
}

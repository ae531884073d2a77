//! Engines that took no part in setting anything: `validation/blind_engines`, all from memory.

use crate::calibration::{Beside, beside};
use crate::rig::{parts, text, torque};

/// Name, published torque (N·m, rpm) and power (W, rpm), rev limit (rpm).
type Engine = (&'static str, (f64, f64), (f64, f64), f64);

/// The half that could be looked at while assumptions were mended.
const A: [Engine; 5] = [
    ("na_pushrod_v8_5p7_short_runner", (461.0, 3600.0), (223_710.0, 5000.0), 5700.0),
    ("na_pushrod_v8_5p0", (406.7, 3200.0), (167_782.0, 4200.0), 6000.0),
    ("na_ohc2v_flat6_3p2", (284.0, 4800.0), (170_000.0, 5900.0), 6500.0),
    ("na_dohc4v_i6_2p5", (245.0, 4700.0), (141_000.0, 5900.0), 6500.0),
    ("turbo_dohc5v_i4_1p8", (210.0, 3200.0), (110_000.0, 5700.0), 6800.0),
];

/// The half that was looked at once, at the end.
const B: [Engine; 5] = [
    ("na_pushrod_v8_7p0", (637.2, 4800.0), (376_578.0, 6300.0), 7000.0),
    ("na_pushrod_v8_6p0", (542.3, 4400.0), (298_280.0, 6000.0), 6500.0),
    ("na_dohc4v_i4_2p0", (196.0, 4800.0), (110_000.0, 6000.0), 6800.0),
    ("blown_dohc4v_v8_4p6", (528.8, 3500.0), (290_823.0, 6000.0), 6500.0),
    ("na_pushrod_v6_3p8", (311.8, 4000.0), (152_868.0, 5200.0), 5800.0),
];

/// Every 200 rpm through the speed of rated power.
fn table(engines: &[Engine]) -> Vec<Beside> {
    let one = |&(name, torque_at, power, limit): &Engine| {
        let below = ((power.1 - 1800.0) / 200.0) as i32;
        let above = ((limit - power.1) / 200.0) as i32;
        let rpm: Vec<f64> = (-below..=above).map(|k| power.1 + 200.0 * f64::from(k)).collect();
        let text = text(&format!("validation/blind_engines/{name}"));
        if std::env::var_os("BLIND_SHOW").is_some() {
            for a in &parts(&text).assumptions {
                println!("  {} {}: {}", a.key, a.text, a.why);
            }
        }
        let made = torque(&text, &rpm);
        println!("{:?}", rpm.iter().zip(&made).map(|(n, t)| (*n as u32, t.round())).collect::<Vec<_>>());
        beside(name, &rpm, &made, torque_at, power)
    };
    engines.iter().map(one).collect()
}

#[test]
fn half_a() {
    table(&A);
}

#[test]
#[ignore]
fn half_b() {
    table(&B);
}

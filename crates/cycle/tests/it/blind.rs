//! Engines that took no part in setting anything: `validation/blind_engines`, all from memory.
//!
//! The defaults miss what they should do here (`three_of_eight_miss_the_argued_band`). The other test makes no claim of
//! accuracy: its limit was set above what came out, to notice a model that gets worse.

use crate::calibration::{Beside, beside};
use crate::rig::{text, torque};

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
fn table(engines: &[Engine]) -> Vec<(&'static str, Beside)> {
    let one = |&(name, torque_at, power, limit): &Engine| {
        let below = ((power.1 - 1800.0) / 200.0) as i32;
        let above = ((limit - power.1) / 200.0) as i32;
        let rpm: Vec<f64> = (-below..=above).map(|k| power.1 + 200.0 * f64::from(k)).collect();
        let text = text(&format!("validation/blind_engines/{name}"));
        (name, beside(name, &rpm, &torque(&text, &rpm), torque_at, power))
    };
    engines.iter().map(one).collect()
}

fn mean(of: impl ExactSizeIterator<Item = f64>) -> f64 {
    let n = of.len() as f64;
    of.map(f64::abs).sum::<f64>() / n
}

/// Both halves together, with the charged ones. 9 % and 11 % are above the 7.5 % and 8.4 % that came out.
#[test]
fn no_worse_than_when_they_were_run() {
    let found: Vec<_> = [A, B].iter().flat_map(|half| table(half)).collect();
    let torque = mean(found.iter().map(|(_, f)| f.torque));
    let power = mean(found.iter().map(|(_, f)| f.power));
    println!("mean of the ten: peak torque {:.1} %, rated power {:.1} %", 100.0 * torque, 100.0 * power);
    assert!(torque < 0.09 && power < 0.11, "{torque} {power}");
}

/// Without a charger: what is not stated moves these figures by 6 % (`reduced`), a camshaft known from memory by some 5 %
/// (lobe separation by 4°, duration by 6°; not measured, an estimate), published figures by 3 %: together 9 %, 95 %. It is
/// missed: three of eight lie outside, where fewer than one should. The miss is kept in sight; when this fails because fewer
/// miss, lower the number.
#[test]
fn three_of_eight_miss_the_argued_band() {
    let found: Vec<_> =
        [A, B].iter().flat_map(|half| table(half)).filter(|(name, _)| name.starts_with("na_")).collect();
    let missed: Vec<_> = found.iter().filter(|(_, f)| f.torque.abs().max(f.power.abs()) > 0.09).collect();
    println!("{missed:?}");
    assert_eq!((found.len(), missed.len()), (8, 3), "{missed:?}");
}

//! Small logs that the tests make up: one sweep with a load, weather in the log, a little repeatable noise.

use std::fmt::Write;
use std::path::Path;

/// A random-looking number within ±1 that depends on its argument alone (splitmix64 finaliser).
pub(crate) fn wobble(n: u64) -> f64 {
    mixed(n) as f64 / u64::MAX as f64 * 2.0 - 1.0
}

/// The finaliser of splitmix64: every bit of the argument moves every bit of the result.
pub(crate) fn mixed(n: u64) -> u64 {
    let mut z = n.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// One sweep from 2,000 to 6,000 rpm in 20 s, 50 rows a second, after 2 s of idling. Torque is
/// 200 N·m at 2,000 rpm, 260 N·m at 4,000 rpm and 200 N·m at 6,000 rpm (a parabola), times `scale`.
pub(crate) fn sweep(seed: u64, scale: f64, torque_heading: &str) -> String {
    let mut text = format!("Time (s),Engine Speed (rpm),{torque_heading},Baro (kPa),Intake Air (degC),Humidity (%)\n");
    for row in 0..1100_u64 {
        let time = row as f64 / 50.0;
        let noise = wobble(seed.wrapping_mul(1_000_003).wrapping_add(row));
        let (rpm, torque) = if row < 100 {
            (900.0 + 5.0 * noise, 2.0 + noise)
        } else {
            let rpm = 2000.0 + 200.0 * (time - 2.0);
            let x = (rpm - 4000.0) / 2000.0;
            (rpm, scale * (260.0 - 60.0 * x * x) + 1.5 * noise)
        };
        let _ = writeln!(text, "{time:.2},{rpm:.1},{torque:.2},98.20,24.5,45");
    }
    text
}

/// Writes a log into a folder and gives its path back.
pub(crate) fn write(dir: &Path, name: &str, text: &str) -> String {
    let path = dir.join(name);
    std::fs::write(&path, text).expect("the test's folder can be written");
    path.to_string_lossy().into_owned()
}

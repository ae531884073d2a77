//! Reading logs: bytes to a settled log.
//!
//! Sketched beforehand: 3 ns a cell on one processor gives about 1.5 ms for a usual log (20,000 rows,
//! 20 channels, 3 MB) and 60 ms for 50 times that on two. Large logs are timed by
//! `tools/bench_polars.py`.

use divan::counter::BytesCount;
use pull::cell::{Answers, CellFile};
use pull::read::{ReadHints, assign, read};

fn main() {
    divan::main();
}

/// A log of 20 channels by fixed arithmetic.
fn log(rows: usize, decimal: char, delimiter: char) -> Vec<u8> {
    const NAMES: [&str; 20] = [
        "Time (s)",
        "Engine speed (rpm)",
        "Torque (Nm)",
        "Power (kW)",
        "MAP (kPa)",
        "Lambda 1",
        "Lambda 2",
        "Fuel flow (kg/h)",
        "Air flow (kg/h)",
        "Intake air temp (degC)",
        "Coolant out (degC)",
        "Oil temp (degC)",
        "Oil pressure (kPa)",
        "Fuel pressure (kPa)",
        "Spark (deg)",
        "Throttle (%)",
        "EGT 1 (degC)",
        "EGT 2 (degC)",
        "Barometer (kPa)",
        "Humidity (%)",
    ];
    const LEVELS: [f64; 20] = [
        0.0, 2000.0, 430.0, 180.0, 97.0, 0.88, 0.87, 80.0, 900.0, 25.0, 82.0, 95.0, 380.0, 400.0, 28.0, 99.0, 700.0,
        710.0, 98.4, 41.0,
    ];
    let mut text = NAMES.join(&delimiter.to_string());
    text.push('\n');
    let mut noise = 1u32;
    for row in 0..rows {
        for (at, level) in LEVELS.iter().enumerate() {
            noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let value = match at {
                0 => row as f64 * 0.01,
                _ => level * (1.0 + 0.01 * f64::from(noise >> 8) / f64::from(1u32 << 24)),
            };
            if at > 0 {
                text.push(delimiter);
            }
            text.push_str(&format!("{value:.3}").replace('.', &decimal.to_string()));
        }
        text.push('\n');
    }
    text.into_bytes()
}

const FORMS: [(char, char); 2] = [('.', ','), (',', ';')];

#[divan::bench(args = FORMS)]
fn usual_log_read(bencher: divan::Bencher<'_, '_>, form: (char, char)) {
    let bytes = log(20_000, form.0, form.1);
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| read("log.csv", &bytes, &ReadHints::default(), &|_| {}));
}

#[divan::bench]
fn usual_log_settled(bencher: divan::Bencher<'_, '_>) {
    let bytes = log(20_000, '.', ',');
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| {
        let raw = read("log.csv", &bytes, &ReadHints::default(), &|_| {}).expect("a log");
        let proposal = assign::propose(&raw, &CellFile::default(), &Answers::default(), None, None);
        assign::settle(raw, &proposal, None, None).expect("settled")
    });
}

#[divan::bench]
fn quoted_log_read(bencher: divan::Bencher<'_, '_>) {
    let bytes = String::from_utf8(log(20_000, '.', ',')).expect("text").replace(',', "\",\"").replace('\n', "\"\n\"");
    let bytes = format!("\"{}", bytes.trim_end_matches('"')).into_bytes();
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| read("log.csv", &bytes, &ReadHints::default(), &|_| {}));
}

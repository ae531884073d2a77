//! Reads one log and prints how long it took; used by `tools/bench_polars.py`. A number after the file
//! reads it that often and gives the time of all readings.

use std::time::Instant;

fn main() {
    let Some(path) = std::env::args().nth(1) else {
        eprintln!("usage: read_big FILE");
        std::process::exit(2);
    };
    let start = Instant::now();
    let bytes = std::fs::read(&path).expect("the file can be read");
    let loaded = start.elapsed();
    let log = pull::read::read("big.csv", &bytes, &pull::read::ReadHints::default(), &|_| {}).expect("a log");
    let more = std::env::args().nth(2).and_then(|n| n.parse::<usize>().ok()).unwrap_or(1);
    for _ in 1..more {
        let again = pull::read::read("big.csv", &bytes, &pull::read::ReadHints::default(), &|_| {}).expect("a log");
        assert_eq!(again.groups[0].rows, log.groups[0].rows);
    }
    let total = start.elapsed();
    let group = &log.groups[0];
    let sum: f64 = group.columns.iter().filter_map(|c| c.values.last()).sum();
    println!(
        "{{\"seconds\": {}, \"load_seconds\": {}, \"rows\": {}, \"columns\": {}, \"last_row_sum\": {sum}, \"problems\": {}}}",
        total.as_secs_f64(),
        loaded.as_secs_f64(),
        group.rows,
        group.columns.len(),
        log.problems.len()
    );
}

//! Reading whatever comes: no panic, no hang, the same result however the work is cut up.

use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestRunner};
use pull::cell::{Answers, CellFile};
use pull::log::RawLog;
use pull::read::{ReadError, ReadHints, assign, csv};
use std::time::{Duration, Instant};

/// All of a log with every number by its bits, so that NaN equals NaN.
fn bits(log: &Result<RawLog, ReadError>) -> String {
    match log {
        Err(error) => format!("{error:?}"),
        Ok(log) => {
            let columns: Vec<_> = log
                .groups
                .iter()
                .flat_map(|g| &g.columns)
                .map(|c| {
                    (
                        &c.name,
                        &c.unit_text,
                        c.missing,
                        c.unreadable,
                        c.values.iter().map(|v| v.to_bits()).collect::<Vec<_>>(),
                    )
                })
                .collect();
            format!("{:?} {:?} {:?} {:?}", log.dialect, log.facts, log.problems, columns)
        }
    }
}

fn check(bytes: &[u8]) {
    for leave_out_bad_rows in [false, true] {
        let hints = ReadHints { leave_out_bad_rows, ..ReadHints::default() };
        let whole = csv::read("log.csv", bytes, &hints, &|_| {});
        let first = bits(&whole);
        assert_eq!(first, bits(&csv::read("log.csv", bytes, &hints, &|_| {})), "a second reading differs");
        for piece in [1, 7, 64] {
            assert_eq!(
                first,
                bits(&csv::read_serially("log.csv", bytes, &hints, piece)),
                "pieces of {piece} bytes differ"
            );
        }
        if let Ok(raw) = whole {
            for group in &raw.groups {
                assert!(group.columns.iter().all(|c| c.values.len() == group.rows));
                assert!(group.rows <= group.rows_found);
                assert!(
                    group.rows * group.columns.len() <= 5 * bytes.len() + (1 << 20),
                    "more numbers than the file can hold"
                );
            }
            let proposal = assign::propose(&raw, &CellFile::default(), &Answers::default(), Some(14.7), None);
            if let Ok(log) = assign::settle(raw, &proposal, Some(14.7), None) {
                for table in &log.groups {
                    assert!(table.channels.iter().all(|c| c.si.len() == table.time_s.len()));
                }
            }
        }
    }
}

/// Runs a check on 200 cases with a fixed seed, or, when `PLATEAU_FUZZ_SECONDS` is set, on ever new
/// cases for that long.
fn run<S: Strategy>(strategy: S, test: impl Fn(S::Value)) {
    let seconds = std::env::var("PLATEAU_FUZZ_SECONDS").ok().and_then(|s| s.parse::<u64>().ok());
    let end = seconds.map(|s| Instant::now() + Duration::from_secs(s));
    let mut seed = 1;
    loop {
        let config = ProptestConfig {
            cases: 200,
            failure_persistence: None,
            rng_seed: RngSeed::Fixed(seed),
            ..ProptestConfig::default()
        };
        let outcome = TestRunner::new(config).run(&strategy, |value| {
            test(value);
            Ok(())
        });
        if let Err(error) = outcome {
            panic!("seed {seed}: {error}");
        }
        seed += 1;
        if end.is_none_or(|end| Instant::now() >= end) {
            return;
        }
    }
}

/// Cells of all kinds, plain ones often.
fn cell() -> impl Strategy<Value = String> {
    prop_oneof![
        8 => "-?[0-9]{1,5}(\\.[0-9]{1,4})?",
        2 => "[0-9]{1,4},[0-9]{1,3}",
        1 => Just(String::new()),
        1 => prop::sample::select(vec!["ERR", "NaN", "-", "***", "4I2.6", "12:30:05.5", "\"a\nb\"", "\"", "\"1.5\"", "x", "2026-04-08 07:50:01", "1e5", "\r"]).prop_map(str::to_owned),
    ]
}

fn table() -> impl Strategy<Value = String> {
    let line_end = prop::sample::select(vec!["\n", "\r\n", "\r", "\n\n"]);
    let delimiter = prop::sample::select(vec![",", ";", "\t", "|"]);
    (2usize..6, delimiter, line_end, any::<bool>()).prop_flat_map(|(width, delimiter, end, header)| {
        prop::collection::vec(prop::collection::vec(cell(), width.saturating_sub(1)..=width + 1), 0..30).prop_map(
            move |rows| {
                let names = ["Time (s)", "RPM", "Torque (Nm)", "MAP (kPa)", "Oil temp (degC)"];
                let mut text = String::new();
                if header {
                    text.push_str(&names[..width.min(5)].join(delimiter));
                    text.push_str(end);
                }
                for row in rows {
                    text.push_str(&row.join(delimiter));
                    text.push_str(end);
                }
                text
            },
        )
    })
}

#[test]
fn tables_of_all_kinds_read_alike_in_any_pieces() {
    run(table(), |text| check(text.as_bytes()));
}

#[test]
fn any_bytes_are_survived() {
    run(prop::collection::vec(any::<u8>(), 0..400), |bytes| check(&bytes));
}

#[test]
fn broken_logs_cut_short_and_changed_are_survived() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bad_logs");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the folder")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "csv"))
        .collect();
    files.sort();
    let logs: Vec<Vec<u8>> = files
        .iter()
        .map(|f| {
            let mut bytes = std::fs::read(f).expect("a file");
            bytes.truncate(2000);
            bytes
        })
        .filter(|bytes| !bytes.is_empty())
        .collect();
    run((any::<prop::sample::Index>(), any::<prop::sample::Index>(), any::<u8>()), |(pick, at, byte)| {
        let mut bytes = pick.get(&logs).clone();
        let at = at.index(bytes.len());
        bytes[at] = byte;
        check(&bytes);
        check(&bytes[..at]);
    });
}

/// A log of 300 kB is cut into several pieces and read side by side; one bad cell is named by its row.
#[test]
fn side_by_side_equals_one_after_another() {
    let mut text = String::from("Time (s),RPM,Torque (Nm)\n");
    for row in 0..60_000 {
        text.push_str(&format!(
            "{:.3},{},{:.2}\n",
            f64::from(row) * 0.01,
            2000 + row % 500,
            300.0 + f64::from(row % 97)
        ));
    }
    let text = text.replacen("400.00,2", "400.00,x", 1);
    let parallel = csv::read("log.csv", text.as_bytes(), &ReadHints::default(), &|_| {});
    let serial = csv::read_serially("log.csv", text.as_bytes(), &ReadHints::default(), 10_000);
    assert_eq!(bits(&parallel), bits(&serial));
    assert_eq!(parallel.expect("a log").groups[0].rows, 60_000);
}

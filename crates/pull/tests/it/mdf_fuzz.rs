//! Damaged MDF files of every kind: reading ends, without a panic, and gives columns of equal length.
//!
//! A short run by default. For a long one set `PLATEAU_FUZZ_SECONDS`.

use super::mdf::{folder, good_files};
use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestRunner};
use pull::read::mdf::read;
use std::time::{Duration, Instant};

/// One change to a file.
#[derive(Debug, Clone)]
enum Harm {
    /// One byte becomes another.
    Set(prop::sample::Index, u8),
    /// Eight bytes at an aligned place become a number (links, lengths and counts stand there).
    Number(prop::sample::Index, u64),
    /// The file ends here.
    Cut(prop::sample::Index),
    /// Some bytes are taken out.
    Drop(prop::sample::Index, u8),
    /// One stretch is written over another.
    Copy(prop::sample::Index, prop::sample::Index, u8),
}

fn harm() -> impl Strategy<Value = Harm> {
    let index = any::<prop::sample::Index>;
    let numbers = prop_oneof![0u64..6000, Just(u64::MAX), Just(1 << 40), Just(u64::from(u32::MAX)), any::<u64>()];
    prop_oneof![
        4 => (index(), any::<u8>()).prop_map(|(at, to)| Harm::Set(at, to)),
        4 => (index(), numbers).prop_map(|(at, n)| Harm::Number(at, n)),
        1 => index().prop_map(Harm::Cut),
        1 => (index(), any::<u8>()).prop_map(|(at, n)| Harm::Drop(at, n)),
        1 => (index(), index(), any::<u8>()).prop_map(|(from, to, n)| Harm::Copy(from, to, n)),
    ]
}

fn apply(bytes: &mut Vec<u8>, harm: &Harm) {
    if bytes.len() < 16 {
        return;
    }
    match harm {
        Harm::Set(at, to) => {
            let at = at.index(bytes.len());
            bytes[at] = *to;
        }
        Harm::Number(at, n) => {
            let at = at.index(bytes.len() / 8 - 1) * 8;
            bytes[at..at + 8].copy_from_slice(&n.to_le_bytes());
        }
        Harm::Cut(at) => bytes.truncate(at.index(bytes.len())),
        Harm::Drop(at, n) => {
            let at = at.index(bytes.len());
            let end = (at + usize::from(*n)).min(bytes.len());
            bytes.drain(at..end);
        }
        Harm::Copy(from, to, n) => {
            let (from, to) = (from.index(bytes.len()), to.index(bytes.len()));
            let n = usize::from(*n).min(bytes.len() - from.max(to));
            bytes.copy_within(from..from + n, to);
        }
    }
}

/// What must hold of every reading.
pub(super) fn check(bytes: &[u8]) {
    let Ok(log) = read("harmed.mf4", bytes, &|_| {}) else { return };
    let mut values = 0;
    for group in &log.groups {
        assert!(group.rows <= group.rows_found);
        assert!(group.columns.iter().all(|c| c.values.len() == group.rows));
        assert!(group.time_column.is_none_or(|t| t < group.columns.len()));
        values += group.columns.len() * group.rows;
    }
    // 8 values a byte, bytes that deflate can make of the file, and 16 columns of row numbers a row.
    assert!(values <= bytes.len() * 1_040 * 24, "{values} values out of {} bytes", bytes.len());
}

#[test]
fn fuzz_mdf() {
    let seconds = std::env::var("PLATEAU_FUZZ_SECONDS").ok().and_then(|s| s.parse::<u64>().ok());
    let until = seconds.map(|s| Instant::now() + Duration::from_secs(s));
    let files: Vec<Vec<u8>> =
        good_files().iter().map(|n| std::fs::read(folder().join(format!("{n}.mf4"))).expect("readable")).collect();
    let mut round = 0;
    loop {
        let config = ProptestConfig {
            cases: 8_000,
            failure_persistence: None,
            rng_seed: RngSeed::Fixed(round),
            ..ProptestConfig::default()
        };
        let strategy = (0..files.len(), prop::collection::vec(harm(), 1..6));
        TestRunner::new(config)
            .run(&strategy, |(file, harms)| {
                let mut bytes = files[file].clone();
                harms.iter().for_each(|h| apply(&mut bytes, h));
                check(&bytes);
                Ok(())
            })
            .unwrap_or_else(|e| panic!("round {round}: {e}"));
        round += 1;
        if until.is_none_or(|until| Instant::now() >= until) {
            return;
        }
    }
}

/// Every cut of a small file, at every byte.
#[test]
fn fuzz_mdf_cut_anywhere() {
    for name in ["unfinished", "offset_list", "virtual_time"] {
        let bytes = std::fs::read(folder().join(format!("{name}.mf4"))).expect("readable");
        (0..bytes.len()).for_each(|end| check(&bytes[..end]));
    }
}

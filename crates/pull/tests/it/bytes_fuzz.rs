//! Fuzz targets: whatever bytes come, the readers of logs, cell files and guard rules end with a result or an error.
//!
//! Each kind of file has a target for any bytes and one for good or broken files that are changed in a few places.
//! Without `PLATEAU_FUZZ_SECONDS` each makes a few hundred inputs, with it each goes on for that long. A failure is
//! printed shrunken with its seed; `BOLERO_RANDOM_SEED` makes that input again. The properties with fixed seeds are
//! in `read_fuzz` and `mdf_fuzz`.

use super::{mdf, mdf_fuzz, read_fuzz};
use bolero::TypeGenerator;
use pull::{cell_file, guard::Rules};
use std::time::Duration;

/// One change to a file. Places are shares of its length: 0 is the start, 65,535 the end.
#[derive(Debug, Clone, TypeGenerator)]
enum Edit {
    /// One byte becomes another.
    Set { at: u16, to: u8 },
    /// Eight bytes at an aligned place become a number: links, lengths and counts of a measurement file stand there.
    Number { at: u16, to: u64 },
    /// Bytes are put in.
    Insert { at: u16, bytes: Vec<u8> },
    /// A word that readers look for is put in.
    Word { at: u16, word: u8 },
    /// Some bytes are taken out.
    Drop { at: u16, length: u8 },
    /// Some bytes are put in a second time elsewhere.
    Copy { from: u16, to: u16, length: u8 },
    /// The file ends here.
    Cut { at: u16 },
}

/// Words with a meaning to one of the readers.
const WORDS: [&str; 24] = [
    ",",
    ";",
    "\t",
    "\"",
    "\"\"",
    "\r",
    "\r\n",
    "\n\n",
    "-",
    "1e308",
    "NaN",
    "1,234.5",
    "12:30:05.5",
    "2026-04-08",
    "ERR",
    "\u{feff}",
    "#",
    "##DT",
    "##HL",
    "[",
    "]]",
    " = ",
    "[channels]\n",
    "'''",
];

impl Edit {
    fn apply(&self, bytes: &mut Vec<u8>) {
        let place = |at: u16, length: usize| usize::from(at) * length / usize::from(u16::MAX);
        let length = bytes.len();
        match self {
            Edit::Set { at, to } => {
                if let Some(byte) = bytes.get_mut(place(*at, length)) {
                    *byte = *to;
                }
            }
            Edit::Number { at, to } => {
                let at = place(*at, length) / 8 * 8;
                if let Some(eight) = bytes.get_mut(at..at + 8) {
                    eight.copy_from_slice(&to.to_le_bytes());
                }
            }
            Edit::Insert { at, bytes: more } => {
                let at = place(*at, length);
                bytes.splice(at..at, more.iter().copied());
            }
            Edit::Word { at, word } => {
                let at = place(*at, length);
                bytes.splice(at..at, WORDS[usize::from(*word) % WORDS.len()].bytes());
            }
            Edit::Drop { at, length: n } => {
                let at = place(*at, length);
                bytes.drain(at..(at + usize::from(*n)).min(length));
            }
            Edit::Copy { from, to, length: n } => {
                let (from, to) = (place(*from, length), place(*to, length));
                let taken = bytes[from..(from + usize::from(*n)).min(length)].to_vec();
                bytes.splice(to..to, taken);
            }
            Edit::Cut { at } => bytes.truncate(place(*at, length)),
        }
    }
}

/// Runs a target: `few` inputs, or new ones for the time asked for.
macro_rules! run {
    ($target:expr, $few:literal, $check:expr) => {{
        let target = $target;
        match std::env::var("PLATEAU_FUZZ_SECONDS").ok().and_then(|s| s.parse().ok()) {
            Some(seconds) => target.with_test_time(Duration::from_secs(seconds)).for_each($check),
            None => target.with_iterations($few).for_each($check),
        }
    }};
}

/// Checks every seed as it stands, then seeds with changes.
macro_rules! run_changed {
    ($seeds:expr, $few:literal, $check:expr) => {{
        let seeds: Vec<Vec<u8>> = $seeds;
        assert!(!seeds.is_empty(), "no seed was found");
        seeds.iter().for_each(|seed| $check(seed));
        run!(bolero::check!().with_type::<(u8, Vec<Edit>)>(), $few, |(seed, edits)| {
            let mut bytes = seeds[usize::from(*seed) % seeds.len()].clone();
            edits.iter().take(8).for_each(|edit| edit.apply(&mut bytes));
            $check(&bytes);
        })
    }};
}

/// The broken logs, each cut to 2 kB so that many can be tried, and a good one.
fn logs() -> Vec<Vec<u8>> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bad_logs");
    let mut paths: Vec<_> =
        std::fs::read_dir(folder).expect("the folder").map(|e| e.expect("an entry").path()).collect();
    paths.sort();
    let files = paths.iter().filter(|p| p.extension().is_some_and(|e| e == "csv"));
    let short = |mut bytes: Vec<u8>| {
        bytes.truncate(2000);
        bytes
    };
    files.map(|p| short(std::fs::read(p).expect("a file"))).collect()
}

fn measurement_files() -> Vec<Vec<u8>> {
    let names = mdf::good_files();
    names.iter().map(|n| std::fs::read(mdf::folder().join(format!("{n}.mf4"))).expect("a file")).collect()
}

fn cell_files() -> Vec<Vec<u8>> {
    invent::stories::all().iter().map(|story| invent::demo::cell_file(story).into_bytes()).collect()
}

/// An error names a place that is in the text; what was read is written and read again as the same.
fn check_cell_file(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match cell_file::parse(text) {
        Ok(cell) => {
            let written = cell_file::write(&cell, None);
            let again = cell_file::parse(&written);
            // Compared as text, in which no value is like no value.
            assert_eq!(format!("{again:?}"), format!("Ok({cell:?})"), "written as:\n{written}");
            let over = cell_file::write(&cell, Some(text));
            assert!(cell_file::parse(&over).is_ok(), "written over the old text:\n{over}");
        }
        Err(error) => assert!((1..=text.split('\n').count() + 1).contains(&error.line), "line {}", error.line),
    }
}

fn check_rules(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    if let Ok(rules) = Rules::parse(text) {
        assert!(rules.in_force().count() <= rules.rules.len());
    }
    if let Ok(over) = Rules::over_shipped(text, "guards.toml") {
        assert!(over.rules.len() >= Rules::shipped().rules.len(), "a rule of ours was lost");
    }
}

#[test]
fn any_bytes_as_a_log() {
    run!(bolero::check!(), 500, |bytes: &[u8]| read_fuzz::check(bytes));
}

#[test]
fn changed_logs() {
    run_changed!(logs(), 300, read_fuzz::check);
}

#[test]
fn any_bytes_as_a_measurement_file() {
    run!(bolero::check!(), 2000, |bytes: &[u8]| {
        mdf_fuzz::check(bytes);
        mdf_fuzz::check(&[b"MDF     4.10    ", bytes].concat());
    });
}

#[test]
fn changed_measurement_files() {
    run_changed!(measurement_files(), 2000, mdf_fuzz::check);
}

#[test]
fn any_bytes_as_a_cell_file() {
    run!(bolero::check!(), 1000, |bytes: &[u8]| check_cell_file(bytes));
}

#[test]
fn changed_cell_files() {
    run_changed!(cell_files(), 1000, check_cell_file);
}

#[test]
fn any_bytes_as_guard_rules() {
    run!(bolero::check!(), 1000, |bytes: &[u8]| check_rules(bytes));
}

#[test]
fn changed_guard_rules() {
    run_changed!(vec![Rules::shipped_text().as_bytes().to_vec()], 300, check_rules);
}

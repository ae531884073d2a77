//! The MDF reader against the Python package asammdf, all values of all files of `validation/mdf`.

use pull::log::{RawLog, Severity};
use pull::read::mdf::{MdfError, read};
use std::path::PathBuf;

pub(crate) fn folder() -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../validation/mdf"))
}

/// Names of the good files, without ending.
pub(crate) fn good_files() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder())
        .expect("validation/mdf is there")
        .filter_map(|entry| entry.ok()?.file_name().to_str()?.strip_suffix(".mf4").map(str::to_owned))
        .collect();
    names.sort();
    names
}

fn good(name: &str) -> RawLog {
    let file = format!("{name}.mf4");
    let bytes = std::fs::read(folder().join(&file)).expect("the file is there");
    read(&file, &bytes, &|_| {}).unwrap_or_else(|e| panic!("{e}"))
}

struct Expected {
    kind: String,
    name: String,
    unit: String,
    values: Vec<f64>,
}

fn expected(name: &str) -> Vec<Expected> {
    let text = std::fs::read_to_string(folder().join(format!("{name}.csv"))).expect("the reading is there");
    text.lines()
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let values: Vec<f64> = cells[5..].iter().map(|c| c.parse().expect("a number")).collect();
            assert_eq!(values.len(), cells[4].parse::<usize>().expect("a count"), "{name}: {}", cells[2]);
            Expected { kind: cells[1].to_owned(), name: cells[2].replace(';', ","), unit: cells[3].to_owned(), values }
        })
        .collect()
}

/// Values are exact, so no tolerance: both readers take the same bits and do the same few operations in double
/// precision, and the CSV holds the shortest text that gives the same double again. The lines of kind "rule"
/// are worked out by the script because the other reader fails there (see `validation/mdf/SOURCE.md`).
#[test]
fn mdf_against_asammdf() {
    let names = good_files();
    assert!(names.len() >= 22, "only {} files", names.len());
    for name in names {
        let log = good(&name);
        let columns: Vec<_> = log
            .groups
            .iter()
            .flat_map(|g| g.columns.iter().enumerate().map(|(i, c)| (g.time_column == Some(i), c)))
            .collect();
        let expected = expected(&name);
        assert_eq!(
            columns.len(),
            expected.len(),
            "{name}: {:?}",
            columns.iter().map(|c| &c.1.name).collect::<Vec<_>>()
        );
        for ((is_time, column), expected) in columns.iter().zip(&expected) {
            let what = format!("{name}: {}", expected.name);
            assert_eq!(column.name.trim_end_matches(" (2)"), expected.name, "{what}");
            assert_eq!(column.unit_text.clone().unwrap_or_default(), expected.unit, "{what}");
            assert!(expected.kind != "time" || *is_time, "{what} is time");
            assert_eq!(column.values.len(), expected.values.len(), "{what}");
            for (row, (ours, theirs)) in column.values.iter().zip(&expected.values).enumerate() {
                let same = ours == theirs || (ours.is_nan() && theirs.is_nan());
                assert!(same, "{what}, row {row}: {ours:?}, asammdf {theirs:?}");
            }
            assert_eq!(column.missing, expected.values.iter().filter(|v| v.is_nan()).count(), "{what}");
        }
    }
}

#[test]
fn mdf_groups_keep_their_own_rate_and_names_stay_apart() {
    let log = good("two_rates");
    assert_eq!(log.groups.len(), 2);
    assert_eq!((log.groups[0].rows, log.groups[1].rows), (120, 24));
    assert_eq!(log.groups[0].time_column, Some(0));
    assert_eq!(log.groups[1].time_column, Some(0));
    let names: Vec<_> = log.groups.iter().flat_map(|g| g.columns.iter().map(|c| c.name.as_str())).collect();
    assert_eq!(names, ["time", "Engine speed", "Torque", "time", "Intake air", "Torque (2)"]);
    assert_eq!(log.dialect, "MDF 4.10");
}

#[test]
fn mdf_columns_of_one_time_are_joined() {
    let log = good("columns_420");
    assert_eq!(log.groups.len(), 1);
    assert_eq!(log.groups[0].columns.len(), 3);
    assert_eq!(log.groups[0].time_column, Some(0));
}

#[test]
fn mdf_good_files_have_no_losses_but_the_unfinished_one() {
    for name in good_files() {
        let log = good(&name);
        let losses: Vec<_> = log.problems.iter().filter(|p| p.severity > Severity::Note).map(|p| &p.code).collect();
        if name == "unfinished" {
            assert_eq!(losses, ["mdf_unfinished"]);
            assert_eq!(log.dialect, "MDF 4.10, unfinished");
        } else {
            assert!(losses.is_empty(), "{name}: {losses:?}");
        }
    }
}

#[test]
fn mdf_progress_ends_at_the_whole() {
    let bytes = std::fs::read(folder().join("split.mf4")).expect("the file is there");
    let last = std::sync::Mutex::new(None);
    read("split.mf4", &bytes, &|p| *last.lock().expect("no panic") = Some((p.done, p.total))).expect("it reads");
    let total = bytes.len();
    assert_eq!(*last.lock().expect("no panic"), Some((total, total)));
}

#[test]
fn mdf_reading_twice_gives_the_same() {
    for name in ["invalid", "unsorted_2", "offset_list"] {
        assert_eq!(format!("{:?}", good(name)), format!("{:?}", good(name)), "{name}");
    }
}

/// Every damaged file, what is said about it and what is kept of it.
#[test]
fn mdf_damaged_files_say_what_is_wrong() {
    let folder = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bad_mdf"));
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).expect("bad_mdf is there").map(|e| e.expect("readable").path()).collect();
    files.sort();
    assert!(files.len() >= 12);
    let mut said = String::new();
    for file in files {
        let name = file.file_name().and_then(|n| n.to_str()).expect("a plain name").to_owned();
        let bytes = std::fs::read(&file).expect("readable");
        said += &format!("== {name}\n");
        match read(&name, &bytes, &|_| {}) {
            Err(e) => said += &format!("error: {e}\n"),
            Ok(log) => {
                for group in &log.groups {
                    said += &format!("{} of {} rows:", group.rows, group.rows_found);
                    for column in &group.columns {
                        said += &format!(" {:?}", column.name);
                    }
                    said += if group.time_column.is_some() { "\n" } else { ", no time\n" };
                }
                let told = |p: &pull::log::Problem| p.severity > Severity::Note || p.code == "mdf_name_missing";
                assert!(log.problems.iter().any(told), "{name}: damage that nobody is told of");
                for p in &log.problems {
                    said += &format!("{:?} {} x{}: {}\n", p.severity, p.code, p.count, p.what);
                    let parts = [
                        ("at", &p.place),
                        ("found", &p.found),
                        ("expected", &p.expected),
                        ("effect", &p.effect),
                        ("next", &p.next),
                    ];
                    for (label, part) in parts {
                        if let Some(part) = part {
                            said += &format!("    {label}: {part}\n");
                        }
                    }
                }
            }
        }
    }
    insta::assert_snapshot!("mdf_damaged_files", said);
}

#[test]
fn mdf_errors_can_be_told_apart() {
    assert!(matches!(read("a", b"time;speed", &|_| {}), Err(MdfError::NotMdf { .. })));
    assert!(matches!(read("a", b"", &|_| {}), Err(MdfError::TooShort { bytes: 0, .. })));
}

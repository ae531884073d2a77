//! What does not belong in a committed file: paths of one machine, addresses of package registries, work left lying,
//! switched-off tests, files that tell too many stories.

use house::{root, text_of, tracked_files};
use std::path::Path;

/// This file spells out what it looks for, so it is not searched for it.
const THIS: &str = "crates/house/tests/it/tidy.rs";

/// Text, the endings of files that are searched (empty: all), and the reason. Paths and hosts are written in two
/// pieces, so that this file names none either.
const FORBIDDEN: &[(&str, &[&str], &str)] = &[
    (concat!("/wo", "rk/"), &[], "a path of one machine"),
    (concat!("/ro", "ot/"), &[], "a path of one machine"),
    (concat!("/ho", "me/"), &[], "a path of one machine"),
    (concat!("registry.n", "pmjs"), &[], "the address of a registry"),
    (concat!("index.c", "rates.io"), &[], "the address of a registry"),
    (concat!("static.c", "rates.io"), &[], "the address of a registry"),
    (concat!("pypi.or", "g/simple"), &[], "the address of a registry"),
    (concat!("files.pyt", "honhosted"), &[], "the address of a registry"),
    (concat!("proxy.", "golang"), &[], "the address of a registry"),
    ("TODO", &["rs", "md", "toml", "py", "sh", "js", "css"], "work left lying: do it, or write an issue"),
    ("FIXME", &["rs", "md", "toml", "py", "sh", "js", "css"], "work left lying: do it, or write an issue"),
    ("XXX", &["rs", "toml", "py", "sh", "js", "css"], "work left lying: do it, or write an issue"),
    ("todo!", &["rs"], "unfinished code"),
    ("unimplemented!", &["rs"], "unfinished code"),
    ("dbg!", &["rs"], "left from a search"),
    ("#[ignore", &["rs"], "a test that does not run proves nothing"),
    ("console.log", &["js"], "left from a search"),
    ("<<<<<<<", &[], "a merge left open"),
];

fn findings(path: &str, text: &str) -> Vec<String> {
    let ending = Path::new(path).extension().map(|ext| ext.to_string_lossy().into_owned()).unwrap_or_default();
    let mut found = Vec::new();
    for (word, endings, why) in FORBIDDEN {
        if endings.is_empty() || endings.contains(&ending.as_str()) {
            for (number, _) in text.lines().enumerate().filter(|(_, line)| line.contains(word)) {
                found.push(format!("{path}:{}: `{word}`: {why}", number + 1));
            }
        }
    }
    found
}

#[test]
fn nothing_lies_about() {
    let mut found = Vec::new();
    for file in tracked_files() {
        let path = file.to_string_lossy().into_owned();
        // the lock file holds the source of every package by design
        if path == THIS || path == "Cargo.lock" {
            continue;
        }
        if let Some(text) = text_of(&file) {
            found.extend(findings(&path, &text));
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn the_search_finds_what_it_looks_for() {
    assert_eq!(findings("a.rs", "ok\n#[ignore]\nfn x() {}").len(), 1);
    assert_eq!(findings("a.md", concat!("see /ro", "ot/x")).len(), 1);
    assert_eq!(findings("a.csv", "TODO,1").len(), 0);
}

/// Rust files longer than this tell more than one story; the ones that may are named with the reason.
const LONGEST: usize = 800;
const LONGER: &[(&str, &str)] = &[];

#[test]
fn files_tell_one_story() {
    let mut long = Vec::new();
    for file in tracked_files().iter().filter(|file| file.extension().is_some_and(|ext| ext == "rs")) {
        let lines = text_of(file).expect("sources are UTF-8").lines().count();
        let name = file.to_string_lossy();
        if lines > LONGEST && !LONGER.iter().any(|row| row.0 == name) {
            long.push(format!("{name}: {lines} lines"));
        }
    }
    assert!(long.is_empty(), "split at the joint between the stories:\n{}", long.join("\n"));
}

#[test]
fn scripts_can_be_run() {
    use std::os::unix::fs::PermissionsExt;
    for file in tracked_files() {
        let name = file.to_string_lossy().into_owned();
        if name.ends_with(".sh") || name == ".ci/run" {
            let mode = std::fs::metadata(root().join(&file)).expect("a tracked file").permissions().mode();
            assert!(mode & 0o100 != 0, "{name} is not executable");
        }
    }
}

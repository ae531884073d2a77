//! `plateau engine` on the example builds, on a new file, and on files that are not as they should be.

use crate::{out, plateau, without, write};
use std::path::{Path, PathBuf};

fn builds() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/builds");
    let mut all: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the examples")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    all.sort();
    all
}

#[test]
fn every_example_gives_a_sheet_an_object_and_pictures() {
    let dir = tempfile::tempdir().unwrap();
    let builds = builds();
    assert!(builds.len() >= 6, "{builds:?}");
    let mut findings = String::new();
    for build in builds {
        let name = build.file_stem().unwrap().to_string_lossy().into_owned();
        let pictures = dir.path().join(&name);
        let (text, errors, code) = out(plateau().arg("engine").arg(&build).arg("--svg").arg(&pictures));
        assert_eq!((errors.as_str(), code), ("", 0), "{name}");
        assert!(text.contains("\nAssumed, because the build does not say\n"), "{name} lists no assumption: {text}");
        findings += text.lines().next().unwrap();
        findings.push('\n');
        for key in ["combustion-space", "lift", "overlap", "piston-motion", "port-flow"] {
            let svg = std::fs::read_to_string(pictures.join(format!("{key}.svg"))).unwrap();
            assert!(svg.starts_with("<svg") && !svg.contains("NaN"), "{name} {key}");
            let sentence = text.lines().find_map(|line| line.split_once(&format!("{key}.svg: "))).unwrap().1;
            let escaped = sentence.replace('&', "&amp;");
            assert!(svg.contains(&escaped), "{name} {key}: the picture does not say {sentence}");
        }
        let (json, _, code) = out(plateau().arg("engine").arg(&build).args(["--json", "--units", "us"]));
        assert_eq!(code, 0);
        let value: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert_eq!(value["form"], "plateau engine 1");
        assert_eq!(value["pictures"].as_array().unwrap().len(), 5, "{name}");
        // The sheet's own identity: static ratio = 1 + swept / clearance. Six digits: all are f64 from one run.
        let of = |section: &str, key: &str| value["sections"][section][key]["value"].as_f64().unwrap();
        let ratio = 1.0 + of("size", "swept_m3") / of("compression", "clearance_m3");
        assert!((ratio - of("compression", "static_ratio")).abs() < 1e-6, "{name}: {ratio}");
    }
    insta::assert_snapshot!("engine_findings", findings);
}

#[test]
fn a_new_file_is_written_read_and_never_overwritten() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("four.toml").to_string_lossy().into_owned();
    let (text, errors, code) = out(plateau().args(["engine", "new", &path]));
    assert_eq!((errors.as_str(), code), ("", 0));
    assert!(text.starts_with("Wrote "), "{text}");
    let before = std::fs::read(&path).unwrap();
    let (text, errors, code) = out(plateau().args(["engine", &path]));
    assert_eq!((errors.as_str(), code), ("", 0));
    assert!(text.starts_with("four: size not known, compression not known;"), "{text}");
    let (_, errors, code) = out(plateau().args(["engine", "new", &path]));
    assert_eq!(code, 1);
    insta::assert_snapshot!("engine_new_again", without(&dir, &errors));
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn a_file_that_is_not_as_it_should_be_is_refused_with_every_place() {
    let dir = tempfile::tempdir().unwrap();
    let text = "plateau_build = 2\n\n[block]\nbore = \"4.030 psi\"\nstrok = \"3.48 in\"\n";
    let bad = write(dir.path(), "bad.toml", text);
    let good = builds().remove(0).to_string_lossy().into_owned();
    let limits = write(dir.path(), "limits.toml", "version = 1\n[[limit]]\nfeature = \"no_such\"\n");
    let missing = dir.path().join("none.toml").to_string_lossy().into_owned();
    let mut said = String::new();
    for arguments in [&["engine", &bad][..], &["engine", &missing], &["engine", &good, "--limits", &limits]] {
        let (printed, errors, code) = out(plateau().args(arguments));
        assert_eq!((printed.as_str(), code), ("", 1), "{errors}");
        said += &errors;
        said.push('\n');
    }
    insta::assert_snapshot!("engine_errors", without(&dir, &said));
    assert_eq!(std::fs::read_to_string(&bad).unwrap(), text);
}

//! Declared dependencies are used: the name of each occurs in the sources of the crate that declares it.
//!
//! Its limits: it looks for the name as a word followed by `::`, or in a `use`, `extern` or attribute. A name that occurs
//! in code switched off by a feature counts as used, and a dependency needed only for one of its features must be listed
//! in `FOR_FEATURES` with the reason.

use house::{crates, root, rust_files, text_of};
use toml_edit::{DocumentMut, Item};

/// Crate, dependency, and why it is declared though no source names it.
const FOR_FEATURES: &[(&str, &str, &str)] = &[("evidence", "kamadak-exif", "its library goes by the name exif")];

/// Whether the text uses a library by this name.
fn uses(text: &str, library: &str) -> bool {
    let name = library.replace('-', "_");
    text.lines().filter(|line| !line.trim_start().starts_with("//")).any(|line| {
        line.match_indices(&name).any(|(at, _)| {
            let before = line[..at].chars().next_back();
            let after = &line[at + name.len()..];
            let starts = before.is_none_or(|c| !c.is_alphanumeric() && c != '_');
            starts
                && (after.starts_with("::") || (line.trim_start().starts_with("use ") && after.starts_with([';', ' '])))
        })
    })
}

#[test]
fn declared_dependencies_are_used() {
    let mut unused = Vec::new();
    for name in crates() {
        let path = root().join("crates").join(&name).join("Cargo.toml");
        let manifest: DocumentMut = std::fs::read_to_string(&path).expect("a manifest").parse().expect("TOML");
        let read = |folders: &[&str]| -> String {
            let files = folders.iter().flat_map(|folder| rust_files(&format!("crates/{name}/{folder}")));
            files.filter_map(|file| text_of(&file)).collect::<Vec<_>>().join("\n")
        };
        for (table, folders) in
            [("dependencies", &["src"][..]), ("dev-dependencies", &["src", "tests", "benches", "examples"][..])]
        {
            let Some(Item::Table(table)) = manifest.get(table) else { continue };
            let text = read(folders);
            for (library, _) in table {
                let excused = FOR_FEATURES.iter().any(|row| row.0 == name && row.1 == library);
                if !excused && !uses(&text, library) {
                    unused.push(format!("crates/{name}/Cargo.toml: `{library}`"));
                }
            }
        }
    }
    assert!(unused.is_empty(), "declared and not used:\n{}", unused.join("\n"));
}

#[test]
fn every_shared_version_is_taken_by_a_crate() {
    let shared: DocumentMut =
        std::fs::read_to_string(root().join("Cargo.toml")).expect("a manifest").parse().expect("TOML");
    let table = shared["workspace"]["dependencies"].as_table().expect("shared versions");
    let manifests: String = crates()
        .iter()
        .map(|name| std::fs::read_to_string(root().join("crates").join(name).join("Cargo.toml")).expect("a manifest"))
        .collect();
    let idle: Vec<_> = table
        .iter()
        .map(|(name, _)| name)
        .filter(|name| {
            !manifests
                .lines()
                .any(|line| line.starts_with(&format!("{name}.")) || line.starts_with(&format!("{name} ")))
        })
        .collect();
    assert!(idle.is_empty(), "versions in the root Cargo.toml that no crate takes: {idle:?}");
}

#[test]
fn the_check_sees_use_and_missing_use() {
    assert!(uses("use serde::Serialize;", "serde"));
    assert!(uses("let x = fast_float2::parse(s);", "fast-float2"));
    assert!(uses("use tempfile;", "tempfile"));
    assert!(!uses("// serde::Serialize", "serde"));
    assert!(!uses("let x = my_serde::parse(s);", "serde"));
    assert!(!uses("let serde = 3;", "serde"));
}

//! ARCHITECTURE.md is a map: every path on it exists, and every crate is on it.

use house::{crates, root};

/// The paths a page names: words in backticks that hold a slash or end like a file.
fn paths_named(page: &str) -> Vec<String> {
    let endings = [".md", ".rs", ".toml", ".py", ".sh", ".csv"];
    let mut found = Vec::new();
    let mut fenced = false;
    for line in page.lines() {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
        } else if !fenced {
            for word in line.split('`').skip(1).step_by(2) {
                let looks = word.contains('/') || endings.iter().any(|end| word.ends_with(end)) || word == "Makefile";
                let plain =
                    !word.contains([' ', '*', '<', '(', '{', '…']) && !word.contains("::") && !word.contains("//");
                if looks && plain && !word.starts_with('/') {
                    found.push(word.to_owned());
                }
            }
        }
    }
    found
}

#[test]
fn every_path_on_the_map_exists() {
    let page = std::fs::read_to_string(root().join("ARCHITECTURE.md")).expect("there is an ARCHITECTURE.md");
    let named = paths_named(&page);
    assert!(
        named.len() >= 20,
        "only {} paths found in ARCHITECTURE.md: is it still written with backticks?",
        named.len()
    );
    let missing: Vec<_> = named.iter().filter(|path| !root().join(path).exists()).collect();
    assert!(missing.is_empty(), "ARCHITECTURE.md names paths that are not there: {missing:?}");
}

#[test]
fn every_crate_is_on_the_map() {
    let page = std::fs::read_to_string(root().join("ARCHITECTURE.md")).expect("there is an ARCHITECTURE.md");
    for name in crates() {
        assert!(page.contains(&format!("`crates/{name}")), "ARCHITECTURE.md does not name `crates/{name}`");
    }
}

#[test]
fn the_finder_sees_paths_and_leaves_other_words() {
    let page = "see `crates/pull/src/cut` and `Makefile`, not `pull::cut`, `a < b`, `N·m` or `https://example`\n```\n`x/y`\n```\n";
    assert_eq!(paths_named(page), ["crates/pull/src/cut", "Makefile"]);
}

//! What the guide shows can be typed: its files are read, its flags are known.

use house::root;

/// Fenced blocks of a page: the word after the fence, and the text.
fn blocks(page: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut open: Option<(String, String)> = None;
    for line in page.lines() {
        match (line.strip_prefix("```"), open.take()) {
            (Some(word), None) => open = Some((word.trim().to_owned(), String::new())),
            (Some(_), Some(block)) => found.push(block),
            (None, Some((word, text))) => open = Some((word, format!("{text}{line}\n"))),
            (None, None) => {}
        }
    }
    found
}

fn page(name: &str) -> String {
    std::fs::read_to_string(root().join("docs/guide").join(name)).unwrap_or_else(|e| panic!("docs/guide/{name}: {e}"))
}

#[test]
fn the_cell_file_of_the_guide_is_read_and_says_what_the_page_says() {
    let blocks: Vec<_> = blocks(&page("cell-files.md")).into_iter().filter(|block| block.0 == "toml").collect();
    assert!(!blocks.is_empty());
    for (_, text) in &blocks {
        pull::cell_file::parse(text).unwrap_or_else(|e| panic!("{e}\n{text}"));
    }
    // the page gives the uncertainties as the defaults they are
    let cell = pull::cell_file::parse(&blocks[0].1).expect("read above");
    assert_eq!(cell.uncertainty, pull::cell::Uncertainties::default());
}

#[test]
fn the_guard_rules_of_the_guide_are_read() {
    let blocks: Vec<_> = blocks(&page("guards.md")).into_iter().filter(|block| block.0 == "toml").collect();
    assert!(!blocks.is_empty());
    for (_, text) in blocks {
        pull::guard::Rules::parse(&text).unwrap_or_else(|e| panic!("{e}\n{text}"));
    }
}

/// Words like `--if-new` in the lines of a page that show the command.
fn flags(page: &str) -> Vec<String> {
    let shown = page.lines().filter(|line| line.contains("plateau ") || line.contains("| `--"));
    let words = shown.flat_map(|line| line.split(|c: char| c.is_whitespace() || "`\"'(),;=|".contains(c)));
    let mut found: Vec<String> = words.filter(|w| w.starts_with("--") && w.len() > 2).map(str::to_owned).collect();
    found.sort();
    found.dedup();
    found
}

#[test]
fn flags_of_the_guide_are_known_to_the_command() {
    // flags stand in the list of verbs and, where a verb has many, beside it
    let files = house::rust_files("crates/plateau/src").into_iter().filter_map(|file| house::text_of(&file));
    let cli: String = files.collect();
    let mut pages = vec![("README.md".to_owned(), std::fs::read_to_string(root().join("README.md")).expect("README"))];
    for entry in std::fs::read_dir(root().join("docs/guide")).expect("the guide") {
        let name = entry.expect("a readable folder").file_name().to_string_lossy().into_owned();
        pages.push((name.clone(), page(&name)));
    }
    let mut seen = 0;
    for (name, text) in pages {
        for flag in flags(&text) {
            // clap makes the flag of the field's name, or of `long = "…"`; these belong to cargo and to clap itself
            if ["--help", "--release", "--bin", "--version"].contains(&flag.as_str()) {
                continue;
            }
            seen += 1;
            let field = format!(" {}:", flag.trim_start_matches('-').replace('-', "_"));
            let long = format!("long = \"{}\"", flag.trim_start_matches('-'));
            assert!(
                cli.contains(&field) || cli.contains(&long),
                "{name} shows {flag}, which the command does not have"
            );
        }
    }
    assert!(seen > 20, "only {seen} flags found in the guide: is it still written this way?");
}

#[test]
fn the_finder_of_flags_sees_them() {
    assert_eq!(flags("run `plateau pull x.csv --band 3000-6200 --units us`\n--not-this"), ["--band", "--units"]);
}

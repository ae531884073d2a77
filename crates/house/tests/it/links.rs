//! Links between pages of the documentation lead somewhere, to the heading too.

use house::{root, text_of, tracked_files};
use std::path::{Component, Path, PathBuf};

/// Targets of inline links, code left out.
fn links(page: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut fenced = false;
    for line in page.lines() {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
            continue;
        }
        if fenced {
            continue;
        }
        let prose: String = line.split('`').step_by(2).collect::<Vec<_>>().join("`");
        let mut rest = prose.as_str();
        while let Some(at) = rest.find("](") {
            rest = &rest[at + 2..];
            if let Some(end) = rest.find(')') {
                found.push(rest[..end].to_owned());
            }
        }
    }
    found
}

/// The anchor of a heading: small letters, digits and hyphens, spaces turned into hyphens.
fn anchor(heading: &str) -> String {
    let text = heading.trim_start_matches('#').trim().to_lowercase();
    let kept = text.chars().filter(|c| c.is_alphanumeric() || *c == ' ' || *c == '-' || *c == '_');
    kept.map(|c| if c == ' ' { '-' } else { c }).collect()
}

fn tidy(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::ParentDir => {
                out.pop();
            }
            Component::CurDir => {}
            other => out.push(other),
        }
    }
    out
}

#[test]
fn links_lead_somewhere() {
    let mut broken = Vec::new();
    let mut seen = 0;
    for page in tracked_files().iter().filter(|file| file.extension().is_some_and(|ext| ext == "md")) {
        let text = text_of(page).expect("pages are UTF-8");
        for link in links(&text) {
            if link.starts_with("http:") || link.starts_with("https:") || link.starts_with("mailto:") {
                continue;
            }
            seen += 1;
            let (file, heading) = link.split_once('#').unwrap_or((&link, ""));
            let target =
                if file.is_empty() { page.clone() } else { tidy(&page.parent().unwrap_or(Path::new("")).join(file)) };
            if !root().join(&target).exists() {
                broken.push(format!("{}: `{link}`: no such file", page.display()));
            } else if !heading.is_empty() {
                let there = text_of(&target).unwrap_or_default();
                if !there.lines().any(|line| line.starts_with('#') && anchor(line) == heading) {
                    broken.push(format!("{}: `{link}`: no such heading", page.display()));
                }
            }
        }
    }
    assert!(seen > 0, "no links between pages found at all");
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn the_reader_of_links_knows_its_forms() {
    assert_eq!(links("see [a](b.md) and [c](d.md#e), not `[x](y)`\n```\n[z](w)\n```"), ["b.md", "d.md#e"]);
    assert_eq!(anchor("## Bring in a log, and answer"), "bring-in-a-log-and-answer");
}

//! Snapshots belong to a test that is still there, and none is waiting for a decision.

use house::{root, tracked_files};
use std::path::PathBuf;

fn all_below(folder: PathBuf) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![folder];
    while let Some(next) = open.pop() {
        for path in std::fs::read_dir(&next).into_iter().flatten().flatten().map(|entry| entry.path()) {
            if path.is_dir() {
                open.push(path);
            } else {
                found.push(path);
            }
        }
    }
    found
}

#[test]
fn no_snapshot_waits_for_a_decision() {
    let waiting: Vec<_> = all_below(root().join("crates"))
        .into_iter()
        .filter(|path| {
            path.to_string_lossy().ends_with(".snap.new") || path.to_string_lossy().ends_with(".pending-snap")
        })
        .collect();
    assert!(waiting.is_empty(), "look at these, then keep or remove them: {waiting:?}");
}

#[test]
fn every_snapshot_has_its_test() {
    let mut orphans = Vec::new();
    for snapshot in tracked_files().iter().filter(|file| file.extension().is_some_and(|ext| ext == "snap")) {
        let text = std::fs::read_to_string(root().join(snapshot)).expect("snapshots are UTF-8");
        let source = text.lines().find_map(|line| line.strip_prefix("source: ")).unwrap_or_default().trim();
        let source = source.trim_matches('"');
        // the path is as the compiler saw it: from the root of the workspace, or from the crate
        let name = snapshot.to_string_lossy();
        let krate = name.split('/').take(2).collect::<Vec<_>>().join("/");
        let code = [root().join(source), root().join(&krate).join(source)]
            .into_iter()
            .find(|path| path.is_file() && !source.is_empty());
        let Some(code) = code else {
            orphans.push(format!("{name}: its source `{source}` is gone"));
            continue;
        };
        let code = std::fs::read_to_string(code).expect("sources are UTF-8");
        let stem = snapshot.file_stem().expect("a file name").to_string_lossy().into_owned();
        let last = stem.rsplit("__").next().unwrap_or_default();
        // "name", "name-2" for the second in one test, "name@suffix" for settings
        let last = last.split('@').next().unwrap_or_default();
        let bare = match last.rsplit_once('-') {
            Some((head, digits)) if digits.bytes().all(|b| b.is_ascii_digit()) => head,
            _ => last,
        };
        let dynamic = code.contains("assert_snapshot!(name")
            || code.contains("assert_snapshot!(format!")
            || code.contains("set_snapshot_suffix");
        if !dynamic && !code.contains(bare) {
            orphans.push(format!("{name}: no test `{bare}` in `{source}`"));
        }
    }
    assert!(orphans.is_empty(), "{}", orphans.join("\n"));
}

//! What the house rules are checked with: where the files are, which of them are tracked, what the build depends on.
//!
//! The rules themselves are the tests of this crate (`tests/it`), and the pages in a real browser (`tests/browser`).
//! Nothing here is shipped.

pub mod licence;

use std::path::{Path, PathBuf};
use std::process::Command;

/// The root of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()
        .expect("the crate lies two folders below the root")
}

/// Every file git tracks, relative to the root, that is also there (a file just removed is left out).
///
/// Files new and not yet added are left out too: the rules are about what is committed. In a copy without git (an
/// unpacked archive) every file outside the folders that are built or fetched counts.
pub fn tracked_files() -> Vec<PathBuf> {
    let root = root();
    if !root.join(".git").exists() {
        return files_below(&root);
    }
    let out = Command::new("git")
        .args(["-c", "safe.directory=*", "ls-files", "-z"])
        .current_dir(&root)
        .output()
        .expect("the house tests need git");
    assert!(out.status.success(), "git ls-files: {}", String::from_utf8_lossy(&out.stderr));
    let files: Vec<PathBuf> = out
        .stdout
        .split(|b| *b == 0)
        .filter(|name| !name.is_empty())
        .map(|name| PathBuf::from(String::from_utf8_lossy(name).into_owned()))
        .filter(|path| root.join(path).is_file())
        .collect();
    assert!(!files.is_empty(), "git lists no files in {}", root.display());
    files
}

/// Every file below a folder, relative to it, without what is built or fetched.
fn files_below(root: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![root.to_path_buf()];
    while let Some(next) = open.pop() {
        for path in
            std::fs::read_dir(&next).expect("a readable folder").map(|entry| entry.expect("a readable folder").path())
        {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            if path.is_file() {
                found.push(path.strip_prefix(root).expect("below the root").to_path_buf());
            } else if !["target", "node_modules", "demo-shop", ".git"].contains(&name.as_str()) {
                open.push(path);
            }
        }
    }
    found.sort();
    found
}

/// The text of a tracked file, or `None` for a file that is not UTF-8 (fonts, pictures, logs in other encodings).
pub fn text_of(path: &Path) -> Option<String> {
    String::from_utf8(std::fs::read(root().join(path)).ok()?).ok()
}

/// The crates of the workspace: folder names below `crates/`, in order.
pub fn crates() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(root().join("crates"))
        .expect("there is a folder crates")
        .map(|entry| entry.expect("a readable folder").path())
        .filter(|path| path.join("Cargo.toml").is_file())
        .map(|path| path.file_name().expect("a folder has a name").to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// All `.rs` files below a folder, relative to the root, in order. Empty if there is no such folder.
pub fn rust_files(folder: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![root().join(folder)];
    while let Some(next) = open.pop() {
        let Ok(entries) = std::fs::read_dir(&next) else { continue };
        for path in entries.map(|entry| entry.expect("a readable folder").path()) {
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|ext| ext == "rs") {
                found.push(path.strip_prefix(root()).expect("below the root").to_path_buf());
            }
        }
    }
    found.sort();
    found
}

/// What `cargo metadata` says of the locked build for one platform (64-bit Linux, the one that is tested).
pub fn metadata() -> serde_json::Value {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let out = Command::new(cargo)
        .args(["metadata", "--format-version", "1", "--locked", "--filter-platform", "x86_64-unknown-linux-gnu"])
        .current_dir(root())
        .output()
        .expect("cargo runs");
    assert!(out.status.success(), "cargo metadata: {}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).expect("cargo metadata prints JSON")
}

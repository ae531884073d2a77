//! The wording of every message, pinned.

use std::path::PathBuf;
use store::{RunId, StoreError};

#[test]
fn each_message_says_what_happened_to_the_data_and_what_to_do() {
    let dir = || PathBuf::from("/shop");
    let database = || PathBuf::from("/shop/shop.sqlite3");
    let run: RunId = "0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f10".parse().unwrap();
    let sha256 = "ab".repeat(32);
    let doing = "adding a run";
    let all = [
        StoreError::NotAShop { dir: dir(), found: "holiday.jpg".into() },
        StoreError::NoShop { dir: dir() },
        StoreError::NewerSchema { dir: dir(), found: 9, known: 2 },
        StoreError::Conflict { run, expected: 3, found: 4 },
        StoreError::NoRun { run: "7".into() },
        StoreError::IdTaken { run },
        StoreError::EntryIdTaken { id: run.to_string() },
        StoreError::NoJob { job: run.to_string(), id: run.to_string() },
        StoreError::JobThere { job: run.to_string(), id: run.to_string() },
        StoreError::NoEntry { entry: "7".into() },
        StoreError::TextConflict { kind: "instrument".into(), key: "mic-1".into(), expected: 3, found: 4 },
        StoreError::AccountConflict { name: "tester".into(), expected: 0, found: 1 },
        StoreError::FileMissing { sha256: sha256.clone() },
        StoreError::FileDamaged { sha256, found: "cd".repeat(32), size: 12 },
        StoreError::BadHash { found: "../x".into() },
        StoreError::NotJson { what: "setup of a run", why: "EOF while parsing an object at line 1 column 1".into() },
        StoreError::BadValue { what: "title of a run", found: " ".into(), expected: "a name" },
        StoreError::BackupThere { path: "/disk/shop.zip".into() },
        StoreError::BackupInside { path: "/shop/shop.zip".into(), dir: dir() },
        StoreError::NotABackup { path: "/disk/shop.zip".into(), why: "it holds no manifest.json".into() },
        StoreError::BackupUnlike {
            path: "/disk/shop.zip".into(),
            part: "shop.sqlite3".into(),
            found: "12 bytes, SHA-256 cd…".into(),
            expected: "13 bytes, SHA-256 ab…".into(),
        },
        StoreError::BackupDiffers {
            path: "/disk/shop.zip".into(),
            part: "shop.sqlite3".into(),
            found: "12 bytes, SHA-256 cd…".into(),
            expected: "13 bytes, SHA-256 ab…".into(),
        },
        StoreError::NotEmpty { dir: dir(), found: "holiday.jpg".into() },
        StoreError::DiskFull { path: dir(), doing },
        StoreError::ReadOnly { path: dir(), doing },
        StoreError::DiskFault { path: database(), doing, why: "disk I/O error".into() },
        StoreError::Locked { path: database(), doing },
        StoreError::DatabaseDamaged { path: database(), why: "file is not a database".into() },
        StoreError::RowDamaged { what: "run 4".into(), why: "state `x` is not known".into() },
        StoreError::Io { path: dir(), doing, source: std::io::Error::other("device went away") },
        StoreError::Database { path: database(), doing, source: rusqlite::Error::QueryReturnedNoRows },
    ];
    let text: Vec<String> = all.iter().map(|e| format!("error: {e}")).collect();
    insta::assert_snapshot!(text.join("\n\n"));
}

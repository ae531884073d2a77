//! The shop's folder: made, refused, cleaned.

use crate::{new_run, shop};
use std::fs;
use store::{SCHEMA_VERSION, Store, StoreError};

#[test]
fn an_empty_folder_becomes_a_shop_and_opens_again_with_everything_in_it() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let file = store.keep_file("a.csv", b"abc").unwrap();
    let run = store.add_run(new_run("first", vec![file])).unwrap();
    drop(store);
    let store = Store::open_existing(dir.path()).unwrap();
    assert_eq!(store.runs().unwrap(), vec![run]);
    assert!(store.check().unwrap().is_clean());
}

#[test]
fn a_folder_with_other_things_is_refused_and_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("holiday.jpg"), b"x").unwrap();
    assert!(matches!(Store::open(dir.path()), Err(StoreError::NotAShop { found, .. }) if found == "holiday.jpg"));
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
}

#[test]
fn a_database_of_another_program_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let other = rusqlite::Connection::open(dir.path().join("shop.sqlite3")).unwrap();
    other.execute_batch("CREATE TABLE x (y); PRAGMA user_version = 1;").unwrap();
    assert!(matches!(Store::open(dir.path()), Err(StoreError::NotAShop { .. })));
}

#[test]
fn a_missing_shop_is_not_made_by_looking_at_it() {
    let dir = tempfile::tempdir().unwrap();
    assert!(matches!(Store::open_existing(dir.path()), Err(StoreError::NoShop { .. })));
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
}

#[test]
fn a_newer_schema_is_refused_and_left_alone() {
    let (dir, store) = shop();
    drop(store);
    let path = dir.path().join("shop/shop.sqlite3");
    let database = rusqlite::Connection::open(&path).unwrap();
    database.pragma_update(None, "user_version", SCHEMA_VERSION + 1).unwrap();
    let refused = Store::open(&dir.path().join("shop")).unwrap_err();
    assert!(
        matches!(refused, StoreError::NewerSchema { found, known, .. } if found == SCHEMA_VERSION + 1 && known == SCHEMA_VERSION)
    );
    let version: i64 = database.query_row("PRAGMA user_version", [], |r| r.get(0)).unwrap();
    assert_eq!(version, SCHEMA_VERSION + 1);
}

#[test]
fn a_database_that_is_no_database_is_called_damaged() {
    let (dir, store) = shop();
    drop(store);
    fs::write(dir.path().join("shop/shop.sqlite3"), vec![b'x'; 8192]).unwrap();
    assert!(matches!(Store::open(&dir.path().join("shop")), Err(StoreError::DatabaseDamaged { .. })));
}

#[test]
fn half_written_temporaries_go_at_opening_but_not_those_that_are_being_written() {
    let (dir, store) = shop();
    drop(store);
    let tmp = dir.path().join("shop/tmp");
    fs::write(tmp.join("dead.part"), b"half").unwrap();
    let living = fs::File::create(tmp.join("living.part")).unwrap();
    living.lock().unwrap();
    Store::open(&dir.path().join("shop")).unwrap();
    assert!(!tmp.join("dead.part").exists());
    assert!(tmp.join("living.part").exists());
}

/// Root may write anywhere, so there the folder is no obstacle and nothing can be tested.
#[cfg(unix)]
#[test]
fn a_read_only_folder_is_named() {
    use std::os::unix::fs::PermissionsExt;
    let (dir, store) = shop();
    let files = dir.path().join("shop/files");
    fs::set_permissions(&files, fs::Permissions::from_mode(0o555)).unwrap();
    let can_write_anyway = fs::write(files.join("probe"), b"").is_ok();
    let kept = store.keep_file("a.csv", b"abc");
    fs::set_permissions(&files, fs::Permissions::from_mode(0o755)).unwrap();
    if !can_write_anyway {
        assert!(matches!(kept, Err(StoreError::ReadOnly { .. })));
    }
}

/// After an orderly end everything is in one file, so that a copy of it is whole.
#[test]
fn an_orderly_end_leaves_no_log_beside_the_database() {
    let (dir, store) = shop();
    store.add_entries(&[crate::open_job()]).unwrap();
    assert_eq!(store.jobs().unwrap().len(), 1);
    assert!(dir.path().join("shop/shop.sqlite3-wal").exists());
    drop(store);
    assert!(!dir.path().join("shop/shop.sqlite3-wal").exists());
    assert!(!dir.path().join("shop/shop.sqlite3-shm").exists());
}

//! Kept files: addressed by content, checked on reading.

use crate::shop;
use std::fs;
use store::{FileRef, StoreError};

/// Expected: FIPS 180-4, the SHA-256 example "abc" (one block), as published with the standard.
const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

#[test]
fn a_file_is_named_by_the_sha_256_of_its_bytes() {
    let (dir, store) = shop();
    let kept = store.keep_file("a.csv", b"abc").unwrap();
    assert_eq!(kept, FileRef { sha256: ABC.to_owned(), size: 3, name: "a.csv".to_owned() });
    assert_eq!(fs::read(dir.path().join("shop/files/ba").join(ABC)).unwrap(), b"abc");
    assert_eq!(store.read_file(ABC).unwrap(), b"abc");
}

#[test]
fn every_byte_comes_back_as_it_came() {
    let (_dir, store) = shop();
    let all: Vec<u8> = (0..=255).cycle().take(100_000).collect();
    for bytes in [&b""[..], &b"\xef\xbb\xbfrpm;Nm\r\n\0\r"[..], &all] {
        let kept = store.keep_file("x", bytes).unwrap();
        assert_eq!(store.read_file(&kept.sha256).unwrap(), bytes);
    }
}

#[test]
fn keeping_twice_keeps_one_copy_and_no_temporary_is_left() {
    let (dir, store) = shop();
    store.keep_file("a.csv", b"abc").unwrap();
    store.keep_file("b.csv", b"abc").unwrap();
    assert_eq!(fs::read_dir(dir.path().join("shop/files/ba")).unwrap().count(), 1);
    assert_eq!(fs::read_dir(dir.path().join("shop/tmp")).unwrap().count(), 0);
}

#[test]
fn a_damaged_file_is_not_handed_out_and_is_put_right_when_it_comes_again() {
    let (dir, store) = shop();
    store.keep_file("a.csv", b"abc").unwrap();
    fs::write(dir.path().join("shop/files/ba").join(ABC), b"abd").unwrap();
    assert!(matches!(store.read_file(ABC), Err(StoreError::FileDamaged { size: 3, .. })));
    store.keep_file("a.csv", b"abc").unwrap();
    assert_eq!(store.read_file(ABC).unwrap(), b"abc");
}

#[test]
fn a_missing_file_and_a_name_that_is_no_hash_are_told_apart() {
    let (_dir, store) = shop();
    assert!(matches!(store.read_file(ABC), Err(StoreError::FileMissing { .. })));
    for name in ["", "../../shop.sqlite3", &ABC.to_uppercase(), &ABC[1..]] {
        assert!(matches!(store.read_file(name), Err(StoreError::BadHash { .. })), "{name}");
    }
}

//! A shop into one file and back, while it is in use.

use crate::{new_entry, new_run, open_job, shop};
use std::fs;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;
use store::{NewAccount, NewEntry, Store, StoreError};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// A shop with a bit of everything.
fn filled() -> (tempfile::TempDir, Store) {
    let (dir, store) = shop();
    let log = store.keep_file("a.csv", b"rpm,Nm\n").unwrap();
    store.add_run(new_run("first", vec![log])).unwrap();
    let photo = store.keep_file("bore.jpg", &[7; 300_000]).unwrap();
    let opened = open_job();
    let with_photo = NewEntry {
        files: vec![(photo.sha256, photo.name)],
        search_text: "bore three".into(),
        ..new_entry(&opened.job, "photo", "{}")
    };
    store.add_entries(&[opened, with_photo]).unwrap();
    store.put_text("instrument", "mic-1", 0, "x", "operator").unwrap();
    store.put_dyno("north", "name = \"North\"").unwrap();
    store.set_setting("units", "us").unwrap();
    store.add_note("watch_failed", "b.csv", "empty").unwrap();
    let account = NewAccount {
        name: "tester".into(),
        person: "A. Tester".into(),
        roles: vec!["bench".into()],
        keeper: true,
        active: true,
        password: Some("$argon2id$x".into()),
    };
    store.put_account(0, &account, "first run").unwrap();
    store.begin_session("secret", "tester", Duration::from_secs(3600), "phone of A.").unwrap();
    (dir, store)
}

fn backup(store: &Store, path: &Path) -> Result<store::BackupReport, StoreError> {
    store.backup(path, false, &mut |_, _| {})
}

fn restore(from: &Path, into: &Path) -> Result<(Store, store::RestoreReport), StoreError> {
    Store::restore(from, into, &mut |_, _| {})
}

/// Everything in the database but the sessions, as the `sqlite3` program prints it.
fn dump(database: &Path) -> String {
    let tables = sqlite3(
        database,
        "SELECT group_concat(name, ' ') FROM (SELECT name FROM sqlite_schema WHERE type = 'table'
         AND name NOT LIKE 'sqlite_%' AND name <> 'sessions' ORDER BY name)",
    );
    let each: Vec<String> = tables
        .split_whitespace()
        .map(|table| sqlite3(database, &format!("SELECT '{table}', * FROM {table}")))
        .collect();
    assert!(each.len() > 15, "{tables}");
    each.join("\n")
}

/// The answer of the `sqlite3` program, which is none of our code and another build of SQLite.
fn sqlite3(database: &Path, question: &str) -> String {
    let out = Command::new("sqlite3")
        .arg(database)
        .arg(question)
        .output()
        .expect("the program sqlite3 is needed (Debian package sqlite3; tools/install_test_tools.sh installs it)");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

/// One part of a zip.
fn part(path: &Path, name: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    ZipArchive::new(fs::File::open(path).unwrap()).unwrap().by_name(name).unwrap().read_to_end(&mut bytes).unwrap();
    bytes
}

#[test]
fn a_shop_comes_back_whole_and_nobody_is_signed_in() {
    let (dir, store) = filled();
    let (zip, into) = (dir.path().join("shop.zip"), dir.path().join("back"));
    let mut steps = Vec::new();
    let made = store.backup(&zip, false, &mut |done, of| steps.push((done, of))).unwrap();
    assert_eq!((made.files, made.missing.len(), made.newest.clone().unwrap().seq), (2, 0, 2));
    assert_eq!(made.bytes, fs::metadata(&zip).unwrap().len());
    assert!(steps.is_sorted() && steps.last().unwrap().0 >= steps.last().unwrap().1, "{steps:?}");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 2, "shop and backup, nothing left lying");

    let (back, report) = restore(&zip, &into).unwrap();
    assert!(report.is_whole() && report.check.is_clean(), "{report:?}");
    assert_eq!((report.check.jobs, report.check.entries, report.check.runs, report.check.files), (1, 2, 1, 2));
    assert_eq!((report.made_at, report.newest), (made.made_at, made.newest));
    assert_eq!(back.runs().unwrap(), store.runs().unwrap());
    assert_eq!(back.entries_since(0, 9).unwrap(), store.entries_since(0, 9).unwrap());
    assert_eq!(back.search("bore", 9).unwrap(), store.search("bore", 9).unwrap());
    assert_eq!(back.account("tester").unwrap(), store.account("tester").unwrap());
    assert!(store.session("secret").unwrap().is_some() && back.session("secret").unwrap().is_none());
    assert_eq!(dump(&into.join("shop.sqlite3")), dump(&dir.path().join("shop/shop.sqlite3")));
    // It goes on being a shop.
    back.add_entries(&[open_job()]).unwrap();
    assert!(back.check().unwrap().is_clean());
}

/// Checked against another program: sqlite3's own integrity check, over the tables and over the index of words.
#[test]
fn the_sqlite3_program_finds_the_database_of_a_backup_whole() {
    let (dir, store) = filled();
    let zip = dir.path().join("shop.zip");
    backup(&store, &zip).unwrap();
    let database = dir.path().join("taken-out.sqlite3");
    fs::write(&database, part(&zip, "shop.sqlite3")).unwrap();
    assert_eq!(sqlite3(&database, "PRAGMA integrity_check").trim(), "ok");
    assert_eq!(sqlite3(&database, "PRAGMA foreign_key_check").trim(), "");
    assert_eq!(sqlite3(&database, "INSERT INTO entry_words(entry_words) VALUES ('integrity-check')").trim(), "");
    assert_eq!(sqlite3(&database, "SELECT count(*) FROM entries").trim(), "2");
    assert_eq!(sqlite3(&database, "PRAGMA journal_mode").trim(), "delete", "it needs no file beside it");
    assert!(!String::from_utf8_lossy(&fs::read(&database).unwrap()).contains("phone of A."), "no trace of a session");
}

/// Four write entries with photos and runs all the time; each backup is whole in itself.
#[test]
fn a_backup_made_while_others_write_is_of_one_moment() {
    let (dir, store) = filled();
    let stop = AtomicBool::new(false);
    let noted = std::thread::scope(|scope| {
        for writer in 0..4 {
            let (store, stop) = (&store, &stop);
            scope.spawn(move || {
                let opened = open_job();
                let job = opened.job.clone();
                store.add_entries(&[opened]).unwrap();
                let mut n = 0;
                while !stop.load(Ordering::Relaxed) {
                    n += 1;
                    let photo = store.keep_file("p.jpg", format!("{writer} {n}").as_bytes()).unwrap();
                    let files = vec![(photo.sha256.clone(), photo.name.clone())];
                    store.add_entries(&[NewEntry { files, ..new_entry(&job, "photo", "{}") }]).unwrap();
                    store.add_run(new_run("run", vec![photo])).unwrap();
                }
            });
        }
        let made: Vec<_> = (0..5)
            .map(|n| {
                std::thread::sleep(Duration::from_millis(50));
                let zip = dir.path().join(format!("{n}.zip"));
                (backup(&store, &zip).unwrap(), zip)
            })
            .collect();
        stop.store(true, Ordering::Relaxed);
        made
    });
    let mut before = 0;
    for (n, (made, zip)) in noted.iter().enumerate() {
        assert!(made.missing.is_empty());
        let (back, report) = restore(zip, &dir.path().join(format!("back-{n}"))).unwrap();
        assert!(report.is_whole() && report.check.unused_files.is_empty(), "{report:?}");
        let newest = report.newest.unwrap();
        assert!(newest.seq > before, "nothing was written between the backups");
        before = newest.seq;
        assert_eq!(store.entries_since(newest.seq - 1, 1).unwrap()[0].hash, newest.hash);
        assert_eq!(back.entries_since(0, usize::MAX).unwrap().len() as i64, newest.seq);
    }
}

#[test]
fn one_damaged_and_one_missing_file_do_not_stop_a_backup_and_are_told() {
    let (dir, store) = filled();
    let path = |sha: &str| dir.path().join("shop/files").join(&sha[..2]).join(sha);
    let photo = store.entries_since(1, 1).unwrap()[0].files[0].0.clone();
    let log = store.runs().unwrap()[0].files[0].sha256.clone();
    fs::write(path(&photo), b"x").unwrap();
    fs::remove_file(path(&log)).unwrap();
    let zip = dir.path().join("shop.zip");
    let made = backup(&store, &zip).unwrap();
    let mut missing: Vec<_> =
        made.missing.iter().map(|m| (m.sha256.clone(), m.why.split(':').next().unwrap())).collect();
    missing.sort();
    let mut expected = [(photo, "damaged"), (log, "missing")];
    expected.sort();
    assert_eq!(missing, expected);
    let (_, report) = restore(&zip, &dir.path().join("back")).unwrap();
    assert!(report.is_whole() && !report.check.is_clean(), "what is gone was gone before: {report:?}");
    assert_eq!(report.check.damaged.len(), 2);
}

#[test]
fn a_backup_goes_where_nothing_is_lost_by_it() {
    let (dir, store) = filled();
    let zip = dir.path().join("shop.zip");
    fs::write(&zip, "something").unwrap();
    assert!(matches!(backup(&store, &zip), Err(StoreError::BackupThere { .. })));
    assert_eq!(fs::read(&zip).unwrap(), b"something");
    for inside in ["shop/shop.zip", "shop/files/shop.zip"] {
        assert!(matches!(backup(&store, &dir.path().join(inside)), Err(StoreError::BackupInside { .. })));
    }
    assert!(matches!(backup(&store, &dir.path().join("none/shop.zip")), Err(StoreError::Io { .. })));
    store.backup(&zip, true, &mut |_, _| {}).unwrap();
    assert!(restore(&zip, &dir.path().join("back")).unwrap().1.is_whole());
}

#[test]
fn what_a_killed_backup_left_goes_with_the_next_one_but_not_what_is_being_written() {
    let (dir, store) = filled();
    let left = |id: &str, ending: &str| dir.path().join(format!(".plateau-backup-{id}{ending}"));
    for (id, ending) in
        ["dead", "living"].into_iter().flat_map(|id| [".part", ".sqlite3", ".sqlite3-journal"].map(|e| (id, e)))
    {
        fs::write(left(id, ending), "half").unwrap();
    }
    let living = fs::File::open(left("living", ".part")).unwrap();
    living.lock().unwrap();
    backup(&store, &dir.path().join("shop.zip")).unwrap();
    for ending in [".part", ".sqlite3", ".sqlite3-journal"] {
        assert!(!left("dead", ending).exists() && left("living", ending).exists(), "{ending}");
    }
}

#[test]
fn a_shop_is_restored_into_an_empty_place_only() {
    let (dir, store) = filled();
    let zip = dir.path().join("shop.zip");
    backup(&store, &zip).unwrap();
    let into = dir.path().join("into");
    fs::create_dir(&into).unwrap();
    fs::write(into.join("holiday.jpg"), "x").unwrap();
    assert!(matches!(restore(&zip, &into), Err(StoreError::NotEmpty { found, .. }) if found == "holiday.jpg"));
    assert_eq!(fs::read_dir(&into).unwrap().count(), 1);
    let shop = dir.path().join("shop");
    assert!(matches!(restore(&zip, &shop), Err(StoreError::NotEmpty { .. })));
    // Half of a try before this one, with half a file in it.
    fs::remove_file(into.join("holiday.jpg")).unwrap();
    let photo = &store.entries_since(1, 1).unwrap()[0].files[0].0;
    fs::create_dir_all(into.join("files").join(&photo[..2])).unwrap();
    fs::write(into.join("files").join(&photo[..2]).join(photo), "half").unwrap();
    assert!(restore(&zip, &into).unwrap().1.check.is_clean());
}

/// Every byte of the zip that belongs to a part is one that a fault in it is noticed at: tried at many places.
#[test]
fn a_damaged_backup_is_refused_and_makes_no_shop() {
    let (dir, store) = filled();
    let zip = dir.path().join("shop.zip");
    backup(&store, &zip).unwrap();
    let whole = fs::read(&zip).unwrap();
    let bad = dir.path().join("bad.zip");
    let (mut refused, mut harmless) = (0, 0);
    for n in 0..60 {
        let at = n * whole.len() / 60 + 17;
        let mut bytes = whole.clone();
        bytes[at] ^= 0x10;
        fs::write(&bad, &bytes).unwrap();
        let into = dir.path().join(format!("into-{n}"));
        match restore(&bad, &into) {
            // The one page of words for people, or a place between the parts.
            Ok((_, report)) => {
                assert!(report.is_whole() && report.check.is_clean(), "byte {at}");
                harmless += 1;
            }
            Err(StoreError::BackupDiffers { .. } | StoreError::NotABackup { .. }) => {
                assert!(!into.join("shop.sqlite3").exists(), "byte {at}");
                refused += 1;
            }
            Err(other) => panic!("byte {at}: {other}"),
        }
    }
    assert!(refused >= 55, "{refused} refused, {harmless} did no harm");
    for length in [0, 10, whole.len() / 2, whole.len() - 1] {
        fs::write(&bad, &whole[..length]).unwrap();
        let into = dir.path().join("cut");
        assert!(matches!(restore(&bad, &into), Err(StoreError::NotABackup { .. })), "cut at {length}");
        assert!(!into.exists());
    }
}

/// A zip of parts with this list of contents.
fn made_up(path: PathBuf, manifest: &str, parts: &[(&str, &[u8])]) -> PathBuf {
    let mut zip = ZipWriter::new(fs::File::create(&path).unwrap());
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    for (name, bytes) in parts.iter().copied().chain([("manifest.json", manifest.as_bytes())]) {
        zip.start_file(name, options).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap();
    path
}

#[test]
fn a_zip_that_is_no_backup_of_ours_writes_nothing_anywhere() {
    let (dir, _store) = shop();
    let into = dir.path().join("into");
    let sha = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    let manifest = |database: &str, file: &str, schema: i64| {
        format!(
            r#"{{"plateau_backup":1,"made_at":"2026-04-08T08:00:00Z","schema":{schema},"newest":null,
               "database":{{"name":"{database}","size":3,"sha256":"{sha}"}},
               "files":[{{"name":"{file}","size":3,"sha256":"{sha}"}}],"missing":[]}}"#
        )
    };
    let good = format!("files/ba/{sha}");
    for (manifest, expected) in [
        (manifest("shop.sqlite3", "../../outside", 1), "names a file `../../outside`"),
        (manifest("shop.sqlite3", &format!("files/../../{sha}"), 1), "names a file"),
        (manifest("../shop.sqlite3", &good, 1), "for the database"),
        ("{}".to_owned(), "cannot be read"),
        (manifest("shop.sqlite3", &good, 99), "newer Plateau"),
    ] {
        let parts: &[(&str, &[u8])] = &[("../../outside", b"abc"), ("shop.sqlite3", b"abc"), (&good, b"abc")];
        let zip = made_up(dir.path().join("made-up.zip"), &manifest, parts);
        let refused = restore(&zip, &into).unwrap_err().to_string();
        assert!(refused.contains(expected), "{refused}");
        assert!(!into.exists() && !dir.path().join("outside").exists());
    }
    let other = made_up(dir.path().join("other.zip"), "", &[]);
    assert!(matches!(restore(&other, &into), Err(StoreError::NotABackup { .. })));
    // Whole by its list, but what it calls a database is none.
    let zip = made_up(
        dir.path().join("x.zip"),
        &manifest("shop.sqlite3", &good, 1),
        &[("shop.sqlite3", b"abc"), (&good, b"abc")],
    );
    let refused = restore(&zip, &into).unwrap_err();
    assert!(matches!(refused, StoreError::DatabaseDamaged { .. }), "{refused}");
}

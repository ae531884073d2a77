//! A full disk, and a database that was cut: what is told, and that nothing else is lost.

use crate::{new_entry, open_job, shop};
use std::fs;
use std::path::Path;
use std::process::Command;
use store::{NewEntry, Store, StoreError};

/// A small disk of its own (tmpfs), taken away when dropped. Root may make one; anybody else is given none, and the full
/// disk is then tried with a limit on file sizes by the tests of the whole program.
struct SmallDisk(tempfile::TempDir);

impl SmallDisk {
    fn mount(size: &str) -> Option<Self> {
        let dir = tempfile::tempdir().unwrap();
        let options = format!("size={size}");
        let done = Command::new("mount").args(["-t", "tmpfs", "-o", &options, "tmpfs"]).arg(dir.path()).output();
        done.is_ok_and(|out| out.status.success()).then(|| Self(dir))
    }

    fn path(&self) -> &Path {
        self.0.path()
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(self.0.path()).output();
    }
}

#[test]
fn a_full_disk_is_told_and_everything_saved_before_is_whole() {
    let Some(disk) = SmallDisk::mount("2m") else {
        println!("no disk could be made here: not root");
        return;
    };
    let dir = disk.path().join("shop");
    let store = Store::open(&dir).unwrap();
    let opened = open_job();
    let job = opened.job.clone();
    let mut saved = store.add_entries(&[opened]).unwrap();
    let photo = store.keep_file("p.jpg", b"small").unwrap();
    let long = format!(r#"{{"text":"{}"}}"#, "x".repeat(20_000));
    let refused = loop {
        match store.add_entries(&[new_entry(&job, "note", &long)]) {
            Ok(more) => saved.extend(more),
            Err(refused) => break refused,
        }
        assert!(saved.len() < 1000, "the disk never got full");
    };
    assert!(matches!(refused, StoreError::DiskFull { .. }), "{refused}");
    let kept = store.keep_file("p.jpg", &[1; 1_000_000]).unwrap_err();
    assert!(matches!(kept, StoreError::DiskFull { .. }), "{kept}");
    assert!(fs::read_dir(dir.join("tmp")).unwrap().next().is_none(), "half a file is left lying");
    let backup = store.backup(&disk.path().join("b.zip"), false, &mut |_, _| {}).unwrap_err();
    assert!(matches!(backup, StoreError::DiskFull { .. }), "{backup}");
    assert_eq!(fs::read_dir(disk.path()).unwrap().count(), 1, "half a backup is left lying");

    // Reading goes on, and everything is there.
    assert_eq!(store.entries(&job, 0).unwrap(), saved);
    assert_eq!(store.read_file(&photo.sha256).unwrap(), b"small");
    // With room again, writing goes on without opening anew.
    let room = Command::new("mount").args(["-o", "remount,size=20m"]).arg(disk.path()).output().unwrap();
    assert!(room.status.success(), "{room:?}");
    saved.extend(store.add_entries(&[new_entry(&job, "note", &long)]).unwrap());
    assert_eq!(store.entries(&job, 0).unwrap(), saved);
    assert!(store.check().unwrap().is_clean());
    drop(store);
    assert!(Store::open(&dir).unwrap().check().unwrap().is_clean());
}

#[test]
fn a_database_cut_in_the_middle_is_told_and_left_as_it_is() {
    let (dir, store) = shop();
    let opened = open_job();
    let job = opened.job.clone();
    store.add_entries(&[opened]).unwrap();
    for n in 0..300 {
        store.add_entries(&[new_entry(&job, "note", &format!(r#"{{"n":{n}}}"#))]).unwrap();
    }
    let photo = store.keep_file("p.jpg", b"photo").unwrap();
    drop(store);
    let path = dir.path().join("shop/shop.sqlite3");
    let whole = fs::read(&path).unwrap();
    assert!(whole.len() > 100_000 && !path.with_extension("sqlite3-wal").exists(), "{} bytes", whole.len());
    for share in [1, 3, 6, 9] {
        let cut = &whole[..whole.len() * share / 10];
        fs::write(&path, cut).unwrap();
        let refused = Store::open(&dir.path().join("shop")).unwrap_err();
        assert!(matches!(refused, StoreError::DatabaseDamaged { .. }), "{share} tenths: {refused}");
        assert_eq!(fs::read(&path).unwrap(), cut, "{share} tenths: it was touched");
        let file = dir.path().join("shop/files").join(&photo.sha256[..2]).join(&photo.sha256);
        assert_eq!(fs::read(file).unwrap(), b"photo");
    }
    fs::write(&path, &whole).unwrap();
    assert_eq!(Store::open(&dir.path().join("shop")).unwrap().entries(&job, 0).unwrap().len(), 301);
}

/// Pages in the middle are overwritten while the shop is open, as a failing disk does.
#[test]
fn damage_inside_the_database_is_found_by_the_check_and_what_can_be_read_is_read() {
    let (dir, store) = shop();
    let photo = store.keep_file("p.jpg", b"photo").unwrap();
    let opened = open_job();
    let files = vec![(photo.sha256, photo.name)];
    store.add_entries(&[NewEntry { files, ..opened }]).unwrap();
    let jobs: Vec<String> = (0..40)
        .map(|_| {
            let opened = open_job();
            let job = opened.job.clone();
            let mut all = vec![opened];
            all.extend(
                (0..20).map(|n| new_entry(&job, "note", &format!(r#"{{"n":{n},"text":"{}"}}"#, "y".repeat(300)))),
            );
            store.add_entries(&all).unwrap();
            job
        })
        .collect();
    drop(store);
    let path = dir.path().join("shop/shop.sqlite3");
    let mut bytes = fs::read(&path).unwrap();
    // A page of entries: the text of one stands in it.
    let needle = br#"{"n":7,"text""#;
    let at = bytes.windows(needle.len()).rposition(|w| w == needle).unwrap() / 4096 * 4096;
    bytes[at..at + 8].fill(0xff);
    fs::write(&path, &bytes).unwrap();
    let store = Store::open(&dir.path().join("shop")).unwrap();
    let answers: Vec<_> = jobs.iter().map(|job| store.entries(job, 0)).collect();
    let refused: Vec<_> = answers.iter().filter_map(|a| a.as_ref().err()).collect();
    assert!(!refused.is_empty() && refused.len() <= 3, "{} jobs cannot be read", refused.len());
    assert!(refused.iter().all(|e| matches!(e, StoreError::DatabaseDamaged { .. })), "{refused:?}");
    assert_eq!(store.jobs().unwrap().len(), 41);
    let zip = dir.path().join("b.zip");
    let backup = store.backup(&zip, false, &mut |_, _| {}).unwrap_err();
    assert!(matches!(backup, StoreError::DatabaseDamaged { .. }), "{backup}");
    assert!(!zip.exists());
    let report = store.check().unwrap();
    assert!(!report.is_clean() && !report.database.is_empty(), "{report:?}");
    // The files are looked at all the same.
    assert_eq!((report.files, report.damaged.len()), (1, 0));
}

//! Dynos, settings, notes, the sequence of changes, and the check.

use crate::{new_run, shop};
use std::fs;
use store::{RunChange, StoreError};

#[test]
fn a_dyno_keeps_its_older_texts() {
    let (_dir, store) = shop();
    assert_eq!(store.dyno("north").unwrap(), None);
    store.put_dyno("north", "a = 1").unwrap();
    store.put_dyno("south", "b = 1").unwrap();
    let second = store.put_dyno("north", "a = 2").unwrap();
    assert_eq!((second.revision, second.cell_toml.as_str()), (2, "a = 2"));
    assert_eq!(store.put_dyno("north", "a = 2").unwrap(), second, "the same text is no new revision");
    assert_eq!(store.dyno("north").unwrap(), Some(second));
    let texts: Vec<_> = store.dyno_history("north").unwrap().into_iter().map(|d| d.cell_toml).collect();
    assert_eq!(texts, ["a = 1", "a = 2"]);
    let keys: Vec<_> = store.dynos().unwrap().into_iter().map(|d| d.key).collect();
    assert_eq!(keys, ["north", "south"]);
    for key in ["", "North", "a b", "é"] {
        assert!(matches!(store.put_dyno(key, ""), Err(StoreError::BadValue { .. })), "{key}");
    }
}

#[test]
fn a_setting_is_the_last_one_set() {
    let (_dir, store) = shop();
    assert_eq!(store.setting("units").unwrap(), None);
    store.set_setting("units", "us").unwrap();
    store.set_setting("units", "metric").unwrap();
    assert_eq!(store.setting("units").unwrap().as_deref(), Some("metric"));
    let seq = store.latest_change().unwrap();
    store.set_setting("units", "metric").unwrap();
    assert_eq!(store.latest_change().unwrap(), seq);
    assert!(store.set_setting("", "x").is_err());
}

#[test]
fn a_setting_keeps_its_older_values() {
    let (_dir, store) = shop();
    assert_eq!(store.setting_now("guards").unwrap(), None);
    store.set_setting("guards", "# first").unwrap();
    store.set_setting("units", "us").unwrap();
    let second = store.set_setting("guards", "# second").unwrap();
    assert_eq!((second.revision, second.value.as_str()), (2, "# second"));
    assert_eq!(store.set_setting("guards", "# second").unwrap(), second, "the same value is no new revision");
    assert_eq!(store.setting_now("guards").unwrap(), Some(second));
    let values: Vec<_> = store.setting_history("guards").unwrap().into_iter().map(|s| (s.revision, s.value)).collect();
    assert_eq!(values, [(1, "# first".to_owned()), (2, "# second".to_owned())]);
}

#[test]
fn the_sequence_rises_with_everything_that_is_written() {
    let (dir, store) = shop();
    assert_eq!(store.latest_change().unwrap(), 0);
    let run = store.add_run(new_run("first", vec![store.keep_file("a.csv", b"a").unwrap()])).unwrap();
    let after_run = store.latest_change().unwrap();
    // Another process is another connection.
    let other = store::Store::open(&dir.path().join("shop")).unwrap();
    other.change_run(run.id, 1, &RunChange::Title("x".into()), "builder").unwrap();
    other.put_dyno("north", "").unwrap();
    other.set_setting("units", "us").unwrap();
    other.add_note("watch_failed", "b.csv", "empty").unwrap();
    let what: Vec<_> = store.changes_since(after_run).unwrap().into_iter().map(|c| (c.what, c.subject)).collect();
    let id = run.id.to_string();
    let expected = [("run_change", id.as_str()), ("dyno", "north"), ("setting", "units"), ("note", "b.csv")];
    assert_eq!(what, expected.map(|(a, b)| (a.to_owned(), b.to_owned())));
    assert!(store.latest_change().unwrap() > after_run);
    assert_eq!(store.notes(5).unwrap()[0].text, "empty");
}

#[test]
fn the_check_finds_damage_loss_and_unused_files() {
    let (dir, store) = shop();
    let a = store.keep_file("a.csv", b"a").unwrap();
    let b = store.keep_file("b.csv", b"bb").unwrap();
    store.add_run(new_run("first", vec![a.clone(), b.clone()])).unwrap();
    let report = store.check().unwrap();
    assert!(report.is_clean());
    assert_eq!((report.runs, report.files, report.bytes), (1, 2, 3));

    let unused = store.keep_file("c.csv", b"c").unwrap();
    let path = |sha: &str| dir.path().join("shop/files").join(&sha[..2]).join(sha);
    let report = store.check().unwrap();
    assert!(report.is_clean(), "a file that no run names does no harm");
    assert_eq!(report.unused_files, [format!("files/{}/{}", &unused.sha256[..2], unused.sha256)]);

    fs::write(path(&a.sha256), b"A").unwrap();
    fs::remove_file(path(&b.sha256)).unwrap();
    let report = store.check().unwrap();
    assert!(!report.is_clean());
    let mut damaged: Vec<_> = report.damaged.iter().map(|d| (d.sha256.clone(), d.used_by.clone())).collect();
    damaged.sort();
    let mut expected = [(a.sha256, vec![("a.csv".to_owned(), 1)]), (b.sha256, vec![("b.csv".to_owned(), 1)])];
    expected.sort();
    assert_eq!(damaged, expected);
}

/// The triggers are taken away first, as only a hand at the database could do it.
#[test]
fn the_check_finds_rows_that_do_not_fit_together() {
    let (dir, store) = shop();
    let run = store.add_run(new_run("first", vec![store.keep_file("a.csv", b"a").unwrap()])).unwrap();
    store.change_run_all(run.id, 1, &[RunChange::Dyno(None), RunChange::Dyno(None)], "operator").unwrap();
    let hand = rusqlite::Connection::open(dir.path().join("shop/shop.sqlite3")).unwrap();
    hand.execute_batch(
        "PRAGMA foreign_keys = OFF;
         DROP TRIGGER run_changes_stay; DROP TRIGGER run_files_stay; DROP TRIGGER runs_keep;
         DELETE FROM run_changes WHERE revision = 2; DELETE FROM run_files; UPDATE runs SET number = 3;
         INSERT INTO run_changes VALUES ('0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f10', 2, 't', 'a', 'dyno', '{}');",
    )
    .unwrap();
    let bad = store.check().unwrap().bad_rows.join("\n");
    for part in [
        "a row of run_changes belongs to nothing in runs",
        "run 3 names no log",
        "is named by no run",
        "have a gap",
        "the numbers of the runs have a gap",
    ] {
        assert!(bad.contains(part), "{part} is not in:\n{bad}");
    }
}

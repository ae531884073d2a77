//! The check of the record: whatever a hand at the database does to it shows.

use crate::{new_entry, open_job, shop};
use rusqlite::Connection;
use store::{NewEntry, Store};
use tempfile::TempDir;

/// Two jobs with three entries each, one of them with a photo.
fn record() -> (TempDir, Store) {
    let (dir, store) = shop();
    let (a, b) = (open_job(), open_job());
    let photo = store.keep_file("bore.jpg", b"photo").unwrap();
    let with_photo = NewEntry {
        files: vec![(photo.sha256, photo.name)],
        search_text: "bore three".into(),
        ..new_entry(&a.job, "photo", r#"{"of":"bore 3"}"#)
    };
    let (a2, b2, b3) =
        (new_entry(&a.job, "claim", "{}"), new_entry(&b.job, "claim", "{}"), new_entry(&b.job, "claim", "{}"));
    store.add_entries(&[a, b, a2, b2, with_photo, b3]).unwrap();
    (dir, store)
}

/// What the check says after a hand has written SQL into the database, all triggers taken away.
fn after(sql: &str) -> String {
    let (dir, store) = record();
    let report = store.check().unwrap();
    assert!(report.is_clean(), "{report:?}");
    assert_eq!((report.jobs, report.entries, report.newest.map(|n| n.seq)), (2, 6, Some(6)));
    let hand = Connection::open(dir.path().join("shop/shop.sqlite3")).unwrap();
    let triggers: Vec<String> = hand
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |r| r.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    for trigger in triggers {
        hand.execute_batch(&format!("DROP TRIGGER {trigger}")).unwrap();
    }
    hand.execute_batch("PRAGMA foreign_keys = OFF").unwrap();
    hand.execute_batch(sql).unwrap();
    let report = store.check().unwrap();
    assert!(!report.is_clean(), "nothing noticed after: {sql}");
    // Ids are new each time.
    let mut said = report.bad_rows;
    said.extend(report.database);
    let ids = hand
        .prepare("SELECT id FROM entries UNION SELECT job FROM jobs UNION SELECT job FROM entries")
        .unwrap()
        .query_map([], |r| r.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect::<Vec<String>>();
    let mut text = said.join("\n");
    for id in ids {
        text = text.replace(&id, "<id>");
    }
    hashes_out(&text)
}

/// 64 hexadecimal digits in a row become `<hash>`.
fn hashes_out(text: &str) -> String {
    text.split_inclusive(|c: char| !c.is_ascii_hexdigit())
        .map(|word| {
            let digits = word.trim_end_matches(|c: char| !c.is_ascii_hexdigit());
            if digits.len() == 64 { word.replace(digits, "<hash>") } else { word.to_owned() }
        })
        .collect()
}

#[test]
fn whatever_a_hand_at_the_database_does_shows() {
    let mut all = String::new();
    for (done, sql) in [
        ("a body was changed", r#"UPDATE entries SET body = '{"of":"bore 4"}' WHERE seq = 5"#),
        ("an author was changed", "UPDATE entries SET author = 'somebody' WHERE seq = 3"),
        ("a time of saving was changed", "UPDATE entries SET received = '2026-01-01T00:00:00.000Z' WHERE seq = 2"),
        ("a body was written otherwise", r#"UPDATE entries SET body = '{ }' WHERE seq = 4"#),
        ("an entry was taken out", "DELETE FROM entries WHERE seq = 4; DELETE FROM entry_words WHERE rowid = 4"),
        ("the newest entry was cut off", "DELETE FROM entries WHERE seq = 6; DELETE FROM entry_words WHERE rowid = 6"),
        ("a file was taken from an entry", "DELETE FROM entry_files"),
        ("a file was given another name", "UPDATE entry_files SET name = 'other.jpg'"),
        (
            "two entries changed places",
            "UPDATE entries SET seq = 100 WHERE seq = 3; UPDATE entries SET seq = 3 WHERE seq = 4; UPDATE entries SET seq = 4 WHERE seq = 100",
        ),
        ("a job got another number", "UPDATE jobs SET number = 5 WHERE number = 2"),
        ("a job was opened at another time", "UPDATE jobs SET opened_at = '2020-01-01T00:00:00Z' WHERE number = 2"),
        ("a job is gone from the list", "DELETE FROM jobs WHERE number = 2"),
        ("the list of newest entries lies", "UPDATE job_newest SET entries = 7"),
        ("the search lost an entry", "DELETE FROM entry_words WHERE rowid = 5"),
        ("the index of the search was changed", "UPDATE entry_words_content SET c0 = 'liner' WHERE id = 5"),
    ] {
        all += &format!("{done}\n  {}\n\n", after(sql).replace('\n', "\n  "));
    }
    insta::assert_snapshot!(all.trim_end());
}

/// Somebody who knows how rewrites an entry and every hash after it: only a note of an earlier hash shows it.
#[test]
fn a_noted_hash_shows_that_the_whole_chain_was_written_anew() {
    let (_dir, store) = record();
    let noted = store.last_shop_hash().unwrap().unwrap();
    assert_eq!(store.entries_since(noted.seq - 1, 1).unwrap()[0].hash, noted.hash);
    let (_dir, other) = record();
    assert_ne!(other.entries_since(noted.seq - 1, 1).unwrap()[0].hash, noted.hash);
}

#[test]
fn a_damaged_photo_is_named_with_its_entry() {
    let (dir, store) = record();
    let entry = store.entries_since(4, 1).unwrap().remove(0);
    let sha256 = &entry.files[0].0;
    std::fs::write(dir.path().join("shop/files").join(&sha256[..2]).join(sha256), b"phot0").unwrap();
    let report = store.check().unwrap();
    assert!(!report.is_clean() && report.bad_rows.is_empty());
    assert_eq!(report.damaged[0].used_by_entries, [("bore.jpg".to_owned(), 1, 3)]);
    assert!(report.damaged[0].used_by.is_empty());
}

/// The list of newest entries is derived: emptied, it is there again after opening.
#[test]
fn the_list_of_newest_entries_is_made_anew_at_opening() {
    let (dir, store) = record();
    let jobs = store.jobs().unwrap();
    drop(store);
    let hand = Connection::open(dir.path().join("shop/shop.sqlite3")).unwrap();
    hand.execute_batch("DELETE FROM job_newest").unwrap();
    let store = Store::open(&dir.path().join("shop")).unwrap();
    assert_eq!(store.jobs().unwrap(), jobs);
    assert!(store.check().unwrap().is_clean());
}

/// What was written after a check is no damage of the index to the next check.
#[test]
fn a_check_after_a_check_sees_what_was_written_between() {
    let (_dir, store) = record();
    assert!(store.check().unwrap().is_clean());
    for n in 0..20 {
        store.add_entries(&[NewEntry { search_text: format!("word{n} other words"), ..open_job() }]).unwrap();
        let report = store.check().unwrap();
        assert!(report.is_clean(), "{report:?}");
    }
}

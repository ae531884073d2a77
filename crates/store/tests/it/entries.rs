//! Entries: added once, numbered, chained, found by their words.

use crate::{job, new_entry, open_job, shop};
use store::{NewEntry, StoreError, StoredEntry};

#[test]
fn entries_are_numbered_in_the_job_and_in_the_shop_and_each_holds_the_hash_of_the_one_before() {
    let (_dir, store) = shop();
    assert_eq!(store.last_shop_hash().unwrap(), None);
    let (a, b) = (open_job(), open_job());
    let first = store.add_entries(&[a.clone(), b.clone()]).unwrap();
    let claim = store.add_entries(&[new_entry(&a.job, "claim", r#"{"said":"new rings"}"#)]).unwrap().remove(0);
    let zeros = "0".repeat(64);
    assert_eq!((first[0].seq, first[0].number, &first[0].before, &first[0].shop_before), (1, 1, &zeros, &zeros));
    assert_eq!(
        (first[1].seq, first[1].number, &first[1].before, &first[1].shop_before),
        (2, 1, &zeros, &first[0].hash)
    );
    assert_eq!((claim.seq, claim.number, &claim.before, &claim.shop_before), (3, 2, &first[0].hash, &first[1].hash));
    assert_eq!(store.entries(&a.job, 0).unwrap(), [first[0].clone(), claim.clone()]);
    assert_eq!(store.entries(&a.job, 1).unwrap(), std::slice::from_ref(&claim));
    assert_eq!(store.entry(&claim.id).unwrap().as_ref(), Some(&claim));
    assert_eq!(store.entries_since(1, 1).unwrap(), [first[1].clone()]);
    let last = store.last_shop_hash().unwrap().unwrap();
    assert_eq!((last.seq, last.hash), (3, claim.hash.clone()));

    let jobs = store.jobs().unwrap();
    assert_eq!(jobs.iter().map(|j| (j.number, j.entries, j.last_seq)).collect::<Vec<_>>(), [(2, 1, 2), (1, 2, 3)]);
    assert_eq!(jobs[1].last_at, claim.received);
    assert_eq!(store.job(&a.job).unwrap().as_ref(), Some(&jobs[1]));
    assert_eq!(store.job_by_number(2).unwrap().unwrap().job, b.job);
    assert_eq!(store.job_by_number(3).unwrap(), None);
    assert_eq!(store.count_jobs().unwrap(), 2);
    assert_eq!(store.jobs_newest(0, 1).unwrap(), jobs[..1]);
    assert_eq!(store.jobs_newest(1, 5).unwrap(), jobs[1..]);
    let what: Vec<_> = store.changes_since(0).unwrap().into_iter().map(|c| (c.what, c.subject)).collect();
    assert_eq!(what, [&a.job, &b.job, &a.job].map(|job| ("entry".to_owned(), job.clone())));
}

#[test]
fn an_entry_sent_twice_is_there_once_and_comes_back_as_stored() {
    let (_dir, store) = shop();
    let opened = open_job();
    let claim = new_entry(&opened.job, "claim", r#"{"b": 1.50, "a": "x"}"#);
    let stored = store.add_entries(&[opened.clone(), claim.clone()]).unwrap();
    assert_eq!(stored[1].body, r#"{"a":"x","b":1.5}"#);
    let again = NewEntry { body: r#"{"a":"x","b":15e-1}"#.into(), ..claim.clone() };
    assert_eq!(store.add_entries(&[again, opened.clone()]).unwrap(), [stored[1].clone(), stored[0].clone()]);
    let other = NewEntry { body: r#"{"a":"y"}"#.into(), ..claim };
    let later = new_entry(&opened.job, "claim", "{}");
    assert!(matches!(store.add_entries(&[later.clone(), other]), Err(StoreError::EntryIdTaken { .. })));
    assert_eq!(store.entry(&later.id).unwrap(), None, "sent together, refused together");
    assert_eq!(store.entries(&opened.job, 0).unwrap(), stored);
}

#[test]
fn a_job_is_opened_by_its_first_entry_and_by_no_other() {
    let (_dir, store) = shop();
    let stray = new_entry(&job(), "claim", "{}");
    assert!(matches!(store.add_entries(std::slice::from_ref(&stray)), Err(StoreError::NoJob { .. })));
    let opened = open_job();
    store.add_entries(std::slice::from_ref(&opened)).unwrap();
    let twice = NewEntry { job: opened.job.clone(), ..open_job() };
    assert!(matches!(store.add_entries(&[twice]), Err(StoreError::JobThere { .. })));
    assert_eq!(store.jobs().unwrap().len(), 1);
}

#[test]
fn what_cannot_be_kept_is_refused_before_anything_is_written() {
    let (_dir, store) = shop();
    let good = open_job();
    let bad = [
        NewEntry { id: "7".into(), ..good.clone() },
        NewEntry { id: good.id.to_uppercase(), ..good.clone() },
        NewEntry { job: String::new(), ..good.clone() },
        NewEntry { at: "2026-04-08".into(), ..good.clone() },
        NewEntry { author: " ".into(), ..good.clone() },
        NewEntry { kind: "Job opened".into(), ..good.clone() },
        NewEntry { body: "[]".into(), ..good.clone() },
        NewEntry { body: r#"{"a":1,"a":2}"#.into(), ..good.clone() },
        NewEntry { body: r#"{"a":NaN}"#.into(), ..good.clone() },
        NewEntry { files: vec![("ab".repeat(32), "a.jpg".into())], ..good.clone() },
        NewEntry { files: vec![("ab".into(), "a.jpg".into())], ..good.clone() },
    ];
    for new in bad {
        assert!(store.add_entries(&[open_job(), new.clone()]).is_err(), "{new:?}");
    }
    assert_eq!((store.jobs().unwrap().len(), store.latest_change().unwrap()), (0, 0));
}

#[test]
fn files_belong_to_entries_in_order() {
    let (_dir, store) = shop();
    let photo = store.keep_file("bore 1.jpg", b"one").unwrap();
    let invoice = store.keep_file("invoice.pdf", b"two").unwrap();
    let files = vec![(photo.sha256.clone(), photo.name.clone()), (invoice.sha256, "invoice.pdf".to_owned())];
    let opened = NewEntry { files: files.clone(), ..open_job() };
    let without = new_entry(&opened.job, "claim", "{}");
    let also = NewEntry { files: files[..1].to_vec(), ..new_entry(&opened.job, "photo", "{}") };
    let stored = store.add_entries(&[opened.clone(), without, also]).unwrap();
    assert_eq!(store.entries(&opened.job, 0).unwrap(), stored);
    assert_eq!(stored.iter().map(|e| e.files.len()).collect::<Vec<_>>(), [2, 0, 1]);
    let with: Vec<StoredEntry> = store.entries_with_file(&photo.sha256).unwrap();
    assert_eq!(with, [stored[2].clone(), stored[0].clone()]);
    assert!(store.check().unwrap().is_clean());
}

#[test]
fn entries_are_found_by_their_words() {
    let (_dir, store) = shop();
    let opened = NewEntry { search_text: "Hill-climb four, owner Müller-Testmann".into(), ..open_job() };
    let with = |kind: &str, words: &str| NewEntry { search_text: words.into(), ..new_entry(&opened.job, kind, "{}") };
    let part = with("part_fitted", "Piston, forged; part number 4032-B7, lot \u{1}A19\"x");
    let claim = with("claim", "new pistons said the seller");
    store.add_entries(&[opened.clone(), part.clone(), claim.clone()]).unwrap();
    let ids =
        |words: &str| -> Vec<String> { store.search(words, 10).unwrap().into_iter().map(|h| h.entry_id).collect() };
    assert_eq!(ids("piston"), [claim.id.clone(), part.id.clone()], "newest first, and longer words too");
    assert_eq!(ids("PISTON forged"), std::slice::from_ref(&part.id));
    for one in ["4032-B7", "b7", "4032", "a19\"x", "\"4032", "lot"] {
        assert_eq!(ids(one), std::slice::from_ref(&part.id), "{one}");
    }
    assert_eq!(ids("muller"), std::slice::from_ref(&opened.id), "accents do not matter");
    for none in ["", "  ", "-- *", "NOT", "piston AND seller", "text:new", "4033", "\0"] {
        assert!(ids(none).is_empty(), "{none}");
    }
    let hit = store.search("seller", 1).unwrap().remove(0);
    assert_eq!((hit.job, hit.job_number, hit.number, hit.kind.as_str()), (opened.job, 1, 3, "claim"));
    let marked: Vec<_> = hit.snippet.iter().map(|p| (p.text.as_str(), p.found)).collect();
    assert_eq!(marked, [("new pistons said the ", false), ("seller", true)]);

    store.put_words(&[(3, "other words".into())]).unwrap();
    assert!(ids("seller").is_empty());
    assert_eq!(ids("other words"), std::slice::from_ref(&claim.id));
    assert!(matches!(store.put_words(&[(2, "x".into()), (9, "x".into())]), Err(StoreError::NoEntry { .. })));
    assert_eq!(ids("forged"), std::slice::from_ref(&part.id), "refused together");
}

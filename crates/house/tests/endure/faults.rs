//! Faults of disk and files: the message says where, what was found, what happened to the data and what to do; nothing
//! else is lost; pages that can be shown are shown.

use crate::disk::{Bound, Tight, rights};
use crate::entries::{Sent, id, note, opening, send};
use crate::server::{Server, program, said};
use std::path::Path;
use std::process::Command;
use store::{NewEntry, Store};

/// A message without the places and hashes of this run.
fn tidy(text: &str, shop: &Path) -> String {
    let home = shop.parent().expect("a parent").to_string_lossy().into_owned();
    let text = text.replace(&*shop.to_string_lossy(), "<shop>").replace(&home, "<folder>");
    let hashes = text.split_inclusive(|c: char| !c.is_ascii_hexdigit()).map(|word| {
        let digits = word.trim_end_matches(|c: char| !c.is_ascii_hexdigit());
        if digits.len() == 64 { word.replace(digits, "<hash>") } else { word.to_owned() }
    });
    hashes.collect()
}

/// Pages that show what is kept.
fn pages_answer(server: &Server, pages: &[&str]) {
    for page in pages {
        let answer = server.get(page);
        assert_eq!(answer.status, 200, "{page}: {}", String::from_utf8_lossy(&answer.body));
    }
}

#[test]
fn a_full_disk_refuses_what_is_new_and_loses_nothing() {
    let disk = Tight::new(3000);
    let shop = disk.path().join("shop");
    let mut server = Server::from(disk.command(&program()), &shop).expect("it serves");
    let job = id(1);
    assert!(matches!(send(server.port, &job, &[opening(2, "invented four")]), Sent::Saved(_)));
    let words = "0123456789 ".repeat(1500);
    let mut saved = 1;
    let (status, refused) = loop {
        match send(server.port, &job, &[note(100 + saved, &words)]) {
            Sent::Saved(_) => saved += 1,
            Sent::Refused(status, words) => break (status, words),
            Sent::Lost => panic!("no answer after {saved} entries"),
        }
        assert!(saved < 1000, "the disk never got full");
    };
    assert_eq!(status, 503, "{refused}");
    // A disk of its own is full; a limit on the length of files is a fault that the system cannot name closer.
    if matches!(disk, Tight::Small(_)) {
        insta::assert_snapshot!("full_disk", tidy(&refused, &shop));
    } else {
        assert!(
            refused.contains("nothing was saved while adding entries") && refused.contains("has room"),
            "{refused}"
        );
    }
    pages_answer(&server, &["/", "/jobs/1", "/jobs/1/notebook", "/health"]);
    assert!(server.lives());
    // With room the same entry is taken, by the same server where that can be tried.
    if !disk.make_room() {
        server.kill();
        server = Server::start(&shop);
    }
    assert!(matches!(send(server.port, &job, &[note(100 + saved, &words)]), Sent::Saved(_)));
    server.kill();
    let store = Store::open_existing(&shop).expect("the shop opens");
    let report = store.check().expect("the check goes through");
    assert!(report.is_clean(), "{report:?}");
    assert_eq!(report.entries as u64, saved + 1);
}

#[test]
fn a_folder_that_may_not_be_written_is_named_and_what_can_be_read_is_shown() {
    let bound = Bound::new(&program());
    let home = bound.folder("home");
    let shop = home.join("shop");
    let mut server = Server::from(bound.command(), &shop).expect("it serves");
    let job = id(1);
    assert!(matches!(send(server.port, &job, &[opening(2, "invented four"), note(3, "a note")]), Sent::Saved(_)));
    rights(&shop, 0o555, 0o444);
    // The server has its files open: what it can still save it saves, and it answers.
    pages_answer(&server, &["/", "/jobs/1", "/jobs/1/notebook"]);
    let after = send(server.port, &job, &[note(4, "another note")]);
    let expected = match after {
        Sent::Saved(_) => 3,
        Sent::Refused(status, words) => {
            assert!(status == 503 && words.contains("may not be written"), "{status} {words}");
            2
        }
        Sent::Lost => panic!("no answer"),
    };
    assert!(server.lives());
    // A new file cannot be kept.
    let log = home.join("pull.csv");
    let rows = (0..1000).map(|n| format!("{:.2},{},{}\n", f64::from(n) / 50.0, 2000 + 4 * n, 200 + n % 3));
    let text = rows.fold("Time (s),Engine Speed (rpm),Torque (Nm)\n".to_owned(), |all, row| all + &row);
    std::fs::write(&log, text).expect("a log");
    let mut keep = bound.command();
    keep.args(["keep", "--author", "tester", "--shop"]).arg(&shop).arg(&log);
    let out = keep.output().expect("it runs");
    insta::assert_snapshot!("read_only_keep", tidy(&String::from_utf8_lossy(&out.stderr), &shop));
    // Begun on a folder with such rights it shows everything and takes nothing.
    server.kill();
    let mut server = Server::from(bound.command(), &shop).expect("it serves");
    pages_answer(&server, &["/", "/jobs/1", "/jobs/1/notebook"]);
    match send(server.port, &job, &[note(5, "a third note")]) {
        Sent::Refused(503, words) => insta::assert_snapshot!("read_only_entry", tidy(&words, &shop)),
        other => panic!("{other:?}"),
    }
    assert!(server.lives());
    server.kill();
    // The log beside the database is gone after an orderly end: then there is nothing that it could be read by.
    rights(&shop, 0o755, 0o644);
    let check = bound.command().args(["check", "--shop"]).arg(&shop).output().expect("it runs");
    assert!(check.status.success(), "{check:?}");
    rights(&shop, 0o555, 0o444);
    let refused = Server::from(bound.command(), &shop).err().expect("it does not serve");
    insta::assert_snapshot!("read_only_serve", tidy(&refused, &shop));

    rights(&shop, 0o755, 0o644);
    drop(Server::from(bound.command(), &shop).expect("with the rights back it serves"));
    let report = Store::open_existing(&shop).expect("the shop opens").check().expect("the check goes through");
    assert!(report.is_clean(), "{report:?}");
    assert_eq!(report.entries, expected);
}

/// A shop with two jobs, one of which has a photo and an invoice.
fn shop_with_files(shop: &Path) -> [String; 2] {
    let store = Store::open(shop).expect("a shop");
    let entry = |n: u64, job: u64, value: &serde_json::Value, files: Vec<(String, String)>| NewEntry {
        id: id(n),
        job: id(job),
        at: "2026-04-08T08:10:00Z".into(),
        author: "tester".into(),
        kind: value["kind"].as_str().expect("a kind").into(),
        body: value["body"].to_string(),
        files,
        search_text: String::new(),
    };
    let photo = store.keep_file("bore 3.jpg", &[0x55; 5000]).expect("a photo");
    let paper = store.keep_file("invoice.pdf", b"%PDF-1.4 invented").expect("a paper");
    let evidence = |file: &store::FileRef, media: &str| {
        serde_json::json!({ "kind": "evidence_file", "body": {
            "sha256": file.sha256, "name": file.name, "media_type": media, "size": file.size } })
    };
    let (photo_entry, paper_entry) = (evidence(&photo, "image/jpeg"), evidence(&paper, "application/pdf"));
    store
        .add_entries(&[
            entry(11, 1, &opening(0, "invented four"), vec![]),
            entry(12, 1, &photo_entry, vec![(photo.sha256.clone(), photo.name)]),
            entry(13, 1, &paper_entry, vec![(paper.sha256.clone(), paper.name)]),
            entry(14, 2, &opening(0, "invented six"), vec![]),
            entry(15, 2, &note(0, "a note"), vec![]),
        ])
        .expect("entries");
    [photo.sha256, paper.sha256]
}

#[test]
fn one_damaged_file_is_named_with_its_entry_and_everything_else_is_shown_and_backed_up() {
    let dir = tempfile::tempdir().expect("a folder");
    let shop = dir.path().join("shop");
    let [photo, paper] = shop_with_files(&shop);
    let path = shop.join("files").join(&photo[..2]).join(&photo);
    let mut bytes = std::fs::read(&path).expect("the photo");
    bytes[2500] ^= 1;
    std::fs::write(&path, bytes).expect("one bit changed");

    let server = Server::start(&shop);
    pages_answer(&server, &["/", "/jobs/1", "/jobs/1/notebook", "/jobs/2", &format!("/files/{paper}/original")]);
    let answer = server.get(&format!("/files/{photo}/original"));
    assert!(answer.status >= 400, "a damaged photo was handed out");
    let text = String::from_utf8_lossy(&answer.body);
    assert!(text.contains("is damaged") && text.contains("backup"), "{text}");

    let folder = shop.to_str().expect("UTF-8");
    let (text, errors, code) = said(&["check", "--shop", folder]);
    assert_eq!((errors.as_str(), code), ("", 1));
    insta::assert_snapshot!("damaged_file_check", tidy(&text, &shop));
    let zip = dir.path().join("shop.zip");
    let (text, errors, code) = said(&["backup", zip.to_str().expect("UTF-8"), "--shop", folder]);
    assert_eq!((errors.as_str(), code), ("", 1));
    let size = std::fs::metadata(&zip).expect("a backup").len() as f64 / 1e6;
    insta::assert_snapshot!("damaged_file_backup", tidy(&text, &shop).replace(&format!("{size:.1} MB"), "<size>"));
    let back = dir.path().join("back");
    let (text, errors, code) =
        said(&["restore", zip.to_str().expect("UTF-8"), "--into", back.to_str().expect("UTF-8")]);
    assert_eq!((errors.as_str(), code), ("", 1), "{text}");
    assert!(text.contains("2 jobs with 5 entries") && text.contains("bore 3.jpg of job 1, entry 2"), "{text}");
}

#[test]
fn a_database_cut_in_the_middle_is_told_and_a_backup_brings_everything_back() {
    let dir = tempfile::tempdir().expect("a folder");
    let shop = dir.path().join("shop");
    let files = shop_with_files(&shop);
    let folder = shop.to_str().expect("UTF-8");
    let zip = dir.path().join("shop.zip");
    let zip = zip.to_str().expect("UTF-8");
    // While it is served.
    let mut server = Server::start(&shop);
    let (_, errors, code) = said(&["backup", zip, "--shop", folder]);
    assert_eq!((errors.as_str(), code), ("", 0));
    let database = shop.join("shop.sqlite3");
    let whole = std::fs::metadata(&database).expect("a database").len();
    assert!(whole > 50_000, "the log beside it was not moved into it: {whole} bytes");
    std::fs::OpenOptions::new().write(true).open(&database).expect("it opens").set_len(whole / 2).expect("cut");
    // Whatever it can still show, it goes on answering.
    for page in ["/", "/jobs/1"] {
        let answer = server.get(page);
        let text = String::from_utf8_lossy(&answer.body).into_owned();
        assert!(answer.status == 200 || text.contains("damaged") || text.contains("did not do"), "{page}: {text}");
    }
    assert!([200, 503].contains(&server.get("/health").status));
    assert!(server.lives());
    server.kill();

    let cut = std::fs::read(&database).expect("a database");
    let refused = Server::from(Command::new(program()), &shop).err().expect("it does not serve");
    insta::assert_snapshot!("cut_database", tidy(&refused, &shop));
    let (text, errors, code) = said(&["check", "--shop", folder]);
    assert_eq!((text.as_str(), code), ("", 1));
    assert_eq!(tidy(&errors, &shop), tidy(&refused, &shop));
    assert_eq!(std::fs::read(&database).expect("a database"), cut, "it was touched");
    for sha in &files {
        assert!(shop.join("files").join(&sha[..2]).join(sha).is_file());
    }

    let back = dir.path().join("back");
    let (text, errors, code) = said(&["restore", zip, "--into", back.to_str().expect("UTF-8")]);
    assert_eq!((errors.as_str(), code), ("", 0), "{text}");
    let server = Server::start(&back);
    pages_answer(&server, &["/", "/jobs/1", "/jobs/2/notebook"]);
    let (text, _, code) = said(&["check", "--shop", back.to_str().expect("UTF-8")]);
    assert!(code == 0 && text.contains("2 jobs with 5 entries"), "{text}");
}

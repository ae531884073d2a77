//! Tests of the store from outside, each on a real folder.

mod backup;
mod chain;
mod entries;
mod faults;
mod files;
mod folder;
mod messages;
mod migrate;
mod runs;
mod shop;
mod texts;
mod two_writers;

use store::{FileRef, NewEntry, NewRun, RunId, RunState, Store};

/// A new shop in a folder of its own; the folder goes when the first value is dropped.
fn shop() -> (tempfile::TempDir, Store) {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(&dir.path().join("shop")).unwrap();
    (dir, store)
}

/// A run of these logs, ready to be added.
fn new_run(title: &str, files: Vec<FileRef>) -> NewRun {
    NewRun {
        id: RunId::new(),
        title: title.to_owned(),
        received_at: "2026-04-08T08:10:00Z".to_owned(),
        author: "operator".to_owned(),
        dyno: Some("north".to_owned()),
        files,
        state: RunState::Ready,
        setup_json: r#"{"standard":"sae_j1349"}"#.to_owned(),
        answers_json: "{}".to_owned(),
        headline_json: "{}".to_owned(),
    }
}

/// A new id, as writers make them.
fn job() -> String {
    uuid::Uuid::now_v7().to_string()
}

/// An entry of a job, ready to be added.
fn new_entry(job: &str, kind: &str, body: &str) -> NewEntry {
    NewEntry {
        id: uuid::Uuid::now_v7().to_string(),
        job: job.to_owned(),
        at: "2026-04-08T08:10:00+02:00".to_owned(),
        author: "builder".to_owned(),
        kind: kind.to_owned(),
        body: body.to_owned(),
        files: Vec::new(),
        search_text: String::new(),
    }
}

/// The entry that opens a new job.
fn open_job() -> NewEntry {
    new_entry(&job(), "job_opened", r#"{"engine":"invented"}"#)
}

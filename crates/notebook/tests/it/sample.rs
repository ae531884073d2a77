//! A shop and entries for the tests. Everything here is invented.

use notebook::{Draft, JobView, Notebook, Writer};
use record::{Body, Claim, Id, JobOpened, NoteWritten, Weight};
use std::sync::Arc;
use store::Store;
use tempfile::TempDir;

/// An empty shop.
pub(crate) fn shop() -> (TempDir, Notebook) {
    let dir = tempfile::tempdir().expect("a folder");
    let notebook = Notebook::of(Store::open(&dir.path().join("shop")).expect("a shop"));
    (dir, notebook)
}

/// Somebody who may write everything.
pub(crate) fn builder() -> Writer {
    Writer::alone("builder")
}

/// A shop with one job in it.
pub(crate) fn with_job() -> (TempDir, Notebook, Arc<JobView>) {
    let (dir, notebook) = shop();
    let opened = JobOpened {
        title: "2.4-litre four, blown".into(),
        complaint: "Goes flat above 5,000 when hot.".into(),
        fuel: "98 RON pump".into(),
        permission: "Full teardown.".into(),
        built_for: "endurance".into(),
        ..JobOpened::default()
    };
    let view = notebook.open_job(Notebook::new_id(), Draft::now(Body::JobOpened(opened)), &builder()).expect("a job");
    (dir, notebook, view)
}

pub(crate) fn note(words: &str) -> Draft {
    Draft::now(Body::NoteWritten(NoteWritten { words: words.into(), about: Vec::new() }))
}

pub(crate) fn claim(words: &str) -> Draft {
    Draft::now(Body::Claim(Claim {
        component: "Pistons".into(),
        words: words.into(),
        claimed: None,
        allowance_si: None,
        by: "the last shop".into(),
        rests_on: Vec::new(),
        weight: Weight::DecidesTheBuild,
        touches: String::new(),
    }))
}

pub(crate) fn verdict(on: Id) -> Draft {
    Draft::now(Body::VerdictGiven(record::VerdictGiven {
        on,
        verdict: record::TruthVerdict::NotTrue,
        because: "Cast-in number on the crowns.".into(),
        rests_on: Vec::new(),
        replaces: Vec::new(),
    }))
}

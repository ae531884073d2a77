//! Runs: added once, changed by rows, read as a fold.

use crate::{new_run, shop};
use std::fs;
use store::{Accepted, RunChange, RunId, RunState, StoreError};

#[test]
fn runs_are_numbered_in_order_and_listed_newest_first() {
    let (_dir, store) = shop();
    let a = store.keep_file("a.csv", b"a").unwrap();
    let b = store.keep_file("b.csv", b"b").unwrap();
    let first = store.add_run(new_run("first", vec![a.clone(), b.clone()])).unwrap();
    let second = store.add_run(new_run("second", vec![b.clone()])).unwrap();
    assert_eq!((first.number, second.number, first.revision), (1, 2, 1));
    assert_eq!(first.files, vec![a.clone(), b.clone()]);
    assert_eq!(store.runs().unwrap(), vec![second.clone(), first.clone()]);
    assert_eq!(store.run(first.id).unwrap().as_ref(), Some(&first));
    assert_eq!(store.run_by_number(2).unwrap().as_ref(), Some(&second));
    assert_eq!(store.run_by_number(3).unwrap(), None);
    assert_eq!(store.run(RunId::new()).unwrap(), None);
    assert_eq!(store.runs_with_file(&b.sha256).unwrap(), vec![second, first.clone()]);
    assert_eq!(store.runs_with_file(&a.sha256).unwrap(), vec![first]);
}

#[test]
fn sending_a_run_twice_adds_it_once() {
    let (_dir, store) = shop();
    let file = store.keep_file("a.csv", b"a").unwrap();
    let new = new_run("first", vec![file]);
    let once = store.add_run(new.clone()).unwrap();
    let changed = store.change_run(once.id, 1, &RunChange::Title("renamed".into()), "operator").unwrap();
    assert_eq!(store.add_run(new).unwrap(), changed);
    assert_eq!(store.runs().unwrap().len(), 1);
}

#[test]
fn an_id_is_not_given_to_other_logs() {
    let (_dir, store) = shop();
    let mut new = new_run("first", vec![store.keep_file("a.csv", b"a").unwrap()]);
    store.add_run(new.clone()).unwrap();
    new.files = vec![store.keep_file("b.csv", b"b").unwrap()];
    assert!(matches!(store.add_run(new), Err(StoreError::IdTaken { .. })));
    assert_eq!(store.runs().unwrap().len(), 1);
}

#[test]
fn a_run_whose_log_was_not_kept_is_not_added() {
    let (dir, store) = shop();
    let file = store.keep_file("a.csv", b"a").unwrap();
    fs::remove_file(dir.path().join("shop/files").join(&file.sha256[..2]).join(&file.sha256)).unwrap();
    assert!(matches!(store.add_run(new_run("first", vec![file])), Err(StoreError::FileMissing { .. })));
    assert_eq!(store.latest_change().unwrap(), 0);
}

#[test]
fn what_cannot_be_kept_is_refused_before_anything_is_written() {
    let (_dir, store) = shop();
    let file = store.keep_file("a.csv", b"a").unwrap();
    let good = new_run("first", vec![file]);
    let mut bad = vec![good.clone(); 6];
    bad[0].title = " ".into();
    bad[1].author = String::new();
    bad[2].files.clear();
    bad[3].setup_json = "{".into();
    bad[4].received_at = "yesterday".into();
    bad[5].files[0].size = 2;
    for new in bad {
        assert!(store.add_run(new.clone()).is_err(), "{new:?}");
    }
    assert!(store.runs().unwrap().is_empty());
}

#[test]
fn every_change_is_a_row_and_the_run_is_their_fold() {
    let (_dir, store) = shop();
    let file = store.keep_file("a.csv", b"a").unwrap();
    let other = store.add_run(new_run("before", vec![file.clone()])).unwrap();
    let taken_in = store.add_run(new_run("first", vec![file])).unwrap();
    let accepted = Accepted { when: "2026-04-08T09:00:00Z".into(), by: "builder".into() };
    let changes = [
        RunChange::State(RunState::Asking),
        RunChange::Setup { json: r#"{"band":1}"#.into() },
        RunChange::Answers { json: r#"{"units":{}}"#.into() },
        RunChange::Title("hill climb".into()),
        RunChange::Against(Some(other.id)),
        RunChange::Headline { json: "[1]".into() },
        RunChange::Dyno(None),
        RunChange::LeftOut { pull: 2, reason: Some("throttle not full".into()) },
        RunChange::Remark("new plugs".into()),
        RunChange::Accepted(accepted.clone()),
    ];
    let mut run = taken_in.clone();
    for change in &changes {
        run = store.change_run(run.id, run.revision, change, "builder").unwrap();
    }
    assert_eq!(run.revision, 1 + changes.len() as i64);
    assert_eq!(run.title, "hill climb");
    assert_eq!(run.state, RunState::Asking);
    assert_eq!(run.setup_json, r#"{"band":1}"#);
    assert_eq!(run.answers_json, r#"{"units":{}}"#);
    assert_eq!(run.headline_json, "[1]");
    assert_eq!(run.against, Some(other.id));
    assert_eq!(run.dyno, None);
    assert_eq!(run.accepted, Some(accepted));
    assert_eq!(store.run(run.id).unwrap(), Some(run.clone()));

    let history = store.run_history(run.id).unwrap().unwrap();
    assert_eq!(history.taken_in, taken_in);
    assert_eq!(history.changes.iter().map(|c| c.change.clone()).collect::<Vec<_>>(), changes);
    assert_eq!(history.at_revision(1), taken_in);
    assert_eq!(history.at_revision(5).title, "hill climb");
    assert_eq!(history.at_revision(5).against, None);
    let back = store
        .change_run(
            run.id,
            run.revision,
            &RunChange::AcceptedTakenBack { reason: "arm was not level".into() },
            "builder",
        )
        .unwrap();
    assert_eq!(back.accepted, None);
}

#[test]
fn the_second_of_two_changes_made_from_the_same_state_is_a_conflict() {
    let (_dir, store) = shop();
    let run = store.add_run(new_run("first", vec![store.keep_file("a.csv", b"a").unwrap()])).unwrap();
    store.change_run(run.id, 1, &RunChange::Title("one".into()), "operator").unwrap();
    let late = store.change_run(run.id, 1, &RunChange::Title("two".into()), "builder");
    assert!(matches!(late, Err(StoreError::Conflict { expected: 1, found: 2, .. })));
    assert_eq!(store.run(run.id).unwrap().unwrap().title, "one");
}

#[test]
fn changes_made_together_are_saved_together_or_not_at_all() {
    let (_dir, store) = shop();
    let run = store.add_run(new_run("first", vec![store.keep_file("a.csv", b"a").unwrap()])).unwrap();
    let together = [RunChange::Title("one".into()), RunChange::Against(Some(RunId::new()))];
    assert!(matches!(store.change_run_all(run.id, 1, &together, "operator"), Err(StoreError::NoRun { .. })));
    assert_eq!(store.run(run.id).unwrap(), Some(run.clone()));
    let both = store.change_run_all(run.id, 1, &[RunChange::Title("one".into()), RunChange::Dyno(None)], "operator");
    assert_eq!(both.unwrap().revision, 3);
}

#[test]
fn an_id_survives_being_written_and_read() {
    let id = RunId::new();
    assert_eq!(id.to_string().parse::<RunId>().unwrap(), id);
    assert_eq!(serde_json::from_str::<RunId>(&serde_json::to_string(&id).unwrap()).unwrap(), id);
    assert!("7".parse::<RunId>().is_err());
    assert!(RunId::new() < RunId::new(), "ids sort by time of making");
}

#[test]
fn a_run_is_added_with_its_first_changes_or_not_at_all() {
    let (_dir, store) = shop();
    let file = store.keep_file("a.csv", b"a").unwrap();
    let before = store.add_run(new_run("before", vec![file.clone()])).unwrap();
    let against = |id| [RunChange::Against(Some(id))];
    let lost = store.add_run_with(new_run("first", vec![file.clone()]), &against(RunId::new()));
    assert!(matches!(lost, Err(StoreError::NoRun { .. })));
    assert_eq!(store.runs().unwrap().len(), 1);
    let run = store.add_run_with(new_run("first", vec![file]), &against(before.id)).unwrap();
    assert_eq!((run.against, run.revision), (Some(before.id), 2));
}

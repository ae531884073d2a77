//! Writing entries: all or none, once, by those who may, through gates that are open.

use crate::sample::*;
use notebook::{Draft, Notebook, NotebookError, Writer};
use record::{Body, Role, Stage, StagePassed};

#[test]
fn what_is_written_is_there_and_folded() {
    let (_dir, notebook, view) = with_job();
    let forged = claim("Forged pistons, the good ones.");
    let written =
        notebook.write(view.id, &[forged.clone(), verdict(forged.id), note("Rod 3 is blue.")], &builder()).unwrap();
    assert_eq!(written.iter().map(|w| w.number).collect::<Vec<_>>(), [2, 3, 4]);
    let job = notebook.job(view.row.number).unwrap();
    assert_eq!(job.job.claims[0].verdicts.len(), 1);
    assert_eq!(job.job.lines.len(), 4);
    assert_eq!(job.hash, written[2].hash);
    assert_eq!(notebook.check().unwrap().faults, Vec::<String>::new());
}

#[test]
fn sending_again_adds_nothing_and_gives_the_same_answer() {
    let (_dir, notebook, view) = with_job();
    let drafts = [claim("Ported head."), note("x")];
    let first = notebook.write(view.id, &drafts, &builder()).unwrap();
    let again = notebook.write(view.id, &drafts, &builder()).unwrap();
    assert_eq!(first, again);
    // Half of it known, half of it new: the link broke in between.
    let third = note("y");
    let mixed = notebook.write(view.id, &[drafts[1].clone(), third], &builder()).unwrap();
    assert_eq!(mixed.iter().map(|w| w.number).collect::<Vec<_>>(), [3, 4]);
}

#[test]
fn one_name_does_not_say_two_things() {
    let (_dir, notebook, view) = with_job();
    let first = note("x");
    notebook.write(view.id, std::slice::from_ref(&first), &builder()).unwrap();
    let other = Draft { body: note("y").body, ..first };
    assert!(matches!(notebook.write(view.id, &[other], &builder()), Err(NotebookError::Store(_))));
    assert_eq!(notebook.job(view.row.number).unwrap().job.lines.len(), 2);
}

#[test]
fn a_fault_in_one_writes_none() {
    let (_dir, notebook, view) = with_job();
    for bad in [note("  "), verdict(Notebook::new_id()), verdict(view.entries[0].id)] {
        let error = notebook.write(view.id, &[note("good"), bad], &builder()).unwrap_err().to_string();
        assert!(error.starts_with("entry 2 of 2: ") && error.ends_with("nothing was written"), "{error}");
    }
    assert_eq!(notebook.job(view.row.number).unwrap().job.lines.len(), 1);
}

#[test]
fn a_job_that_is_not_there_takes_no_entries() {
    let (_dir, notebook) = shop();
    assert!(matches!(notebook.write(Notebook::new_id(), &[note("x")], &builder()), Err(NotebookError::NoJob { .. })));
    assert!(matches!(notebook.job(1), Err(NotebookError::NoJob { .. })));
}

#[test]
fn the_bench_does_not_decide_for_the_owner() {
    let (_dir, notebook, view) = with_job();
    let bench = Writer { name: "bench 2".into(), roles: vec![Role::Bench] };
    let decision = Draft::now(Body::Decision(record::Decision {
        words: "New pistons.".into(),
        because: String::new(),
        owners_yes: None,
        settles: Vec::new(),
        agrees: None,
    }));
    let error = notebook.write(view.id, std::slice::from_ref(&decision), &bench).unwrap_err();
    assert_eq!(
        error.to_string(),
        "a decision is written by the office; bench 2 works as bench. Nothing was written; ask somebody of that role, or the keeper of the shop for it"
    );
    // A correction does not open a side door.
    notebook.write(view.id, std::slice::from_ref(&decision), &builder()).unwrap();
    let correction = Draft::now(Body::Correction(Box::new(record::Correction {
        of: decision.id,
        replaces: vec![decision.id],
        because: "x".into(),
        now: decision.body,
    })));
    assert!(matches!(notebook.write(view.id, &[correction], &bench), Err(NotebookError::NotYours { .. })));
}

#[test]
fn a_gate_opens_for_reasons_and_not_without() {
    let (_dir, notebook, view) = with_job();
    let pass = |in_spite_of: Vec<(String, String)>| {
        Draft::now(Body::StagePassed(StagePassed { to: Stage::OpenedUp, in_spite_of, remark: String::new() }))
    };
    let Err(NotebookError::GateShut { missing, .. }) = notebook.write(view.id, &[pass(Vec::new())], &builder()) else {
        panic!("the gate stands open")
    };
    let keys: Vec<String> = missing.iter().map(|m| m.key.clone()).collect();
    assert_eq!(keys, ["claims", "tests_before", "owners_yes:opened_up"]);
    // A reason for one thing does not cover the others, and an empty one covers nothing.
    let one = vec![(keys[0].clone(), "bought as scrap".to_owned()), (keys[1].clone(), " ".to_owned())];
    assert!(notebook.write(view.id, &[pass(one)], &builder()).is_err());
    let all = keys.iter().map(|key| (key.clone(), "bought as scrap, own engine".to_owned())).collect();
    notebook.write(view.id, &[pass(all)], &builder()).unwrap();
    assert_eq!(notebook.job(view.row.number).unwrap().job.stage(), Stage::OpenedUp);
}

#[test]
fn a_tablet_with_a_wrong_clock_is_told() {
    let (_dir, notebook, view) = with_job();
    let mut late = note("x");
    late.at = "2140-01-01T00:00:00Z".parse().unwrap();
    assert!(matches!(notebook.write(view.id, &[late], &builder()), Err(NotebookError::FromTheFuture { .. })));
}

#[test]
fn another_process_that_writes_is_seen() {
    let (dir, notebook, view) = with_job();
    let other = Notebook::of(store::Store::open(&dir.path().join("shop")).unwrap());
    other.write(view.id, &[note("from the other")], &builder()).unwrap();
    assert_eq!(notebook.job(view.row.number).unwrap().job.lines.len(), 2);
}

//! Questions: told with the flag that answers them, and exit code 2.

use crate::{out, plateau, sweep, without, write};

#[test]
fn a_column_without_a_unit_is_asked_about_and_a_flag_answers() {
    let dir = tempfile::tempdir().unwrap();
    let log = write(dir.path(), "pull.csv", &sweep(1, 1.0, "Torque"));
    let (text, errors, code) = out(plateau().args(["pull", &log]));
    assert_eq!((errors.as_str(), code), ("", 2));
    insta::assert_snapshot!(without(&dir, &text));

    let (json, _, code) = out(plateau().args(["pull", &log, "--json"]));
    assert_eq!(code, 2);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["state"], "asking");
    assert_eq!(json["questions"][0]["column"], "Torque");

    let (_, errors, code) = out(plateau().args(["pull", &log, "--unit", "Torque=Nm"]));
    assert_eq!((errors.as_str(), code), ("", 0));
}

#[test]
fn what_was_learned_is_not_asked_again() {
    let dir = tempfile::tempdir().unwrap();
    let log = write(dir.path(), "pull.csv", &sweep(1, 1.0, "Torque"));
    let cell = dir.path().join("north.toml").to_string_lossy().into_owned();
    let (_, errors, code) = out(plateau().args(["pull", &log, "--unit", "Torque=Nm", "--remember", &cell]));
    assert_eq!((errors.as_str(), code), ("", 0));
    let (_, _, code) = out(plateau().args(["pull", &log, "--dyno", &cell]));
    assert_eq!(code, 0);

    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    let (_, errors, code) = out(plateau().args(["dyno", "learn", "north", "--from", &cell, "--shop", &shop]));
    assert_eq!((errors.as_str(), code), ("", 0));
    let (_, _, code) = out(plateau().args(["pull", &log, "--dyno", "north", "--shop", &shop]));
    assert_eq!(code, 0);
    let (shown, _, _) = out(plateau().args(["dyno", "show", "north", "--shop", &shop]));
    assert_eq!(shown, std::fs::read_to_string(&cell).unwrap());
}

#[test]
fn a_log_is_kept_with_its_questions_open() {
    let dir = tempfile::tempdir().unwrap();
    let log = write(dir.path(), "pull.csv", &sweep(1, 1.0, "Torque"));
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    let (text, errors, code) = out(plateau().args(["keep", &log, "--shop", &shop]));
    assert_eq!((errors.as_str(), code), ("", 2));
    assert!(text.contains("1 question is open"), "{text}");
    let store = store::Store::open_existing(shop.as_ref()).unwrap();
    let run = store.runs().unwrap().remove(0);
    assert_eq!(run.state, store::RunState::Asking);

    // The shop learns how the dyno writes; the run is settled by the answer.
    let mut answers = pull::cell::Answers::default();
    answers.units.insert("Torque".into(), "Nm".into());
    let (run, outcome) = takein::answer(&store, &run, run.revision, answers, "operator").unwrap();
    assert_eq!(run.state, store::RunState::Ready);
    assert!(matches!(outcome, takein::Outcome::Ready(..)));
}

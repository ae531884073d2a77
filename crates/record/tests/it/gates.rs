//! Gates: each says what is missing, and nothing else.

use crate::sample::*;
use record::*;

fn keys(entries: &[Entry], to: Stage, facts: &Facts) -> Vec<String> {
    gate(&fold(entries), to, facts).into_iter().map(|m| m.key).collect()
}

fn list(bodies: Vec<Body>) -> Vec<Entry> {
    bodies.into_iter().enumerate().map(|(n, body)| entry(n as u64 + 1, body)).collect()
}

#[test]
fn nothing_is_opened_without_claims_tests_and_a_yes() {
    let bare = list(vec![Body::JobOpened(JobOpened { title: "A four".into(), ..JobOpened::default() })]);
    assert_eq!(
        keys(&bare, Stage::OpenedUp, &Facts::default()),
        ["opened:complaint", "opened:fuel", "opened:permission", "claims", "tests_before", "owners_yes:opened_up"]
    );
    let ready = list(vec![
        opened(),
        claim("Ported head.", None, Weight::ChangesTheTune),
        Body::TestBefore(before::TestBefore::Other { name: "Vacuum".into(), words: "15 inHg, steady".into() }),
        decision(Some(Stage::OpenedUp), &[], true),
    ]);
    assert_eq!(keys(&ready, Stage::OpenedUp, &Facts::default()), Vec::<String>::new());
    // A decision without the owner's yes does not open it.
    let mut unsaid = ready.clone();
    unsaid[3].body = decision(Some(Stage::OpenedUp), &[], false);
    assert_eq!(keys(&unsaid, Stage::OpenedUp, &Facts::default()), ["owners_yes:opened_up"]);
}

#[test]
fn a_build_is_agreed_when_what_decides_it_is_judged() {
    let mut entries = list(vec![
        opened(),
        claim("8.8 to 1.", Some(ratio("8.8")), Weight::DecidesTheBuild),
        claim("New oil pump.", None, Weight::ForTheRecord),
        finding(Some(2), None, Severity::Major),
        passed(Stage::OpenedUp),
    ]);
    let missing = keys(&entries, Stage::AgreedBuild, &Facts::default());
    assert_eq!(
        missing,
        [format!("verdict:{}", id(2)), format!("finding:{}", id(4)), "build".into(), "owners_yes:agreed_build".into()]
    );
    entries.push(entry(6, verdict(2, TruthVerdict::NotTrue, &[])));
    entries.push(entry(7, decision(Some(Stage::AgreedBuild), &[4], true)));
    entries.push(entry(
        8,
        Body::BuildStated(BuildStated { which: WhichBuild::Agreed, toml: "version = 2".into(), replaces: Vec::new() }),
    ));
    assert_eq!(keys(&entries, Stage::AgreedBuild, &Facts::default()), Vec::<String>::new());
}

#[test]
fn nothing_runs_with_a_stop_finding_or_an_unsigned_sheet() {
    let entries = list(vec![opened(), finding(None, None, Severity::Stop), sheet(), passed(Stage::MeasuredAssembled)]);
    let facts = Facts {
        sheet_outside: vec![(id(3), "cylinder 3/taper".into(), "taper 0.013".into())],
        sheet_unread: vec![(id(3), 7)],
        ..Facts::default()
    };
    let missing = gate(&fold(&entries), Stage::OnDyno, &facts);
    assert!(missing[0].stops, "a stop finding stops");
    let keys: Vec<&str> = missing.iter().map(|m| m.key.split(':').next().unwrap_or("")).collect();
    assert_eq!(keys, ["stop", "sheet", "outside", "unread"]);
}

#[test]
fn nothing_leaves_with_an_unproved_promise_or_a_stopping_question() {
    let run = RunFacts { number: 14, pulls: 3, repeats: Some(true), factor_in_range: Some(true), open_flags: 0 };
    let facts = Facts { runs: vec![run], ..Facts::default() };
    let mut entries =
        list(vec![opened(), promise("Forged pistons."), question(true), question(false), passed(Stage::OnDyno)]);
    assert_eq!(
        keys(&entries, Stage::HandedOver, &facts),
        [format!("promise:{}", id(2)), format!("question:{}", id(3))]
    );
    // A part without number or photo proves nothing; a number does.
    entries.push(entry(6, part(Some(2), "")));
    assert!(keys(&entries, Stage::HandedOver, &facts).contains(&format!("promise:{}", id(2))));
    entries.push(entry(7, part(Some(2), "P-4412")));
    entries.push(entry(8, answer(3, "Run a fourth.", &[])));
    assert_eq!(keys(&entries, Stage::HandedOver, &facts), Vec::<String>::new());
    // A person who says that the promise was not kept outweighs the number.
    entries.push(entry(9, verdict(2, TruthVerdict::NotTrue, &[])));
    assert_eq!(keys(&entries, Stage::HandedOver, &facts), [format!("promise:{}", id(2))]);
}

#[test]
fn a_number_needs_three_pulls_that_repeat_in_range() {
    let entries = list(vec![opened(), passed(Stage::OnDyno)]);
    assert_eq!(keys(&entries, Stage::HandedOver, &Facts::default()), ["runs"]);
    let run = RunFacts { number: 9, pulls: 2, repeats: None, factor_in_range: Some(false), open_flags: 1 };
    let facts = Facts { runs: vec![run], ..Facts::default() };
    assert_eq!(keys(&entries, Stage::HandedOver, &facts), ["pulls:9", "repeats:9", "factor:9", "flags:9"]);
}

#[test]
fn a_jump_asks_every_gate_between() {
    let entries = list(vec![opened()]);
    let missing = keys(&entries, Stage::HandedOver, &Facts::default());
    for key in ["claims", "owners_yes:agreed_build", "promises", "sheets", "runs"] {
        assert!(missing.iter().any(|m| m == key), "{key} is asked for");
    }
}

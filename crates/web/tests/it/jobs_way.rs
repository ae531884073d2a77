//! The way of a job: questions, gates, the hand-over, corrections and strikes.

use crate::bench::{Bench, assert_clean};
use crate::jobs_bench::{claim, opened, view, words_of, written};
use axum::http::StatusCode;
use record::Stage;

#[tokio::test]
async fn questions_stop_the_hand_over_until_they_are_answered() {
    let bench = Bench::new();
    opened(&bench).await;
    written(
        &bench,
        "/jobs/1/questions/new",
        &[("words", "Who set the ignition curve?"), ("to", "owner"), ("stops", "yes")],
    )
    .await;
    assert!(bench.get("/jobs/1").await.has("One question stops"));
    assert!(bench.get("/").await.has("One waits"));
    let question = view(&bench).job.questions[0].question.id;
    let page = bench.get("/jobs/1/questions").await;
    assert_clean(&page.text());
    assert!(page.has("Stops the hand-over") && page.has(&format!("id=\"q-{question}\"")));
    let refused = bench
        .post(&format!("/jobs/1/questions/{question}/answer"), &[("words", " "), ("given_by", "owner, by phone")])
        .await;
    assert!(refused.has("Write the answer.") && refused.has("owner, by phone"));
    written(
        &bench,
        &format!("/jobs/1/questions/{question}/answer"),
        &[("words", "The shop before."), ("given_by", "owner, by phone")],
    )
    .await;
    let page = bench.get("/jobs/1/questions").await;
    assert!(page.has("All 1 are answered.") && page.has("owner, by phone, written down by"), "{}", words_of(&page));
}

#[tokio::test]
async fn a_gate_lists_what_is_missing_and_passes_with_a_reason_for_each() {
    let bench = Bench::new();
    opened(&bench).await;
    let page = bench.get("/jobs/1/stage").await;
    assert_clean(&page.text());
    for words in [
        "Gate to \u{201c}Opened up\u{201d}",
        "no claim is written down",
        "No test before teardown",
        "written yes to taking it apart",
        "/jobs/1/decisions/new?agrees=opened_up",
    ] {
        assert!(page.has(words), "{words}: {}", words_of(&page));
    }
    let refused = bench.post("/jobs/1/stage", &[("to", "opened_up"), ("why:claims", "He was told nothing.")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused.has("stays shut: two things are missing") && refused.has("He was told nothing."),
        "{}",
        words_of(&refused)
    );
    assert_eq!(view(&bench).job.stage(), Stage::Received);
    written(
        &bench,
        "/jobs/1/decisions/new",
        &[
            ("words", "Take it apart"),
            ("agrees", "opened_up"),
            ("yes_how", "signed on the sheet"),
            ("yes_on", "2026-03-05"),
        ],
    )
    .await;
    written(
        &bench,
        "/jobs/1/stage",
        &[
            ("to", "opened_up"),
            ("why:claims", "He was told nothing."),
            ("why:tests_before", "It came without a starter."),
        ],
    )
    .await;
    let job = view(&bench);
    assert_eq!(job.job.stage(), Stage::OpenedUp);
    assert_eq!(job.job.passed[&Stage::OpenedUp].value.in_spite_of.len(), 2);
    let page = bench.get("/jobs/1/stage").await;
    assert!(
        page.has("It came without a starter.") && page.has("Gate to \u{201c}Agreed build\u{201d}"),
        "{}",
        words_of(&page)
    );
    let late = bench.post("/jobs/1/stage", &[("to", "opened_up")]).await;
    assert!(late.has("lies behind it"), "{}", words_of(&late));
}

#[tokio::test]
async fn no_hand_over_with_an_unproved_promise_unless_somebody_says_why() {
    let bench = Bench::new();
    opened(&bench).await;
    written(
        &bench,
        "/jobs/1/promises/new",
        &[
            ("words", "Forged pistons, 92.75 mm"),
            ("component", "Pistons"),
            ("promised", "92.75 mm"),
            ("weight", "decides_the_build"),
        ],
    )
    .await;
    let promise = view(&bench).job.claims[0].id;
    assert!(bench.get("/jobs/1/promises").await.has("One of one is not proved."));
    let page = bench.get("/jobs/1/hand-over").await;
    assert!(page.has("is not proved: a photo, a part number or a reading is missing."), "{}", words_of(&page));
    let refused = bench.post("/jobs/1/hand-over", &[("to", "Owner")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(view(&bench).job.handed_over.is_none());

    written(
        &bench,
        "/jobs/1/parts/new",
        &[
            ("component", "Pistons"),
            ("words", "Forged, 92.75 mm"),
            ("part_number", "4032-B"),
            ("promise", &promise.to_string()),
        ],
    )
    .await;
    let page = bench.get("/jobs/1/promises").await;
    assert!(page.has("Proved by part 4032-B."), "{}", words_of(&page));
    assert!(bench.get("/jobs/1/parts").await.has("4032-B"));

    // Everything that is still missing gets its reason.
    let page = bench.get("/jobs/1/hand-over").await.text();
    let keys: Vec<String> =
        page.split(" name=\"why:").skip(1).map(|rest| rest.split('"').next().unwrap().to_owned()).collect();
    assert!(!keys.iter().any(|k| k.starts_with("promise:")), "{keys:?}");
    let names: Vec<String> = keys.iter().map(|k| format!("why:{k}")).collect();
    let mut fields: Vec<(&str, &str)> = names.iter().map(|n| (n.as_str(), "Said to the owner.")).collect();
    fields.extend([("to", "Owner"), ("care", "10W-60, first change after 500 km")]);
    written(&bench, "/jobs/1/hand-over", &fields).await;
    let page = bench.get("/jobs/1/hand-over").await;
    assert!(
        page.has("Handed over to Owner") && page.has("Said to the owner.") && page.has("10W-60"),
        "{}",
        words_of(&page)
    );
    assert_eq!(view(&bench).job.stage(), Stage::HandedOver);
}

#[tokio::test]
async fn entries_are_corrected_and_struck_and_stay_readable() {
    let bench = Bench::new();
    opened(&bench).await;
    let id = claim(&bench, "278 degree cam", "Camshaft", "278\u{b0}").await;
    let entry = format!("/jobs/1/notebook/{id}");
    let page = bench.get(&format!("{entry}?open=correct")).await;
    assert_clean(&page.text());
    assert!(page.has("value=\"278\u{b0}\"") && page.has("278 degree cam"), "{}", page.text());
    let replaces = id.to_string();
    let same = [
        ("replaces", replaces.as_str()),
        ("words", "278 degree cam"),
        ("component", "Camshaft"),
        ("by", "Owner"),
        ("claimed", "278\u{b0}"),
        ("weight", "decides_the_build"),
        ("touches", "Knock and boost"),
        ("because_corrected", "He meant the exhaust."),
    ];
    let refused = bench.post(&format!("{entry}/correct"), &same).await;
    assert!(refused.has("Nothing is different"), "{}", words_of(&refused));
    let mut other = same;
    other[1].1 = "278 degree exhaust cam";
    written(&bench, &format!("{entry}/correct"), &other).await;
    assert_eq!(view(&bench).job.claims[0].words, "278 degree exhaust cam");
    let page = bench.get(&entry).await;
    assert!(page.has("He meant the exhaust.") && page.has("278 degree cam"), "{}", words_of(&page));

    let refused = bench.post(&format!("{entry}/strike"), &[("because_struck", "")]).await;
    assert!(refused.has("Say why it does not count."));
    written(&bench, &format!("{entry}/strike"), &[("because_struck", "Another engine.")]).await;
    assert!(view(&bench).job.claims.is_empty());
    assert!(bench.get(&entry).await.has("This entry was struck."));
    let all = bench.get("/jobs/1/notebook").await;
    assert!(all.has("corrected or struck; they stay readable") && all.has("278 degree"), "{}", words_of(&all));
}

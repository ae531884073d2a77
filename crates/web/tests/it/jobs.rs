//! Pages of a job: forms write real entries, errors keep what was typed, conflicts are shown.

use crate::bench::{Bench, assert_clean};
use crate::jobs_bench::{claim, finding, opened, view, words_of, written};
use axum::http::StatusCode;
use notebook::{Draft, Notebook, Writer};
use record::{Body as Says, TruthVerdict, VerdictGiven};

#[tokio::test]
async fn an_engine_is_taken_in_and_stands_in_the_list() {
    let bench = Bench::new();
    let empty = bench.get("/").await;
    assert!(empty.has("No job yet") && empty.has("Take an engine in"));
    let address = opened(&bench).await;
    assert_eq!(address, "/jobs/1");
    let page = bench.get(&address).await;
    assert_eq!(page.status, StatusCode::OK);
    assert_clean(&page.text());
    for words in
        ["2.4-litre four, blown: hill-climb car", "Here since today", "No claim written down yet", "Stage", "Pages"]
    {
        assert!(page.has(words), "{words}: {}", words_of(&page));
    }
    let list = bench.get("/").await;
    assert!(list.has("One engine is in the shop.") && list.has("Stage 1 of 6: Received"), "{}", words_of(&list));
    let intake = bench.get("/jobs/1/intake").await;
    assert!(intake.has("Knocks when it is hot") && intake.has("3000 rpm to 6,200 rpm"), "{}", words_of(&intake));
    let job = &view(&bench).job;
    assert_eq!(job.opened.as_ref().unwrap().value.goals, ["Torque from 3,000", "Life"]);
}

#[tokio::test]
async fn what_is_amiss_is_said_beside_the_field_and_what_was_typed_stays() {
    let bench = Bench::new();
    let answer = bench
        .post(
            "/jobs/new",
            &[
                ("title", ""),
                ("complaint", "Knocks <b>hot</b>"),
                ("band_from", "6200"),
                ("band_to", "3000"),
                ("planned", "soon"),
            ],
        )
        .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    for words in [
        "Say in a few words what the engine is.",
        "The band ends before it begins",
        "\u{201c}soon\u{201d} is no day",
        "Three fields ask for something. Nothing was written",
        "Knocks &lt;b&gt;hot&lt;/b&gt;",
        "value=\"6200\"",
    ] {
        assert!(answer.has(words), "{words}: {}", answer.text());
    }
    assert!(bench.state.store().jobs().unwrap().is_empty());

    opened(&bench).await;
    let answer = bench
        .post(
            "/jobs/1/claims/new",
            &[
                ("words", "44 mm inlets"),
                ("component", "Inlet valves"),
                ("by", "Owner"),
                ("claimed", "44 mmm"),
                ("allowance", "0.1"),
            ],
        )
        .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.has("mmm") && answer.has("If it is meant as words") && answer.has("Choose how much hangs on it."),
        "{}",
        words_of(&answer)
    );
    assert!(answer.has("value=\"44 mmm\""));
    let answer = bench
        .post(
            "/jobs/1/findings/new",
            &[
                ("words", "42.0 over the head"),
                ("component", "Inlet valves"),
                ("found", "42.0 mm"),
                ("severity", "note"),
            ],
        )
        .await;
    assert!(answer.has("A reading without its instrument is only another claim"), "{}", words_of(&answer));
    assert!(view(&bench).job.claims.is_empty() && view(&bench).job.findings.is_empty());
}

#[tokio::test]
async fn a_form_sent_twice_writes_once() {
    let bench = Bench::new();
    opened(&bench).await;
    let id = Notebook::new_id().to_string();
    let fields = |words: &'static str, id: &str| vec![("entry", id.to_owned()), ("words", words.to_owned())];
    for _ in 0..2 {
        let sent = fields("Filter changed.", &id);
        let sent: Vec<(&str, &str)> = sent.iter().map(|(k, v)| (*k, v.as_str())).collect();
        written(&bench, "/jobs/1/notebook/new", &sent).await;
    }
    assert_eq!(view(&bench).job.notes.len(), 1);
    let sent = fields("Something else.", &id);
    let sent: Vec<(&str, &str)> = sent.iter().map(|(k, v)| (*k, v.as_str())).collect();
    let answer = bench.post("/jobs/1/notebook/new", &sent).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("This form was sent before") && answer.has("Something else."));
    assert_eq!(view(&bench).job.notes.len(), 1);
}

#[tokio::test]
async fn told_and_found_stand_side_by_side_and_a_person_judges() {
    let bench = Bench::new();
    opened(&bench).await;
    let id = claim(&bench, "8.8 to 1, safe for the blower", "Compression", "8.8 : 1").await;
    finding(&bench, id, "9.77 on all four", "9.77 : 1 \u{b1} 0.04").await;
    let list = bench.get("/jobs/1/claims").await;
    assert_clean(&list.text());
    for words in [
        "One thing was said about this engine.",
        "One is not judged yet.",
        "told 8.8",
        "found 9.77",
        "numbers say: not true",
        "Decides the build",
    ] {
        assert!(list.has(words), "{words}: {}", words_of(&list));
    }
    let page = bench.get(&format!("/jobs/1/claims/{id}")).await;
    assert_clean(&page.text());
    assert!(page.has("The numbers suggest: ") && page.has("A suggestion; a person decides."));
    let radios = page.text().matches("name=\"verdict\"").count();
    assert_eq!(radios, 4);
    assert!(
        !page.text().split("name=\"verdict\"").skip(1).any(|rest| rest[..60].contains("checked")),
        "nothing is chosen for the person"
    );

    let refused = bench.post(&format!("/jobs/1/claims/{id}"), &[("because", "Measured")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.has("Choose one of the four."));
    written(
        &bench,
        &format!("/jobs/1/claims/{id}"),
        &[("verdict", "not_true"), ("because", "One point high on all four.")],
    )
    .await;
    let list = bench.get("/jobs/1/claims").await;
    assert!(list.has("One is not true") && list.has("it decides the build"), "{}", words_of(&list));
    let job = bench.get("/jobs/1").await;
    assert!(job.has("9.77 : 1") && job.has("Not true"), "{}", words_of(&job));
}

#[tokio::test]
async fn two_verdicts_given_at_once_are_shown_until_one_settles_them() {
    let bench = Bench::new();
    opened(&bench).await;
    let id = claim(&bench, "Forged pistons", "Pistons", "forged").await;
    let notebook = bench.state.notebook();
    for (verdict, name) in [(TruthVerdict::True, "A"), (TruthVerdict::NotTrue, "B")] {
        let given =
            VerdictGiven { on: id, verdict, because: "Seen".to_owned(), rests_on: Vec::new(), replaces: Vec::new() };
        notebook.write(view(&bench).id, &[Draft::now(Says::VerdictGiven(given))], &Writer::alone(name)).unwrap();
    }
    let job = bench.get("/jobs/1").await;
    assert!(job.has("One thing was written twice and not alike."), "{}", words_of(&job));
    assert!(job.has(&format!("/jobs/1/claims/{id}")) && job.has("Two verdicts"));
    let page = bench.get(&format!("/jobs/1/claims/{id}")).await.text();
    let replaces: Vec<&str> = page.split("name=\"replaces\" value=\"").skip(1).map(|rest| &rest[..36]).collect();
    assert_eq!(replaces.len(), 2);
    written(
        &bench,
        &format!("/jobs/1/claims/{id}"),
        &[
            ("verdict", "not_true"),
            ("because", "Gate mark on all four."),
            ("replaces", replaces[0]),
            ("replaces", replaces[1]),
        ],
    )
    .await;
    assert!(view(&bench).job.conflicts.is_empty());
    assert!(!bench.get("/jobs/1").await.has("not alike"));
}

#[tokio::test]
async fn jobs_are_found_by_words_and_numbers() {
    let bench = Bench::new();
    opened(&bench).await;
    claim(&bench, "Mapped on a dyno last spring", "Ignition", "").await;
    written(&bench, "/jobs/1/parts/new", &[("component", "Pistons"), ("words", "Forged"), ("serial", "SN-77120")])
        .await;
    let found = bench.get("/?q=mapped+spring").await;
    assert!(found.has("<mark>Mapped</mark>") && found.has("One entry holds"), "{}", found.text());
    assert!(bench.get("/?q=77120").await.has("SN"));
    assert!(bench.get("/?q=job+1").await.has("2.4-litre four, blown"));
    assert!(bench.get("/?q=turbine").await.has("Nothing found"));
    assert!(bench.get("/?q=%22+OR+%2A").await.status == StatusCode::OK);
}

#[tokio::test]
async fn what_is_not_there_is_said() {
    let bench = Bench::new();
    opened(&bench).await;
    for number in ["2", "0", "x"] {
        let answer = bench.get(&format!("/jobs/{number}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND);
        assert!(answer.has(&format!("No job {number}")), "{}", words_of(&answer));
    }
    let nobody = Notebook::new_id();
    for path in ["claims", "notebook", "photos"] {
        assert_eq!(bench.get(&format!("/jobs/1/{path}/{nobody}")).await.status, StatusCode::NOT_FOUND, "{path}");
        assert_eq!(bench.get(&format!("/jobs/1/{path}/nothing")).await.status, StatusCode::NOT_FOUND, "{path}");
    }
    for path in [
        "",
        "/intake",
        "/claims",
        "/promises",
        "/parts",
        "/decisions",
        "/questions",
        "/notebook",
        "/stage",
        "/hand-over",
        "/runs",
        "/photos",
        "/claims/new",
        "/promises/new",
        "/findings/new",
        "/decisions/new",
        "/parts/new",
        "/questions/new",
        "/notebook/new",
    ] {
        let answer = bench.get(&format!("/jobs/1{path}")).await;
        assert_eq!(answer.status, StatusCode::OK, "{path}");
        assert_clean(&answer.text());
    }
    assert_eq!(bench.get("/marks").await.status, StatusCode::OK);
    assert_clean(&bench.get("/jobs/new").await.text());
}

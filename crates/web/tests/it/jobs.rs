//! Pages of a job: forms write real entries, errors keep what was typed, gates and conflicts are shown.

use crate::bench::{Answer, Bench, assert_clean, ours};
use axum::body::Body;
use axum::http::{Method, StatusCode, header};
use notebook::{Draft, JobView, Notebook, Writer};
use record::{Body as Says, Id, Stage, TruthVerdict, VerdictGiven};
use std::sync::Arc;

/// Opens a job by the form and gives its page's address.
async fn opened(bench: &Bench) -> String {
    let answer = bench
        .post(
            "/jobs/new",
            &[
                ("title", "2.4-litre four, blown"),
                ("purpose", "Hill-climb car"),
                ("owner", "Owner"),
                ("complaint", "Knocks when it is hot, third gear, uphill."),
                ("fuel", "98 RON from the pump"),
                ("permission", "May be opened; 2,000 at most before he is asked."),
                ("goals", "Torque from 3,000\r\nLife\r\n"),
                ("band_from", "3000"),
                ("band_to", "6,200 rpm"),
                ("built_for", "street_boosted"),
            ],
        )
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    answer.header("location").to_owned()
}

fn view(bench: &Bench) -> Arc<JobView> {
    bench.state.notebook().job(1).unwrap()
}

/// Writes by a form and expects to be led on.
async fn written(bench: &Bench, path: &str, fields: &[(&str, &str)]) -> Answer {
    let answer = bench.post(path, fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{path}: {}", words_of(&answer));
    answer
}

/// The words of a page, for a message.
fn words_of(answer: &Answer) -> String {
    let mut out = String::new();
    let mut tag = false;
    for c in answer.text().chars() {
        match c {
            '<' => tag = true,
            '>' => {
                tag = false;
                out.push(' ');
            }
            c if !tag => out.push(c),
            _ => {}
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

async fn claim(bench: &Bench, words: &str, component: &str, claimed: &str) -> Id {
    written(
        bench,
        "/jobs/1/claims/new",
        &[
            ("words", words),
            ("component", component),
            ("by", "Owner"),
            ("claimed", claimed),
            ("weight", "decides_the_build"),
            ("touches", "Knock and boost"),
        ],
    )
    .await;
    view(bench).job.claims.last().unwrap().id
}

async fn finding(bench: &Bench, claim: Id, words: &str, found: &str) {
    written(
        bench,
        "/jobs/1/findings/new",
        &[
            ("words", words),
            ("component", "Compression"),
            ("claim", &claim.to_string()),
            ("found", found),
            ("how", "Burette 50 ml"),
            ("severity", "minor"),
        ],
    )
    .await;
}

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

const EDGE: &str = "edge-of-a-part";

/// Sends a form with one file.
async fn with_file(bench: &Bench, path: &str, fields: &[(&str, &str)], name: &str, bytes: &[u8]) -> Answer {
    let mut body = Vec::new();
    for (key, value) in fields {
        body.extend_from_slice(
            format!("--{EDGE}\r\ncontent-disposition: form-data; name=\"{key}\"\r\n\r\n{value}\r\n").as_bytes(),
        );
    }
    body.extend_from_slice(
        format!("--{EDGE}\r\ncontent-disposition: form-data; name=\"files\"; filename=\"{name}\"\r\n\r\n").as_bytes(),
    );
    body.extend_from_slice(bytes);
    body.extend_from_slice(format!("\r\n--{EDGE}--\r\n").as_bytes());
    let request = ours(Method::POST, path)
        .header("sec-fetch-site", "same-origin")
        .header(header::CONTENT_TYPE, format!("multipart/form-data; boundary={EDGE}"))
        .body(Body::from(body))
        .unwrap();
    bench.send(request).await
}

/// A PNG of one grey pixel (invented; written by Python's zlib after the PNG specification).
const PIXEL: &[u8] = &[
    0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0x00, 0x00, 0x00, 0x0d, 0x49, 0x48, 0x44, 0x52, 0x00, 0x00, 0x00,
    0x01, 0x00, 0x00, 0x00, 0x01, 0x08, 0x00, 0x00, 0x00, 0x00, 0x3a, 0x7e, 0x9b, 0x55, 0x00, 0x00, 0x00, 0x0a, 0x49,
    0x44, 0x41, 0x54, 0x78, 0xda, 0x63, 0x68, 0x00, 0x00, 0x00, 0x82, 0x00, 0x81, 0xda, 0x45, 0x08, 0x3b, 0x00, 0x00,
    0x00, 0x00, 0x49, 0x45, 0x4e, 0x44, 0xae, 0x42, 0x60, 0x82,
];

#[tokio::test]
async fn photos_are_kept_shown_and_drawn_on() {
    let bench = Bench::new();
    opened(&bench).await;
    let id = claim(&bench, "Forged pistons", "Pistons", "forged").await;
    let answer = with_file(
        &bench,
        "/jobs/1/photos",
        &[("about", &id.to_string()), ("caption", "Gate mark")],
        "crown.png",
        PIXEL,
    )
    .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", words_of(&answer));
    let photo = view(&bench).job.files[0].clone();
    assert_eq!(photo.value.pixels, Some((1, 1)));
    assert_eq!(view(&bench).job.claims[0].files, [photo.id]);
    let sha = &photo.value.sha256;
    let thumb = bench.get(&format!("/files/{sha}/thumb")).await;
    assert_eq!((thumb.status, thumb.header("content-type")), (StatusCode::OK, "image/jpeg"), "{}", words_of(&thumb));
    let original = bench.get(&format!("/files/{sha}/original")).await;
    assert_eq!(original.bytes, PIXEL);
    assert_eq!(original.header("content-disposition"), "attachment; filename=\"crown.png\"");
    assert_eq!(bench.get("/files/xyz/thumb").await.status, StatusCode::NOT_FOUND);
    assert_eq!(bench.get(&format!("/files/{}/original", "0".repeat(64))).await.status, StatusCode::NOT_FOUND);

    let page = bench.get(&format!("/jobs/1/photos/{}", photo.id)).await;
    assert_clean(&page.text());
    assert!(page.has("Gate mark") && page.has("draw-photo"));
    let address = format!("/jobs/1/photos/{}", photo.id);
    let marks = r#"[{"mark":"circle","at":[0.5,0.4],"radius":0.1}]"#;
    written(&bench, &address, &[("marks", marks)]).await;
    let drawn = &view(&bench).job.drawings[&photo.id];
    assert_eq!(drawn.len(), 1);
    // Without a script: a mark in numbers, and one taken away.
    let replaces = drawn[0].id.to_string();
    let refused = bench
        .post(
            &address,
            &[("marks", marks), ("replaces", &replaces), ("new_kind", "words"), ("new_x", "140"), ("new_y", "10")],
        )
        .await;
    assert!(
        refused.has("a number from 0 to 100 is expected") && refused.has("Write the words."),
        "{}",
        words_of(&refused)
    );
    written(
        &bench,
        &address,
        &[
            ("marks", marks),
            ("replaces", &replaces),
            ("off", "0"),
            ("new_kind", "arrow"),
            ("new_x", "40"),
            ("new_y", "10"),
            ("new_x2", "10"),
            ("new_y2", "10"),
        ],
    )
    .await;
    let page = bench.get(&address).await;
    assert!(page.has("arrow to 40 % from the left") && !page.has("circle round"), "{}", words_of(&page));
    assert!(bench.get("/jobs/1/photos").await.has("drawn on"));
}

#[tokio::test]
async fn a_file_of_another_kind_is_not_taken_and_the_finding_is_not_lost() {
    let bench = Bench::new();
    opened(&bench).await;
    let fields = [("words", "Crack at the land"), ("component", "Pistons"), ("severity", "stop")];
    let answer = with_file(&bench, "/jobs/1/findings/new", &fields, "crack.exe", b"MZ....").await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.has("photos are taken as JPEG, PNG, WebP or HEIC")
            && answer.has("Crack at the land")
            && answer.has("choose them again"),
        "{}",
        words_of(&answer)
    );
    assert!(view(&bench).job.findings.is_empty());
    let answer = with_file(&bench, "/jobs/1/findings/new", &fields, "crack.png", PIXEL).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    let job = view(&bench);
    assert_eq!(job.job.files[0].value.about, [job.job.findings[0].id]);
    assert!(bench.get("/jobs/1/claims").await.has("Stop: do not run"));
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

//! Bringing logs in, answering, judging, leaving out, holding against, accepting.

use crate::bench::{Answer, Bench, assert_clean};
use crate::logs::{Written, pull_csv, truth_nm};
use axum::http::StatusCode;
use store::RunState;

async fn bring_three(bench: &Bench) -> Answer {
    let logs: Vec<Vec<u8>> =
        [1.0, 1.002, 0.999].iter().map(|s| pull_csv(Written { scale: *s, ..Written::default() })).collect();
    let named: Vec<(&str, &[u8])> =
        ["pull-01.csv", "pull-02.csv", "pull-03.csv"].into_iter().zip(logs.iter().map(Vec::as_slice)).collect();
    bench.bring(&[], &named).await
}

fn revision(bench: &Bench, number: i64) -> String {
    bench.state.store().run_by_number(number).unwrap().unwrap().revision.to_string()
}

#[tokio::test]
async fn three_logs_become_one_run_with_a_curve() {
    let bench = Bench::new();
    assert!(bench.get("/runs").await.has("No runs yet"));
    let answer = bring_three(&bench).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/runs/1"), "{}", answer.text());
    let page = bench.get("/runs/1").await;
    assert_eq!(page.status, StatusCode::OK);
    assert_clean(&page.text());
    for part in
        ["<run-chart", "class=\"cond\"", "How well it repeats", "Peaks, for the record", "What was stated", "Leave out"]
    {
        assert!(page.has(part), "`{part}` is missing");
    }
    let list = bench.get("/runs").await;
    assert!(list.has("href=\"/runs/1\"") && !list.has("No runs yet"));
    assert_clean(&list.text());
}

/// The page's numbers are those of the engine that was invented: observed torque in the middle of the
/// band within 1 % of the formula (the smoothing of 75 rpm moves a parabola of this curvature by 0.02 N·m,
/// the wobble by less than 0.4 N·m).
#[tokio::test]
async fn the_numbers_for_the_readout_are_the_engine_s() {
    let bench = Bench::new();
    bring_three(&bench).await;
    bench.post("/runs/1/stated", &[("standard", "observed"), ("revision", "1")]).await;
    let answer = bench.get("/runs/1/curve.json").await;
    assert_eq!(answer.header("content-type"), "application/json");
    let json: serde_json::Value = serde_json::from_slice(&answer.bytes).unwrap();
    let torque = json["strips"].as_array().unwrap().iter().find(|s| s["key"] == "torque").unwrap();
    let line = torque["lines"].as_array().unwrap().iter().find(|l| l["kind"] == "measured").unwrap();
    let mut seen = 0;
    for point in line["points"].as_array().unwrap() {
        let (rpm, value) = (point[0].as_f64().unwrap(), point[1].as_f64());
        if (3000.0..=6000.0).contains(&rpm) {
            let value = value.expect("a value inside the pulls");
            assert!((value / truth_nm(rpm) - 1.0).abs() < 0.01, "{rpm} rpm: {value}, truth {}", truth_nm(rpm));
            seen += 1;
        }
    }
    assert!(seen >= 100, "{seen} points");
}

#[tokio::test]
async fn the_same_log_twice_is_noticed() {
    let bench = Bench::new();
    let log = pull_csv(Written::default());
    bench.bring(&[], &[("a.csv", &log)]).await;
    let answer = bench.bring(&[], &[("b.csv", &log)]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("was taken in before, as run 1") && answer.has("href=\"/runs/1\""));
    assert_eq!(bench.state.store().runs().unwrap().len(), 1);
}

#[tokio::test]
async fn what_is_no_log_leaves_nothing_behind() {
    let bench = Bench::new();
    for (name, bytes) in [("empty.csv", &b""[..]), ("picture.csv", &b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"[..])] {
        let answer = bench.bring(&[], &[(name, bytes)]).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}");
        assert!(answer.has("role=\"alert\"") && answer.has(name), "{name}: {}", answer.text());
        assert_clean(&answer.text());
    }
    let answer = bench.bring(&[], &[]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(bench.state.store().runs().unwrap().is_empty());
}

#[tokio::test]
async fn a_question_is_asked_answered_and_remembered_for_the_dyno() {
    let bench = Bench::new();
    bench.post("/dynos", &[("key", "north")]).await;
    let log = pull_csv(Written { torque: "Torque", ..Written::default() });
    let answer = bench.bring(&[("dyno", "north")], &[("pull-01.csv", &log)]).await;
    assert_eq!(
        (answer.status, answer.header("location")),
        (StatusCode::SEE_OTHER, "/runs/1/questions"),
        "{}",
        answer.text()
    );
    assert_eq!(bench.get("/runs/1").await.header("location"), "/runs/1/questions");
    let page = bench.get("/runs/1/questions").await;
    assert!(page.has("Torque") && page.has("type=\"radio\"") && page.has("value=\"unit:Torque\""), "{}", page.text());
    assert_clean(&page.text());

    let nothing = bench.post("/runs/1/questions", &[("revision", "1"), ("k0", "unit:Torque")]).await;
    assert_eq!(nothing.status, StatusCode::UNPROCESSABLE_ENTITY);
    let fields = [("revision", "1"), ("k0", "unit:Torque"), ("a0", "N·m"), ("remember", "yes")];
    let answer = bench.post("/runs/1/questions", &fields).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/runs/1"), "{}", answer.text());
    assert_eq!(bench.state.store().run_by_number(1).unwrap().unwrap().state, RunState::Ready);

    let next = pull_csv(Written { torque: "Torque", scale: 1.01 });
    let answer = bench.bring(&[("dyno", "north")], &[("pull-02.csv", &next)]).await;
    assert_eq!(answer.header("location"), "/runs/2", "it is asked once: {}", answer.text());
}

#[tokio::test]
async fn a_pull_is_left_out_with_a_reason_and_taken_back() {
    let bench = Bench::new();
    bring_three(&bench).await;
    let silent = bench.post("/runs/1/leave-out", &[("pull", "2"), ("reason", "  "), ("revision", "1")]).await;
    assert_eq!(silent.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(silent.has("the reason is missing"));
    let fields = [("pull", "2"), ("reason", "fuel filter <blocked>"), ("revision", "1")];
    let answer = bench.post("/runs/1/leave-out", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let page = bench.get("/runs/1").await;
    assert!(page.has("fuel filter &lt;blocked&gt;") && page.has("2 of 3 in use"), "{}", page.text());
    let answer = bench.post("/runs/1/take-back", &[("pull", "2"), ("revision", &revision(&bench, 1))]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(bench.get("/runs/1").await.has("3 of 3 in use"));
}

#[tokio::test]
async fn somebody_else_s_change_is_not_overwritten() {
    let bench = Bench::new();
    bring_three(&bench).await;
    let first = bench.post("/runs/1/band", &[("from", "3000"), ("to", "6,000"), ("revision", "1")]).await;
    assert_eq!(first.status, StatusCode::SEE_OTHER, "{}", first.text());
    for (path, fields) in [
        ("/runs/1/band", vec![("from", "3500"), ("to", "6000"), ("revision", "1")]),
        ("/runs/1/leave-out", vec![("pull", "1"), ("reason", "late"), ("revision", "1")]),
        ("/runs/1/accept", vec![("revision", "1")]),
        ("/runs/1/stated", vec![("standard", "observed"), ("revision", "1")]),
        ("/runs/1/against", vec![("against", ""), ("revision", "1")]),
    ] {
        let answer = bench.post(path, &fields).await;
        assert_eq!(answer.status, StatusCode::CONFLICT, "{path}");
        assert!(answer.has("Somebody changed this run"), "{path}");
    }
    assert!(bench.get("/runs/1").await.has("Over 3,000 to 6,000 rpm"));
}

#[tokio::test]
async fn another_band_is_judged_without_being_kept() {
    let bench = Bench::new();
    bring_three(&bench).await;
    let page = bench.get("/runs/1?from=3,500&to=5500").await;
    assert!(page.has("Over 3,500 to 5,500 rpm") && page.has("Keep this band"));
    assert!(!bench.get("/runs/1").await.has("Over 3,500 to 5,500 rpm"));
    let page = bench.get("/runs/1?from=5500&to=3500").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.has("ends before it begins"));
}

#[tokio::test]
async fn a_statement_that_cannot_be_used_is_shown_in_its_place() {
    let bench = Bench::new();
    bring_three(&bench).await;
    let answer = bench.post("/runs/1/stated", &[("baro", "29.2"), ("fuel", "93 AKI pump"), ("revision", "1")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("id=\"s-baro-fault\"") && answer.has("value=\"29.2\""), "{}", answer.text());
    assert_eq!(revision(&bench, 1), "1", "nothing was changed");
    let answer = bench.post("/runs/1/stated", &[("baro", "29.2 inHg"), ("revision", "1")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    assert!(bench.get("/runs/1").await.has("value=\"29.2 inHg\""));
}

#[tokio::test]
async fn a_run_is_held_against_another() {
    let bench = Bench::new();
    bring_three(&bench).await;
    let log = pull_csv(Written { scale: 1.1, ..Written::default() });
    bench.bring(&[], &[("better.csv", &log)]).await;
    let answer = bench.post("/runs/2/against", &[("against", "1"), ("revision", "1")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    let page = bench.get("/runs/2").await;
    assert!(page.has("<th class=\"r was\" scope=\"col\">Run 1</th>"), "{}", page.text());
    let answer = bench.post("/runs/2/against", &[("against", "2"), ("revision", "2")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        bench.post("/runs/2/against", &[("against", "9"), ("revision", "2")]).await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn a_run_is_accepted_and_opened_again_with_a_reason() {
    let bench = Bench::new();
    bring_three(&bench).await;
    assert_eq!(bench.post("/runs/1/accept", &[("revision", "1")]).await.status, StatusCode::SEE_OTHER);
    assert!(bench.get("/runs").await.has("accepted"));
    let silent = bench.post("/runs/1/unaccept", &[("revision", "2"), ("reason", "")]).await;
    assert_eq!(silent.status, StatusCode::UNPROCESSABLE_ENTITY);
    let answer = bench.post("/runs/1/unaccept", &[("revision", "2"), ("reason", "new load-cell check")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(bench.get("/runs/1").await.has("Accept run"));
}

#[tokio::test]
async fn logs_come_back_byte_for_byte() {
    let bench = Bench::new();
    let log = pull_csv(Written::default());
    bench.bring(&[], &[("C:\\logs\\pull 01.csv", &log)]).await;
    let answer = bench.get("/runs/1/logs/1").await;
    assert_eq!(answer.bytes, log);
    assert!(answer.header("content-disposition").contains("filename=\"pull 01.csv\""));
    assert_eq!(bench.get("/runs/1/logs/2").await.status, StatusCode::NOT_FOUND);
    assert_eq!(bench.get("/runs/1/logs/0").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_run_comes_as_files() {
    let bench = Bench::new();
    bring_three(&bench).await;
    for (path, kind, start) in [
        ("/runs/1/run.svg", "image/svg+xml", "<svg"),
        ("/runs/1/run.json", "application/json", "{"),
        ("/runs/1/run.pdf?paper=a4", "application/pdf", "%PDF-"),
        ("/runs/1/run.pdf?paper=letter", "application/pdf", "%PDF-"),
    ] {
        let answer = bench.get(path).await;
        assert_eq!((answer.status, answer.header("content-type")), (StatusCode::OK, kind), "{path}");
        assert!(answer.text().starts_with(start), "{path}");
    }
    let json: serde_json::Value = serde_json::from_slice(&bench.get("/runs/1/run.json").await.bytes).unwrap();
    assert!(json.is_object());
}

#[tokio::test]
async fn a_run_whose_log_is_gone_says_so_and_keeps_its_page() {
    let bench = Bench::new();
    bring_three(&bench).await;
    let run = bench.state.store().run_by_number(1).unwrap().unwrap();
    let sha = &run.files[1].sha256;
    std::fs::remove_file(bench.state.store().dir().join("files").join(&sha[..2]).join(sha)).unwrap();
    let fresh = web::app(web::AppState::of(bench.state.store().clone()));
    let request = crate::bench::ours(axum::http::Method::GET, "/runs/1").body(axum::body::Body::empty()).unwrap();
    let response = tower::ServiceExt::oneshot(fresh, request).await.unwrap();
    assert_eq!(response.status(), StatusCode::OK);
    let bytes = axum::body::to_bytes(response.into_body(), usize::MAX).await.unwrap();
    let text = String::from_utf8(bytes.to_vec()).unwrap();
    assert!(text.contains("is missing from the shop") && text.contains("role=\"alert\""), "{text}");
}

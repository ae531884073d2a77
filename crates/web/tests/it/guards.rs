//! The shop's guard rules on their page, and what they do to runs that are there.

use crate::bench::{Bench, assert_clean};
use axum::http::StatusCode;
use std::fmt::Write;

/// One sweep with oil temperature rising from 90 to 110 °C.
fn warm_sweep() -> Vec<u8> {
    let mut text = "Time (s),Engine Speed (rpm),Torque (Nm),Oil Temp (degC),Baro (kPa),Intake Air (degC)\n".to_owned();
    for row in 0..1000_u32 {
        let time = f64::from(row) / 50.0;
        let torque = 240.0 + 0.1 * f64::from(row % 7);
        let _ = writeln!(text, "{time:.2},{:.1},{torque:.2},{:.2},98.2,24.5", 2000.0 + 200.0 * time, 90.0 + time);
    }
    text.into_bytes()
}

fn rule(limit: &str) -> String {
    format!(
        "[[rule]]\r\nkey = \"oil_hot\"\r\nrole = \"oil_temperature\"\r\ncheck = \"above\"\r\nwords = \"oil at {{worst}}\"\r\n\
         what = \"the oil is hot\"\r\nlook = \"the cooler\"\r\nwarn = {{ limit = \"{limit}\", hold = \"1 s\" }}\r\nsource = \"sheet of the oil\"\r\n"
    )
}

async fn keep(bench: &Bench, text: &str, revision: &str) -> StatusCode {
    bench.post("/guards/text", &[("text", text), ("revision", revision)]).await.status
}

/// The oil ends at 110 °C: 105 °C is passed, 115 °C is not.
#[tokio::test]
async fn an_edited_limit_changes_a_run_that_is_there() {
    let bench = Bench::new();
    let answer = bench.bring(&[], &[("warm.csv", &warm_sweep())]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let flagged = async || bench.get("/runs/1").await.has("Limit 105 °C for 1 s");
    assert!(!flagged().await);
    assert!(bench.get("/runs/1").await.has("href=\"/guards\""));
    assert_eq!(keep(&bench, &rule("105 °C"), "0").await, StatusCode::SEE_OTHER);
    assert!(flagged().await, "the run in memory is worked out again");
    assert!(bench.get("/runs/1").await.has("the shop's guard rules (change 1 of"));
    assert!(bench.get("/runs").await.has("No flag by older guard rules."));
    let page = bench.get("/guards").await;
    assert_eq!(page.status, StatusCode::OK);
    assert_clean(&page.text());
    for part in
        ["the shop\u{2019}s own</span>", "105 °C", "sheet of the oil", "1 of them the shop\u{2019}s own", "Change 1,"]
    {
        assert!(page.has(part), "`{part}` is missing");
    }
    assert!(!bench.state.store().setting("guards").unwrap().unwrap().contains('\r'));
    assert_eq!(keep(&bench, "[[rule]]\nkey = \"oil_hot\"\noff = true\n", "1").await, StatusCode::SEE_OTHER);
    assert!(!flagged().await);
    assert!(bench.get("/guards").await.has("; 1 switched off"));
    assert!(bench.get("/runs/1").await.has("switched off: oil_hot"));
}

#[tokio::test]
async fn rules_that_cannot_be_read_are_shown_again_with_their_place() {
    let bench = Bench::new();
    assert_eq!(keep(&bench, &rule("105 °C"), "0").await, StatusCode::SEE_OTHER);
    let broken = rule("105 °C").replace("\"above\"", "\"abvoe\"");
    let answer = bench.post("/guards/text", &[("text", &broken), ("revision", "1")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_clean(&answer.text());
    for part in ["Line 4, column 9", "no check is called `abvoe`", "did you mean `above`?", "check = &quot;abvoe&quot;"]
    {
        assert!(answer.has(part), "`{part}` is missing in {}", answer.text());
    }
    assert_eq!(bench.state.store().setting_history("guards").unwrap().len(), 1);
    // Somebody else was faster.
    assert_eq!(keep(&bench, &rule("106 °C"), "0").await, StatusCode::CONFLICT);
    assert_eq!(bench.state.store().setting_history("guards").unwrap().len(), 1);
}

#[tokio::test]
async fn how_far_pulls_may_differ_is_kept_as_a_share() {
    let bench = Bench::new();
    assert!(bench.get("/guards").await.has("name=\"percent\""));
    assert_eq!(bench.post("/guards/repeat", &[("percent", "1,5 %")]).await.status, StatusCode::SEE_OTHER);
    let kept = || bench.state.store().setting("repeat_limit").unwrap();
    assert_eq!(kept().as_deref(), Some("0.015"));
    assert!(bench.get("/guards").await.has("value=\"1.5\""));
    for typed in ["", "0", "-1", "50", "little", "NaN", "<b>"] {
        let answer = bench.post("/guards/repeat", &[("percent", typed)]).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{typed}");
        assert!(answer.has("was not taken") && !answer.has("<b>\u{201d}"), "{typed}");
    }
    assert_eq!(kept().as_deref(), Some("0.015"));
}

/// A text that another hand wrote into the shop: the pages say so instead of judging by other rules.
#[tokio::test]
async fn kept_rules_that_cannot_be_read_are_said() {
    let bench = Bench::new();
    bench.bring(&[], &[("warm.csv", &warm_sweep())]).await;
    bench.state.store().set_setting("guards", "[[rule]]\nkey = 1\n").unwrap();
    let page = bench.get("/guards").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.has("cannot be read") && page.has("Line 2, column 7"), "{}", page.text());
    let run = bench.get("/runs/1").await;
    assert_eq!(run.status, StatusCode::OK);
    assert!(run.has("line 2, column 7"), "{}", run.text());
}

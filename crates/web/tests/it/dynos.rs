//! The dynos: made known, edited, and what happens when a text cannot be read.

use crate::bench::Bench;
use axum::http::StatusCode;

#[tokio::test]
async fn a_dyno_is_made_known_and_its_file_edited() {
    let bench = Bench::new();
    assert!(bench.get("/dynos").await.has("No dyno yet"));
    let answer = bench.post("/dynos", &[("key", "North cell")]).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/dynos/north-cell"));
    let page = bench.get("/dynos/north-cell").await;
    assert_eq!(page.status, StatusCode::OK);
    let before = bench.state.store().dyno("north-cell").unwrap().unwrap();
    let text = format!("{}\r\n# arm hung level\r\n", before.cell_toml);
    let revision = before.revision.to_string();
    let answer = bench.post("/dynos/north-cell/text", &[("text", &text), ("revision", &revision)]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let after = bench.state.store().dyno("north-cell").unwrap().unwrap();
    assert!(after.cell_toml.contains("# arm hung level\n"));
    assert!(!after.cell_toml.contains('\r'));
    assert!(after.revision > before.revision);
}

#[tokio::test]
async fn a_text_that_cannot_be_read_is_shown_again_with_its_place() {
    let bench = Bench::new();
    bench.post("/dynos", &[("key", "north")]).await;
    let before = bench.state.store().dyno("north").unwrap().unwrap();
    let broken = format!("{}\naltitude = \n", before.cell_toml.trim_end());
    let line = broken.lines().count();
    let answer =
        bench.post("/dynos/north/text", &[("text", &broken), ("revision", &before.revision.to_string())]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has(&format!("Line {line}, column")), "{}", answer.text());
    assert!(answer.has("altitude ="), "the text as typed is shown again");
    assert_eq!(bench.state.store().dyno("north").unwrap().unwrap(), before);
}

#[tokio::test]
async fn two_people_cannot_overwrite_each_other() {
    let bench = Bench::new();
    bench.post("/dynos", &[("key", "north")]).await;
    let dyno = bench.state.store().dyno("north").unwrap().unwrap();
    let revision = dyno.revision.to_string();
    let first = format!("{}# first\n", dyno.cell_toml);
    let second = format!("{}# second\n", dyno.cell_toml);
    assert_eq!(
        bench.post("/dynos/north/text", &[("text", &first), ("revision", &revision)]).await.status,
        StatusCode::SEE_OTHER
    );
    let answer = bench.post("/dynos/north/text", &[("text", &second), ("revision", &revision)]).await;
    assert_eq!(answer.status, StatusCode::CONFLICT);
    assert!(bench.state.store().dyno("north").unwrap().unwrap().cell_toml.contains("# first"));
}

#[tokio::test]
async fn a_short_name_must_fit_an_address() {
    let bench = Bench::new();
    for key in ["", "  ", "../etc", "a/b", "nörd"] {
        let answer = bench.post("/dynos", &[("key", key)]).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{key:?}");
    }
    assert!(bench.state.store().dynos().unwrap().is_empty());
    assert_eq!(bench.get("/dynos/unheard-of").await.status, StatusCode::NOT_FOUND);
}

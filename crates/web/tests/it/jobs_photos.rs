//! Photos and files of a job: kept, shown without the place, drawn on.

use crate::bench::{Answer, Bench, assert_clean, ours};
use crate::jobs_bench::{claim, opened, view, words_of, written};
use axum::body::Body;
use axum::http::{Method, StatusCode, header};

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

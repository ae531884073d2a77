//! Who may ask, what may be sent, and what every answer carries.

use crate::bench::{Bench, assert_clean, ours};
use axum::body::Body;
use axum::http::{Method, StatusCode, header};

#[tokio::test]
async fn every_answer_carries_the_policy() {
    let bench = Bench::new();
    for path in ["/", "/runs", "/dynos", "/guards", "/health", "/nothing", "/runs/1", "/assets/x/style.css"] {
        let answer = bench.get(path).await;
        let policy = answer.header("content-security-policy");
        for part in
            ["default-src 'none'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'", "base-uri 'none'"]
        {
            assert!(policy.contains(part), "{path}: `{part}` is missing in `{policy}`");
        }
        assert!(!policy.contains("unsafe"), "{path}: {policy}");
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
    }
}

#[tokio::test]
async fn pages_hold_no_inline_script_or_style() {
    let bench = Bench::new();
    bench.post("/dynos", &[("key", "north-cell")]).await;
    for path in ["/", "/runs", "/jobs/new", "/marks", "/dynos", "/dynos/north-cell", "/guards", "/nothing", "/runs/7"] {
        let answer = bench.get(path).await;
        assert!(answer.header("content-type").starts_with("text/html"), "{path}");
        assert_clean(&answer.text());
    }
}

#[tokio::test]
async fn only_loopback_names_are_answered() {
    let bench = Bench::new();
    for (host, status) in [
        ("localhost", StatusCode::OK),
        ("localhost:7300", StatusCode::OK),
        ("LOCALHOST:7300", StatusCode::OK),
        ("127.0.0.1:7300", StatusCode::OK),
        ("[::1]:7300", StatusCode::OK),
        ("shop.example", StatusCode::MISDIRECTED_REQUEST),
        ("127.0.0.1.shop.example:7300", StatusCode::MISDIRECTED_REQUEST),
        ("localhost.shop.example", StatusCode::MISDIRECTED_REQUEST),
        ("192.168.1.20:7300", StatusCode::MISDIRECTED_REQUEST),
    ] {
        for path in ["/", "/events"] {
            if path == "/events" && status == StatusCode::OK {
                continue;
            }
            let request =
                axum::http::Request::builder().uri(path).header(header::HOST, host).body(Body::empty()).unwrap();
            assert_eq!(bench.send(request).await.status, status, "{host} {path}");
        }
    }
    let nameless = axum::http::Request::builder().uri("/").body(Body::empty()).unwrap();
    assert_eq!(bench.send(nameless).await.status, StatusCode::MISDIRECTED_REQUEST);
}

#[tokio::test]
async fn a_change_from_a_foreign_page_is_turned_away() {
    let bench = Bench::new();
    let cases: [(&str, &str, StatusCode); 6] = [
        ("sec-fetch-site", "cross-site", StatusCode::FORBIDDEN),
        ("sec-fetch-site", "same-site", StatusCode::FORBIDDEN),
        ("origin", "http://shop.example", StatusCode::FORBIDDEN),
        ("origin", "null", StatusCode::FORBIDDEN),
        ("origin", "http://127.0.0.1:7300", StatusCode::SEE_OTHER),
        ("sec-fetch-site", "same-origin", StatusCode::SEE_OTHER),
    ];
    for (name, value, status) in cases {
        let request = ours(Method::POST, "/dynos")
            .header(name, value)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .body(Body::from("key=foreign"))
            .unwrap();
        let answer = bench.send(request).await;
        assert_eq!(answer.status, status, "{name}: {value}");
        let known = bench.state.store().dyno("foreign").unwrap().is_some();
        assert_eq!(known, status == StatusCode::SEE_OTHER, "{name}: {value}");
    }
}

#[tokio::test]
async fn too_large_a_form_is_refused_with_a_page() {
    let bench = Bench::new();
    let big = "x".repeat(1_200_000);
    let answer = bench.post("/dynos", &[("key", &big)]).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(answer.has("Too much at once"));
    assert!(bench.state.store().dynos().unwrap().is_empty());
}

#[tokio::test]
async fn what_is_not_there_has_a_page_in_our_words() {
    let bench = Bench::new();
    let answer = bench.get("/nowhere").await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
    assert!(answer.has("No page is kept under /nowhere"));
    for number in ["12", "0", "-1", "first", "99999999999999999999"] {
        let answer = bench.get(&format!("/runs/{number}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{number}");
        assert!(answer.has(&format!("No run {number}")), "{number}");
    }
    let answer = bench.post("/health", &[]).await;
    assert_eq!(answer.status, StatusCode::METHOD_NOT_ALLOWED);
    assert!(answer.header("content-type").starts_with("text/html"));
}

#[tokio::test]
async fn words_in_addresses_are_escaped() {
    let bench = Bench::new();
    let answer = bench.get("/runs/%3Cscript%3Ealert(1)%3C%2Fscript%3E").await;
    assert!(!answer.has("<script>alert"));
    assert_clean(&answer.text());
}

#[tokio::test]
async fn health_says_ok() {
    let bench = Bench::new();
    let answer = bench.get("/health").await;
    assert_eq!((answer.status, answer.text().as_str()), (StatusCode::OK, "ok\n"));
}

#[tokio::test]
async fn the_page_names_files_that_are_there() {
    let bench = Bench::new();
    let page = bench.get("/").await.text();
    let mut found = 0;
    for (at, _) in page.match_indices("/assets/") {
        let address = page[at..].split('"').next().unwrap();
        let answer = bench.get(address).await;
        assert_eq!(answer.status, StatusCode::OK, "{address}");
        assert!(answer.header("cache-control").contains("immutable"), "{address}");
        found += 1;
    }
    assert_eq!(found, 2, "one style sheet and one script");
    let style_address = page[page.find("/assets/").unwrap()..].split('"').next().unwrap().to_owned();
    let folder = style_address.rsplit_once('/').unwrap().0;
    let style = bench.get(&style_address).await.text();
    for (at, _) in style.match_indices("url(fonts/") {
        let name = style[at + 4..].split(')').next().unwrap();
        let answer = bench.get(&format!("{folder}/{name}")).await;
        assert_eq!((answer.status, answer.header("content-type")), (StatusCode::OK, "font/woff2"), "{name}");
    }
}

/// A script that imports what is not served would stop every script of the page.
#[tokio::test]
async fn scripts_import_only_what_is_served() {
    let bench = Bench::new();
    let page = bench.get("/").await.text();
    let at = page.rfind("/assets/").unwrap();
    let entry = page[at..].split('"').next().unwrap();
    let folder = entry.rsplit_once('/').unwrap().0;
    let mut open = vec!["page.js".to_owned()];
    let mut seen = Vec::new();
    while let Some(name) = open.pop() {
        if seen.contains(&name) {
            continue;
        }
        let answer = bench.get(&format!("{folder}/{name}")).await;
        assert_eq!(answer.status, StatusCode::OK, "{name}");
        let script = answer.text();
        for line in script.lines().filter(|line| line.starts_with("import ")) {
            let target = line.split('"').nth(1).unwrap();
            open.push(target.trim_start_matches("./").to_owned());
        }
        seen.push(name);
    }
    assert!(seen.len() >= 6, "{seen:?}");
}

#[tokio::test]
async fn choices_are_kept_and_lead_back_to_our_own_pages_only() {
    let bench = Bench::new();
    let answer = bench.post("/prefs", &[("paper", "dark"), ("back", "/dynos")]).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/dynos"));
    assert!(answer.header("set-cookie").starts_with("paper=dark;"));
    assert!(bench.get_with("/", "paper=dark").await.has("data-theme=\"dark\""));
    assert!(!bench.get("/").await.has("data-theme"));
    for back in ["//shop.example/", "https://shop.example/", "/\\shop.example", ""] {
        let answer = bench.post("/prefs", &[("units", "us"), ("back", back)]).await;
        assert_eq!(answer.header("location"), "/", "{back}");
    }
    let answer = bench.post("/prefs", &[("paper", "sepia")]).await;
    assert_eq!(answer.header("set-cookie"), "");
}

//! Signing in and out, sessions, and guessing.

use crate::bench::{Answer, Bench, PASSWORD, assert_clean, ours};
use axum::body::Body;
use axum::http::{Method, StatusCode, header};
use std::time::Duration;
use web::accounts::Role;

fn bench() -> Bench {
    let bench = Bench::new();
    bench.account("mara", "Mara Lind", &Role::ALL, true);
    bench.account("ove", "Ove Holt", &[Role::Bench], false);
    bench
}

async fn try_as(bench: &Bench, name: &str, password: &str) -> Answer {
    bench.post("/sign-in", &[("name", name), ("password", password)]).await
}

#[tokio::test]
async fn a_page_leads_to_the_sign_in_page_and_back() {
    let bench = bench();
    let request = ours(Method::GET, "/dynos?x=1").header("accept", "text/html").body(Body::empty()).unwrap();
    let answer = bench.send(request).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/sign-in?back=%2Fdynos%3Fx%3D1"));
    let page = bench.get("/sign-in?back=%2Fdynos%3Fx%3D1").await;
    assert_eq!(page.status, StatusCode::OK);
    assert_clean(&page.text());
    assert!(page.has("name=\"back\" value=\"/dynos?x=1\""), "{}", page.text());
    assert!(!page.has("Nothing saved yet") && !page.has("href=\"/dynos\""), "the door shows nothing of the shop");
    let fields = [("name", " Mara "), ("password", PASSWORD), ("back", "/dynos?x=1")];
    let answer = bench.post("/sign-in", &fields).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/dynos?x=1"));
    let page = bench.get_with("/dynos", &answer.cookie()).await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.has("Mara Lind") && page.has("Sign out"));
}

#[tokio::test]
async fn after_signing_in_only_our_own_pages_are_gone_to() {
    let bench = bench();
    for back in ["//shop.example/", "https://shop.example/", "/\\shop.example"] {
        let answer = bench.post("/sign-in", &[("name", "mara"), ("password", PASSWORD), ("back", back)]).await;
        assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/"), "{back}");
    }
}

#[tokio::test]
async fn the_cookie_is_out_of_reach_for_scripts_and_other_sites() {
    let bench = bench();
    let answer = try_as(&bench, "mara", PASSWORD).await;
    let line = answer.header("set-cookie");
    let parts: Vec<&str> = line.split("; ").collect();
    assert!(parts[0].starts_with("plateau=") && parts[0].len() == "plateau=".len() + 64, "{line}");
    for part in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(parts.contains(&part), "{part}: {line}");
    }
}

/// Word for word, so that nobody learns which names exist.
#[tokio::test]
async fn an_unknown_name_a_wrong_password_and_a_closed_account_look_the_same() {
    let bench = bench();
    let cookie = bench.signed_in("mara").await;
    let closed = bench.post_with("/people/ove/close", &[("mine", PASSWORD)], &cookie).await;
    assert_eq!(closed.status, StatusCode::SEE_OTHER, "{}", closed.text());
    let mut pages = Vec::new();
    for (name, password) in [("mara", "wrong lathe here"), ("nobody", PASSWORD), ("ove", PASSWORD)] {
        let answer = try_as(&bench, name, password).await;
        assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{name}");
        assert_eq!(answer.header("set-cookie"), "", "{name}");
        assert!(answer.has("Name or password is not right"), "{name}");
        assert!(!answer.has(password), "a password is not shown again");
        pages.push(answer.text().replace(&format!("value=\"{name}\""), "value=\"\""));
    }
    assert_eq!(pages[0], pages[1]);
    assert_eq!(pages[0], pages[2]);
}

#[tokio::test]
async fn after_some_wrong_tries_the_next_one_waits_and_the_books_say_so_once() {
    let bench = bench();
    for _ in 0..5 {
        assert_eq!(try_as(&bench, "mara", "wrong lathe here").await.status, StatusCode::UNAUTHORIZED);
    }
    for _ in 0..3 {
        let answer = try_as(&bench, "mara", PASSWORD).await;
        assert_eq!(answer.status, StatusCode::TOO_MANY_REQUESTS, "also the right one is not looked at");
        assert_eq!(answer.header("set-cookie"), "");
        let wait: u64 = answer.header("retry-after").parse().unwrap();
        assert!((1..=2).contains(&wait), "{wait}");
        assert!(answer.has("The next one is looked at in"), "{}", answer.text());
    }
    assert_eq!(try_as(&bench, "ove", PASSWORD).await.status, StatusCode::SEE_OTHER, "another person is not held up");
    let outcomes: Vec<String> =
        bench.state.store().sign_ins(Some("mara"), 100).unwrap().into_iter().map(|line| line.outcome).collect();
    assert_eq!(outcomes, ["slowed", "refused", "refused", "refused", "refused", "refused"]);
    tokio::time::sleep(Duration::from_millis(2100)).await;
    assert_eq!(try_as(&bench, "mara", PASSWORD).await.status, StatusCode::SEE_OTHER, "nobody is locked out for good");
}

#[tokio::test]
async fn a_name_that_does_not_exist_is_slowed_too_and_not_written_down() {
    let bench = bench();
    for _ in 0..5 {
        try_as(&bench, PASSWORD, "typed into the wrong field").await;
    }
    assert_eq!(try_as(&bench, PASSWORD, "again").await.status, StatusCode::TOO_MANY_REQUESTS);
    let lines = bench.state.store().sign_ins(None, 100).unwrap();
    assert_eq!(lines.len(), 6);
    assert!(lines.iter().all(|line| line.account.is_empty()), "{lines:?}");
}

#[tokio::test]
async fn a_token_laid_in_beforehand_is_worth_nothing_and_the_old_one_ends() {
    let bench = bench();
    let laid = format!("plateau={}", "a".repeat(64));
    let fields = [("name", "mara"), ("password", PASSWORD)];
    let first = bench.post_with("/sign-in", &fields, &laid).await.cookie();
    assert_ne!(first, laid);
    assert_eq!(bench.get_with("/dynos", &laid).await.status, StatusCode::UNAUTHORIZED);
    assert_eq!(bench.get_with("/dynos", &first).await.status, StatusCode::OK);
    let second = bench.post_with("/sign-in", &fields, &first).await.cookie();
    assert_ne!(second, first);
    assert_eq!(bench.get_with("/dynos", &first).await.status, StatusCode::UNAUTHORIZED, "renewed at signing in");
    assert_eq!(bench.get_with("/dynos", &second).await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_session_ends_by_itself_and_one_in_use_goes_on() {
    let bench = bench();
    let store = bench.state.store();
    let (short, hour) = ("b".repeat(64), "c".repeat(64));
    store.begin_session(&short, "mara", Duration::from_millis(400), "test").unwrap();
    let cookie = format!("plateau={short}");
    tokio::time::sleep(Duration::from_millis(450)).await;
    assert_eq!(bench.get_with("/dynos", &cookie).await.status, StatusCode::UNAUTHORIZED, "it has ended");

    store.begin_session(&hour, "mara", Duration::from_secs(3600), "test").unwrap();
    assert_eq!(bench.get_with("/dynos", &format!("plateau={hour}")).await.status, StatusCode::OK);
    let before = store.session(&hour).unwrap().unwrap().made;
    for _ in 0..100 {
        let expires = store.session(&hour).unwrap().unwrap().expires;
        let lasts = expires.parse::<jiff::Timestamp>().unwrap().duration_since(before.parse().unwrap());
        if lasts.as_hours() >= 11 {
            return;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    panic!("a session in use was not prolonged");
}

#[tokio::test]
async fn signing_out_ends_the_session_in_the_shop_too() {
    let bench = bench();
    let (here, there) = (bench.signed_in("mara").await, bench.signed_in("mara").await);
    let answer = bench.post_with("/sign-out", &[], &here).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/sign-in"));
    assert!(answer.header("set-cookie").starts_with("plateau=; Path=/; Max-Age=0;"));
    assert_eq!(answer.header("clear-site-data"), "\"cache\"");
    assert_eq!(bench.get_with("/dynos", &here).await.status, StatusCode::UNAUTHORIZED);
    assert_eq!(bench.get_with("/dynos", &there).await.status, StatusCode::OK, "the other browser stays");
    let third = bench.signed_in("mara").await;
    bench.post_with("/sign-out-everywhere", &[], &there).await;
    for cookie in [&there, &third] {
        assert_eq!(bench.get_with("/dynos", cookie).await.status, StatusCode::UNAUTHORIZED);
    }
}

#[tokio::test]
async fn whoever_loses_the_account_or_its_password_is_out_at_once() {
    let bench = bench();
    let keeper = bench.signed_in("mara").await;
    for (act, fields) in [
        ("sign-out", vec![]),
        (
            "password",
            vec![("password", "brass dial on a stand"), ("again", "brass dial on a stand"), ("mine", PASSWORD)],
        ),
    ] {
        let cookie = bench.signed_in("ove").await;
        assert_eq!(bench.get_with("/dynos", &cookie).await.status, StatusCode::OK);
        let done = bench.post_with(&format!("/people/ove/{act}"), &fields, &keeper).await;
        assert_eq!(done.status, StatusCode::SEE_OTHER, "{act}: {}", done.text());
        assert_eq!(bench.get_with("/dynos", &cookie).await.status, StatusCode::UNAUTHORIZED, "{act}");
    }
    assert_eq!(try_as(&bench, "ove", PASSWORD).await.status, StatusCode::UNAUTHORIZED, "the old password is over");
    let cookie = try_as(&bench, "ove", "brass dial on a stand").await.cookie();
    assert_eq!(bench.get_with("/dynos", &cookie).await.status, StatusCode::OK);
    bench.post_with("/people/ove/close", &[("mine", PASSWORD)], &keeper).await;
    assert_eq!(bench.get_with("/dynos", &cookie).await.status, StatusCode::UNAUTHORIZED, "closed");
}

#[tokio::test]
async fn the_folder_holds_neither_password_nor_token() {
    let bench = bench();
    let cookie = bench.signed_in("mara").await;
    let token = cookie.split_once('=').unwrap().1;
    let mut seen = 0;
    for file in std::fs::read_dir(bench.state.store().dir()).unwrap() {
        let path = file.unwrap().path();
        if path.is_file() {
            let bytes = std::fs::read(&path).unwrap();
            for secret in [token, PASSWORD] {
                let found = bytes.windows(secret.len()).any(|part| part == secret.as_bytes());
                assert!(!found, "{} holds a secret", path.display());
            }
            seen += bytes.windows(9).filter(|part| *part == b"$argon2id").count();
        }
    }
    assert!(seen >= 1, "the hash is there");
}

#[tokio::test]
async fn a_change_with_a_session_must_say_where_it_comes_from() {
    let bench = bench();
    let cookie = bench.signed_in("mara").await;
    let cases: [(Option<(&str, &str)>, StatusCode); 6] = [
        (None, StatusCode::FORBIDDEN),
        (Some(("sec-fetch-site", "cross-site")), StatusCode::FORBIDDEN),
        (Some(("sec-fetch-site", "same-site")), StatusCode::FORBIDDEN),
        (Some(("origin", "http://127.0.0.1:7301")), StatusCode::FORBIDDEN),
        (Some(("origin", "http://127.0.0.1:7300")), StatusCode::SEE_OTHER),
        (Some(("sec-fetch-site", "same-origin")), StatusCode::SEE_OTHER),
    ];
    for (n, (says, status)) in cases.into_iter().enumerate() {
        let mut request = ours(Method::POST, "/dynos")
            .header(header::COOKIE, &cookie)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        if let Some((name, value)) = says {
            request = request.header(name, value);
        }
        let answer = bench.send(request.body(Body::from(format!("key=cell{n}"))).unwrap()).await;
        assert_eq!(answer.status, status, "{says:?}");
        let known = bench.state.store().dyno(&format!("cell{n}")).unwrap().is_some();
        assert_eq!(known, status == StatusCode::SEE_OTHER, "{says:?}");
    }
}

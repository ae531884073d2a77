//! From the first account on, nothing answers to a stranger but the door itself.
//!
//! The addresses are read out of the sources, so that a page that is added tomorrow is walked too.

use crate::bench::{Bench, ours};
use axum::body::Body;
use axum::http::{Method, StatusCode};
use proptest::prelude::*;
use std::path::Path;
use web::accounts::Role;

/// Every address that the sources give to a router, parts in braces filled in.
fn addresses() -> Vec<String> {
    fn walk(folder: &Path, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|ext| ext == "rs") {
                let text = std::fs::read_to_string(&path).unwrap();
                for part in text.split(".route(").skip(1) {
                    // plain, or put together: `&format!("/jobs/{{number}}/{}/new", …)`
                    let part = part.trim_start().trim_start_matches("&format!(");
                    let address = part.strip_prefix('"').and_then(|rest| rest.split('"').next());
                    let address = address.unwrap_or_else(|| panic!("{}: an address that is no text", path.display()));
                    found.push(address.replace("{{", "{").replace("}}", "}"));
                }
            }
        }
    }
    let mut found = Vec::new();
    walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut found);
    for address in &mut found {
        while let (Some(from), Some(to)) = (address.find('{'), address.find('}')) {
            address.replace_range(from..=to, "1");
        }
    }
    found.sort();
    found.dedup();
    found
}

/// What a stranger may see.
fn is_the_door(address: &str) -> bool {
    address == "/sign-in" || address == "/health" || address.starts_with("/assets/")
}

fn shop() -> Bench {
    let bench = Bench::new();
    bench.account("mara", "Mara Lind", &Role::ALL, true);
    bench.state.store().put_dyno("north", "name = \"North cell\"\n").unwrap();
    bench
}

fn ask(method: &Method, address: &str, kind: &str) -> axum::http::Request<Body> {
    let request = ours(method.clone(), address).header("sec-fetch-site", "same-origin").header("accept", kind);
    request.header("content-type", "application/x-www-form-urlencoded").body(Body::from("key=stranger")).unwrap()
}

#[tokio::test]
async fn no_address_answers_to_a_stranger() {
    let bench = shop();
    let before = bench.state.store().latest_change().unwrap();
    let addresses = addresses();
    assert!(addresses.len() >= 25 && addresses.contains(&"/events".to_owned()), "{addresses:?}");
    let mut walked = 0;
    for address in addresses.iter().filter(|address| !is_the_door(address)) {
        for method in
            [Method::GET, Method::HEAD, Method::POST, Method::PUT, Method::DELETE, Method::PATCH, Method::OPTIONS]
        {
            for kind in ["text/html", "application/json"] {
                let answer = bench.send(ask(&method, address, kind)).await;
                let opens = kind == "text/html" && matches!(method, Method::GET | Method::HEAD);
                let expected = if opens { StatusCode::SEE_OTHER } else { StatusCode::UNAUTHORIZED };
                assert_eq!(answer.status, expected, "{method} {address} ({kind})");
                assert!(!opens || answer.header("location").starts_with("/sign-in"), "{method} {address}");
                assert!(!answer.has("North cell") && !answer.has("Mara"), "{method} {address} shows something");
                walked += 1;
            }
        }
    }
    assert!(walked > 300, "{walked}");
    assert_eq!(bench.state.store().latest_change().unwrap(), before, "nothing was written");
}

#[tokio::test]
async fn the_door_itself_answers() {
    let bench = shop();
    for address in ["/sign-in", "/health"] {
        assert_eq!(bench.get(address).await.status, StatusCode::OK, "{address}");
    }
    let page = bench.get("/sign-in").await.text();
    let style = page[page.find("/assets/").unwrap()..].split('"').next().unwrap();
    assert_eq!(bench.get(style).await.status, StatusCode::OK);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Whatever is written into the address line: turned away, or nothing under the door's own address.
    #[test]
    fn no_made_up_address_gets_past_the_door(path in "(/(sign-in|health|assets|people|dynos|runs|events|\\.\\.|%2e%2e|[a-z%2f.]{0,9})){1,4}/?(\\?[a-z=&/]{0,12})?") {
        thread_local!(static SHOP: (Bench, tokio::runtime::Runtime) =
            (shop(), tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap()));
        prop_assume!(path.parse::<axum::http::Uri>().is_ok());
        SHOP.with(|(bench, runtime)| {
            let answer = runtime.block_on(bench.send(ask(&Method::GET, &path, "application/json")));
            let plain = path.split('?').next().unwrap();
            let fits = match plain {
                "/sign-in" | "/health" => answer.status == StatusCode::OK,
                _ if plain.starts_with("/assets/") => answer.status == StatusCode::NOT_FOUND,
                _ => answer.status == StatusCode::UNAUTHORIZED,
            };
            prop_assert!(fits, "{path}: {}", answer.status);
            prop_assert!(!answer.has("North cell") && !answer.has("Mara"), "{path}");
            Ok(())
        })?;
    }
}

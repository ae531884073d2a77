//! No password and no token in the server's own output, however much of it is asked for.

use crate::bench::{Bench, PASSWORD};
use axum::http::StatusCode;
use std::io::Write;
use std::sync::{Arc, Mutex, PoisonError};
use web::accounts::Role;

#[derive(Clone, Default)]
struct Heard(Arc<Mutex<Vec<u8>>>);

impl Write for Heard {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[tokio::test]
async fn the_output_holds_neither_password_nor_token() {
    let heard = Heard::default();
    let writer = heard.clone();
    let output = tracing_subscriber::fmt()
        .with_max_level(tracing_subscriber::filter::LevelFilter::TRACE)
        .with_writer(move || writer.clone())
        .finish();
    let _held = tracing::subscriber::set_default(output);
    const OTHER: &str = "brass dial on a stand";
    let bench = Bench::new();
    bench.account("mara", "Mara Lind", &Role::ALL, true);
    bench.post("/sign-in", &[("name", "mara"), ("password", OTHER)]).await;
    bench.post("/sign-in", &[("name", OTHER), ("password", PASSWORD)]).await;
    let cookie = bench.signed_in("mara").await;
    let fields = [("mine", PASSWORD), ("password", OTHER), ("again", OTHER)];
    let changed = bench.post_with("/people/password", &fields, &cookie).await;
    assert_eq!(changed.status, StatusCode::SEE_OTHER);
    bench.get_with("/nothing-here", &changed.cookie()).await;
    bench.get_with("/people", &cookie).await;

    let heard = String::from_utf8_lossy(&heard.0.lock().unwrap_or_else(PoisonError::into_inner)).into_owned();
    assert!(heard.contains("/sign-in") && heard.contains("nothing-here"), "nothing was heard: {heard}");
    for cookie in [&cookie, &changed.cookie()] {
        let token = cookie.split_once('=').unwrap().1;
        assert!(token.len() == 64 && !heard.contains(token), "a token in the output");
    }
    for secret in [PASSWORD, OTHER, "argon2id", "brass%20dial", "grey%20lathe"] {
        assert!(!heard.contains(secret), "{secret} in the output");
    }
}

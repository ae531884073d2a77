//! A shop in a temporary folder and a way to ask it.

use axum::Router;
use axum::body::Body;
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use std::sync::LazyLock;
use tower::ServiceExt;
use web::AppState;
use web::accounts::book::{self, NewPerson};
use web::accounts::{Password, Role};

/// The password of every account in these tests.
pub(crate) const PASSWORD: &str = "grey lathe by the door";

/// A shop with its pages.
pub(crate) struct Bench {
    pub(crate) state: AppState,
    app: Router,
    _folder: tempfile::TempDir,
}

/// What came back.
pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    pub(crate) headers: HeaderMap,
    pub(crate) bytes: Vec<u8>,
}

impl Answer {
    pub(crate) fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes).into_owned()
    }

    pub(crate) fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |v| v.to_str().unwrap())
    }

    /// The cookie that the answer sets, `name=value`.
    pub(crate) fn cookie(&self) -> String {
        self.header("set-cookie").split(';').next().unwrap_or_default().to_owned()
    }

    pub(crate) fn has(&self, words: &str) -> bool {
        self.text().contains(words)
    }
}

impl Bench {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let state = AppState::open(&folder.path().join("shop")).unwrap();
        Self { app: web::app(state.clone()), state, _folder: folder }
    }

    pub(crate) async fn send(&self, request: Request<Body>) -> Answer {
        let response = self.app.clone().oneshot(request).await.unwrap();
        let (parts, body) = response.into_parts();
        let bytes = axum::body::to_bytes(body, usize::MAX).await.unwrap().to_vec();
        Answer { status: parts.status, headers: parts.headers, bytes }
    }

    pub(crate) async fn get(&self, path: &str) -> Answer {
        self.send(ours(Method::GET, path).body(Body::empty()).unwrap()).await
    }

    /// Makes an account as the terminal would; its password is [`PASSWORD`].
    pub(crate) fn account(&self, name: &str, person: &str, roles: &[Role], keeper: bool) {
        // Hashed once for all tests: the work is what the hash is for.
        static HASH: LazyLock<String> = LazyLock::new(|| Password::typed(PASSWORD).hash().unwrap());
        let new = NewPerson {
            name: name.to_owned(),
            person: person.to_owned(),
            roles: roles.iter().copied().collect(),
            keeper,
            hash: HASH.clone(),
        };
        book::add(self.state.store(), &new, "the test").unwrap();
    }

    /// Signs in and gives the cookie to send along, `name=value`.
    pub(crate) async fn signed_in(&self, name: &str) -> String {
        let answer = self.post("/sign-in", &[("name", name), ("password", PASSWORD)]).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        answer.cookie()
    }

    /// Sends a form as one of our pages would, with a cookie.
    pub(crate) async fn post_with(&self, path: &str, fields: &[(&str, &str)], cookie: &str) -> Answer {
        self.send(form(path).header(header::COOKIE, cookie).body(body_of(fields)).unwrap()).await
    }

    pub(crate) async fn get_with(&self, path: &str, cookie: &str) -> Answer {
        self.send(ours(Method::GET, path).header(header::COOKIE, cookie).body(Body::empty()).unwrap()).await
    }

    /// Sends a form as one of our pages would.
    pub(crate) async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.send(form(path).body(body_of(fields)).unwrap()).await
    }

    /// Brings in logs as the page's form would.
    pub(crate) async fn bring(&self, fields: &[(&str, &str)], logs: &[(&str, &[u8])]) -> Answer {
        self.bring_with(fields, logs, "paper=light").await
    }

    /// The same with a cookie.
    pub(crate) async fn bring_with(&self, fields: &[(&str, &str)], logs: &[(&str, &[u8])], cookie: &str) -> Answer {
        const EDGE: &str = "edge-of-a-part";
        let mut body = Vec::new();
        for (name, value) in fields {
            body.extend_from_slice(
                format!("--{EDGE}\r\ncontent-disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n").as_bytes(),
            );
        }
        for (name, bytes) in logs {
            body.extend_from_slice(
                format!("--{EDGE}\r\ncontent-disposition: form-data; name=\"logs\"; filename=\"{name}\"\r\ncontent-type: text/csv\r\n\r\n")
                    .as_bytes(),
            );
            body.extend_from_slice(bytes);
            body.extend_from_slice(b"\r\n");
        }
        body.extend_from_slice(format!("--{EDGE}--\r\n").as_bytes());
        let request = ours(Method::POST, "/runs")
            .header("sec-fetch-site", "same-origin")
            .header(header::COOKIE, cookie)
            .header(header::CONTENT_TYPE, format!("multipart/form-data; boundary={EDGE}"))
            .body(Body::from(body))
            .unwrap();
        self.send(request).await
    }
}

/// The head of a form that one of our pages sends.
fn form(path: &str) -> axum::http::request::Builder {
    ours(Method::POST, path)
        .header("sec-fetch-site", "same-origin")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
}

fn body_of(fields: &[(&str, &str)]) -> Body {
    let pairs: Vec<String> = fields.iter().map(|(k, v)| format!("{}={}", escape(k), escape(v))).collect();
    Body::from(pairs.join("&"))
}

/// A request as it comes from a browser on this machine.
pub(crate) fn ours(method: Method, path: &str) -> axum::http::request::Builder {
    Request::builder().method(method).uri(path).header(header::HOST, "127.0.0.1:7300")
}

fn escape(text: &str) -> String {
    text.bytes()
        .map(|b| if b.is_ascii_alphanumeric() { char::from(b).to_string() } else { format!("%{b:02X}") })
        .collect()
}

/// No script and no style stands inside a page, and every script comes from us: the content policy
/// would stop it, so it would be a dead part.
pub(crate) fn assert_clean(page: &str) {
    for banned in [" style=", "<style", " onclick=", " onload=", " onchange=", "javascript:", "http-equiv"] {
        assert!(!page.contains(banned), "the page holds `{banned}`");
    }
    for (at, _) in page.match_indices("<script") {
        let tag = &page[at..page[at..].find('>').map_or(page.len(), |end| at + end)];
        assert!(tag.contains(" src=\"/assets/"), "a script without a source of ours: {tag}");
        assert!(page[at + tag.len()..].starts_with("></script>"), "a script with a body: {tag}");
    }
}

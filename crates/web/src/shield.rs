//! What stands before every page: who may ask, and what a browser may do with the answer.
//!
//! - Only loopback names are accepted as `Host`, so that a foreign page cannot reach the shop by
//!   pointing a name of its own at this machine.
//! - A change (any method but GET and HEAD) must come from one of our own pages: the browser's
//!   `Sec-Fetch-Site` says so, or else `Origin` must be the `Host`. A client that sends neither is
//!   no browser page (a script at the desk) and passes.
//! - Pages run no inline script and no inline style, and load nothing from elsewhere.

use crate::fault::Fault;
use axum::extract::Request;
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// The content policy of every answer.
pub(crate) const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; \
    img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Adds the headers that bind the browser.
pub(crate) async fn headers(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (header::HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), microphone=()"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-cache"));
    response
}

/// Turns away foreign host names and changes that come from foreign pages.
pub(crate) async fn own_pages_only(request: Request, next: Next) -> Response {
    if !host_is_ours(&request) {
        return Fault::ForeignHost { found: host_of(&request).unwrap_or_default().to_owned() }.into_response();
    }
    let reads = matches!(*request.method(), Method::GET | Method::HEAD | Method::OPTIONS);
    if !reads && !comes_from_us(&request) {
        return Fault::ForeignPage.into_response();
    }
    next.run(request).await
}

fn host_of(request: &Request) -> Option<&str> {
    text(request.headers(), &header::HOST).or_else(|| request.uri().host())
}

fn host_is_ours(request: &Request) -> bool {
    let Some(host) = host_of(request) else { return false };
    let name = match host.strip_prefix('[') {
        Some(rest) => rest.split(']').next().unwrap_or(""),
        None => host.rsplit_once(':').map_or(host, |(name, _)| name),
    };
    name.eq_ignore_ascii_case("localhost") || name == "127.0.0.1" || name == "::1"
}

fn comes_from_us(request: &Request) -> bool {
    let headers = request.headers();
    if let Some(site) = text(headers, &header::HeaderName::from_static("sec-fetch-site")) {
        return matches!(site, "same-origin" | "none");
    }
    match (text(headers, &header::ORIGIN), host_of(request)) {
        (Some(origin), Some(host)) => origin.split_once("://").is_some_and(|(_, from)| from.eq_ignore_ascii_case(host)),
        (None, _) => !headers.contains_key(header::ORIGIN),
        (Some(_), None) => false,
    }
}

fn text<'a>(headers: &'a HeaderMap, name: &header::HeaderName) -> Option<&'a str> {
    headers.get(name).and_then(|value| value.to_str().ok())
}

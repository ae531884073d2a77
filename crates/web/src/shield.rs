//! What stands before every page: under which names the shop answers, which changes are taken, and
//! what a browser may do with an answer.
//!
//! - `Host` must be a loopback name, a name the server was told, or the very address that the
//!   connection came in on. A foreign page cannot reach the shop by pointing a name of its own at
//!   this machine, since that name is none of these.
//! - A change (any method but GET and HEAD) must come from one of our own pages: the browser's
//!   `Sec-Fetch-Site` says so, or else `Origin` must be the `Host`. A client that sends neither is
//!   no browser page (a script at the desk) and passes as long as there are no accounts; where
//!   somebody is signed in it is turned away.
//! - Pages run no inline script and no inline style, and load nothing from elsewhere.

use crate::accounts::Seen;
use crate::fault::Fault;
use crate::state::AppState;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use axum_server::accept::LocalAddr;
use std::net::IpAddr;

/// The content policy of every answer.
pub(crate) const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; \
    img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Half a year: how long a browser insists on TLS once it has seen a certificate that it trusts.
const INSIST: &str = "max-age=15552000";

/// How a shop is reached.
#[derive(Debug, Clone, Default)]
pub(crate) struct Door {
    /// Names, without port, beside the loopback ones.
    names: Vec<String>,
    /// Over TLS.
    secure: bool,
    /// With a certificate of the shop's own choice, not one that this program made.
    trusted: bool,
    /// From other machines.
    open_wide: bool,
}

impl Door {
    /// On this machine alone, without TLS.
    pub(crate) fn loopback() -> Self {
        Self::default()
    }

    /// Over TLS. `trusted`: the shop brought its own certificate. `open_wide`: not a loopback address.
    pub(crate) fn tls(names: Vec<String>, trusted: bool, open_wide: bool) -> Self {
        Self { names, secure: true, trusted, open_wide }
    }

    pub(crate) fn secure(&self) -> bool {
        self.secure
    }

    pub(crate) fn open_wide(&self) -> bool {
        self.open_wide
    }

    /// Whether it is one of the shop's names.
    fn is_told(&self, name: &str) -> bool {
        self.names.iter().any(|ours| ours.eq_ignore_ascii_case(name))
    }

    /// Whether a `Host` is one of ours. `local` is the address that the connection came in on.
    fn answers_to(&self, host: &str, local: Option<IpAddr>) -> bool {
        let name = without_port(host);
        if name.eq_ignore_ascii_case("localhost") || self.is_told(name) {
            return true;
        }
        match name.parse::<IpAddr>() {
            Ok(address)
                if address == IpAddr::from([127, 0, 0, 1]) || address == IpAddr::from([0, 0, 0, 0, 0, 0, 0, 1]) =>
            {
                true
            }
            Ok(address) => self.open_wide && local.is_some_and(|local| local.to_canonical() == address.to_canonical()),
            Err(_) => false,
        }
    }
}

/// The name or address of a `Host`.
fn without_port(host: &str) -> &str {
    let name = match host.strip_prefix('[') {
        Some(rest) => rest.split(']').next().unwrap_or(""),
        None => host.rsplit_once(':').map_or(host, |(name, _)| name),
    };
    name.strip_suffix('.').unwrap_or(name)
}

/// Adds the headers that bind the browser.
pub(crate) async fn headers(State(state): State<AppState>, request: Request, next: Next) -> Response {
    // No browser keeps such a promise for an address or for a certificate that it does not trust; and for a
    // certificate of our own making it would only lock tablets out when a new one is made.
    let door = state.door();
    let insists = door.trusted && host_of(&request).is_some_and(|host| door.is_told(without_port(host)));
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (header::HeaderName::from_static("permissions-policy"), "camera=(self), geolocation=(), microphone=()"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if insists {
        headers.insert(header::STRICT_TRANSPORT_SECURITY, HeaderValue::from_static(INSIST));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-cache"));
    response
}

/// Turns away foreign host names and changes that come from foreign pages.
pub(crate) async fn own_pages_only(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let local = request.extensions().get::<LocalAddr>().map(|local| local.0.ip());
    let host = host_of(&request).unwrap_or_default();
    if !state.door().answers_to(host, local) {
        return Fault::ForeignHost { found: host.to_owned(), ours: state.door().names.clone() }.into_response();
    }
    let reads = matches!(*request.method(), Method::GET | Method::HEAD | Method::OPTIONS);
    if !reads && !comes_from_us(&request, state.door().secure()) {
        return Fault::ForeignPage.into_response();
    }
    next.run(request).await
}

/// HTTP/1.1 has it in a header, HTTP/2 in the address.
fn host_of(request: &Request) -> Option<&str> {
    text(request.headers(), &header::HOST).or_else(|| request.uri().authority().map(|a| a.as_str()))
}

/// `secure`: our own pages are under https, and a page in the clear under the same name is somebody else's.
fn comes_from_us(request: &Request, secure: bool) -> bool {
    let headers = request.headers();
    if let Some(site) = text(headers, &header::HeaderName::from_static("sec-fetch-site")) {
        return matches!(site, "same-origin" | "none");
    }
    match (text(headers, &header::ORIGIN), host_of(request)) {
        (Some(origin), Some(host)) => origin
            .split_once("://")
            .is_some_and(|(scheme, from)| from.eq_ignore_ascii_case(host) && (!secure || scheme == "https")),
        (None, _) => !headers.contains_key(header::ORIGIN) && !has_account(request),
        (Some(_), None) => false,
    }
}

/// Whether the request comes with somebody's session.
fn has_account(request: &Request) -> bool {
    let who = request.extensions().get::<Seen>().and_then(Seen::who);
    who.is_some_and(|who| who.account.is_some())
}

fn text<'a>(headers: &'a HeaderMap, name: &header::HeaderName) -> Option<&'a str> {
    headers.get(name).and_then(|value| value.to_str().ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn on_this_machine_only_loopback_names_are_ours() {
        let door = Door::loopback();
        for host in ["localhost", "LOCALHOST:7340", "localhost.", "127.0.0.1:7340", "[::1]:7340", "[::1]"] {
            assert!(door.answers_to(host, None), "{host}");
        }
        let local = Some(IpAddr::from([127, 0, 0, 1]));
        for host in [
            "",
            "shop.example",
            "127.0.0.1.shop.example",
            "127.0.0.2",
            "192.0.2.7",
            "[::2]",
            "localhost.shop.example:1",
        ] {
            assert!(!door.answers_to(host, local), "{host}");
        }
    }

    #[test]
    fn towards_the_shop_its_names_and_the_address_of_the_connection_are_ours() {
        let door = Door::tls(vec!["shop-pc.local".to_owned()], false, true);
        let local = Some("192.0.2.7".parse().unwrap());
        for host in ["shop-pc.local:7340", "Shop-PC.local", "192.0.2.7:7340", "localhost:7340"] {
            assert!(door.answers_to(host, local), "{host}");
        }
        assert!(door.answers_to("192.0.2.7", Some("::ffff:192.0.2.7".parse().unwrap())), "on a socket of both kinds");
        assert!(door.answers_to("[2001:db8::7]:7340", Some("2001:db8::7".parse().unwrap())));
        for host in ["192.0.2.8:7340", "evil.example", "shop-pc.local.evil.example", "[2001:db8::8]"] {
            assert!(!door.answers_to(host, local), "{host}");
        }
        assert!(!door.answers_to("192.0.2.7", None), "without knowing the connection no address is ours");
    }
}

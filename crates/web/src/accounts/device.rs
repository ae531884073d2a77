//! Where a request comes from, for the books: the other end of the connection, and the device in a few words.

use super::attempt::From;
use axum::extract::ConnectInfo;
use axum::http::header;
use axum::http::request::Parts;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};

/// Of a request. What a proxy writes into a header is not believed. A request without a connection
/// (a test) counts as of this machine.
pub(crate) fn from_of(parts: &Parts) -> From {
    let address = parts.extensions.get::<ConnectInfo<SocketAddr>>();
    let address = address.map_or(IpAddr::V4(Ipv4Addr::LOCALHOST), |info| info.0.ip().to_canonical());
    let agent = parts.headers.get(header::USER_AGENT).and_then(|agent| agent.to_str().ok());
    From { address, device: device_of(agent.unwrap_or_default()) }
}

/// A few words of what a browser says about itself: "iPad", "Android", "Windows PC". It may say anything; this only
/// helps a person to tell devices apart.
fn device_of(agent: &str) -> String {
    const KNOWN: [(&str, &str); 7] = [
        ("iPad", "iPad"),
        ("iPhone", "iPhone"),
        ("Android", "Android"),
        ("Windows", "Windows"),
        ("CrOS", "Chrome OS"),
        ("Macintosh", "Mac or iPad"),
        ("Linux", "Linux"),
    ];
    KNOWN.iter().find(|(sign, _)| agent.contains(sign)).map_or("not known", |(_, words)| words).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn devices_are_told_apart_in_a_word() {
        assert_eq!(device_of("Mozilla/5.0 (X11; Linux x86_64) x/1"), "Linux");
        assert_eq!(device_of("Mozilla/5.0 (Linux; Android 15; tablet)"), "Android");
        assert_eq!(device_of("curl/8"), "not known");
        assert_eq!(device_of("<script>"), "not known");
    }
}

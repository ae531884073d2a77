//! What this machine is called in its network: names and addresses for the certificate and for `Host`.

use std::net::{IpAddr, SocketAddr};

/// Names, without addresses: those told, the machine's own, and the same with `.local`.
pub(crate) fn names(told: &[String]) -> Vec<String> {
    let mut names: Vec<String> = told.iter().map(|name| name.trim().to_lowercase()).collect();
    if let Some(own) = gethostname::gethostname().to_str().map(str::to_lowercase).filter(|own| is_name(own)) {
        if !own.contains('.') {
            names.push(format!("{own}.local"));
        }
        names.push(own);
    }
    names.retain(|name| is_name(name) && name != "localhost");
    once(names)
}

/// Addresses under which a server that listens on `bound` can be reached: that one, or all of the machine's.
pub(crate) fn addresses(bound: SocketAddr) -> Vec<IpAddr> {
    if !bound.ip().is_unspecified() {
        return vec![bound.ip()];
    }
    let found = if_addrs::get_if_addrs().unwrap_or_else(|error| {
        tracing::warn!(%error, "the addresses of this machine could not be read");
        Vec::new()
    });
    let usable = |address: &IpAddr| match address {
        IpAddr::V4(v4) => !v4.is_loopback() && !v4.is_link_local(),
        // A link-local address means nothing without the name of the network card.
        IpAddr::V6(v6) => bound.is_ipv6() && !v6.is_loopback() && v6.segments()[0] & 0xffc0 != 0xfe80,
    };
    once(found.into_iter().map(|card| card.ip()).filter(usable).collect())
}

/// Everything that a certificate for `bound` should name.
pub(crate) fn for_certificate(told: &[String], bound: SocketAddr) -> Vec<String> {
    let mut all = vec!["localhost".to_owned(), "127.0.0.1".to_owned(), "::1".to_owned()];
    all.extend(names(told));
    all.extend(addresses(bound).iter().map(IpAddr::to_string));
    once(all)
}

/// A name as a certificate can carry it: letters, digits, dashes and dots.
pub(crate) fn is_name(text: &str) -> bool {
    let part = |part: &str| {
        !part.is_empty() && part.len() <= 63 && part.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
    };
    text.len() <= 253 && text.parse::<IpAddr>().is_err() && text.split('.').all(part)
}

fn once<T: PartialEq>(all: Vec<T>) -> Vec<T> {
    let mut kept: Vec<T> = Vec::with_capacity(all.len());
    for one in all {
        if !kept.contains(&one) {
            kept.push(one);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_told_come_first_and_no_address_is_a_name() {
        let told =
            ["Shop-PC.example".to_owned(), "192.0.2.7".to_owned(), "not a name".to_owned(), "localhost".to_owned()];
        let names = names(&told);
        assert_eq!(names[0], "shop-pc.example");
        assert!(names.iter().all(|n| is_name(n) && n != "localhost"), "{names:?}");
    }

    #[test]
    fn a_certificate_names_the_address_it_is_for() {
        let all = for_certificate(&[], "192.0.2.7:7340".parse().unwrap());
        for name in ["localhost", "127.0.0.1", "::1", "192.0.2.7"] {
            assert!(all.contains(&name.to_owned()), "{all:?}");
        }
        let any = for_certificate(&[], "0.0.0.0:7340".parse().unwrap());
        assert!(!any.contains(&"0.0.0.0".to_owned()), "{any:?}");
    }
}

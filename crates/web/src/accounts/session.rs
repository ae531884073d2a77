//! A browser that is signed in: its token, its cookie, and how long it lasts.
//!
//! The token is 256 random bits of the system. The browser has it in a cookie, the shop has its
//! SHA-256 alone, so that nobody can sign in with what stands in the folder. A new one is made at
//! each signing in and the old one ends, so that a token laid in a browser beforehand is worth nothing.
//!
//! A session ends 12 hours after it was last used (a long shift: whoever leaves the tablet overnight
//! signs in in the morning), and 7 days after it began in any case. Both are our own choice, common
//! practice without a source.

use axum::http::{HeaderMap, header};
use jiff::Timestamp;
use std::time::Duration;
use store::{Session, Store, StoreError};

/// Ends so long after the last use.
pub(crate) const IDLE: Duration = Duration::from_secs(12 * 3600);
/// Ends so long after it began.
pub(crate) const LONGEST: Duration = Duration::from_secs(7 * 24 * 3600);
/// Its end is moved on when this much would be gained: not with every request.
const WORTH_WRITING: Duration = Duration::from_secs(300);

/// A session's secret. Never printed.
#[derive(Clone, PartialEq, Eq)]
pub(crate) struct Token(String);

impl std::fmt::Debug for Token {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Token(not shown)")
    }
}

impl Token {
    /// A new one, from the system's random numbers.
    pub(crate) fn new() -> Result<Self, getrandom::Error> {
        let mut bytes = [0_u8; 32];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes.iter().map(|b| format!("{b:02x}")).collect()))
    }

    /// The text for the store, which hashes it.
    pub(crate) fn secret(&self) -> &str {
        &self.0
    }

    /// The one that came with a request. Two different ones are none: one of them is not ours.
    pub(crate) fn of(headers: &HeaderMap, secure: bool) -> Option<Self> {
        let name = cookie_name(secure);
        let lines = headers.get_all(header::COOKIE).iter().filter_map(|line| line.to_str().ok());
        let mut found: Option<&str> = None;
        for (key, value) in lines.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('=')) {
            if key == name {
                if found.is_some_and(|before| before != value) {
                    return None;
                }
                found = Some(value);
            }
        }
        let plain = |text: &&str| text.len() == 64 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        found.filter(plain).map(|text| Self(text.to_owned()))
    }

    /// The `Set-Cookie` line that gives it to the browser.
    pub(crate) fn cookie(&self, secure: bool) -> String {
        line(secure, &self.0, LONGEST.as_secs())
    }
}

/// The `Set-Cookie` line that takes it away.
pub(crate) fn no_cookie(secure: bool) -> String {
    line(secure, "", 0)
}

/// Under TLS the browser itself sees to it that a `__Host-` cookie came over TLS from this host alone.
/// On plain loopback it would not take such a name.
fn cookie_name(secure: bool) -> &'static str {
    if secure { "__Host-plateau" } else { "plateau" }
}

fn line(secure: bool, value: &str, seconds: u64) -> String {
    let name = cookie_name(secure);
    let only_tls = if secure { "; Secure" } else { "" };
    format!("{name}={value}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Strict{only_tls}")
}

/// How long a session lasts from `now`, used or begun now.
fn lasting(made: Timestamp, now: Timestamp) -> Duration {
    let age = Duration::try_from(now.duration_since(made)).unwrap_or_default();
    IDLE.min(LONGEST.saturating_sub(age))
}

/// Begins one for an account.
pub(crate) fn begin(store: &Store, token: &Token, account: &str, device: &str) -> Result<Session, StoreError> {
    let now = Timestamp::now();
    store.begin_session(token.secret(), account, lasting(now, now), device)
}

/// Moves the end on, since it is in use. Writes only when that gains some minutes.
pub(crate) fn keep_going(store: &Store, token: &Token, session: &Session) -> Result<(), StoreError> {
    let now = Timestamp::now();
    let (Ok(made), Ok(expires)) = (session.made.parse::<Timestamp>(), session.expires.parse::<Timestamp>()) else {
        return Ok(());
    };
    let left = Duration::try_from(expires.duration_since(now)).unwrap_or_default();
    let could = lasting(made, now);
    if could > left.saturating_add(WORTH_WRITING) { store.prolong_session(token.secret(), could) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(lines: &[&str]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for line in lines {
            headers.append(header::COOKIE, line.parse().unwrap());
        }
        headers
    }

    #[test]
    fn a_token_has_256_bits_and_is_not_shown() {
        let (one, other) = (Token::new().unwrap(), Token::new().unwrap());
        assert_eq!(one.secret().len(), 64);
        assert_ne!(one, other);
        assert!(!format!("{one:?}").contains(one.secret()));
    }

    #[test]
    fn cookies_carry_every_mark() {
        let token = Token::new().unwrap();
        let secure = token.cookie(true);
        assert!(
            secure.starts_with(&format!("__Host-plateau={}; Path=/; Max-Age=604800; ", token.secret())),
            "{secure}"
        );
        for mark in ["HttpOnly", "SameSite=Strict", "Secure"] {
            assert!(secure.split("; ").any(|part| part == mark), "{mark}: {secure}");
        }
        assert!(!secure.contains("Domain"), "a __Host- cookie names no domain");
        let plain = token.cookie(false);
        assert!(plain.starts_with("plateau=") && !plain.contains("Secure"), "{plain}");
        assert!(plain.contains("HttpOnly; SameSite=Strict"));
        assert!(no_cookie(true).starts_with("__Host-plateau=; Path=/; Max-Age=0; "));
    }

    #[test]
    fn only_one_well_formed_token_of_the_right_name_counts() {
        let (a, b) = (Token::new().unwrap(), Token::new().unwrap());
        let (a, b) = (a.secret(), b.secret());
        let of = |lines: &[&str], secure| Token::of(&headers(lines), secure).map(|t| t.secret().to_owned());
        assert_eq!(of(&[&format!("paper=dark; plateau={a}")], false).as_deref(), Some(a));
        assert_eq!(of(&[&format!("plateau={a}")], true), None, "the plain name counts for nothing under TLS");
        assert_eq!(of(&[&format!("__Host-plateau={a}")], true).as_deref(), Some(a));
        assert_eq!(of(&[&format!("plateau={a}; plateau={b}")], false), None);
        assert_eq!(of(&[&format!("plateau={a}"), &format!("plateau={b}")], false), None);
        assert_eq!(of(&[&format!("plateau={}", &a[1..])], false), None);
        assert_eq!(of(&["plateau=' OR 1"], false), None);
    }

    #[test]
    fn a_session_in_use_lasts_twelve_hours_more_but_seven_days_in_all() {
        let made: Timestamp = "2026-04-01T08:00:00Z".parse().unwrap();
        let after = |hours: i64| lasting(made, made + jiff::SignedDuration::from_hours(hours)).as_secs() / 3600;
        assert_eq!([after(0), after(100), after(156), after(160), after(168), after(200)], [12, 12, 12, 8, 0, 0]);
    }
}

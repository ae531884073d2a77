//! The name of the one person in a shop without accounts: a choice of the browser, kept in its cookie `person`.

use axum::http::{HeaderMap, header};

/// Most signs of a name.
const LONGEST: usize = 80;

/// The name that came with a request.
pub(crate) fn name_of(headers: &HeaderMap) -> Option<String> {
    let lines = headers.get_all(header::COOKIE).iter().filter_map(|line| line.to_str().ok());
    let pairs = lines.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.filter(|(key, _)| *key == "person").find_map(|(_, value)| clean(&super::unescape(value)?))
}

/// A name fit to stand beside entries: on one line, not empty, not too long.
pub(crate) fn clean(typed: &str) -> Option<String> {
    let words: Vec<&str> =
        typed.split(|c: char| c.is_whitespace() || c.is_control()).filter(|w| !w.is_empty()).collect();
    let name = words.join(" ");
    (!name.is_empty() && name.chars().count() <= LONGEST).then_some(name)
}

/// The `Set-Cookie` line that keeps a name.
pub(crate) fn cookie(name: &str) -> String {
    format!("person={}; Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict", super::escape(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_goes_into_the_cookie_and_comes_back() {
        for name in ["Mara Lind", "J\u{f6}rg; Secure", "a=b, c", "\u{674e}\u{660e}"] {
            let line = cookie(name);
            let pair = line.split(';').next().unwrap();
            let mut headers = HeaderMap::new();
            headers.insert(header::COOKIE, format!("paper=dark; {pair}").parse().unwrap());
            assert_eq!(name_of(&headers).as_deref(), Some(name), "{line}");
        }
    }

    #[test]
    fn what_is_no_name_is_left_out() {
        assert_eq!(clean("  Mara \n\t Lind "), Some("Mara Lind".to_owned()));
        assert_eq!(clean(" \n "), None);
        assert_eq!(clean(&"x".repeat(81)), None);
        let mut headers = HeaderMap::new();
        headers.insert(header::COOKIE, "person=%zz".parse().unwrap());
        assert_eq!(name_of(&headers), None);
    }
}

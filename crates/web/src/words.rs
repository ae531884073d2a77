//! Times, counts and numbers in words, the same on every page.

use jiff::Timestamp;
use jiff::tz::TimeZone;

/// Thousands with commas: 3,600. For speeds and rows.
pub(crate) fn thousands(value: f64) -> String {
    let rounded = value.round();
    let digits = format!("{:.0}", rounded.abs());
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i) % 3 == 0 {
            out.push(',');
        }
        out.push(digit);
    }
    if rounded < 0.0 { format!("\u{2212}{out}") } else { out }
}

/// A number with a fixed count of decimals and a true minus.
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

/// "8 April 2026" from RFC 3339, in this machine's time zone. Left as it is when it is no time.
pub(crate) fn day(at: &str) -> String {
    local(at).map_or_else(|| at.to_owned(), |z| z.strftime("%-d %B %Y").to_string())
}

/// "8 Apr" from RFC 3339.
pub(crate) fn short_day(at: &str) -> String {
    local(at).map_or_else(|| at.to_owned(), |z| z.strftime("%-d %b").to_string())
}

/// "14:32" when it was today, else "8 Apr".
pub(crate) fn clock_or_day(at: &str) -> String {
    let Some(then) = local(at) else { return at.to_owned() };
    let today = Timestamp::now().to_zoned_datetime(TimeZone::system()).date();
    let form = if then.date() == today { "%H:%M" } else { "%-d %b, %H:%M" };
    then.strftime(form).to_string()
}

/// Now, RFC 3339 in UTC.
pub(crate) fn now() -> String {
    format!("{:.0}", Timestamp::now())
}

/// Small counts in words, as they begin a sentence or stand in one.
pub(crate) fn count(n: usize) -> String {
    const WORDS: [&str; 10] = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];
    WORDS.get(n).map_or_else(|| n.to_string(), |w| (*w).to_owned())
}

/// The same with a capital: "Three".
pub(crate) fn count_capital(n: usize) -> String {
    let text = count(n);
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// "today 14:10", "yesterday 16:40", "6 Mar 09:12".
pub(crate) fn day_and_clock(at: &str) -> String {
    let Some(then) = local(at) else { return at.to_owned() };
    let today = Timestamp::now().to_zoned_datetime(TimeZone::system()).date();
    let day = if then.date() == today {
        "today".to_owned()
    } else if today.yesterday().is_ok_and(|y| y == then.date()) {
        "yesterday".to_owned()
    } else if then.date().year() == today.year() {
        then.strftime("%-d %b").to_string()
    } else {
        then.strftime("%-d %b %Y").to_string()
    };
    format!("{day} {}", then.strftime("%H:%M"))
}

/// "14:10".
pub(crate) fn clock(at: &str) -> String {
    local(at).map_or_else(|| at.to_owned(), |z| z.strftime("%H:%M").to_string())
}

/// The day in this machine's time zone.
pub(crate) fn date_of(at: Timestamp) -> jiff::civil::Date {
    at.to_zoned_datetime(TimeZone::system()).date()
}

fn local(at: &str) -> Option<jiff::ZonedDateTime> {
    at.parse::<Timestamp>().ok().map(|t| t.to_zoned_datetime(TimeZone::system()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_carry_commas_and_a_true_minus() {
        assert_eq!(thousands(3600.4), "3,600");
        assert_eq!(thousands(999.0), "999");
        assert_eq!(thousands(1_000_000.0), "1,000,000");
        assert_eq!(thousands(-1250.0), "\u{2212}1,250");
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(-3.25, 2), "\u{2212}3.25");
    }
}

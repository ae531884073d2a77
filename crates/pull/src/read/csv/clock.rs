//! Time written as text: `h:m:s.f`, wall clock, date and clock.
//!
//! Two parts are minutes and seconds; three are hours, minutes, seconds; a fourth is milliseconds
//! (three digits) or hundredths (two). Both marks are taken before the fraction of a second. Days
//! are counted by the civil calendar (`jiff`); time zones and leap seconds are left out.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Order of day, month and year in numeric dates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DateOrder {
    /// 08.04.2026
    Dmy,
    /// 04/08/2026
    Mdy,
    /// 2026-04-08
    Ymd,
}

impl DateOrder {
    /// The order of a key (`dmy`, `mdy`, `ymd`).
    pub fn from_key(key: &str) -> Option<Self> {
        match key {
            "dmy" => Some(Self::Dmy),
            "mdy" => Some(Self::Mdy),
            "ymd" => Some(Self::Ymd),
            _ => None,
        }
    }

    /// The key.
    pub fn key(self) -> &'static str {
        match self {
            Self::Dmy => "dmy",
            Self::Mdy => "mdy",
            Self::Ymd => "ymd",
        }
    }
}

/// A date as three numbers in the order written.
pub(crate) type RawDate = [u16; 3];

/// What a piece of clock text says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Clock {
    /// Seconds since midnight (or since the start, for elapsed times above 24 h).
    pub(crate) seconds: f64,
    /// The date, if one is written.
    pub(crate) date: Option<RawDate>,
}

/// Reads clock text; `None` if it is none. A date without a clock is none.
pub(crate) fn parse(text: &[u8]) -> Option<Clock> {
    let text = text.trim_ascii();
    if text.len() < 3 || text.len() > 48 || !text.contains(&b':') {
        return None;
    }
    let (text, afternoon) = half_day(text);
    let text = text.strip_suffix(b"Z").unwrap_or(text);
    let (date, clock) = match text.iter().position(|b| *b == b' ' || *b == b'T') {
        Some(at) => (Some(parse_date(&text[..at])?), text[at + 1..].trim_ascii_start()),
        None => (None, text),
    };
    let mut seconds = parse_clock(clock)?;
    if let Some(afternoon) = afternoon {
        if seconds >= 13.0 * 3600.0 {
            return None;
        }
        seconds = seconds % 43_200.0 + if afternoon { 43_200.0 } else { 0.0 };
    }
    Some(Clock { seconds, date })
}

/// Takes a trailing AM or PM off.
fn half_day(text: &[u8]) -> (&[u8], Option<bool>) {
    let n = text.len();
    match text {
        [.., b'a' | b'A', b'm' | b'M'] => (text[..n - 2].trim_ascii_end(), Some(false)),
        [.., b'p' | b'P', b'm' | b'M'] => (text[..n - 2].trim_ascii_end(), Some(true)),
        _ => (text, None),
    }
}

fn parse_clock(text: &[u8]) -> Option<f64> {
    let mut whole = [0u32; 4];
    let mut parts = 0;
    let mut fraction = 0.0;
    let mut last_len = 0;
    let mut ended = false;
    for part in text.split(|b| *b == b':') {
        if parts == 4 || ended {
            return None;
        }
        let (digits, rest) = part.split_at(part.iter().position(|b| !b.is_ascii_digit()).unwrap_or(part.len()));
        if digits.is_empty() || digits.len() > 4 {
            return None;
        }
        whole[parts] = digits.iter().fold(0, |sum, b| sum * 10 + u32::from(b - b'0'));
        last_len = digits.len();
        parts += 1;
        if let [b'.' | b',', after @ ..] = rest {
            if after.iter().any(|b| !b.is_ascii_digit()) || after.len() > 15 || parts < 2 {
                return None;
            }
            ended = true;
            let digits = after.iter().fold(0u64, |sum, b| sum * 10 + u64::from(b - b'0'));
            fraction = digits as f64 / 10f64.powi(after.len() as i32);
        } else if !rest.is_empty() {
            return None;
        }
    }
    let [a, b, c, d] = whole;
    let (h, m, s, f) = match parts {
        2 => (0, a, b, fraction),
        3 => (a, b, c, fraction),
        4 if fraction == 0.0 && last_len == 3 => (a, b, c, f64::from(d) / 1000.0),
        4 if fraction == 0.0 && last_len == 2 => (a, b, c, f64::from(d) / 100.0),
        _ => return None,
    };
    if s > 60 || (parts > 2 && m > 59) {
        return None;
    }
    Some(f64::from(h * 3600 + m * 60 + s) + f)
}

/// Reads a numeric date: three numbers with the same mark (`-`, `/`, `.`) between them.
pub(crate) fn parse_date(text: &[u8]) -> Option<RawDate> {
    let text = text.trim_ascii();
    let mark = *text.iter().find(|b| !b.is_ascii_digit())?;
    if !matches!(mark, b'-' | b'/' | b'.') {
        return None;
    }
    let mut out = [0u16; 3];
    let mut n = 0;
    for part in text.split(|b| *b == mark) {
        if n == 3 || part.is_empty() || part.len() > 4 || !part.iter().all(u8::is_ascii_digit) {
            return None;
        }
        out[n] = part.iter().fold(0, |sum, b| sum * 10 + u16::from(b - b'0'));
        n += 1;
    }
    let plausible = n == 3 && (out[0] > 31 || out[2] >= 1) && out[1] >= 1 && out[1] <= 31;
    plausible.then_some(out)
}

/// Day number of a date read in a given order; `None` if there is no such day.
pub(crate) fn day_number(date: RawDate, order: DateOrder) -> Option<i64> {
    let [a, b, c] = date;
    let (y, m, d) = match order {
        DateOrder::Ymd => (a, b, c),
        DateOrder::Dmy => (c, b, a),
        DateOrder::Mdy => (c, a, b),
    };
    let y = if y < 100 { y + 2000 } else { y };
    let date = Date::new(i16::try_from(y).ok()?, i8::try_from(m).ok()?, i8::try_from(d).ok()?).ok()?;
    let epoch = Date::constant(1970, 1, 1);
    Some(i64::from((date - epoch).get_days()))
}

/// The orders in which every one of the dates exists.
pub(crate) fn possible_orders(dates: &[RawDate]) -> Vec<DateOrder> {
    [DateOrder::Ymd, DateOrder::Dmy, DateOrder::Mdy]
        .into_iter()
        .filter(|order| dates.iter().all(|date| day_number(*date, *order).is_some()))
        // A four-digit year fixes where the year stands.
        .filter(|order| match order {
            DateOrder::Ymd => dates.iter().all(|d| d[2] <= 31),
            _ => dates.iter().all(|d| d[0] <= 31),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clocks_as_they_are_written() {
        let s = |text: &str| parse(text.as_bytes()).map(|c| c.seconds);
        assert_eq!(s("00:00:01.25"), Some(1.25));
        assert_eq!(s("1:02:03,5"), Some(3723.5));
        assert_eq!(s("12:34.5"), Some(754.5));
        assert_eq!(s("12:34:56:789"), Some(45296.789));
        assert_eq!(s("12:00:05 AM"), Some(5.0));
        assert_eq!(s("1:00:05 pm"), Some(46805.0));
        assert_eq!(s("2026-04-08T07:50:01.5"), Some(28201.5));
        assert_eq!(s("08.04.2026 23:59:59"), Some(86399.0));
        for wrong in ["12", "1:", ":1:2", "1:2:3:4:5", "1:99:00", "a:b", "1.5:2", "14:00:00 PM", "1:2.3:4"] {
            assert_eq!(s(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn dates_and_their_orders() {
        assert_eq!(parse_date(b"2026-04-08"), Some([2026, 4, 8]));
        assert_eq!(parse_date(b"12.5"), None);
        assert_eq!(possible_orders(&[[2026, 4, 8]]), [DateOrder::Ymd]);
        assert_eq!(possible_orders(&[[8, 4, 2026]]), [DateOrder::Dmy, DateOrder::Mdy]);
        assert_eq!(possible_orders(&[[8, 4, 2026], [13, 4, 2026]]), [DateOrder::Dmy]);
        // 1 January 1970 is day 0; 2026-04-08 is 20551 days later (56 years of 365 days, 14 leap days, 97 days).
        assert_eq!(day_number([2026, 4, 8], DateOrder::Ymd), Some(56 * 365 + 14 + 97));
    }
}

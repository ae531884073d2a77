//! Numbers as typed: separators, fractions, powers of ten, and the step of the last digit.

use super::ParseError;
use crate::kinds::Quantity;
use crate::kinds::private::Raw;

/// A number and the step of its last digit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Number {
    pub(super) value: f64,
    pub(super) step: f64,
}

/// The text with plain spaces, a plain minus and "±", trimmed.
pub(super) fn tidy(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '−' | '‒' | '–' | '﹣' | '－' => out.push('-'),
            '½' => out.push_str(" 1/2"),
            '¼' => out.push_str(" 1/4"),
            '¾' => out.push_str(" 3/4"),
            '⅛' => out.push_str(" 1/8"),
            '⅜' => out.push_str(" 3/8"),
            '⅝' => out.push_str(" 5/8"),
            '⅞' => out.push_str(" 7/8"),
            '⁄' => out.push('/'),
            c if c.is_whitespace() || c == '\u{feff}' => out.push(' '),
            c => out.push(c),
        }
    }
    out.replace("+/-", "±").replace("+-", "±").trim().to_owned()
}

/// The number at the beginning of a tidy text, and what is left.
pub(super) fn read<'a, T: Quantity>(text: &str, tidy: &'a str) -> Result<(Number, &'a str), ParseError> {
    let (negative, body) = match tidy.as_bytes().first() {
        Some(b'-') => (true, tidy[1..].trim_start()),
        Some(b'+') => (false, tidy[1..].trim_start()),
        _ => (false, tidy.trim_start()),
    };
    let digits = mantissa_length(body);
    if !body[..digits].bytes().any(|b| b.is_ascii_digit()) {
        return Err(ParseError::NoNumber { text: text.to_owned(), expected: T::NAME, offered: T::OFFERED });
    }
    let sign = if negative { -1.0 } else { 1.0 };
    let signed = |number: Number| Number { value: sign * number.value, ..number };
    if let Some((number, rest)) = fraction(text, body)? {
        return Ok((signed(number), rest));
    }
    let (plain, rest) = body.split_at(digits);
    let (power, rest) = exponent(rest);
    let plain = separators(text, plain, negative, <T as Raw>::COMMA_IS_THOUSANDS)?;
    let decimals = plain.split_once('.').map_or(0, |(_, digits)| digits.len());
    let found = || body[..body.len() - rest.len()].to_owned();
    let unreadable = |why| ParseError::NumberUnreadable { text: text.to_owned(), found: found(), why };
    let written = if power.is_empty() { plain.clone() } else { format!("{plain}e{power}") };
    let value: f64 = written.parse().map_err(|_| unreadable("its digits and marks make no number"))?;
    if !value.is_finite() {
        return Err(unreadable("it is too large"));
    }
    let step: f64 =
        format!("1e{}", power.parse::<i64>().unwrap_or(0).saturating_sub(decimals as i64)).parse().unwrap_or(0.0);
    Ok((signed(Number { value, step }), rest))
}

/// Length of digits with their marks: points, commas, and spaces between groups of three.
fn mantissa_length(body: &str) -> usize {
    let bytes = body.as_bytes();
    let digit = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
    let mut end = 0;
    while end < bytes.len() {
        match bytes[end] {
            b'0'..=b'9' | b'.' | b',' => end += 1,
            // "12 500": a space before exactly three digits, behind one to three of them.
            b' ' if digit(end + 1) && digit(end + 2) && digit(end + 3) && !digit(end + 4) && grouped(&bytes[..end]) => {
                let after = bytes.get(end + 4);
                if after == Some(&b'/') {
                    break;
                }
                end += 4;
            }
            _ => break,
        }
    }
    end
}

fn grouped(before: &[u8]) -> bool {
    let first = before.split(|b| *b == b' ').next().unwrap_or_default();
    (1..=3).contains(&first.len()) && first.iter().all(u8::is_ascii_digit) && first[0] != b'0'
}

/// "e-3" behind a mantissa: the digits of the power, and what is left.
fn exponent(rest: &str) -> (&str, &str) {
    let bytes = rest.as_bytes();
    if !matches!(bytes.first(), Some(b'e' | b'E')) {
        return ("", rest);
    }
    let signed = usize::from(matches!(bytes.get(1), Some(b'+' | b'-')));
    let digits = bytes[1 + signed..].iter().take_while(|b| b.is_ascii_digit()).count();
    if digits == 0 { ("", rest) } else { rest[1..].split_at(signed + digits) }
}

/// "1/2", "2 1/2", "2-1/2" at the beginning.
fn fraction<'a>(text: &str, body: &'a str) -> Result<Option<(Number, &'a str)>, ParseError> {
    let count = |s: &str| s.bytes().take_while(u8::is_ascii_digit).count();
    let parts = |s: &'a str| -> Option<(&'a str, &'a str, &'a str)> {
        let over = count(s);
        let rest = s[over..].strip_prefix('/')?;
        let under = count(rest);
        (over > 0 && under > 0).then(|| (&s[..over], &rest[..under], &rest[under..]))
    };
    let whole_length = count(body);
    let (whole, found) = match parts(body) {
        Some(found) => ("0", Some(found)),
        None => {
            let rest = &body[whole_length..];
            let rest = rest.strip_prefix('-').unwrap_or(rest.trim_start());
            if rest.len() == body.len() - whole_length || whole_length == 0 {
                ("0", None)
            } else {
                (&body[..whole_length], parts(rest))
            }
        }
    };
    let Some((over, under, rest)) = found else { return Ok(None) };
    let unreadable = |why| ParseError::NumberUnreadable {
        text: text.to_owned(),
        found: body[..body.len() - rest.len()].to_owned(),
        why,
    };
    let number = |digits: &str| digits.parse::<f64>().ok().filter(|value| *value < 1e9);
    let (Some(whole), Some(over), Some(under)) = (number(whole), number(over), number(under)) else {
        return Err(unreadable("a part of the fraction is too large"));
    };
    if under == 0.0 {
        return Err(unreadable("the lower part of a fraction cannot be zero"));
    }
    if rest.starts_with(['.', ',']) {
        return Err(unreadable("a fraction has whole numbers above and below"));
    }
    Ok(Some((Number { value: whole + over / under, step: 1.0 / under }, rest)))
}

/// Digits with at most one point, from digits with points, commas and spaces.
fn separators(text: &str, plain: &str, negative: bool, comma_is_thousands: bool) -> Result<String, ParseError> {
    let unreadable = |why| ParseError::NumberUnreadable { text: text.to_owned(), found: plain.to_owned(), why };
    let threes = "a mark between thousands stands before every three digits, and one mark is the decimal mark";
    let digits: String = plain.chars().filter(|c| *c != ' ').collect();
    let (points, commas) = (digits.matches('.').count(), digits.matches(',').count());
    let decimal = match (points, commas) {
        (0, 0) | (1, 0) => return Ok(digits),
        (0, 1) => {
            let (whole, rest) = digits.split_once(',').unwrap_or((&digits, ""));
            let looks_grouped = rest.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
            if looks_grouped && comma_is_thousands {
                return Ok(format!("{whole}{rest}"));
            }
            if looks_grouped && !plain.contains(' ') {
                let sign = if negative { "−" } else { "" };
                return Err(ParseError::NumberAmbiguous {
                    text: text.to_owned(),
                    first: format!("{sign}{whole}{rest}"),
                    second: format!("{sign}{whole}.{rest}"),
                });
            }
            return Ok(format!("{whole}.{rest}"));
        }
        (_, 0) => return without_thousands(&digits, '.').ok_or_else(|| unreadable(threes)),
        (0, _) => return without_thousands(&digits, ',').ok_or_else(|| unreadable(threes)),
        _ if digits.rfind('.') > digits.rfind(',') => '.',
        _ => ',',
    };
    let thousands = if decimal == '.' { ',' } else { '.' };
    let (whole, rest) = digits.rsplit_once(decimal).unwrap_or((&digits, ""));
    if whole.contains(decimal) || rest.contains(thousands) {
        return Err(unreadable(threes));
    }
    let whole = without_thousands(whole, thousands).ok_or_else(|| unreadable(threes))?;
    Ok(format!("{whole}.{rest}"))
}

fn without_thousands(whole: &str, mark: char) -> Option<String> {
    let mut groups = whole.split(mark);
    let first = groups.next()?;
    let fits = (1..=3).contains(&first.len()) && first.bytes().all(|b| b.is_ascii_digit());
    let rest: Vec<&str> = groups.collect();
    let rest_fits = rest.iter().all(|group| group.len() == 3 && group.bytes().all(|b| b.is_ascii_digit()));
    (fits && rest_fits).then(|| format!("{first}{}", rest.concat()))
}

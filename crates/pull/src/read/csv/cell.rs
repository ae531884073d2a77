//! One cell, the careful way: what stands there, and what is wrong with it if it is no number.

use super::clock;
use super::number;

/// What a cell holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Cell {
    /// A number.
    Number(f64),
    /// A number with thousands marks.
    Grouped(f64),
    /// Nothing.
    Empty,
    /// A word or sign that says "no value".
    Marker,
    /// Anything else.
    Text,
}

/// Words that loggers write for "no value", in lower case.
const MARKERS: [&[u8]; 36] = [
    b"-",
    b"--",
    b"---",
    b"----",
    b"nan",
    b"na",
    b"n/a",
    b"#n/a",
    b"n.a.",
    b"null",
    b"nil",
    b"none",
    b"nodata",
    b"no data",
    b"err",
    b"error",
    b"#err",
    b"open",
    b"short",
    b"fault",
    b"fail",
    b"invalid",
    b"inf",
    b"infinity",
    b"1.#inf",
    b"1.#qnan",
    b"1.#ind",
    b"#div/0!",
    b"#value!",
    b"#ref!",
    b"#num!",
    b"#null!",
    b"#name?",
    b"ol",
    b"ovl",
    b"overrange",
];

/// Trims spaces and no-break spaces (UTF-8 and one-byte) on both sides.
pub(crate) fn trim(mut text: &[u8]) -> &[u8] {
    loop {
        let before = text.len();
        text = text.trim_ascii();
        text = text.strip_prefix(b"\xC2\xA0").or(text.strip_prefix(b"\xA0")).unwrap_or(text);
        text = text.strip_suffix(b"\xC2\xA0").unwrap_or(text);
        // A lone 0xA0 at the end is a one-byte no-break space unless it ends a UTF-8 character.
        if let [.., before, 0xA0] = text
            && before.is_ascii()
        {
            text = &text[..text.len() - 1];
        }
        if text.len() == before {
            return text;
        }
    }
}

/// Reads one cell whose quotes are already gone.
pub(crate) fn read(text: &[u8], decimal: u8) -> Cell {
    let text = trim(text);
    if text.is_empty() {
        return Cell::Empty;
    }
    if let Some(value) = number::parse(text, decimal) {
        return if value.is_finite() { Cell::Number(value) } else { Cell::Marker };
    }
    if is_marker(text) {
        return Cell::Marker;
    }
    // The typographic minus sign.
    if let Some(rest) = text.strip_prefix("−".as_bytes())
        && let Some(value) = number::parse(rest, decimal)
    {
        return Cell::Number(-value);
    }
    match number::with_thousands(text, decimal) {
        Some(value) => Cell::Grouped(value),
        None => Cell::Text,
    }
}

/// Whether the text is a word or sign for "no value".
pub(crate) fn is_marker(text: &[u8]) -> bool {
    let text = trim(text);
    if text.is_empty() || text.len() > 24 {
        return false;
    }
    if text.iter().all(|b| *b == b'*')
        || text.iter().all(|b| *b == b'?')
        || (text.len() > 1 && text.iter().all(|b| *b == b'#'))
    {
        return true;
    }
    let unsigned = match text {
        [b'-' | b'+', rest @ ..] if !rest.is_empty() && rest[0] != b'-' => rest,
        all => all,
    };
    MARKERS.iter().any(|marker| unsigned.eq_ignore_ascii_case(marker))
}

/// Takes the quotes of a quoted cell off; doubled quotes become one.
pub(crate) fn unquote(cell: &[u8]) -> std::borrow::Cow<'_, [u8]> {
    let inner = cell.trim_ascii();
    let Some(inner) = inner.strip_prefix(b"\"").and_then(|rest| rest.strip_suffix(b"\"")) else {
        return cell.into();
    };
    if !inner.contains(&b'"') {
        return inner.into();
    }
    let mut out = Vec::with_capacity(inner.len());
    let mut bytes = inner.iter().peekable();
    while let Some(byte) = bytes.next() {
        if *byte == b'"' {
            bytes.next_if(|next| **next == b'"');
        }
        out.push(*byte);
    }
    out.into()
}

/// Whether a cell of a sample counts as data: a number in either notation, a marker, a clock or a date.
pub(crate) fn looks_like_data(text: &[u8]) -> bool {
    number::parse(trim(text), b'.').is_some()
        || !matches!((read(text, b'.'), read(text, b',')), (Cell::Text, Cell::Text))
        || is_time(text)
}

/// Whether the cell is a number in either notation or a time; markers and empty cells are not.
pub(crate) fn looks_like_number(text: &[u8]) -> bool {
    let number = |cell| matches!(cell, Cell::Number(_) | Cell::Grouped(_));
    number::parse(trim(text), b'.').is_some() || number(read(text, b'.')) || number(read(text, b',')) || is_time(text)
}

fn is_time(text: &[u8]) -> bool {
    clock::parse(text).is_some() || clock::parse_date(text).is_some()
}

/// Says what keeps a text from being a number: "a letter I among the digits".
pub(crate) fn what_is_wrong(text: &str, decimal: char) -> String {
    let trimmed = text.trim();
    let digits = trimmed.chars().filter(char::is_ascii_digit).count();
    if digits == 0 {
        return "no digits in it".to_owned();
    }
    let other = if decimal == '.' { ',' } else { '.' };
    let odd = trimmed
        .char_indices()
        .find(|(at, c)| !(c.is_ascii_digit() || *c == decimal || (*at == 0 && matches!(c, '-' | '+'))));
    match odd {
        Some((at, c)) => {
            let rest = &trimmed[at + c.len_utf8()..];
            let last = !rest.chars().any(|c| c.is_ascii_digit());
            match c {
                ' ' if last => "something after the number".to_owned(),
                c if c == other => {
                    let mark = if decimal == '.' { "a point" } else { "a comma" };
                    let found = if other == '.' { "a point" } else { "a comma" };
                    format!("{found} among the digits, where this file uses {mark} as decimal mark")
                }
                '\u{FFFD}' => "a character that is no text".to_owned(),
                c if c.is_alphabetic() && !last => format!("a letter {c} among the digits"),
                c if c.is_alphabetic() && at == 0 => format!("it begins with a letter {c}"),
                c if last => format!("`{c}` after the number"),
                ' ' => "a space among the digits".to_owned(),
                c if c.is_control() => "a control character among the digits".to_owned(),
                c => format!("`{c}` among the digits"),
            }
        }
        None => "more than one decimal mark".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_as_they_come() {
        assert_eq!(read(b" 12.5 ", b'.'), Cell::Number(12.5));
        assert_eq!(read(b"12,5", b','), Cell::Number(12.5));
        assert_eq!(read(b"1.234,5", b','), Cell::Grouped(1234.5));
        assert_eq!(read("−3.5".as_bytes(), b'.'), Cell::Number(-3.5));
        assert_eq!(read(b"\xA0 7 \xC2\xA0", b'.'), Cell::Number(7.0));
        for empty in ["", "  ", "\t"] {
            assert_eq!(read(empty.as_bytes(), b'.'), Cell::Empty);
        }
        for marker in ["-", "--", "NaN", "-nan", "ERR", "#N/A", "open", "***", "-1.#IND", "inf", "1e999", "####"] {
            assert_eq!(read(marker.as_bytes(), b'.'), Cell::Marker, "{marker}");
        }
        for text in ["4I2.6", "12,5", "#", "RUN", "1.2.3", "85%"] {
            assert_eq!(read(text.as_bytes(), b'.'), Cell::Text, "{text}");
        }
    }

    #[test]
    fn the_fault_is_named() {
        assert_eq!(what_is_wrong("4I2.6", '.'), "a letter I among the digits");
        assert_eq!(
            what_is_wrong("12,5", '.'),
            "a comma among the digits, where this file uses a point as decimal mark"
        );
        assert_eq!(what_is_wrong("85%", '.'), "`%` after the number");
        assert_eq!(what_is_wrong("RUN", '.'), "no digits in it");
        assert_eq!(what_is_wrong("1.2.3", '.'), "more than one decimal mark");
    }

    #[test]
    fn quotes_come_off() {
        assert_eq!(&*unquote(b" \"a\"\"b\" "), b"a\"b");
        assert_eq!(&*unquote(b"\"12,5\""), b"12,5");
        assert_eq!(&*unquote(b"5\""), b"5\"");
    }
}

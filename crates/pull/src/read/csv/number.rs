//! Decimal text to the nearest binary number, fast where it is plain.
//!
//! A cell such as `-1234.567` has at most 15 digits: its digits fit a 53-bit mantissa and its scale
//! is a power of ten that a double holds exactly, so one division rounds correctly (Clinger's fast
//! path). Everything longer or with a large exponent goes to `fast-float2`, which is exact as well.
//! Digits are taken eight at a time by carry-free arithmetic on one 64-bit word.

/// Powers of ten that a double holds exactly.
const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22,
];

/// Powers of ten as whole numbers, for joining the digits before and after the mark.
const WHOLE_TENS: [u64; 9] = [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000];

const ZEROS: u64 = 0x3030_3030_3030_3030;
const HIGH: u64 = 0x8080_8080_8080_8080;

/// The eight bytes from `at`, the first in the lowest place.
#[inline(always)]
fn word(bytes: &[u8], at: usize) -> Option<u64> {
    bytes.get(at..at + 8).and_then(|b| b.try_into().ok()).map(u64::from_le_bytes)
}

/// The word with `0` taken off each byte, and a mark in the high bit of each byte that is no digit.
///
/// A digit leaves 0…9; adding 0x76 sets the high bit for anything above 9. A carry can only come from a byte
/// above 0x89, which is itself no digit and stands before what it spoils: marks are sure up to the first such
/// byte, and neither a point nor a comma is one.
#[inline(always)]
fn digits_and_others(word: u64) -> (u64, u64) {
    let digits = word ^ ZEROS;
    (digits, (digits.wrapping_add(0x7676_7676_7676_7676) | digits) & HIGH)
}

/// Eight times the number of bytes before the first mark; 64 without one.
#[inline(always)]
fn bits_before(others: u64) -> u32 {
    others.trailing_zeros() & 0x78
}

/// The number made of the first `bits` / 8 (1…8) digits of a word.
#[inline(always)]
fn joined(digits: u64, bits: u32) -> u64 {
    let v = digits << (64 - bits);
    let v = v.wrapping_mul(10).wrapping_add(v >> 8) & 0x00FF_00FF_00FF_00FF;
    let v = v.wrapping_mul(100).wrapping_add(v >> 16) & 0x0000_FFFF_0000_FFFF;
    v.wrapping_mul(10_000).wrapping_add(v >> 32) & 0xFFFF_FFFF
}

/// Reads a plain number (sign, up to 7 digits, mark, up to 8 digits) that starts at `at` and returns
/// it with the place after it; `None` for anything else, also near the end of the bytes, where the
/// slower way must be taken. No exponent, no spaces, no quotes.
#[inline(always)]
pub(crate) fn plain(bytes: &[u8], at: usize, decimal: u8) -> Option<(f64, usize)> {
    let mut text = word(bytes, at)?;
    let negative = (text as u8) == b'-';
    let mut start = at;
    if negative {
        start += 1;
        text = word(bytes, start)?;
    }
    let (digits, others) = digits_and_others(text);
    let whole = bits_before(others);
    if whole == 0 || whole == 64 {
        return None;
    }
    let (mantissa, decimals, length) = if (text >> whole) as u8 != decimal {
        (joined(digits, whole), 0, whole / 8)
    } else {
        let all = bits_before(others & (others - 1));
        if all == 64 && bytes.get(start + 8).is_none_or(u8::is_ascii_digit) {
            long(bytes, start, digits, whole)?
        } else {
            // Mark and digits stand in one word: the mark is taken out, and what follows it closes up.
            let before = (1 << whole) - 1;
            (joined((digits & before) | ((digits >> 8) & !before), all - 8), (all - whole) / 8 - 1, all / 8)
        }
    };
    // At most 7 + 8 = 15 digits: below 2^53.
    let value = mantissa as i64 as f64 / TENS[decimals as usize];
    Some((if negative { -value } else { value }, start + length as usize))
}

/// Mantissa, number of decimals and length of a number whose digits behind the mark reach beyond the first word.
#[inline]
fn long(bytes: &[u8], start: usize, digits: u64, whole: u32) -> Option<(u64, u32, u32)> {
    let part_at = start + whole as usize / 8 + 1;
    let (part, others) = digits_and_others(word(bytes, part_at)?);
    let part_bits = bits_before(others);
    if part_bits == 64 && bytes.get(part_at + 8).is_none_or(u8::is_ascii_digit) {
        return None;
    }
    // Without a digit behind the mark, mark and digits would have stood in one word.
    let part_n = part_bits / 8;
    let mantissa = joined(digits, whole) * WHOLE_TENS[part_n as usize] + joined(part, part_bits);
    Some((mantissa, part_n, whole / 8 + 1 + part_n))
}

/// Reads a whole text as a number: sign, digits, `decimal`, digits, exponent. `None` if it is not one.
///
/// Words such as `nan` or `inf` are no numbers here. Equal to `str::parse::<f64>` on every text it accepts.
pub(crate) fn parse(text: &[u8], decimal: u8) -> Option<f64> {
    let (negative, mut rest) = match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        rest => (false, rest),
    };
    let mut mantissa = 0u64;
    let mut digits = 0u32;
    let mut scale = 0i32;
    let mut any = false;
    let mut mark = false;
    let unsigned = rest;
    while let [byte, tail @ ..] = rest {
        match byte {
            b'0'..=b'9' => {
                any = true;
                if mantissa != 0 || *byte != b'0' {
                    digits += 1;
                }
                mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(byte - b'0'));
                scale -= i32::from(mark);
            }
            byte if *byte == decimal && !mark => mark = true,
            _ => break,
        }
        rest = tail;
    }
    if !any {
        return None;
    }
    let mut exponent = 0i32;
    if let [b'e' | b'E', tail @ ..] = rest {
        let (down, tail) = match tail {
            [b'-', tail @ ..] => (true, tail),
            [b'+', tail @ ..] => (false, tail),
            tail => (false, tail),
        };
        if tail.is_empty() || !tail.iter().all(u8::is_ascii_digit) {
            return None;
        }
        for byte in tail {
            exponent = exponent.saturating_mul(10).saturating_add(i32::from(byte - b'0')).min(100_000);
        }
        if down {
            exponent = -exponent;
        }
    } else if !rest.is_empty() {
        return None;
    }
    let power = scale.saturating_add(exponent);
    let value = if digits <= 15 && power.unsigned_abs() <= 22 {
        let tens = TENS[power.unsigned_abs() as usize];
        if power < 0 { mantissa as f64 / tens } else { mantissa as f64 * tens }
    } else if decimal == b'.' {
        fast_float2::parse(unsigned).ok()?
    } else {
        let dotted: Vec<u8> = unsigned.iter().map(|b| if *b == decimal { b'.' } else { *b }).collect();
        fast_float2::parse(&dotted).ok()?
    };
    Some(if negative { -value } else { value })
}

/// A number written with marks between groups of three digits: `12,345.6`, `12.345,6`, `12 345,6`, `12'345`.
///
/// The groups must be exact (one to three digits, then threes), all with the same mark. `None` otherwise.
pub(crate) fn with_thousands(text: &[u8], decimal: u8) -> Option<f64> {
    let mut plain = Vec::with_capacity(text.len());
    let mut mark: Option<&[u8]> = None;
    let mut group = 0usize;
    let mut at = 0;
    if let Some(sign @ (b'-' | b'+')) = text.first() {
        plain.push(*sign);
        at = 1;
    }
    while at < text.len() {
        let byte = text[at];
        if byte.is_ascii_digit() {
            plain.push(byte);
            group += 1;
            at += 1;
            continue;
        }
        if byte == decimal || byte == b'e' || byte == b'E' {
            break;
        }
        let found = mark_at(&text[at..])?;
        let fits = match mark {
            None => (1..=3).contains(&group),
            Some(before) => before == found && group == 3,
        };
        if !fits {
            return None;
        }
        mark = Some(found);
        group = 0;
        at += found.len();
    }
    // A group of noughts in front (`0,880`) is a fraction, not thousands.
    let leads = plain.iter().find(|b| b.is_ascii_digit());
    if mark.is_none() || group != 3 || leads == Some(&b'0') {
        return None;
    }
    plain.extend_from_slice(&text[at..]);
    parse(&plain, decimal)
}

/// The thousands mark at the start of `text`: point, comma, apostrophe, space, no-break space
/// (UTF-8 or one byte), narrow no-break space.
fn mark_at(text: &[u8]) -> Option<&[u8]> {
    const MARKS: [&[u8]; 8] = [b".", b",", b"'", b" ", b"\xC2\xA0", b"\xA0", b"\xE2\x80\xAF", "’".as_bytes()];
    MARKS.iter().find(|mark| text.starts_with(mark)).map(|mark| &text[..mark.len()])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn thousands_marks_need_exact_groups() {
        assert_eq!(with_thousands(b"12,345.6", b'.'), Some(12345.6));
        assert_eq!(with_thousands(b"12.345,6", b','), Some(12345.6));
        assert_eq!(with_thousands("1\u{a0}234\u{a0}567,5".as_bytes(), b','), Some(1_234_567.5));
        assert_eq!(with_thousands(b"1'234", b'.'), Some(1234.0));
        assert_eq!(with_thousands(b"-1,234", b'.'), Some(-1234.0));
        for wrong in ["12,34", "1,2345", "1,234,56", ",123", "1234,567", "1,234 567", "12,5"] {
            assert_eq!(with_thousands(wrong.as_bytes(), b'.'), None, "{wrong}");
        }
    }

    #[test]
    fn words_are_no_numbers() {
        for word in ["", "-", "+", ".", "nan", "inf", "1e", "1e+", "e5", "1.2.3", "0x10", "4I2.6", "1 2", "--1"] {
            assert_eq!(parse(word.as_bytes(), b'.'), None, "{word}");
        }
    }

    proptest! {
        /// The reference is the standard library's own correctly rounded parser.
        #[test]
        fn equals_the_standard_parser(text in "[+-]?([0-9]{1,20}\\.?[0-9]{0,20}|\\.[0-9]{1,20})([eE][+-]?[0-9]{1,3})?") {
            let expected: f64 = text.parse().unwrap();
            prop_assert_eq!(parse(text.as_bytes(), b'.').unwrap().to_bits(), expected.to_bits());
            let comma = text.replace('.', ",");
            prop_assert_eq!(parse(comma.as_bytes(), b',').unwrap().to_bits(), expected.to_bits());
        }

        #[test]
        fn the_plain_way_equals_the_standard_parser(text in "-?[0-9]{1,9}(\\.[0-9]{0,9})?", tail in "[,;\\n\\r]1234567890123456789") {
            let bytes = format!("{text}{tail}");
            if let Some((value, end)) = plain(bytes.as_bytes(), 0, b'.') {
                let read = &bytes[..end];
                prop_assert_eq!(value.to_bits(), read.parse::<f64>().unwrap().to_bits());
                prop_assert_eq!(read, text.as_str());
            } else {
                let digits = text.trim_start_matches('-');
                let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
                prop_assert!(whole.len() > 7 || part.len() > 8, "{} refused", text);
            }
        }

        #[test]
        fn the_plain_way_stops_at_any_byte(bytes in proptest::collection::vec(any::<u8>(), 0..40)) {
            if let Some((value, end)) = plain(&bytes, 0, b'.') {
                let read = std::str::from_utf8(&bytes[..end]).unwrap();
                prop_assert_eq!(value.to_bits(), read.parse::<f64>().unwrap().to_bits());
            }
        }
    }
}

//! From the bytes of a file to bytes that can be cut into cells.
//!
//! Numbers, delimiters and line ends are ASCII in UTF-8 and in every one-byte code page, so a file in
//! one of those is used as it stands; only names and units are decoded. UTF-16 is decoded as a whole.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};
use std::borrow::Cow;

/// Bytes in an ASCII-compatible encoding.
#[derive(Debug)]
pub(crate) struct Text<'a> {
    /// The bytes, without a byte-order mark and without the filler at the end.
    pub(crate) bytes: Cow<'a, [u8]>,
    /// How names are decoded.
    pub(crate) encoding: &'static Encoding,
    /// In words, for the dialect: "UTF-8", "Windows-1252", "UTF-16, little end first".
    pub(crate) words: &'static str,
    /// The encoding was concluded from the bytes, not marked.
    pub(crate) concluded: bool,
    /// NUL bytes cut off the end (a writer that was interrupted).
    pub(crate) filler: usize,
    /// Characters that could not be decoded (UTF-16 only).
    pub(crate) undecoded: bool,
}

/// How much of the file is looked at to conclude an encoding.
const HEAD: usize = 64 * 1024;

/// Finds the encoding and makes the bytes cuttable. Never fails; binary content is recognised later.
pub(crate) fn prepare(raw: &[u8]) -> Text<'_> {
    let end = raw.iter().rposition(|b| *b != 0).map_or(0, |at| at + 1);
    if let Some((encoding, mark)) = utf16(raw) {
        // The last character of UTF-16 may own one of the trailing NULs.
        let filler = (raw.len() - end) & !1;
        let body = &raw[mark..(raw.len() - filler).max(mark)];
        let (text, undecoded) = encoding.decode_without_bom_handling(body);
        let bytes = text.into_owned().into_bytes();
        let words = if encoding == UTF_16LE { "UTF-16, low byte first" } else { "UTF-16, high byte first" };
        return Text { bytes: Cow::Owned(bytes), encoding: UTF_8, words, concluded: mark == 0, filler, undecoded };
    }
    let filler = raw.len() - end;
    let bytes = &raw[..end];
    if let Some(rest) = bytes.strip_prefix(b"\xEF\xBB\xBF") {
        return text(rest, UTF_8, "UTF-8 with a byte-order mark", false, filler);
    }
    let head = &bytes[..bytes.len().min(HEAD)];
    match std::str::from_utf8(head) {
        Ok(_) => return text(bytes, UTF_8, "UTF-8", false, filler),
        // Cut in the middle of a character at the end of the head: still UTF-8.
        Err(error) if error.error_len().is_none() && head.len() < bytes.len() => {
            return text(bytes, UTF_8, "UTF-8", false, filler);
        }
        Err(_) => {}
    }
    let mut detector = chardetng::EncodingDetector::new(chardetng::Iso2022JpDetection::Deny);
    detector.feed(head, true);
    let guess = detector.guess(None, chardetng::Utf8Detection::Deny);
    if guess.is_single_byte() {
        // The western code pages differ in letters that engine logs hardly hold; a degree or a
        // superscript sign is the same in all of them, and Windows-1252 is what cells write.
        return text(bytes, WINDOWS_1252, "Windows-1252", true, filler);
    }
    let (decoded, _, undecoded) = guess.decode(bytes);
    let bytes = decoded.into_owned().into_bytes();
    Text { bytes: Cow::Owned(bytes), encoding: UTF_8, words: guess.name(), concluded: true, filler, undecoded }
}

fn text<'a>(b: &'a [u8], encoding: &'static Encoding, words: &'static str, concluded: bool, filler: usize) -> Text<'a> {
    Text { bytes: Cow::Borrowed(b), encoding, words, concluded, filler, undecoded: false }
}

/// UTF-16 by its mark, or by zeros in every second byte of the head.
fn utf16(raw: &[u8]) -> Option<(&'static Encoding, usize)> {
    match raw {
        [0xFF, 0xFE, ..] => return Some((UTF_16LE, 2)),
        [0xFE, 0xFF, ..] => return Some((UTF_16BE, 2)),
        _ => {}
    }
    let head = &raw[..raw.len().min(512) & !1];
    if head.len() < 8 {
        return None;
    }
    let zeros = |odd: usize| head.iter().skip(odd).step_by(2).filter(|b| **b == 0).count();
    let (even, odd) = (zeros(0), zeros(1));
    let most = head.len() / 2 * 8 / 10;
    if odd >= most && even == 0 {
        Some((UTF_16LE, 0))
    } else if even >= most && odd == 0 {
        Some((UTF_16BE, 0))
    } else {
        None
    }
}

impl Text<'_> {
    /// A piece of the file as text, trimmed, without control characters.
    pub(crate) fn decode(&self, piece: &[u8]) -> String {
        decode(self.encoding, piece)
    }

    /// Turns lone carriage returns into line feeds; done only for files that have some.
    pub(crate) fn with_line_feeds(self) -> Self {
        let mut bytes = self.bytes.into_owned();
        for at in 0..bytes.len() {
            if bytes[at] == b'\r' && bytes.get(at + 1) != Some(&b'\n') {
                bytes[at] = b'\n';
            }
        }
        Text { bytes: Cow::Owned(bytes), ..self }
    }
}

/// A piece in an encoding as text, trimmed; control characters show as \u{FFFD}.
pub(crate) fn decode(encoding: &'static Encoding, piece: &[u8]) -> String {
    let (text, _) = encoding.decode_without_bom_handling(piece);
    let shown = |c: char| match c {
        c if !c.is_control() => c,
        c if c.is_whitespace() => ' ',
        _ => '\u{FFFD}',
    };
    text.chars().map(shown).collect::<String>().trim().to_owned()
}

/// What a file that is no text looks like by its first bytes.
pub(crate) fn known_binary(raw: &[u8]) -> Option<&'static str> {
    const KNOWN: [(&[u8], &str); 10] = [
        (b"PK\x03\x04", "a ZIP archive or a spreadsheet workbook; save the sheet as CSV"),
        (b"\xD0\xCF\x11\xE0", "an old spreadsheet workbook; save the sheet as CSV"),
        (b"\x1F\x8B", "a gzip file; unpack it first"),
        (b"\x28\xB5\x2F\xFD", "a zstd file; unpack it first"),
        (b"7z\xBC\xAF\x27\x1C", "a 7z archive; unpack it first"),
        (b"%PDF", "a PDF; export the numbers as CSV"),
        (b"\x89PNG", "a picture"),
        (b"\xFF\xD8\xFF", "a picture"),
        (b"SQLite format 3", "a database file"),
        (b"\x89HDF", "an HDF5 file; export the channels as CSV"),
    ];
    KNOWN.iter().find(|(magic, _)| raw.starts_with(magic)).map(|(_, words)| *words)
}

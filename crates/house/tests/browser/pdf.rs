//! Just enough of PDF to count pages, and base64 to get at one.

use std::io::Read;

/// Bytes of a base64 text; white space is passed over.
pub(crate) fn from_base64(text: &str) -> Vec<u8> {
    let mut out = Vec::with_capacity(text.len() / 4 * 3);
    let (mut bits, mut held) = (0u32, 0u32);
    for byte in text.bytes() {
        let six = match byte {
            b'A'..=b'Z' => byte - b'A',
            b'a'..=b'z' => byte - b'a' + 26,
            b'0'..=b'9' => byte - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => continue,
        };
        bits = (bits << 6) | u32::from(six);
        held += 6;
        if held >= 8 {
            held -= 8;
            out.push((bits >> held) as u8);
        }
    }
    out
}

/// Pages of a PDF: objects of the type Page, in the file itself or in its compressed object streams.
pub(crate) fn pages(pdf: &[u8]) -> usize {
    assert!(pdf.starts_with(b"%PDF-"), "not a PDF: {:?}", String::from_utf8_lossy(&pdf[..pdf.len().min(60)]));
    let mut count = page_objects(pdf);
    let mut rest = pdf;
    while let Some(at) = find(rest, b"stream") {
        let after = &rest[at + 6..];
        let start = usize::from(after.starts_with(b"\r\n")) + 1;
        if at >= 3 && &rest[at - 3..at] != b"end" {
            let mut text = Vec::new();
            // a stream that is no zlib data, or is cut by our rough search, adds nothing
            let _ = flate2::read::ZlibDecoder::new(&after[start.min(after.len())..]).read_to_end(&mut text);
            count += page_objects(&text);
        }
        rest = after;
    }
    count
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|w| w == what)
}

fn page_objects(bytes: &[u8]) -> usize {
    let mut count = 0;
    let mut rest = bytes;
    while let Some(at) = find(rest, b"/Type") {
        rest = &rest[at + 5..];
        let value = rest.iter().position(|b| !b.is_ascii_whitespace()).map_or(&rest[..0], |skip| &rest[skip..]);
        let next = value.get(5).copied().unwrap_or(b' ');
        count += usize::from(value.starts_with(b"/Page") && !next.is_ascii_alphanumeric());
    }
    count
}

#[test]
fn pages_are_counted() {
    assert_eq!(
        pages(b"%PDF-1.7\n1 0 obj<</Type /Pages/Count 2>>\n2 0 obj<</Type/Page/X 1>>\n3 0 obj<</Type /Page>>"),
        2
    );
    assert_eq!(from_base64("UGxhdGVhdQ=="), b"Plateau");
}

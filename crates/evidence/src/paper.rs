//! PDF papers: how many pages, where that can be seen without unpacking.

/// Pages, where the page tree stands open in the file; most files of today pack it, and then this is not known.
pub(crate) fn pages(bytes: &[u8]) -> Option<u32> {
    linearised(bytes).or_else(|| root_count(bytes))
}

/// A file made for the web says its pages in its first object.
fn linearised(bytes: &[u8]) -> Option<u32> {
    let head = &bytes[..bytes.len().min(1024)];
    let at = find(head, b"/Linearized")?;
    let rest = &head[at..];
    let end = find(rest, b">>")?;
    number_after(&rest[..end], b"/N")
}

/// The greatest count of a page tree: the root has all pages under it.
fn root_count(bytes: &[u8]) -> Option<u32> {
    let mut best = None;
    let mut from = 0;
    while let Some(at) = find(&bytes[from..], b"/Type") {
        let at = from + at;
        from = at + 5;
        let kind = bytes[from..].trim_ascii_start();
        if !kind.starts_with(b"/Pages") {
            continue;
        }
        // The dictionary around: back to its opening, on to its end.
        let start = bytes[at.saturating_sub(4096)..at]
            .windows(3)
            .rposition(|w| w == b"obj")
            .map_or(at, |back| at.saturating_sub(4096) + back);
        let end = find(&bytes[at..], b"endobj").map_or(bytes.len(), |n| at + n);
        best = best.max(number_after(&bytes[start..end.min(start + 65_536)], b"/Count"));
    }
    best
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|w| w == what)
}

/// The whole number behind a key.
fn number_after(bytes: &[u8], key: &[u8]) -> Option<u32> {
    let mut from = 0;
    while let Some(at) = find(&bytes[from..], key) {
        let rest = &bytes[from + at + key.len()..];
        let digits = rest.trim_ascii_start();
        // "/N" is also the start of other keys.
        if rest.first().is_some_and(u8::is_ascii_whitespace) {
            let end = digits.iter().position(|b| !b.is_ascii_digit()).unwrap_or(digits.len());
            return std::str::from_utf8(&digits[..end]).ok()?.parse().ok();
        }
        from += at + key.len();
    }
    None
}

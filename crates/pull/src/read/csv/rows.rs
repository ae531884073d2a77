//! Where rows and cells begin and end.
//!
//! A quote counts only at the start of a cell (RFC 4180); an inch mark inside a name is a character.
//! A quoted cell may hold line breaks, but not more than [`MOST_BREAKS`]: beyond that the quote was
//! never closed and is taken as a character, so that one stray quote cannot swallow a pull.

/// Line breaks that a quoted cell may hold.
pub(crate) const MOST_BREAKS: usize = 20;

/// Bytes that a quoted cell with line breaks may hold.
const MOST_BYTES: usize = 8 * 1024;

/// How rows and cells are separated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Cuts {
    /// Between cells; `\n` when there is one cell to a row.
    pub(crate) delimiter: u8,
    /// Quotes are looked at up to this byte; 0 when the file has none.
    pub(crate) quotes_until: usize,
}

/// End of the content of the row that starts at `at` (without its line end) and start of the next row.
pub(crate) fn row_end(bytes: &[u8], at: usize, cuts: Cuts) -> (usize, usize) {
    let mut from = at;
    if at < cuts.quotes_until {
        let mut look = at;
        loop {
            match memchr::memchr2(b'\n', b'"', &bytes[look..]) {
                Some(found) if bytes[look + found] == b'"' => {
                    let quote = look + found;
                    look = if quote < cuts.quotes_until && opens(bytes, at, quote, cuts.delimiter) {
                        closing(bytes, quote, cuts.delimiter).unwrap_or(quote) + 1
                    } else {
                        quote + 1
                    };
                }
                _ => break,
            }
        }
        from = look;
    }
    let newline = memchr::memchr(b'\n', &bytes[from..]).map(|found| from + found);
    let next = newline.map_or(bytes.len(), |newline| newline + 1);
    let mut end = newline.unwrap_or(bytes.len());
    while end > at && bytes[end - 1] == b'\r' {
        end -= 1;
    }
    (end, next)
}

/// Whether a quote stands at the start of a cell (spaces before it allowed).
fn opens(bytes: &[u8], row: usize, quote: usize, delimiter: u8) -> bool {
    let before = bytes[row..quote].iter().rev().find(|b| **b != b' ');
    before.is_none_or(|b| *b == delimiter)
}

/// The quote that closes the one at `open`: followed by a delimiter, a line end or the end.
fn closing(bytes: &[u8], open: usize, delimiter: u8) -> Option<usize> {
    let mut at = open + 1;
    let mut breaks = 0;
    let limit = bytes.len().min(open + MOST_BYTES);
    while at < limit {
        let found = at + memchr::memchr2(b'"', b'\n', &bytes[at..limit])?;
        if bytes[found] == b'\n' {
            breaks += 1;
            if breaks > MOST_BREAKS {
                return None;
            }
            at = found + 1;
            continue;
        }
        if bytes.get(found + 1) == Some(&b'"') {
            at = found + 2;
            continue;
        }
        let after = bytes[found + 1..].iter().find(|b| **b != b' ');
        if after.is_none_or(|b| *b == delimiter || *b == b'\n' || *b == b'\r') {
            return Some(found);
        }
        at = found + 1;
    }
    None
}

/// The cells of one row, quotes still on.
pub(crate) struct Cells<'a> {
    bytes: &'a [u8],
    at: usize,
    end: usize,
    cuts: Cuts,
    done: bool,
}

/// The cells of the row `bytes[at..end]`.
pub(crate) fn cells(bytes: &[u8], at: usize, end: usize, cuts: Cuts) -> Cells<'_> {
    Cells { bytes, at, end, cuts, done: false }
}

impl<'a> Iterator for Cells<'a> {
    type Item = &'a [u8];

    fn next(&mut self) -> Option<&'a [u8]> {
        if self.done {
            return None;
        }
        let mut look = self.at;
        if self.at < self.cuts.quotes_until {
            let quote = self.bytes[self.at..self.end].iter().position(|b| *b != b' ').map(|n| self.at + n);
            if let Some(quote) = quote
                && self.bytes[quote] == b'"'
                && let Some(close) = closing(&self.bytes[..self.end], quote, self.cuts.delimiter)
            {
                look = close + 1;
            }
        }
        let cell_end = if self.cuts.delimiter == b'\n' {
            None
        } else {
            memchr::memchr(self.cuts.delimiter, &self.bytes[look..self.end]).map(|n| look + n)
        };
        let cell = &self.bytes[self.at..cell_end.unwrap_or(self.end)];
        match cell_end {
            Some(at) => self.at = at + 1,
            None => self.done = true,
        }
        Some(cell)
    }
}

/// How far quotes are to be trusted: the end of the file, or the place of the hundredth quote that
/// was never closed. Also counts the unclosed quotes and names the first.
pub(crate) fn trusted_quotes(bytes: &[u8], delimiter: u8) -> (usize, usize, Option<usize>) {
    const ENOUGH: usize = 100;
    let mut unclosed = 0;
    let mut first = None;
    let mut row = 0;
    let mut look = 0;
    while let Some(found) = memchr::memchr2(b'"', b'\n', &bytes[look..]) {
        let at = look + found;
        look = at + 1;
        if bytes[at] == b'\n' {
            row = look;
        } else if opens(bytes, row.max(at.saturating_sub(MOST_BYTES)), at, delimiter) {
            match closing(bytes, at, delimiter) {
                Some(close) => look = close + 1,
                None => {
                    first.get_or_insert(at);
                    unclosed += 1;
                    if unclosed == ENOUGH {
                        return (at, unclosed, first);
                    }
                }
            }
        }
    }
    (bytes.len(), unclosed, first)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &str, delimiter: u8) -> Vec<Vec<String>> {
        let bytes = text.as_bytes();
        let cuts = Cuts { delimiter, quotes_until: bytes.len() };
        let mut at = 0;
        let mut out = Vec::new();
        while at < bytes.len() {
            let (end, next) = row_end(bytes, at, cuts);
            out.push(cells(bytes, at, end, cuts).map(|c| String::from_utf8_lossy(c).into_owned()).collect());
            at = next;
        }
        out
    }

    #[test]
    fn quoted_cells_may_hold_delimiters_quotes_and_line_breaks() {
        assert_eq!(rows("a,\"b,c\",\"d\"\"e\"\r\n1,2,3", b','), [["a", "\"b,c\"", "\"d\"\"e\""], ["1", "2", "3"]]);
        assert_eq!(rows("\"a\nb\",c\n1,2\n", b','), [["\"a\nb\"", "c"], ["1", "2"]]);
    }

    #[test]
    fn an_inch_mark_is_a_character() {
        assert_eq!(rows("Boost (\"Hg),b\n1,2\n", b','), [["Boost (\"Hg)", "b"], ["1", "2"]]);
    }

    #[test]
    fn a_quote_that_is_never_closed_swallows_nothing() {
        let mut text = "\"a,b\n".to_owned();
        text.push_str(&"1,2\n".repeat(50));
        assert_eq!(rows(&text, b',').len(), 51);
        let (until, unclosed, first) = trusted_quotes(text.as_bytes(), b',');
        assert_eq!((until, unclosed, first), (text.len(), 1, Some(0)));
    }
}

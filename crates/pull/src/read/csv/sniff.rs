//! What a file looks like: delimiter, decimal mark, where the table begins, what its columns hold.
//!
//! Concluded from samples of the head, the middle and the end. Where the samples leave two readings,
//! the reading taken is the likelier one and `Sniffed::decimal_open` says that somebody must decide.

use super::cell::{self, Cell};
use super::rows::{self, Cuts};

/// Bytes of the head that are looked at.
pub(crate) const HEAD: usize = 256 * 1024;
/// Rows of the head that are looked at.
const HEAD_ROWS: usize = 400;
/// Rows of numbers taken from the head, and from each later piece, to conclude marks and kinds.
const DATA_ROWS: usize = 60;
/// Bytes looked at in the middle and at the end.
const PIECE: usize = 16 * 1024;

/// One row of a sample.
#[derive(Debug, Clone)]
pub(crate) struct SampleRow<'a> {
    pub(crate) at: usize,
    pub(crate) end: usize,
    pub(crate) cells: Vec<&'a [u8]>,
}

impl SampleRow<'_> {
    /// Cells that hold something.
    fn filled(&self) -> usize {
        self.cells.iter().filter(|c| !blank(c)).count()
    }

    /// Number of cells without the empty ones at the end.
    fn width(&self) -> usize {
        self.cells.iter().rposition(|c| !blank(c)).map_or(0, |at| at + 1)
    }
}

/// What was concluded about the form of the file.
#[derive(Debug)]
pub(crate) struct Sniffed<'a> {
    pub(crate) cuts: Cuts,
    pub(crate) decimal: u8,
    /// The samples hold no number that settles the decimal mark; an example of what they hold.
    pub(crate) decimal_open: Option<String>,
    /// Quotes that are never closed, and the place of the first.
    pub(crate) unclosed: (usize, Option<usize>),
    /// Rows of the head.
    pub(crate) head: Vec<SampleRow<'a>>,
    /// Index into `head` of the first row of numbers; `None` when there is none.
    pub(crate) first_data: Option<usize>,
    /// Cells in a row of numbers.
    pub(crate) width: usize,
    /// Rows of numbers from the head, the middle and the end.
    pub(crate) data: Vec<SampleRow<'a>>,
}

fn blank(cell: &[u8]) -> bool {
    cell::trim(cell).is_empty() || cell.trim_ascii() == b"\"\""
}

/// Rows of `bytes[from..to]`, cut by `cuts`.
pub(crate) fn sample<'a>(bytes: &'a [u8], from: usize, to: usize, most: usize, cuts: Cuts) -> Vec<SampleRow<'a>> {
    let mut out = Vec::new();
    let mut at = from;
    while at < to && out.len() < most {
        let (end, next) = rows::row_end(&bytes[..to], at, cuts);
        out.push(SampleRow { at, end, cells: rows::cells(bytes, at, end, cuts).take(5000).collect() });
        at = next;
    }
    out
}

/// Start and end of the rows of the head that hold anything.
fn bounds(bytes: &[u8], from: usize, to: usize, cuts: Cuts) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut at = from;
    while at < to && out.len() < HEAD_ROWS {
        let (end, next) = rows::row_end(&bytes[..to], at, cuts);
        if end > at {
            out.push((at, end));
        }
        at = next;
    }
    out
}

/// Places of the samples in the middle and at the end, each starting behind a line end.
fn pieces(bytes: &[u8]) -> Vec<(usize, usize)> {
    if bytes.len() < HEAD + 4 * PIECE {
        return Vec::new();
    }
    [bytes.len() / 2, bytes.len() - 2 * PIECE]
        .into_iter()
        .filter_map(|at| {
            let piece = &bytes[at..at + PIECE];
            let from = at + memchr::memchr(b'\n', piece)? + 1;
            let to = at + memchr::memrchr(b'\n', piece)? + 1;
            (to > from).then_some((from, to))
        })
        .collect()
}

/// Looks at a file. `decimal` is the mark if somebody has stated it.
pub(crate) fn sniff(bytes: &[u8], decimal: Option<u8>) -> Sniffed<'_> {
    let head_end = if bytes.len() <= HEAD {
        bytes.len()
    } else {
        memchr::memrchr(b'\n', &bytes[..HEAD]).map_or(HEAD, |at| at + 1)
    };
    let (stated, from) = separator_line(bytes);
    let quoted = memchr::memchr(b'"', bytes).is_some();
    let head_cuts = |delimiter| Cuts { delimiter, quotes_until: if quoted { head_end } else { 0 } };
    let delimiter = stated.unwrap_or_else(|| best_delimiter(bytes, from, head_end, head_cuts));
    let (quotes_until, unclosed, first) = if quoted { rows::trusted_quotes(bytes, delimiter) } else { (0, 0, None) };
    let cuts = Cuts { delimiter, quotes_until };

    let head = sample(bytes, from, head_end, HEAD_ROWS, cuts);
    let width = usual_width(&head);
    let first_data = first_data(&head, width);
    let mut data: Vec<SampleRow<'_>> = head
        .iter()
        .skip(first_data.unwrap_or(usize::MAX))
        .filter(|row| row.filled() > 0)
        .take(DATA_ROWS)
        .cloned()
        .collect();
    if first_data.is_some() {
        for (from, to) in pieces(bytes) {
            let found = sample(bytes, from, to, DATA_ROWS, cuts);
            // A piece may begin inside a quoted cell; its first row is not needed.
            data.extend(found.into_iter().skip(1).filter(|row| row.width() <= width && row.filled() > 0));
        }
    }
    let (found, open) = decimal_mark(&data, delimiter);
    let settled = decimal.is_some();
    Sniffed {
        cuts,
        decimal: decimal.unwrap_or(found),
        decimal_open: if settled { None } else { open },
        unclosed: (unclosed, first),
        head,
        first_data,
        width,
        data,
    }
}

/// A first line such as `sep=;` states the delimiter.
fn separator_line(bytes: &[u8]) -> (Option<u8>, usize) {
    let (end, next) = rows::row_end(bytes, 0, Cuts { delimiter: b'\n', quotes_until: 0 });
    match &bytes[..end] {
        [s, e, p, b'=', mark] if [*s, *e, *p].eq_ignore_ascii_case(b"sep") => (Some(*mark), next),
        _ => (None, 0),
    }
}

/// The delimiter under which most rows have the same number of cells and most cells are numbers.
fn best_delimiter(bytes: &[u8], from: usize, to: usize, cuts_of: impl Fn(u8) -> Cuts) -> u8 {
    let mut best = (0.3, 0usize, b'\n');
    for delimiter in [b';', b'\t', b',', b'|'] {
        // The later half: the preamble is behind us there.
        let cuts = cuts_of(delimiter);
        let rows = bounds(bytes, from, to, cuts);
        let start = rows.get(rows.len() / 2).map_or(to, |row| row.0);
        let mut body = sample(bytes, start, to, DATA_ROWS, cuts);
        body.retain(|row| row.filled() > 0);
        let body = &body[..];
        let width = usual_width(body);
        if width < 2 {
            continue;
        }
        let alike: Vec<_> = body.iter().filter(|row| row.cells.len() == width || row.width() == width).collect();
        let cells = || alike.iter().flat_map(|row| row.cells.iter()).filter(|c| !blank(c)).take(4000);
        let filled = cells().count();
        let numbers = cells().filter(|c| cell::looks_like_data(&cell::unquote(c))).count();
        if filled == 0 {
            continue;
        }
        let score = alike.len() as f64 / body.len() as f64 * numbers as f64 / filled as f64;
        // Rounded, so that one bad cell does not decide against more columns.
        let score = (score * 20.0).round() / 20.0;
        if score > best.0 || (score == best.0 && width > best.1) {
            best = (score, width, delimiter);
        }
    }
    best.2
}

/// The commonest number of cells, of those rows that hold something; on a tie the larger.
fn usual_width(rows: &[SampleRow<'_>]) -> usize {
    // The later half, where the preamble is behind us; on a tie the whole decides.
    let mut counts = std::collections::BTreeMap::<usize, (usize, usize)>::new();
    for (at, row) in rows.iter().enumerate().filter(|(_, row)| row.filled() > 0) {
        let (later, all) = counts.entry(row.cells.len()).or_default();
        *later += usize::from(at >= rows.len() / 2);
        *all += 1;
    }
    let modal = counts.iter().max_by_key(|(width, count)| (**count, **width)).map_or(0, |(width, _)| *width);
    if modal > 1 { modal } else { rows.iter().map(|row| row.cells.len()).max().unwrap_or(0).min(1) }
}

/// The first row that is followed by more of its kind: enough cells, mostly numbers.
fn first_data(head: &[SampleRow<'_>], width: usize) -> Option<usize> {
    let is_data = |row: &SampleRow<'_>| {
        let filled = row.filled();
        let data = row.cells.iter().filter(|c| !blank(c) && cell::looks_like_data(&cell::unquote(c))).count();
        let numbers = row.cells.iter().filter(|c| !blank(c) && cell::looks_like_number(&cell::unquote(c))).count();
        let wide =
            row.cells.len() * 2 >= width && row.cells.len() <= width.max(1) * 2 && (width < 2 || row.cells.len() > 1);
        filled > 0 && wide && numbers > 0 && data * 2 >= filled && (width > 2 || data == filled)
    };
    (0..head.len()).find(|at| {
        // A short first row counts only when it is all numbers; a preamble line has a word in it.
        let all = head[*at].cells.iter().all(|c| cell::looks_like_number(&cell::unquote(c)));
        let full = head[*at].cells.len() >= width || (all && head[*at].cells.len() > 2);
        let followed = head[*at + 1..].iter().find(|row| row.filled() > 0).is_none_or(is_data);
        // A first row whose follower is spoiled still is data if it has the full width.
        is_data(&head[*at]) && full && (followed || head[*at].cells.len() == width)
    })
}

/// The mark of digits with one mark that cannot be a thousands mark: `1234.5`, `12,34`, `0,500`.
fn plain_mark(text: &[u8]) -> Option<u8> {
    let text = text.strip_prefix(b"-").unwrap_or(text);
    let at = text.iter().position(|b| !b.is_ascii_digit())?;
    let (whole, rest) = text.split_at(at);
    let (mark, part) = rest.split_first()?;
    let decimal = matches!(mark, b'.' | b',') && !whole.is_empty() && part.iter().all(u8::is_ascii_digit);
    let open = part.len() == 3 && whole.len() <= 3 && whole.first() != Some(&b'0');
    (decimal && !open && !part.is_empty()).then_some(*mark)
}

/// The decimal mark, and an example if the samples do not settle it.
fn decimal_mark(data: &[SampleRow<'_>], delimiter: u8) -> (u8, Option<String>) {
    let (mut point, mut comma) = (0usize, 0usize);
    let mut open: Option<(u8, String)> = None;
    for text in data.iter().flat_map(|row| row.cells.iter()) {
        let text = cell::unquote(text);
        let text = cell::trim(&text);
        let marks = text.iter().filter(|b| matches!(b, b'.' | b',')).count();
        if marks == 0 || text.len() > 40 {
            continue;
        }
        match plain_mark(text) {
            Some(b'.') => {
                point += 1;
                continue;
            }
            Some(_) => {
                comma += 1;
                continue;
            }
            None => {}
        }
        let number = |decimal| match cell::read(text, decimal) {
            Cell::Number(_) => Some(false),
            Cell::Grouped(_) => Some(true),
            _ => None,
        };
        match (number(b'.'), number(b',')) {
            (Some(_), None) => point += 1,
            (None, Some(_)) => comma += 1,
            (Some(false), Some(true)) => {
                open.get_or_insert((b'.', String::from_utf8_lossy(text).into_owned()));
            }
            (Some(true), Some(false)) => {
                open.get_or_insert((b',', String::from_utf8_lossy(text).into_owned()));
            }
            _ => {}
        }
    }
    if point == 0 && comma == 0 {
        return match open {
            // With commas between the cells an unquoted point can only be a decimal mark by common practice.
            Some((b'.', _)) if delimiter == b',' => (b'.', None),
            Some((mark, example)) => (mark, Some(example)),
            None => (b'.', None),
        };
    }
    if comma > point { (b',', None) } else { (b'.', None) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(text: &str) -> (char, char, Option<usize>, usize) {
        let s = sniff(text.as_bytes(), None);
        (s.cuts.delimiter as char, s.decimal as char, s.first_data, s.width)
    }

    #[test]
    fn delimiters_and_decimal_marks() {
        assert_eq!(form("t,rpm\n0.1,2000\n0.2,2010\n"), (',', '.', Some(1), 2));
        assert_eq!(form("t;rpm\n0,1;2000,5\n0,2;2010,5\n"), (';', ',', Some(1), 2));
        assert_eq!(form("t\trpm\n0,1\t2000\n0,2\t2010\n"), ('\t', ',', Some(1), 2));
        assert_eq!(form("t|rpm|x\n0.1|2000|1\n0.2|2010|2\n"), ('|', '.', Some(1), 3));
        assert_eq!(form("\"t\",\"rpm\"\n\"0,1\",\"2000,5\"\n\"0,2\",\"2010,5\"\n"), (',', ',', Some(1), 2));
        assert_eq!(form("t;rpm\n0.1;2,000.5\n0.2;2,010.5\n"), (';', '.', Some(1), 2));
    }

    #[test]
    fn three_digits_after_the_only_mark_leave_the_mark_open() {
        let s = sniff(b"t;rpm\n1;2,000\n2;2,010\n", None);
        assert_eq!((s.decimal, s.decimal_open.as_deref()), (b',', Some("2,000")));
        assert_eq!(sniff(b"t;rpm\n1;2,000\n2;2,010\n", Some(b'.')).decimal_open, None);
        // A nought before the mark settles it.
        assert_eq!(sniff(b"t;lambda\n1;0,880\n2;0,870\n", None).decimal_open, None);
    }

    #[test]
    fn preamble_lines_are_no_data() {
        let text = "Shop;invented\nDate;2026-04-08\nRate;100\n\nTime;rpm;Nm\ns;rpm;Nm\n0,1;2000;300\n0,2;2001;301\n";
        assert_eq!(form(text), (';', ',', Some(6), 3));
    }
}

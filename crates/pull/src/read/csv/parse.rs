//! The rows of numbers, in pieces side by side.
//!
//! The body is cut into pieces at line ends. One pass counts the lines, so that every piece can write
//! straight into its own stretch of the finished columns; nothing is kept per cell. A row that is plain
//! takes the fast way; any other row is read again the careful way, which also counts what is wrong.
//! A cell that cannot be read is kept as a marked NaN until it is known whether its row stays.

use super::cell::{self, Cell};
use super::clock::{self, DateOrder};
use super::number;
use super::rows::{self, Cuts};
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Numbers.
    Number,
    /// Clock text, turned into seconds.
    Clock,
    /// Words or dates; not read.
    Words,
}

/// The bits of the NaN that marks an unreadable cell until reading is over.
pub(crate) const UNREADABLE: u64 = 0x7FF8_0000_0000_0BAD;

/// Examples kept per column and kind of fault.
pub(crate) const EXAMPLES: usize = 8;

/// All that reading rows needs to know.
#[derive(Debug)]
pub(crate) struct Layout<'a> {
    pub(crate) bytes: &'a [u8],
    /// Where the first row of numbers begins.
    pub(crate) body: usize,
    pub(crate) cuts: Cuts,
    pub(crate) decimal: u8,
    pub(crate) kinds: &'a [Kind],
    pub(crate) header: &'a [Vec<u8>],
    pub(crate) order: DateOrder,
    /// Day number that counts as day 0.
    pub(crate) base_day: i64,
}

/// How the work is cut up; results do not depend on it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pieces {
    pub(crate) bytes: usize,
    pub(crate) side_by_side: bool,
}

impl Default for Pieces {
    fn default() -> Self {
        Self { bytes: 512 * 1024, side_by_side: true }
    }
}

/// A place: row among the rows kept (from 0) and byte of the file where its line begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) row: usize,
    pub(crate) at: usize,
}

/// How often something occurred, and where first.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Seen {
    pub(crate) count: usize,
    pub(crate) first: Vec<Place>,
}

impl Seen {
    fn add(&mut self, place: Place) {
        self.count += 1;
        if self.first.len() < EXAMPLES {
            self.first.push(place);
        }
    }

    fn append(&mut self, other: Seen, rows_before: usize) {
        self.count += other.count;
        for place in other.first {
            if self.first.len() == EXAMPLES {
                break;
            }
            self.first.push(Place { row: place.row + rows_before, at: place.at });
        }
    }
}

/// What was met in one column.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Tally {
    pub(crate) empty: usize,
    pub(crate) markers: Seen,
    pub(crate) grouped: Seen,
    pub(crate) unreadable: Seen,
    /// A date other than that of the first row.
    pub(crate) other_day: bool,
}

/// What was met in the body.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Met {
    pub(crate) rows: usize,
    pub(crate) columns: Vec<Tally>,
    /// Rows with more cells than columns (all of them, by row).
    pub(crate) long_rows: Vec<usize>,
    pub(crate) long: Seen,
    pub(crate) short: Seen,
    pub(crate) blank: usize,
    pub(crate) remarks: Seen,
    pub(crate) headers: Vec<Place>,
    pub(crate) other_header: Seen,
    pub(crate) quoted_breaks: usize,
    pub(crate) torn_end: Option<Place>,
    /// A carriage return without line feed was met: the bytes must be normalised and read again.
    pub(crate) lone_return: bool,
}

impl Met {
    fn append(&mut self, other: Met) {
        let before = self.rows;
        for (mine, theirs) in self.columns.iter_mut().zip(other.columns) {
            mine.empty += theirs.empty;
            mine.markers.append(theirs.markers, before);
            mine.grouped.append(theirs.grouped, before);
            mine.unreadable.append(theirs.unreadable, before);
            mine.other_day |= theirs.other_day;
        }
        self.long_rows.extend(other.long_rows.into_iter().map(|row| row + before));
        self.long.append(other.long, before);
        self.short.append(other.short, before);
        self.blank += other.blank;
        self.remarks.append(other.remarks, before);
        self.headers.extend(other.headers.into_iter().map(|p| Place { row: p.row + before, at: p.at }));
        self.other_header.append(other.other_header, before);
        self.quoted_breaks += other.quoted_breaks;
        self.torn_end = self.torn_end.or(other.torn_end.map(|p| Place { row: p.row + before, at: p.at }));
        self.lone_return |= other.lone_return;
        self.rows += other.rows;
    }
}

/// A piece of the body and the most rows it can hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Piece {
    from: usize,
    to: usize,
    lines: usize,
}

impl Piece {
    /// The most rows that the piece can hold.
    pub(crate) fn lines(&self) -> usize {
        self.lines
    }
}

/// Cuts the body into pieces at row ends and counts lines.
pub(crate) fn pieces(layout: &Layout<'_>, size: Pieces) -> Vec<Piece> {
    let bytes = layout.bytes;
    let mut out = Vec::new();
    let mut from = layout.body;
    if from < layout.cuts.quotes_until {
        // Line breaks inside quotes: rows must be walked from the start.
        let (mut at, mut lines) = (from, 0);
        while at < bytes.len() {
            at = rows::row_end(bytes, at, layout.cuts).1;
            lines += 1;
            if at - from >= size.bytes || at == bytes.len() {
                out.push(Piece { from, to: at, lines });
                (from, lines) = (at, 0);
            }
        }
        return out;
    }
    while from < bytes.len() {
        let aim = from.saturating_add(size.bytes.max(1) - 1).min(bytes.len() - 1);
        let to = memchr::memchr(b'\n', &bytes[aim..]).map_or(bytes.len(), |n| aim + n + 1);
        out.push(Piece { from, to, lines: 0 });
        from = to;
    }
    let count = |piece: &mut Piece| {
        let text = &bytes[piece.from..piece.to];
        piece.lines = memchr::memchr_iter(b'\n', text).count() + usize::from(text.last() != Some(&b'\n'));
    };
    if size.side_by_side && out.len() > 1 {
        out.par_iter_mut().for_each(count)
    } else {
        out.iter_mut().for_each(count)
    }
    out
}

/// Reads the body. Columns of words stay empty vectors. `progress` gets the bytes of the body done.
pub(crate) fn parse(
    layout: &Layout<'_>,
    pieces: &[Piece],
    size: Pieces,
    progress: &(dyn Fn(usize) + Sync),
) -> (Vec<Vec<f64>>, Met) {
    let lines: usize = pieces.iter().map(|p| p.lines).sum();
    let mut columns: Vec<Vec<f64>> =
        layout.kinds.iter().map(|k| if *k == Kind::Words { Vec::new() } else { vec![0.0; lines] }).collect();
    let mut stretches: Vec<Vec<&mut [f64]>> = pieces.iter().map(|_| Vec::with_capacity(columns.len())).collect();
    for column in &mut columns {
        let mut rest = column.as_mut_slice();
        for (piece, stretch) in pieces.iter().zip(&mut stretches) {
            let (mine, others) = rest.split_at_mut(piece.lines.min(rest.len()));
            stretch.push(mine);
            rest = others;
        }
    }
    let done = AtomicUsize::new(0);
    let work = |(piece, mut stretch): (&Piece, Vec<&mut [f64]>)| {
        let met = parse_piece(layout, *piece, &mut stretch);
        let bytes = piece.to - piece.from;
        progress(done.fetch_add(bytes, Ordering::Relaxed) + bytes);
        met
    };
    let parts: Vec<Met> = if size.side_by_side && pieces.len() > 1 {
        pieces.par_iter().zip(stretches).map(work).collect()
    } else {
        pieces.iter().zip(stretches).map(work).collect()
    };
    let kept: Vec<usize> = parts.iter().map(|m| m.rows).collect();
    let mut met = Met { columns: vec![Tally::default(); layout.kinds.len()], ..Met::default() };
    for part in parts {
        met.append(part);
    }
    let close_up = |column: &mut Vec<f64>| {
        if column.is_empty() {
            return;
        }
        let (mut from, mut to) = (0, 0);
        for (piece, rows) in pieces.iter().zip(&kept) {
            if from != to {
                column.copy_within(from..from + rows, to);
            }
            from += piece.lines;
            to += rows;
        }
        column.truncate(to);
    };
    if met.rows < lines {
        columns.par_iter_mut().for_each(close_up);
    }
    (columns, met)
}

fn parse_piece(layout: &Layout<'_>, piece: Piece, columns: &mut [&mut [f64]]) -> Met {
    let mut met = Met { columns: vec![Tally::default(); layout.kinds.len()], ..Met::default() };
    let mut faults = Vec::new();
    let mut at = piece.from;
    while at < piece.to {
        at = match fast_row(layout, at, columns, &mut met) {
            Some(next) => next,
            None => careful_row(layout, at, columns, &mut met, &mut faults),
        };
        if met.lone_return {
            break;
        }
    }
    met
}

/// Reads a row that holds only plain numbers, empty cells, clocks and words; `None` for any other.
#[inline]
fn fast_row(layout: &Layout<'_>, row_at: usize, columns: &mut [&mut [f64]], met: &mut Met) -> Option<usize> {
    const MOST_EMPTY: usize = 64;
    let (bytes, delimiter, decimal) = (layout.bytes, layout.cuts.delimiter, layout.decimal);
    let row = met.rows;
    let mut empty = [0u16; MOST_EMPTY];
    let mut empties = 0;
    let mut at = row_at;
    let last = layout.kinds.len() - 1;
    for (index, (kind, column)) in layout.kinds.iter().zip(columns.iter_mut()).enumerate() {
        match kind {
            Kind::Number => {
                let value = match number::plain(bytes, at, decimal) {
                    Some((value, end)) => {
                        at = end;
                        value
                    }
                    None => match *bytes.get(at)? {
                        byte if (byte == delimiter && index < last)
                            || (index == last && matches!(byte, b'\n' | b'\r')) =>
                        {
                            if empties == MOST_EMPTY || (index == last && last == 0) {
                                return None;
                            }
                            empty[empties] = index as u16;
                            empties += 1;
                            f64::NAN
                        }
                        b'"' => {
                            let (value, end) = number::plain(bytes, at + 1, decimal)?;
                            if bytes.get(end) != Some(&b'"') {
                                return None;
                            }
                            at = end + 1;
                            value
                        }
                        _ => return None,
                    },
                };
                column[row] = value;
            }
            Kind::Clock | Kind::Words => {
                let length = memchr::memchr3(delimiter, b'\n', b'\r', &bytes[at..])?;
                let text = &bytes[at..at + length];
                if text.is_empty() || text.contains(&b'"') {
                    return None;
                }
                if *kind == Kind::Clock {
                    let (seconds, day) = clock_value(layout, text)?;
                    column[row] = seconds;
                    met.columns[index].other_day |= day != 0;
                }
                at += length;
            }
        }
        let end = *bytes.get(at)?;
        if index < last {
            if end != delimiter {
                return None;
            }
            at += 1;
        }
    }
    let next = match bytes.get(at)? {
        b'\n' => at + 1,
        b'\r' if bytes.get(at + 1) == Some(&b'\n') => at + 2,
        _ => return None,
    };
    if empties > last {
        // Nothing in it at all: a blank line.
        return None;
    }
    for index in &empty[..empties] {
        met.columns[usize::from(*index)].empty += 1;
    }
    met.rows += 1;
    Some(next)
}

/// Seconds since midnight of the first day, and the day.
fn clock_value(layout: &Layout<'_>, text: &[u8]) -> Option<(f64, i64)> {
    let clock = clock::parse(text)?;
    let day = match clock.date {
        Some(date) => clock::day_number(date, layout.order)? - layout.base_day,
        None => 0,
    };
    Some((clock.seconds + day as f64 * 86_400.0, day))
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Fault {
    Empty,
    Marker,
    Grouped,
    Unreadable,
    OtherDay,
}

/// Reads any row, cell by cell, and counts what is not as it should be.
fn careful_row(
    layout: &Layout<'_>,
    at: usize,
    columns: &mut [&mut [f64]],
    met: &mut Met,
    faults: &mut Vec<(usize, Fault)>,
) -> usize {
    let bytes = layout.bytes;
    let (end, next) = rows::row_end(bytes, at, layout.cuts);
    let line = &bytes[at..end];
    if memchr::memchr_iter(b'\r', line).any(|n| bytes.get(at + n + 1) != Some(&b'\n')) {
        met.lone_return = true;
        return next;
    }
    let trimmed = line.trim_ascii();
    if trimmed.iter().all(|b| *b == layout.cuts.delimiter || matches!(b, b' ' | b'\t' | b'"')) {
        met.blank += 1;
        return next;
    }
    let place = Place { row: met.rows, at };
    if layout.header.iter().any(|header| header == trimmed) {
        met.headers.push(place);
        return next;
    }
    faults.clear();
    let row = met.rows;
    let n = layout.kinds.len();
    let (mut numbers, mut words, mut digit_first, mut extra) = (0, 0, false, false);
    let mut count = 0;
    for (index, raw) in rows::cells(bytes, at, end, layout.cuts).enumerate() {
        count += 1;
        let text = cell::unquote(raw);
        if index >= n {
            extra |= !cell::trim(&text).is_empty();
            continue;
        }
        let value = match layout.kinds[index] {
            Kind::Words => continue,
            Kind::Clock => match clock_value(layout, cell::trim(&text)) {
                Some((seconds, day)) => {
                    if day != 0 {
                        faults.push((index, Fault::OtherDay));
                    }
                    Cell::Number(seconds)
                }
                None => match cell::read(&text, layout.decimal) {
                    Cell::Number(_) | Cell::Grouped(_) => Cell::Text,
                    other => other,
                },
            },
            Kind::Number => cell::read(&text, layout.decimal),
        };
        columns[index][row] = match value {
            Cell::Number(value) => {
                numbers += 1;
                value
            }
            Cell::Grouped(value) => {
                numbers += 1;
                faults.push((index, Fault::Grouped));
                value
            }
            Cell::Empty => {
                faults.push((index, Fault::Empty));
                f64::NAN
            }
            Cell::Marker => {
                faults.push((index, Fault::Marker));
                f64::NAN
            }
            Cell::Text => {
                words += 1;
                digit_first |= cell::trim(&text).first().is_some_and(u8::is_ascii_digit);
                faults.push((index, Fault::Unreadable));
                f64::from_bits(UNREADABLE)
            }
        };
    }
    if next == bytes.len() && bytes.last() != Some(&b'\n') && count < n && at > layout.body {
        met.torn_end = Some(place);
        return next;
    }
    if numbers == 0 && words > 0 && (!digit_first || trimmed.starts_with(b"#")) {
        let names_many = words >= 2 && words * 2 >= n;
        let list = if names_many && !trimmed.starts_with(b"#") { &mut met.other_header } else { &mut met.remarks };
        list.add(place);
        return next;
    }
    for (index, fault) in faults.iter() {
        let tally = &mut met.columns[*index];
        match fault {
            Fault::Empty => tally.empty += 1,
            Fault::Marker => tally.markers.add(place),
            Fault::Grouped => tally.grouped.add(place),
            Fault::Unreadable => tally.unreadable.add(place),
            Fault::OtherDay => tally.other_day = true,
        }
    }
    for index in count..n {
        if layout.kinds[index] != Kind::Words {
            columns[index][row] = f64::NAN;
            met.columns[index].empty += 1;
        }
    }
    if count < n {
        met.short.add(place);
    }
    if extra {
        met.long.add(place);
        met.long_rows.push(row);
    }
    met.quoted_breaks += usize::from(memchr::memchr(b'\n', line).is_some());
    met.rows += 1;
    next
}

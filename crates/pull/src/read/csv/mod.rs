//! CSV as dyno cells write it.
//!
//! First the form is concluded from samples ([`sniff`]), then the lines above the numbers are read
//! ([`header`]), then the rows ([`parse`], in pieces side by side), and last everything met on the way
//! is put into problems ([`problems`]). Time as clock text becomes seconds; everything else stays as
//! written. Left out: fixed-width tables, spaces as delimiter, several tables side by side.
//!
//! Cost sketched beforehand: 3 ns a cell on one processor, about 60 ms for a million rows of twenty
//! columns on one of two; `benches/read.rs` and `tools/bench_polars.py` measure it.

mod cell;
pub mod clock;
mod header;
mod number;
mod parse;
mod problems;
mod rows;
mod sniff;
mod text;

use super::{Progress, ReadError, ReadHints};
use crate::log::{RawColumn, RawGroup, RawLog};
use clock::DateOrder;
use parse::{Kind, Layout, Met, Pieces, UNREADABLE};
use sniff::Sniffed;
use text::Text;

/// Columns read at most; a dyno log has up to a few hundred.
pub const MOST_COLUMNS: usize = 2000;

/// Name of the column that numbers the parts of a file which holds several logs one after another.
pub const SEGMENT: &str = "(segment)";

/// Reads a CSV log.
///
/// # Errors
/// [`ReadError`] where nothing can be read.
pub fn read(
    name: &str,
    bytes: &[u8],
    hints: &ReadHints,
    progress: &(dyn Fn(Progress) + Sync),
) -> Result<RawLog, ReadError> {
    read_in_pieces(name, bytes, hints, progress, Pieces::default())
}

/// Reads a CSV log on one processor, in pieces of `piece_bytes`; for tests that show that the result
/// does not depend on how the work is cut up.
///
/// # Errors
/// As [`read`].
#[doc(hidden)]
pub fn read_serially(name: &str, bytes: &[u8], hints: &ReadHints, piece_bytes: usize) -> Result<RawLog, ReadError> {
    read_in_pieces(name, bytes, hints, &|_| {}, Pieces { bytes: piece_bytes.max(1), side_by_side: false })
}

fn read_in_pieces(
    name: &str,
    raw: &[u8],
    hints: &ReadHints,
    progress: &(dyn Fn(Progress) + Sync),
    size: Pieces,
) -> Result<RawLog, ReadError> {
    if raw.iter().all(|b| b.is_ascii_whitespace() || *b == 0) {
        return Err(ReadError::Empty { bytes: raw.len() });
    }
    if let Some(found) = text::known_binary(raw) {
        return Err(ReadError::Binary { found: found.to_owned() });
    }
    let mut text = text::prepare(raw);
    let head = &text.bytes[..text.bytes.len().min(4096)];
    let control = head.iter().filter(|b| **b < 32 && !b.is_ascii_whitespace() && **b != 0x1A).count();
    if control * 20 > head.len() {
        return Err(ReadError::Binary { found: "no text: it is full of control characters".to_owned() });
    }
    if memchr::memchr(b'\n', head).is_none() && memchr::memchr(b'\r', head).is_some() {
        text = text.with_line_feeds();
    }
    loop {
        match read_text(name, raw.len(), &text, hints, progress, size)? {
            Some(log) => return Ok(log),
            None => text = text.with_line_feeds(),
        }
    }
}

/// Reads prepared text; `None` if lone carriage returns must be turned into line feeds first.
fn read_text(
    name: &str,
    total: usize,
    text: &Text<'_>,
    hints: &ReadHints,
    progress: &(dyn Fn(Progress) + Sync),
    size: Pieces,
) -> Result<Option<RawLog>, ReadError> {
    let bytes: &[u8] = &text.bytes;
    let sniffed = sniff::sniff(bytes, hints.decimal.map(|c| c as u8));
    let header = header::read(text, &sniffed);
    let Some(first) = sniffed.first_data else {
        return Err(no_table(text, &sniffed));
    };
    let n = header.columns.len();
    if n > MOST_COLUMNS {
        return Err(ReadError::TooManyColumns { found: n, most: MOST_COLUMNS });
    }
    comma_twice(text, &sniffed, &header)?;

    let kinds = kinds(&sniffed, n);
    let dates: Vec<clock::RawDate> = dates(&sniffed, &kinds);
    let orders = clock::possible_orders(&dates);
    let order = hints.date_order.or(orders.first().copied()).unwrap_or(DateOrder::Ymd);
    let base_day = dates.first().and_then(|date| clock::day_number(*date, order)).unwrap_or(0);
    let layout = Layout {
        bytes,
        body: sniffed.head[first].at,
        cuts: sniffed.cuts,
        decimal: sniffed.decimal,
        kinds: &kinds,
        header: &header.lines,
        order,
        base_day,
    };
    let pieces = parse::pieces(&layout, size);
    let lines: usize = pieces.iter().map(|p| p.lines()).sum();
    // A row of n cells takes n bytes at least; a table that would need far more is none.
    if lines.saturating_mul(n) > bytes.len().saturating_mul(4).saturating_add(1 << 20) {
        return Err(ReadError::Ragged { names: n, cells: sniffed.width });
    }
    let body_start = total.saturating_sub(bytes.len() - layout.body);
    let report = |done: usize| progress(Progress { done: (body_start + done).min(total), total });
    let (mut columns, mut met) = parse::parse(&layout, &pieces, size, &report);
    if met.lone_return {
        return Ok(None);
    }
    if met.rows == 0 {
        return Err(no_table(text, &sniffed));
    }
    let rows_found = met.rows + usize::from(met.torn_end.is_some());
    let mut facts = header.facts.clone();
    let mut list = problems::Problems::new(name, text, &layout, &header, &met);
    list.about_the_form(&sniffed, &kinds);
    if orders.len() > 1 && hints.date_order.is_none() && met.columns.iter().any(|c| c.other_day) {
        list.date_order_open(&dates, &orders);
    }
    list.about_the_rows(hints, &mut facts);
    list.about_the_cells(hints, &columns);
    let problems = list.done();

    let drop = if hints.leave_out_bad_rows { bad_rows(&header, &kinds, hints, &columns, &met) } else { Vec::new() };
    settle_marks(&mut columns, &met, &drop);
    let rows = met.rows - drop.len();
    drop_from(&mut met, &drop);
    let time_column = clock_columns(&mut columns, &kinds, text, &layout, &header, &mut facts);
    let segments = segment_column(&met, rows);
    let columns = header.columns.iter().zip(columns).zip(kinds.iter().zip(&met.columns)).map(
        |(((name, unit), values), (kind, tally))| RawColumn {
            name: name.clone(),
            unit_text: if *kind == Kind::Clock { Some("s".to_owned()) } else { unit.clone() },
            values: if *kind == Kind::Words { vec![f64::NAN; rows] } else { values },
            missing: tally.empty + tally.markers.count,
            unreadable: tally.unreadable.count,
        },
    );
    // Columns without a name and without a value come from delimiters at the line ends.
    let kept: Vec<(usize, RawColumn)> = columns
        .enumerate()
        .filter(|(at, c)| {
            !(problems::nameless(&header, *at) && c.values.iter().all(|v| v.is_nan()) && c.unreadable == 0)
        })
        .collect();
    let time_column = time_column.and_then(|at| kept.iter().position(|(old, _)| *old == at));
    let mut columns: Vec<RawColumn> = kept.into_iter().map(|(_, c)| c).collect();
    columns.extend(segments);
    let group = RawGroup { rows, rows_found, columns, time_column };
    let dialect = dialect(text, &sniffed);
    Ok(Some(RawLog { name: name.to_owned(), dialect, facts, groups: vec![group], problems }))
}

/// Rows that hold an unreadable cell or too many cells, in order.
fn bad_rows(header: &header::Header, kinds: &[Kind], hints: &ReadHints, columns: &[Vec<f64>], met: &Met) -> Vec<usize> {
    let mut bad = std::collections::BTreeSet::new();
    for (at, column) in columns.iter().enumerate() {
        if kinds[at] != Kind::Words && problems::stops(header, hints, met, at) {
            bad.extend(column.iter().enumerate().filter(|(_, v)| v.to_bits() == UNREADABLE).map(|(row, _)| row));
        }
    }
    bad.extend(&met.long_rows);
    bad.into_iter().collect()
}

/// Takes rows out and turns marked cells into plain NaN.
fn settle_marks(columns: &mut [Vec<f64>], met: &Met, drop: &[usize]) {
    for (column, tally) in columns.iter_mut().zip(&met.columns) {
        if !drop.is_empty() && !column.is_empty() {
            let (mut next, mut row) = (drop.iter().peekable(), 0);
            column.retain(|_| {
                let out = next.next_if(|dropped| **dropped == row).is_some();
                row += 1;
                !out
            });
        }
        if tally.unreadable.count > 0 {
            column.iter_mut().filter(|v| v.is_nan()).for_each(|v| *v = f64::NAN);
        }
    }
}

/// Moves the starts of the parts up by the rows that were left out before them.
fn drop_from(met: &mut Met, drop: &[usize]) {
    for place in &mut met.headers {
        place.row -= drop.partition_point(|row| *row < place.row);
    }
}

/// Turns clock columns into seconds from the first row, across midnight, and returns the first of them.
fn clock_columns(
    columns: &mut [Vec<f64>],
    kinds: &[Kind],
    text: &Text<'_>,
    layout: &Layout<'_>,
    header: &header::Header,
    facts: &mut Vec<(String, String)>,
) -> Option<usize> {
    let mut first = None;
    for (at, column) in columns.iter_mut().enumerate().filter(|(at, _)| kinds[*at] == Kind::Clock) {
        let mut day = 0.0;
        let mut before = f64::NEG_INFINITY;
        for value in column.iter_mut().filter(|v| !v.is_nan()) {
            let written = *value;
            if written + day < before - 43_200.0 {
                day += 86_400.0;
            }
            *value = written + day;
            before = *value;
        }
        if let Some(start) = column.iter().copied().find(|v| !v.is_nan()) {
            column.iter_mut().for_each(|v| *v -= start);
            let (end, _) = rows::row_end(layout.bytes, layout.body, layout.cuts);
            if let Some(cell) = rows::cells(layout.bytes, layout.body, end, layout.cuts).nth(at) {
                facts.push((format!("{} begins at", header.columns[at].0), text.decode(&cell::unquote(cell))));
            }
        }
        first.get_or_insert(at);
    }
    first
}

/// The part that each row belongs to, when the header stands again further down.
fn segment_column(met: &Met, rows: usize) -> Option<RawColumn> {
    let mut starts: Vec<usize> = met.headers.iter().map(|p| p.row).filter(|row| *row > 0 && *row < rows).collect();
    starts.dedup();
    if starts.is_empty() {
        return None;
    }
    let values = (0..rows).map(|row| starts.partition_point(|start| *start <= row) as f64 + 1.0).collect();
    Some(RawColumn { name: SEGMENT.to_owned(), unit_text: Some("-".to_owned()), values, missing: 0, unreadable: 0 })
}

/// What each column holds, by the samples.
fn kinds(sniffed: &Sniffed<'_>, n: usize) -> Vec<Kind> {
    (0..n)
        .map(|at| {
            let (mut clocks, mut numbers, mut words) = (0, 0, 0);
            for row in &sniffed.data {
                let Some(raw) = row.cells.get(at) else { continue };
                let text = cell::unquote(raw);
                match cell::read(&text, sniffed.decimal) {
                    cell::Cell::Number(_) | cell::Cell::Grouped(_) => numbers += 1,
                    cell::Cell::Text if clock::parse(cell::trim(&text)).is_some() => clocks += 1,
                    cell::Cell::Text if cell::looks_like_number(&text) && clock::parse_date(&text).is_none() => {
                        numbers += 1
                    }
                    cell::Cell::Text => words += 1,
                    cell::Cell::Empty | cell::Cell::Marker => {}
                }
            }
            if clocks > 0 && clocks >= numbers + words {
                Kind::Clock
            } else if numbers == 0 && words > 1 {
                Kind::Words
            } else {
                Kind::Number
            }
        })
        .collect()
}

/// The dates in the samples of the clock columns, each once.
fn dates(sniffed: &Sniffed<'_>, kinds: &[Kind]) -> Vec<clock::RawDate> {
    let mut out = Vec::new();
    for row in &sniffed.data {
        for (at, _) in kinds.iter().enumerate().filter(|(_, k)| **k == Kind::Clock) {
            let date = row.cells.get(at).and_then(|raw| clock::parse(&cell::unquote(raw))).and_then(|c| c.date);
            if let Some(date) = date
                && !out.contains(&date)
            {
                out.push(date);
            }
        }
    }
    out
}

/// Refuses rows in which the comma is both delimiter and decimal mark: about twice as many cells as names.
fn comma_twice(text: &Text<'_>, sniffed: &Sniffed<'_>, header: &header::Header) -> Result<(), ReadError> {
    if sniffed.cuts.delimiter != b',' || sniffed.decimal != b'.' {
        return Ok(());
    }
    let above = &sniffed.head[..sniffed.first_data.unwrap_or(0)];
    let Some(names) = above.iter().rev().map(|row| row.cells.len()).find(|n| *n > 1) else { return Ok(()) };
    let row = &sniffed.head[sniffed.first_data.unwrap_or(0)];
    let cells = row.cells.len();
    let whole = row.cells.iter().all(|c| {
        let c = cell::trim(c);
        !c.is_empty() && c.iter().all(|b| b.is_ascii_digit() || matches!(b, b'-' | b'+'))
    });
    if whole && cells > names && cells <= 2 * names && (cells == 2 * names || header.unnamed || cells * 2 > names * 3) {
        return Err(ReadError::CommaTwice {
            names,
            cells,
            row: problems::shortened(&text.decode(&text.bytes[row.at..row.end])),
            line: problems::line_of(&text.bytes, row.at),
        });
    }
    Ok(())
}

fn no_table(text: &Text<'_>, sniffed: &Sniffed<'_>) -> ReadError {
    let bytes: &[u8] = &text.bytes;
    let lines = memchr::memchr_iter(b'\n', bytes).count() + usize::from(bytes.last() != Some(&b'\n'));
    let shown =
        |row: &sniff::SampleRow<'_>| problems::shortened(&text.decode(&bytes[row.at..row.end.min(row.at + 400)]));
    let first_line = sniffed.head.iter().map(shown).find(|line| !line.is_empty()).unwrap_or_default();
    // A header without rows: the last line, cut by the delimiter that gives the most names of channels.
    let last = sniffed.head.iter().rev().find(|row| !bytes[row.at..row.end].trim_ascii().is_empty());
    if let Some(last) = last {
        let line = text.decode(&bytes[last.at..last.end.min(last.at + 4096)]);
        for delimiter in [';', '\t', ',', '|'] {
            let names: Vec<String> = line.split(delimiter).map(|n| n.trim().trim_matches('"').to_owned()).collect();
            let known = names.iter().filter(|name| super::assign::is_channel_word(name)).count();
            if names.len() > 1 && known > 0 && known * 2 >= names.len() {
                return ReadError::NoRows { names, line: problems::line_of(bytes, last.at) };
            }
        }
    }
    ReadError::NoTable { lines, first_line }
}

/// The form in words: "CSV, semicolons, decimal comma, Windows-1252".
fn dialect(text: &Text<'_>, sniffed: &Sniffed<'_>) -> String {
    let delimiter = match sniffed.cuts.delimiter {
        b',' => "commas",
        b';' => "semicolons",
        b'\t' => "tabs",
        b'|' => "bars",
        b'\n' => "one column",
        _ => "a stated delimiter",
    };
    let decimal = if sniffed.decimal == b',' { "decimal comma" } else { "decimal point" };
    format!("CSV, {delimiter}, {decimal}, {}", text.words)
}

//! What was met while reading, in words.
//!
//! Rows are named by the line of the file, as an editor shows it. Each problem says where, what was
//! found, what was expected, what happened to the data and what to do next.

use super::cell;
use super::clock::{self, DateOrder};
use super::header::Header;
use super::parse::{Kind, Layout, Met, Place, Seen, UNREADABLE};
use super::rows;
use super::sniff::Sniffed;
use super::text::Text;
use crate::log::{Problem, Severity};
use crate::read::ReadHints;

/// Remark lines that are kept as facts.
const MOST_REMARKS: usize = 8;

/// Builds the list of problems.
pub(crate) struct Problems<'a> {
    file: &'a str,
    text: &'a Text<'a>,
    layout: &'a Layout<'a>,
    header: &'a Header,
    met: &'a Met,
    list: Vec<Problem>,
    /// Lines before each block of [`BLOCK`] bytes, made when first asked for.
    blocks: Vec<usize>,
}

const BLOCK: usize = 1 << 16;

/// The line of a byte, from 1.
pub(crate) fn line_of(bytes: &[u8], at: usize) -> usize {
    1 + memchr::memchr_iter(b'\n', &bytes[..at]).count()
}

/// A text cut to 60 characters.
pub(crate) fn shortened(text: &str) -> String {
    let mut out: String = text.chars().take(60).collect();
    if out.len() < text.len() {
        out.push('…');
    }
    out
}

/// Whether a column has neither a name nor a unit of its own.
pub(crate) fn nameless(header: &Header, at: usize) -> bool {
    let (name, unit) = &header.columns[at];
    !header.unnamed && unit.is_none() && *name == format!("column {}", at + 1)
}

/// Whether unreadable cells of a column stop the log: not in columns of words or of no interest.
pub(crate) fn stops(header: &Header, hints: &ReadHints, met: &Met, at: usize) -> bool {
    let tally = &met.columns[at];
    let numbers = met.rows.saturating_sub(tally.empty + tally.markers.count + tally.unreadable.count);
    tally.unreadable.count > 0 && numbers > 0 && !hints.ignored.contains(&header.columns[at].0)
}

fn plural(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

/// "3 cells of the column "X" are".
fn plural_of(n: usize, one: &str, many: &str, column: &str, verb: &str, verbs: &str) -> String {
    let (noun, verb) = if n == 1 { (one, verb) } else { (many, verbs) };
    format!("{n} {noun} of the {column} {verb}")
}

impl<'a> Problems<'a> {
    pub(crate) fn new(
        file: &'a str,
        text: &'a Text<'a>,
        layout: &'a Layout<'a>,
        header: &'a Header,
        met: &'a Met,
    ) -> Self {
        Self { file, text, layout, header, met, list: Vec::new(), blocks: Vec::new() }
    }

    /// The finished list: what stops first, then losses, then notes; each in the order found.
    pub(crate) fn done(mut self) -> Vec<Problem> {
        self.list.sort_by_key(|p| std::cmp::Reverse(p.severity));
        self.list
    }

    fn line(&mut self, at: usize) -> usize {
        let bytes = self.layout.bytes;
        if self.blocks.is_empty() {
            let mut sum = 1;
            for block in bytes.chunks(BLOCK) {
                self.blocks.push(sum);
                sum += memchr::memchr_iter(b'\n', block).count();
            }
        }
        let block = at / BLOCK;
        let before = self.blocks.get(block).copied().unwrap_or(1);
        before + memchr::memchr_iter(b'\n', &bytes[(block * BLOCK).min(at)..at]).count()
    }

    /// "row 12" or "rows 12, 15 and 3 more".
    fn rows(&mut self, seen: &Seen) -> String {
        let lines: Vec<String> = seen.first.iter().map(|p| self.line(p.at).to_string()).collect();
        let more = seen.count - lines.len();
        let word = if seen.count == 1 { "row" } else { "rows" };
        match more {
            0 => format!("{word} {}", lines.join(", ")),
            _ => format!("{word} {} and {more} more", lines.join(", ")),
        }
    }

    fn column(&self, at: usize) -> String {
        match &self.header.columns[at] {
            (name, Some(unit)) if unit != "-" => format!("column \"{name}\" ({unit})"),
            (name, _) => format!("column \"{name}\""),
        }
    }

    fn cell(&self, row_at: usize, column: usize) -> String {
        let (end, _) = rows::row_end(self.layout.bytes, row_at, self.layout.cuts);
        let raw = rows::cells(self.layout.bytes, row_at, end, self.layout.cuts).nth(column).unwrap_or_default();
        shortened(&self.text.decode(&cell::unquote(&raw[..raw.len().min(400)])))
    }

    fn line_text(&self, row_at: usize) -> String {
        let (end, _) = rows::row_end(self.layout.bytes, row_at, self.layout.cuts);
        shortened(&self.text.decode(&self.layout.bytes[row_at..end.min(row_at + 400)]))
    }

    fn add(&mut self, severity: Severity, code: &str, what: impl Into<String>, count: usize) -> &mut Problem {
        self.list.push(Problem {
            severity,
            code: code.to_owned(),
            what: what.into(),
            place: None,
            found: None,
            expected: None,
            effect: None,
            next: None,
            count,
        });
        self.list.last_mut().expect("just pushed")
    }

    /// Encoding, filler, header, decimal mark.
    pub(crate) fn about_the_form(&mut self, sniffed: &Sniffed<'_>, kinds: &[Kind]) {
        if let Some(example) = &sniffed.decimal_open {
            let (mark, word, other) = if sniffed.decimal == b',' { (',', "comma", '.') } else { ('.', "point", ',') };
            let digits = example.replace([',', '.'], "");
            let p = self.add(
                Severity::Stop,
                "decimal_open",
                format!("The {word} in the numbers can be a decimal mark or a thousands mark."),
                1,
            );
            p.found = Some(format!("`{example}`, and no number in the samples that settles it"));
            p.expected = Some("one number with other than three digits behind the mark".to_owned());
            p.effect =
                Some(format!("for now read with `{mark}` as decimal mark; `{example}` would be {digits} otherwise"));
            p.next = Some(format!("say which it is: --decimal {mark} or --decimal {other}"));
        }
        if self.text.concluded {
            let words = self.text.words;
            let p = self.add(
                Severity::Note,
                "encoding_concluded",
                format!("The names are read as {words}; the file does not say so itself."),
                1,
            );
            p.next = Some("if a name looks wrong, save the file as UTF-8".to_owned());
        }
        if self.text.undecoded {
            let p = self.add(Severity::Loss, "undecoded", "Some characters cannot be decoded.", 1);
            p.effect = Some("each is shown as \u{FFFD}".to_owned());
        }
        if self.text.filler > 0 {
            let n = self.text.filler;
            let p = self.add(
                Severity::Loss,
                "filler_at_end",
                format!("The file ends with {}.", plural(n, "byte of zero", "bytes of zero")),
                1,
            );
            p.expected = Some("text up to the end".to_owned());
            p.effect = Some("they are passed over; rows that were to stand there are missing".to_owned());
            p.next = Some("the writer was interrupted: see whether the dyno still has the whole log".to_owned());
        }
        if self.header.unnamed {
            let p = self.add(Severity::Note, "header_missing", "No line names the columns.", 1);
            p.effect = Some("they are called \"column 1\", \"column 2\" and so on".to_owned());
            p.next = Some("say what they are, for example --role \"column 1=time\"".to_owned());
        } else {
            let nameless_filled: Vec<usize> = (0..kinds.len())
                .filter(|at| nameless(self.header, *at) && self.met.columns[*at].empty < self.met.rows)
                .collect();
            if !nameless_filled.is_empty() {
                let names: Vec<String> = nameless_filled.iter().map(|at| format!("\"column {}\"", at + 1)).collect();
                let p = self.add(
                    Severity::Note,
                    "column_unnamed",
                    format!("{} without a name.", plural(names.len(), "column is", "columns are")),
                    names.len(),
                );
                p.effect = Some(format!("called {}", names.join(", ")));
            }
        }
        for name in self.header.repeated.clone() {
            let p = self.add(Severity::Note, "name_repeated", format!("More than one column is called \"{name}\"."), 1);
            p.effect = Some(format!("the later ones are called \"{name} (2)\" and so on"));
        }
        if kinds.len() == 1 {
            let found = format!("no comma, semicolon, tab or bar that cuts the rows of {} alike", self.file);
            let p = self.add(Severity::Note, "single_column", "The table has one column.", 1);
            p.found = Some(found);
        }
        let (unclosed, first) = sniffed.unclosed;
        if let Some(at) = first {
            let line = self.line(at);
            let what = format!("{} opened and never closed.", plural(unclosed, "quote is", "quotes are"));
            let p = self.add(Severity::Note, "quote_unclosed", what, unclosed);
            p.place = Some(format!("row {line}"));
            p.effect = Some("it is taken as a character of the cell".to_owned());
        }
    }

    /// Dates that can be read in two ways in a log that runs over more than one day.
    pub(crate) fn date_order_open(&mut self, dates: &[clock::RawDate], orders: &[DateOrder]) {
        let shown = dates.iter().take(2).map(|[a, b, c]| format!("{a}/{b}/{c}")).collect::<Vec<_>>().join(" and ");
        let keys: Vec<String> = orders.iter().map(|o| format!("--date-order {}", o.key())).collect();
        let p = self.add(
            Severity::Stop,
            "date_order_open",
            "The dates change within the log and can be read in more than one order.",
            1,
        );
        p.found = Some(shown);
        p.expected = Some("dates with only one reading, such as 2026-04-08".to_owned());
        p.next = Some(format!("say which it is: {}", keys.join(" or ")));
    }

    /// Rows that are no plain rows.
    pub(crate) fn about_the_rows(&mut self, hints: &ReadHints, facts: &mut Vec<(String, String)>) {
        let met = self.met;
        if met.other_header.count > 0 {
            let place = self.rows(&met.other_header);
            let text = self.line_text(met.other_header.first[0].at);
            let p = self.add(
                Severity::Stop,
                "other_header",
                "A line of names that differ from the header stands among the numbers.",
                met.other_header.count,
            );
            p.place = Some(place);
            p.found = Some(format!("`{text}`"));
            p.expected = Some("the same header again, or numbers".to_owned());
            p.effect =
                Some("the rows after it are read by the first header and may be in the wrong columns".to_owned());
            p.next = Some("cut the file in two before this line and read each part".to_owned());
        }
        if met.long.count > 0 {
            let place = self.rows(&met.long);
            let text = self.line_text(met.long.first[0].at);
            let n = met.long.count;
            let severity = if hints.leave_out_bad_rows { Severity::Loss } else { Severity::Stop };
            let columns = self.header.columns.len();
            let rows = met.rows;
            let p = self.add(
                severity,
                "row_too_long",
                format!("{} more cells than there are columns.", plural(n, "row has", "rows have")),
                n,
            );
            p.place = Some(place);
            p.found = Some(format!("`{text}`"));
            p.expected = Some(plural(columns, "cell", "cells"));
            left_out(p, hints, n, rows, "rows");
        }
        if met.short.count > 0 {
            let place = self.rows(&met.short);
            let text = self.line_text(met.short.first[0].at);
            let n = met.short.count;
            let columns = self.header.columns.len();
            let p = self.add(
                Severity::Loss,
                "row_too_short",
                format!("{} fewer cells than there are columns.", plural(n, "row has", "rows have")),
                n,
            );
            p.place = Some(place);
            p.found = Some(format!("`{text}`"));
            p.expected = Some(plural(columns, "cell", "cells"));
            p.effect = Some("the missing cells at the end are left empty".to_owned());
        }
        if let Some(place) = met.torn_end {
            let line = self.line(place.at);
            let text = self.line_text(place.at);
            let p = self.add(Severity::Loss, "torn_end", "The file ends in the middle of a row.", 1);
            p.place = Some(format!("row {line}, the last"));
            p.found = Some(format!("`{text}`"));
            p.effect = Some("the row is left out".to_owned());
            p.next = Some("the writer may not have finished: see whether the dyno still has the whole log".to_owned());
        }
        if !met.headers.is_empty() {
            let seen = Seen { count: met.headers.len(), first: met.headers.iter().copied().take(8).collect() };
            let place = self.rows(&seen);
            for (n, at) in starts(&met.headers).into_iter().enumerate() {
                let line = self.line(at.at);
                facts.push((format!("part {} begins at row", n + 2), line.to_string()));
            }
            let p = self.add(Severity::Note, "header_again", "The header stands again among the numbers.", seen.count);
            p.place = Some(place);
            p.effect = Some("each time a new part begins; no pull is joined across it".to_owned());
        }
        if met.remarks.count > 0 {
            let place = self.rows(&met.remarks);
            for at in met.remarks.first.iter().take(MOST_REMARKS) {
                let line = self.line(at.at);
                facts.push((format!("row {line}"), self.line_text(at.at)));
            }
            let text = self.line_text(met.remarks.first[0].at);
            let n = met.remarks.count;
            let p = self.add(
                Severity::Note,
                "remark_lines",
                format!(
                    "{} words and no number.",
                    plural(n, "line among the numbers holds", "lines among the numbers hold")
                ),
                n,
            );
            p.place = Some(place);
            p.found = Some(format!("`{text}`"));
            p.effect = Some("kept as a remark, not as a row".to_owned());
        }
        if met.blank > 0 {
            let p = self.add(
                Severity::Note,
                "blank_lines",
                format!("{} among the numbers.", plural(met.blank, "blank line", "blank lines")),
                met.blank,
            );
            p.effect = Some("passed over".to_owned());
        }
        if met.quoted_breaks > 0 {
            self.add(
                Severity::Note,
                "quoted_line_breaks",
                format!("{} a line break inside quotes.", plural(met.quoted_breaks, "row has", "rows have")),
                met.quoted_breaks,
            );
        }
    }

    /// Cells that are no plain numbers.
    pub(crate) fn about_the_cells(&mut self, hints: &ReadHints, columns: &[Vec<f64>]) {
        let met = self.met;
        for at in 0..self.header.columns.len() {
            let tally = &met.columns[at];
            let column = self.column(at);
            if self.layout.kinds[at] == Kind::Words {
                let p = self.add(
                    Severity::Note,
                    "words_column",
                    format!("The {column} holds words or dates, not numbers."),
                    1,
                );
                p.effect = Some("it is not read".to_owned());
                continue;
            }
            if tally.unreadable.count > 0 {
                self.unreadable(hints, at, columns);
            }
            if tally.markers.count > 0 {
                let n = tally.markers.count;
                let shown = self.cell(tally.markers.first[0].at, at);
                let rows = self.rows(&tally.markers);
                let p = self.add(
                    Severity::Loss,
                    "marker_cells",
                    format!("{} a sign for \"no value\".", plural_of(n, "cell", "cells", &column, "holds", "hold")),
                    n,
                );
                p.place = Some(rows);
                p.found = Some(format!("`{shown}`"));
                p.effect = Some("they are left empty".to_owned());
            }
            if tally.grouped.count > 0 {
                let n = tally.grouped.count;
                let shown = self.cell(tally.grouped.first[0].at, at);
                let value = columns[at].get(tally.grouped.first[0].row).copied().unwrap_or(f64::NAN);
                let p = self.add(
                    Severity::Note,
                    "thousands_marks",
                    format!(
                        "{} written with thousands marks.",
                        plural_of(n, "number", "numbers", &column, "is", "are")
                    ),
                    n,
                );
                p.found = Some(format!("`{shown}`, read as {value}"));
            }
            let gaps = tally.empty + tally.markers.count;
            if gaps >= met.rows {
                if !nameless(self.header, at) {
                    let p =
                        self.add(Severity::Note, "empty_column", format!("The {column} holds no number at all."), 1);
                    p.next = Some("see whether the sensor was connected".to_owned());
                }
            } else if tally.empty > 0 {
                let n = tally.empty;
                self.add(
                    Severity::Note,
                    "empty_cells",
                    format!("{} empty, of {}.", plural_of(n, "cell", "cells", &column, "is", "are"), met.rows),
                    n,
                );
            }
            if met.rows > 9 && gaps + tally.unreadable.count < met.rows {
                let mut values = columns[at].iter().filter(|v| !v.is_nan());
                let first = values.next().copied().unwrap_or(f64::NAN);
                if values.all(|v| *v == first) && met.rows - gaps > 1 {
                    let p = self.add(
                        Severity::Note,
                        "constant_column",
                        format!("The {column} holds {first} from the first row to the last."),
                        1,
                    );
                    p.next = Some("a set value, or a sensor that is stuck or not connected".to_owned());
                }
            }
        }
    }

    fn unreadable(&mut self, hints: &ReadHints, at: usize, columns: &[Vec<f64>]) {
        let seen = &self.met.columns[at].unreadable;
        let first = seen.first[0];
        let column = self.column(at);
        let text = self.cell(first.at, at);
        if !stops(self.header, hints, self.met, at) {
            let words = self.met.columns[at].unreadable.count;
            let p = self.add(
                Severity::Note,
                "words_in_column",
                format!("{} words.", plural_of(words, "cell", "cells", &column, "holds", "hold")),
                words,
            );
            p.found = Some(format!("`{text}`"));
            p.effect = Some("left empty".to_owned());
            return;
        }
        let decimal = char::from(self.layout.decimal);
        let wrong = if self.layout.kinds[at] == Kind::Clock {
            "no clock time".to_owned()
        } else {
            cell::what_is_wrong(&text, decimal)
        };
        let around = self.around(first, at, columns);
        let line = self.line(first.at);
        let others = Seen { count: seen.count - 1, first: seen.first[1..].to_vec() };
        let also = match others.count {
            0 => String::new(),
            1 => format!("; 1 more like it: {}", self.rows(&others)),
            n => format!("; {n} more like it: {}", self.rows(&others)),
        };
        let (n, rows) = (seen.count, self.met.rows);
        let severity = if hints.leave_out_bad_rows { Severity::Loss } else { Severity::Stop };
        let expected = match (self.layout.kinds[at], decimal) {
            (Kind::Clock, _) => "a time such as 12:30:05.25",
            (_, ',') => "a number with a decimal comma, an empty cell or a sign for \"no value\"",
            _ => "a number with a decimal point, an empty cell or a sign for \"no value\"",
        };
        let p = self.add(
            severity,
            "text_in_number",
            format!("{} of the {column} cannot be read as a number.", plural(n, "cell", "cells")),
            n,
        );
        p.place = Some(format!("row {line}, {column}{also}"));
        p.found = Some(format!("`{text}`: {wrong}{around}"));
        p.expected = Some(expected.to_owned());
        left_out(p, hints, n, rows, "cells");
    }

    /// The same column in the rows before and after.
    fn around(&mut self, place: Place, at: usize, columns: &[Vec<f64>]) -> String {
        let mut out = Vec::new();
        let value = |row: Option<usize>| {
            row.and_then(|row| columns[at].get(row)).filter(|v| v.to_bits() != UNREADABLE && !v.is_nan()).copied()
        };
        if let Some(v) = value(place.row.checked_sub(1)) {
            out.push(format!("{v} before"));
        }
        if let Some(v) = value(Some(place.row + 1)) {
            out.push(format!("{v} after"));
        }
        if out.is_empty() || self.layout.kinds[at] == Kind::Clock {
            String::new()
        } else {
            format!(" ({})", out.join(", "))
        }
    }
}

/// Places where a new part begins: a header over two lines counts once, one before the first row not.
fn starts(headers: &[Place]) -> Vec<Place> {
    let mut out: Vec<Place> = Vec::new();
    for place in headers.iter().filter(|p| p.row > 0) {
        if out.last().is_none_or(|last| last.row != place.row) {
            out.push(*place);
        }
    }
    out
}

fn left_out(p: &mut Problem, hints: &ReadHints, n: usize, rows: usize, what: &str) {
    if hints.leave_out_bad_rows {
        p.effect = Some(format!("the rows are left out, as asked: at most {n} of {rows}"));
    } else {
        p.effect = Some("nothing is saved".to_owned());
        p.next = Some(format!(
            "correct the {} and read the file again, or go on with --leave-out-bad-rows, which leaves out {n} of {rows} rows and lists them",
            if n == 1 { what.trim_end_matches('s') } else { what }
        ));
    }
}

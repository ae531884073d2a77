//! Flags and "how it was measured": two columns of short entries, cut short where the page ends.

use crate::paper::flow::{Line, Run, wrap};
use crate::paper::fonts::Cut;
use crate::paper::page::{Page, Side, height, ink};
use crate::words::{FlagItem, ProvenanceLine};

/// One entry: an optional disc, and lines.
pub(crate) struct Entry {
    disc: Option<usize>,
    lines: Vec<Line>,
    leading: f64,
}

/// Room between the two columns.
const BETWEEN: f64 = 26.0;
/// Room for a disc before the words.
const INDENT: f64 = 24.0;
/// Height of a section's heading.
const HEADING: f64 = 21.0;

impl Entry {
    fn height(&self) -> f64 {
        height(&self.lines, self.leading) + 2.0
    }
}

/// The width of one column.
fn column(width: f64) -> f64 {
    (width - BETWEEN) / 2.0
}

/// Flags as entries.
pub(crate) fn flags(items: &[FlagItem], width: f64) -> Vec<Entry> {
    let entry = |item: &FlagItem| {
        let text = Run::new(&item.sentence, Cut::Sans, 11.5, ink::INK);
        Entry { disc: Some(item.number), lines: wrap(&[text], column(width) - INDENT, 4), leading: 15.0 }
    };
    items.iter().map(entry).collect()
}

/// Provenance lines as entries.
pub(crate) fn provenance(items: &[ProvenanceLine], width: f64) -> Vec<Entry> {
    let entry = |item: &ProvenanceLine| {
        let name = Run::new(&item.name, Cut::SansStrong, 10.5, ink::INK2);
        let text = Run::new(&format!("  {}", item.text), Cut::Sans, 10.5, ink::INK2);
        Entry { disc: None, lines: wrap(&[name, text], column(width), 4), leading: 13.5 }
    };
    items.iter().map(entry).collect()
}

/// Height of a section with its heading and the first `count` entries, and one line more when some
/// are left out.
pub(crate) fn section_height(entries: &[Entry], count: usize) -> f64 {
    if entries.is_empty() {
        return 0.0;
    }
    let (left, right) = split(&entries[..count]);
    let sum = |part: &[Entry]| part.iter().map(Entry::height).sum::<f64>();
    HEADING + sum(left).max(sum(right)) + if count < entries.len() { 14.0 } else { 0.0 }
}

/// Most entries whose section is no higher than `room`; 0 leaves only the line that says how many there are.
pub(crate) fn that_fit(entries: &[Entry], room: f64) -> usize {
    (0..=entries.len()).rev().find(|n| section_height(entries, *n) <= room).unwrap_or(0)
}

/// Entries to the left and to the right, so that the higher column is as low as it can be in order.
fn split(entries: &[Entry]) -> (&[Entry], &[Entry]) {
    let sum = |part: &[Entry]| part.iter().map(Entry::height).sum::<f64>();
    let cost = |n: &usize| (sum(&entries[..*n]).max(sum(&entries[*n..])) * 10.0) as i64;
    let best = (0..=entries.len()).rev().min_by_key(cost).unwrap_or(0);
    entries.split_at(best)
}

/// Draws a section and gives the y below it. `what` names what is left out: "flags", "notes".
pub(crate) fn draw(
    page: &mut Page,
    title: &str,
    entries: &[Entry],
    count: usize,
    what: &str,
    at: (f64, f64, f64),
) -> f64 {
    let (x, y, width) = at;
    if entries.is_empty() {
        return y;
    }
    page.rule(x, y, width, 1.0, ink::RULE);
    page.text(&Run::new(title, Cut::SansStrong, 12.0, ink::INK), x, y + 15.0, Side::Left);
    let (left, right) = split(&entries[..count]);
    for (part, x) in [(left, x), (right, x + column(width) + BETWEEN)] {
        let mut y = y + HEADING;
        for entry in part {
            let dx = entry.disc.map_or(0.0, |number| {
                let run = Run::new(&number.to_string(), Cut::SansStrong, 10.5, "#FFFFFF");
                page.disc(&run, x, y + entry.leading / 2.0);
                INDENT
            });
            for (i, line) in entry.lines.iter().enumerate() {
                page.line(line, x + dx, y + entry.leading * (i as f64 + 0.76));
            }
            y += entry.height();
        }
    }
    let bottom = y + section_height(entries, count);
    let more = entries.len() - count;
    if more > 0 {
        let text = if count == 0 {
            format!("{more} {what}, see the page.")
        } else {
            format!("and {more} more {what}, see the page.")
        };
        page.text(&Run::new(&text, Cut::SansStrong, 10.5, ink::INK2), x, bottom - 4.0, Side::Left);
    }
    bottom
}

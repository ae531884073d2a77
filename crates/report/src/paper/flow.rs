//! Breaking running text into lines by true widths.

use crate::paper::fonts::{Cut, printable, width};
use crate::words::Piece;

/// A stretch of text in one style.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Run {
    pub(crate) text: String,
    pub(crate) cut: Cut,
    pub(crate) size: f64,
    pub(crate) fill: &'static str,
}

impl Run {
    pub(crate) fn new(text: &str, cut: Cut, size: f64, fill: &'static str) -> Self {
        Self { text: printable(text, cut), cut, size, fill }
    }

    pub(crate) fn width(&self) -> f64 {
        width(&self.text, self.cut, self.size)
    }
}

/// A line of text: runs with their distance from its start.
pub(crate) type Line = Vec<(f64, Run)>;

/// A word: runs that stand together without a space.
#[derive(Debug, Default)]
struct Word {
    runs: Vec<Run>,
    space: f64,
}

impl Word {
    fn width(&self) -> f64 {
        self.runs.iter().map(Run::width).sum()
    }
}

/// Breaks runs into lines no wider than `room`. A word wider than the room is cut with an ellipsis;
/// beyond `most` lines the last one ends with an ellipsis.
pub(crate) fn wrap(runs: &[Run], room: f64, most: usize) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut line: Line = Vec::new();
    let mut x = 0.0;
    for mut word in words(runs) {
        shorten(&mut word, room);
        let wide = word.width();
        if !line.is_empty() && x + word.space + wide > room {
            lines.push(std::mem::take(&mut line));
            x = 0.0;
        }
        if !line.is_empty() {
            x += word.space;
        }
        for run in word.runs {
            let advance = run.width();
            line.push((x, run));
            x += advance;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    if lines.len() > most.max(1) {
        lines.truncate(most.max(1));
        if let Some(last) = lines.last_mut() {
            ellipsis(last, room);
        }
    }
    lines.into_iter().map(joined).collect()
}

/// Width of a line.
pub(crate) fn line_width(line: &Line) -> f64 {
    line.last().map_or(0.0, |(x, run)| x + run.width())
}

/// Pieces of a report as runs: strong ones in the strong cut and the ink colour, kept on one line when short.
pub(crate) fn runs(pieces: &[Piece], cut: Cut, size: f64, light: &'static str, ink: &'static str) -> Vec<Run> {
    let run = |piece: &Piece| {
        if piece.strong {
            let short = piece.text.chars().count() <= 16;
            let text = if short { piece.text.replace(' ', "\u{a0}") } else { piece.text.clone() };
            Run::new(&text, cut.strong(), size, ink)
        } else {
            Run::new(&piece.text, cut, size, light)
        }
    };
    pieces.iter().map(run).collect()
}

fn words(runs: &[Run]) -> Vec<Word> {
    let mut all: Vec<Word> = Vec::new();
    let mut open = Word::default();
    for run in runs {
        for (i, part) in run.text.split(' ').enumerate() {
            if i > 0 {
                if !open.runs.is_empty() {
                    all.push(std::mem::take(&mut open));
                }
                open.space = width(" ", run.cut, run.size);
            }
            if !part.is_empty() {
                open.runs.push(Run { text: part.to_owned(), ..run.clone() });
            }
        }
    }
    if !open.runs.is_empty() {
        all.push(open);
    }
    all
}

fn shorten(word: &mut Word, room: f64) {
    while word.width() > room {
        let Some(last) = word.runs.last_mut() else { return };
        let mut text: String = last.text.trim_end_matches('…').to_owned();
        if text.pop().is_none() || text.is_empty() {
            word.runs.pop();
            continue;
        }
        last.text = text + "…";
    }
}

fn ellipsis(line: &mut Line, room: f64) {
    let Some((_, last)) = line.last() else { return };
    let dots = width("…", last.cut, last.size);
    while line_width(line) + dots > room && line.len() > 1 {
        line.pop();
    }
    if let Some((_, last)) = line.last_mut() {
        last.text.push('…');
    }
}

/// Neighbouring words of one style put together again, so that a line is few texts.
fn joined(line: Line) -> Line {
    let mut out: Line = Vec::new();
    for (x, run) in line {
        if let Some((start, last)) = out.last_mut()
            && last.cut == run.cut
            && last.size == run.size
            && last.fill == run.fill
        {
            let with_space = x - (*start + last.width()) > 0.1;
            last.text.push_str(if with_space { " " } else { "" });
            last.text.push_str(&run.text);
            continue;
        }
        out.push((x, run));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(text: &str) -> Run {
        Run::new(text, Cut::Sans, 12.0, "#000000")
    }

    fn texts(lines: &[Line]) -> Vec<String> {
        lines.iter().map(|line| line.iter().map(|(_, r)| r.text.as_str()).collect::<Vec<_>>().join("|")).collect()
    }

    #[test]
    fn lines_are_no_wider_than_the_room_and_lose_no_word() {
        let text = "Three pulls differ by 0.6 % on average and by 1.6 % at worst, which is outside the shop limit.";
        for room in [60.0, 90.0, 200.0, 1000.0] {
            let lines = wrap(&[run(text)], room, 99);
            assert!(lines.iter().all(|line| line_width(line) <= room + 0.01), "{room}: {:?}", texts(&lines));
            assert_eq!(texts(&lines).join(" "), text);
        }
    }

    #[test]
    fn styles_meet_without_a_space_of_their_own() {
        let strong = Run { cut: Cut::SansStrong, ..run("0.6 %") };
        let lines = wrap(&[run("differ by "), strong, run(", not more")], 500.0, 9);
        assert_eq!(texts(&lines), ["differ by|0.6 %|, not more"]);
    }

    #[test]
    fn too_much_text_ends_with_an_ellipsis() {
        let lines = wrap(&[run("one two three four five six seven eight nine ten")], 60.0, 2);
        assert_eq!(lines.len(), 2);
        assert!(texts(&lines)[1].ends_with('…'));
        let long = wrap(&[run("Donaudampfschifffahrtsgesellschaft")], 60.0, 2);
        assert!(line_width(&long[0]) <= 60.0 && texts(&long)[0].ends_with('…'));
    }
}

//! The order of the sheet, and who gives way when there is too much for one page.

use crate::conditions::conditions;
use crate::finding::finding;
use crate::paper::flow::{Line, Run, line_width, runs, wrap};
use crate::paper::fonts::Cut;
use crate::paper::notes;
use crate::paper::page::{Page, Side, ink};
use crate::paper::tables::Columns;
use crate::paper::{Paper, SheetMeta};
use crate::picture::{PictureOptions, run_picture};
use crate::provenance::provenance;
use crate::rows::flag_list;
use chart::{RunPicture, Size, Theme, draw, least_height};
use pull::analysis::{Analysis, Comparison};
use quantity::UnitSystem;

const MARGIN_X: f64 = 49.0;
const MARGIN_Y: f64 = 40.0;
/// Height of the foot line.
const FOOT: f64 = 22.0;
/// Scales of the picture, the wished one first. Labels of 13 px stay above 7.5 pt at the last.
const SCALES: [f64; 3] = [0.9, 0.83, 0.77];
/// Height that the picture would like to have on the page, px.
const WISHED: f64 = 520.0;

pub(crate) fn compose(
    analysis: &Analysis,
    comparison: Option<&Comparison>,
    system: UnitSystem,
    paper: Paper,
    meta: &SheetMeta,
) -> String {
    let (page_width, page_height) = paper.pixels();
    let (x, width) = (MARGIN_X, page_width - 2.0 * MARGIN_X);
    let bottom = page_height - MARGIN_Y - FOOT;
    let run = if meta.names.run.is_empty() { "This run" } else { &meta.names.run };
    let mut page = Page::default();

    let mut y = head(&mut page, analysis, comparison, system, meta, (x, MARGIN_Y, width));
    let columns = Columns::new(analysis, comparison, system, run);
    let columns_height = columns.draw(&mut Page::default(), x, 0.0, width) + 12.0;
    let flags = notes::flags(&flag_list(analysis), width);
    let lines = notes::provenance(&provenance(analysis, comparison, system), width);
    let wished_notes = |n: usize, m: usize| notes::section_height(&flags, n) + notes::section_height(&lines, m) + 14.0;

    // The picture may have what is left when everything is said, but never less than it needs.
    let options = PictureOptions { names: meta.names.clone(), ..PictureOptions::default() };
    let picture = run_picture(analysis, comparison, system, &options);
    let room = bottom - y - columns_height;
    let least_notes = wished_notes(flags.len().min(2), 0);
    let (picture, scale, left_out) = fitting(picture, room - least_notes);
    let least = least_height(&picture) * scale;
    let wished = WISHED.min(least.max(110.0 + 90.0 * picture.strips.len() as f64)).max(least);
    let height = (room - wished_notes(flags.len(), lines.len())).clamp(least.min(wished), wished);
    let height = height.max((wished * 0.88).min(room - least_notes)).max(least);
    let size = Size { embed_style: false, prefix: "sheet".to_owned(), ..Size::file(width / scale, height / scale) };
    page.drawing(&draw(&picture, Theme::Print, &size), x, y, scale);
    y += height;
    if left_out > 0 {
        let text = format!("{left_out} more strips, see the page.");
        page.text(&Run::new(&text, Cut::SansStrong, 10.5, ink::INK2), x, y + 6.0, Side::Left);
    }
    y = columns.draw(&mut page, x, y + 8.0, width) + 12.0;

    let left = bottom - y;
    let for_flags = (left - notes::section_height(&lines, lines.len()) - 6.0).max(left * 0.6);
    let flag_count = notes::that_fit(&flags, for_flags);
    y = notes::draw(&mut page, "Flags", &flags, flag_count, "flags", (x, y, width));
    if !flags.is_empty() {
        y += 6.0;
    }
    let count = notes::that_fit(&lines, bottom - y);
    notes::draw(&mut page, "How it was measured", &lines, count, "notes", (x, y, width));
    foot(&mut page, meta, (x, page_height - MARGIN_Y, width));
    page.finish(page_width, page_height)
}

/// Title, finding and conditions; gives the y below them.
fn head(
    page: &mut Page,
    analysis: &Analysis,
    comparison: Option<&Comparison>,
    system: UnitSystem,
    meta: &SheetMeta,
    (x, top, width): (f64, f64, f64),
) -> f64 {
    let title = if meta.names.title.is_empty() { "Run" } else { &meta.names.title };
    let mut y = top;
    for line in wrap(&[Run::new(title, Cut::SerifStrong, 23.0, ink::INK)], width, 2) {
        page.line(&line, x, y + 21.0);
        y += 28.0;
    }
    let said = finding(analysis, comparison, system);
    let strong = Run::new(&said.strong, Cut::SerifStrong, 15.0, ink::INK);
    let rest = Run::new(&said.rest, Cut::Serif, 15.0, ink::INK2);
    let lines = wrap(&[strong, rest], width, 4);
    for line in &lines {
        page.line(line, x, y + 15.0);
        y += 20.0;
    }
    y += 7.0;
    page.rule(x, y, width, 1.0, ink::RULE);
    y += 4.0;
    for line in condition_lines(analysis, system, width) {
        page.line(&line, x, y + 13.0);
        y += 18.0;
    }
    y += 5.0;
    page.rule(x, y, width, 1.0, ink::RULE);
    y + 10.0
}

/// Conditions side by side; an entry that finds no room begins a line.
fn condition_lines(analysis: &Analysis, system: UnitSystem, width: f64) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut x = 0.0;
    for condition in conditions(analysis, system) {
        let mut all = vec![Run::new(&format!("{}  ", condition.name), Cut::Sans, 12.0, ink::INK3)];
        all.extend(runs(&condition.pieces, Cut::Sans, 12.0, ink::INK2, ink::INK));
        let wrapped = wrap(&all, width, 2);
        let wide = wrapped.first().map_or(0.0, line_width);
        let beside = wrapped.len() == 1 && x > 0.0 && x + wide <= width;
        for (i, line) in wrapped.into_iter().enumerate() {
            let dx = if beside { x } else { 0.0 };
            let moved: Line = line.into_iter().map(|(at, run)| (at + dx, run)).collect();
            x = line_width(&moved) + 22.0;
            match lines.last_mut().filter(|_| beside && i == 0) {
                Some(last) => last.extend(moved),
                None => lines.push(moved),
            }
        }
    }
    lines.truncate(5);
    lines
}

/// The picture with as many strips as fit, the scale, and how many strips were left out. Torque, power
/// and the gain are the last to go.
fn fitting(mut picture: RunPicture, room: f64) -> (RunPicture, f64, usize) {
    let all = picture.strips.len();
    loop {
        for scale in SCALES {
            if least_height(&picture) * scale <= room {
                return (picture.clone(), scale, all - picture.strips.len());
            }
        }
        let last = picture.strips.iter().rposition(|s| !matches!(s.key.as_str(), "torque" | "power" | "gained"));
        let Some(last) = last else { return (picture, SCALES[2], 0) };
        picture.strips.remove(last);
    }
}

fn foot(page: &mut Page, meta: &SheetMeta, (x, y, width): (f64, f64, f64)) {
    page.rule(x, y - 14.0, width, 1.0, ink::RULE);
    let parts: Vec<&str> = ["Plateau", &meta.shop, &meta.date].into_iter().filter(|t| !t.is_empty()).collect();
    let left = wrap(&[Run::new(&parts.join(" · "), Cut::Sans, 10.5, ink::INK3)], width * 0.66, 1);
    left.iter().for_each(|line| page.line(line, x, y));
    let right = wrap(&[Run::new(&meta.mark.replace(' ', "\u{a0}"), Cut::Sans, 10.5, ink::INK3)], width * 0.3, 1);
    for line in &right {
        page.line(line, x + width - line_width(line), y);
    }
}

//! Figures, peaks, plateaus and repeatability: the two columns under the picture.

use crate::paper::flow::{Run, runs, wrap};
use crate::paper::fonts::Cut;
use crate::paper::page::{Page, Side, height, ink};
use crate::rows::{figure_rows, peak_rows, plateau_rows, repeat_sentence};
use crate::say;
use crate::words::{FigureRow, PeakRow};
use chart::{PlateauRow, Theme, plateau_bars};
use pull::analysis::{Analysis, Comparison};
use quantity::UnitSystem;

/// Scale of the plateau bars on the page.
const BARS: f64 = 0.88;

/// What the two columns hold, ready to be measured and drawn.
pub(crate) struct Columns {
    head: String,
    run: String,
    before: Option<String>,
    figures: Vec<FigureRow>,
    peaks: Vec<PeakRow>,
    plateaus: Vec<PlateauRow>,
    share: f64,
    repeat: Vec<crate::words::Piece>,
}

impl Columns {
    pub(crate) fn new(analysis: &Analysis, comparison: Option<&Comparison>, system: UnitSystem, run: &str) -> Self {
        Self {
            head: format!("Over {}", say::span(analysis.band.from_rpm, analysis.band.to_rpm)),
            run: run.to_owned(),
            before: comparison.map(|c| c.before.clone()),
            figures: figure_rows(analysis, comparison, system),
            peaks: peak_rows(analysis, comparison, system),
            plateaus: plateau_rows(analysis, comparison, run),
            share: analysis.setup.plateau_share,
            repeat: repeat_sentence(analysis),
        }
    }

    /// Draws both columns from `y` and gives the y below them. A page that is thrown away measures.
    pub(crate) fn draw(&self, page: &mut Page, x: f64, y: f64, width: f64) -> f64 {
        let left = (width * 0.51).floor();
        let right_x = x + left + 34.0;
        let a = self.left(page, x, y, left);
        let b = self.right(page, right_x, y, width - left - 34.0);
        a.max(b)
    }

    fn left(&self, page: &mut Page, x: f64, y: f64, width: f64) -> f64 {
        page.rule(x, y + 1.0, width, 2.0, ink::INK);
        page.text(&Run::new(&self.head, Cut::SerifStrong, 15.0, ink::INK), x, y + 19.0, Side::Left);
        let mut y = y + 25.0;
        let now = x + width - if self.before.is_some() { 86.0 } else { 0.0 };
        let end = x + width;
        let head = |text: &str, cut, fill| short(text, cut, 12.0, fill, 84.0);
        page.text(&head(&self.run, Cut::SansStrong, ink::BLUE), now, y + 11.0, Side::Right);
        if let Some(before) = &self.before {
            page.text(&head(before, Cut::Sans, ink::GREY), end, y + 11.0, Side::Right);
        }
        y += 16.0;
        page.rule(x, y, width, 1.0, ink::INK3);
        for row in &self.figures {
            y = figure(page, row, (x, now, end), y, self.before.is_some());
        }
        if self.peaks.is_empty() {
            return y;
        }
        y += 17.0;
        page.text(&Run::new("Peaks, for the record", Cut::SansStrong, 12.0, ink::INK), x, y + 4.0, Side::Left);
        y += 10.0;
        for row in &self.peaks {
            y = peak(page, row, (x, end), y);
        }
        y
    }

    fn right(&self, page: &mut Page, x: f64, y: f64, width: f64) -> f64 {
        page.rule(x, y + 1.0, width, 2.0, ink::INK);
        let mut y = y + 18.0;
        if !self.plateaus.is_empty() {
            let bold = Run::new("Plateau", Cut::SansStrong, 12.0, ink::INK);
            let within = format!("within {} of best torque, rpm", say::percent(1.0 - self.share, 0));
            page.text(&bold, x, y, Side::Left);
            page.text(&Run::new(&within, Cut::Sans, 12.0, ink::INK2), x + bold.width() + 5.0, y, Side::Left);
            let bars = plateau_bars(&self.plateaus, Theme::Print, width / BARS);
            page.drawing(&bars, x, y + 6.0, BARS);
            y += 6.0 + 24.0 * BARS * self.plateaus.len() as f64;
            page.rule(x, y + 6.0, width, 1.0, ink::RULE);
            y += 22.0;
        }
        page.text(&Run::new("How well it repeats", Cut::SansStrong, 12.0, ink::INK), x, y, Side::Left);
        let lines = wrap(&runs(&self.repeat, Cut::Sans, 12.0, ink::INK2, ink::INK), width, 4);
        for (i, line) in lines.iter().enumerate() {
            page.line(line, x, y + 16.0 + 16.0 * i as f64);
        }
        y + 4.0 + height(&lines, 16.0)
    }
}

/// A text cut to a width.
fn short(text: &str, cut: Cut, size: f64, fill: &'static str, room: f64) -> Run {
    let whole = Run::new(text, cut, size, fill);
    if whole.width() <= room {
        return whole;
    }
    let lines = wrap(&[Run { text: whole.text.replace(' ', "\u{a0}"), ..whole.clone() }], room, 1);
    lines.into_iter().flatten().next().map_or(whole, |(_, run)| run)
}

fn figure(page: &mut Page, row: &FigureRow, (x, now, end): (f64, f64, f64), y: f64, with_before: bool) -> f64 {
    let baseline = y + 17.0;
    let known = row.now.chars().any(|c| c.is_ascii_digit());
    let (cut, size, fill) = if known { (Cut::SansStrong, 16.0, ink::BLUE) } else { (Cut::Sans, 12.0, ink::INK2) };
    let value = Run::new(&row.now, cut, size, fill);
    let room = now - value.width() - 10.0 - x;
    let name = short(&row.name, Cut::Sans, 12.5, ink::INK, room);
    page.text(&name, x, baseline, Side::Left);
    let mut note = row.note.clone();
    if let Some(observed) = &row.observed {
        note.push_str(&format!("; observed {observed}"));
    }
    let beside = x + name.width() + 7.0;
    let note_run = Run::new(&note, Cut::Sans, 10.5, ink::INK3);
    page.text(&value, now, baseline, Side::Right);
    if let Some(before) = row.before.as_ref().filter(|_| with_before) {
        page.text(&short(before, Cut::Sans, 12.5, ink::GREY, 82.0), end, baseline, Side::Right);
    }
    let mut bottom = y + 24.0;
    if beside + note_run.width() <= now - value.width() - 8.0 {
        page.text(&note_run, beside, baseline, Side::Left);
    } else {
        page.text(&short(&note, Cut::Sans, 10.5, ink::INK3, end - x), x, baseline + 14.0, Side::Left);
        bottom += 13.0;
    }
    page.rule(x, bottom, end - x, 1.0, ink::HAIR);
    bottom
}

fn peak(page: &mut Page, row: &PeakRow, (x, end): (f64, f64), y: f64) -> f64 {
    let baseline = y + 14.0;
    let name = Run::new(&row.name, Cut::Sans, 12.0, ink::INK);
    page.text(&name, x, baseline, Side::Left);
    page.text(&Run::new(&row.unit, Cut::Sans, 10.5, ink::INK3), x + name.width() + 4.0, baseline, Side::Left);
    let mut right = end;
    if let Some(before) = &row.before {
        let at = Run::new(&before.at, Cut::Sans, 10.5, ink::GREY);
        let value = Run::new(&before.value, Cut::Sans, 12.5, ink::GREY);
        page.text(&at, right, baseline, Side::Right);
        page.text(&value, right - at.width() - 4.0, baseline, Side::Right);
        right -= at.width() + value.width() + 18.0;
    }
    // The span of the peak is left out where it finds no room beside the earlier run.
    let left = x + name.width() + 40.0;
    let value = Run::new(&row.now.value, Cut::SansStrong, 13.0, ink::BLUE);
    let whole = Run::new(&row.now.at, Cut::Sans, 10.5, ink::INK2);
    let plain = row.now.at.split(" (").next().unwrap_or_default();
    let fits = right - whole.width() - value.width() - 4.0 >= left;
    let at = if fits { whole } else { Run::new(plain, Cut::Sans, 10.5, ink::INK2) };
    page.text(&at, right, baseline, Side::Right);
    page.text(&value, right - at.width() - 4.0, baseline, Side::Right);
    page.rule(x, y + 20.0, end - x, 1.0, ink::HAIR);
    y + 20.0
}

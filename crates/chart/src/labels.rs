//! Words at the marks: which there are, where each would like to stand, and how it is drawn.

use crate::layout::{Frame, GAP, LABEL, Panel, SCALE, stretches};
use crate::marks::{flag_x, flags_of, limit_x, on_scale};
use crate::measure::text_width;
use crate::picture::{FlagMark, LimitLine, Line, LineKind, Pick, RunPicture, Strip};
use crate::place::{Candidate, Rect, Sheet};
use crate::svg::{Out, num};
use crate::theme::Palette;

/// Share of the font size from the top of a line box down to its baseline.
const ASCENT: f64 = 0.78;
/// Height of a line box, as a share of the font size.
const BOX: f64 = 1.02;
/// Half the side of the square kept free about a ringed dot, px.
const RING: f64 = 4.5;
/// Diameter of a flag's disc, px.
const DISC: f64 = 19.0;

/// Draws the words of all strips.
pub(crate) fn labels(out: &mut Out, frame: &Frame, picture: &RunPicture, palette: &Palette) {
    value_marks(out, frame, picture, palette);
    let mut sheet = Sheet::new(frame.width, frame.speed_y);
    if let Some(y) = frame.bar_y {
        sheet.take(Rect { x: 0.0, y: 0.0, w: frame.width, h: y + 11.0 });
        for end in picture.band.iter().flat_map(|band| [band.from_rpm, band.to_rpm]) {
            sheet.avoid(Rect { x: frame.x_within(end), y: frame.top, w: 0.5, h: frame.speed_y - frame.top }, 6.0);
        }
    }
    // The values beside the hairlines have the left margin for themselves.
    sheet.take(Rect { x: 0.0, y: 0.0, w: frame.x0 - 9.0, h: frame.height });
    for flag in &picture.flags {
        let (from, to) = flag_x(frame, flag);
        sheet.avoid(Rect { x: from, y: frame.top, w: to - from, h: frame.speed_y - frame.top }, 5.0);
    }
    let mut attributes = vec![("class", "labels")];
    attributes.extend(palette.halo());
    out.open("g", &attributes);
    let mut owner = 0;
    let mut owners = Vec::new();
    for (strip, panel) in picture.strips.iter().zip(&frame.panels) {
        let first = owner;
        for line in &strip.lines {
            for part in stretches(frame, panel, &line.points) {
                sheet.curve(owner, &part);
            }
            owner += 1;
        }
        owners.push(first);
        if let Some(mean) = strip.mean.as_ref().filter(|mean| mean.value.is_finite()) {
            let y = panel.y(mean.value);
            sheet.curve(usize::MAX, &[(frame.x_within(mean.from_rpm), y), (frame.x_within(mean.to_rpm), y)]);
        }
        for pick in strip.picks.iter().filter(|pick| on_scale(frame, panel, pick)) {
            let (x, y) = (frame.x(pick.at), panel.y(pick.value));
            sheet.take(Rect { x: x - RING, y: y - RING, w: 2.0 * RING, h: 2.0 * RING });
        }
        for limit in &strip.limits {
            if let Some((from, to)) = limit_x(frame, limit) {
                let y = panel.y(limit.value);
                sheet.curve(usize::MAX, &[(from, y), (to, y)]);
                let (top, bottom) = if limit.greatest { (panel.top, y) } else { (y, panel.bottom) };
                sheet.avoid(Rect { x: from, y: top, w: to - from, h: bottom - top }, 8.0);
            }
        }
        name(out, frame, strip, panel, palette, &mut sheet);
    }
    for (index, (strip, panel)) in picture.strips.iter().zip(&frame.panels).enumerate() {
        let mut writer = Writer { out, frame, panel, palette, sheet: &mut sheet };
        writer.scale_note(strip);
        writer.mean(strip);
        strip.picks.iter().for_each(|pick| writer.pick(pick));
        strip.limits.iter().for_each(|limit| writer.limit(limit));
        flags_of(picture, index).for_each(|flag| writer.flag(flag));
        let order = [LineKind::Measured, LineKind::Gain, LineKind::Before, LineKind::Predicted, LineKind::SinglePull];
        for kind in order {
            for (number, line) in strip.lines.iter().enumerate().filter(|(_, line)| line.kind == kind) {
                writer.line(line, owners[index] + number);
            }
        }
        strip.lines.iter().for_each(|line| writer.end_note(line));
        writer.no_data(strip);
    }
    out.close("g");
}

fn value_marks(out: &mut Out, frame: &Frame, picture: &RunPicture, palette: &Palette) {
    out.open("g", &[("class", "value-marks"), ("fill", palette.ink2)]);
    for (strip, panel) in picture.strips.iter().zip(&frame.panels) {
        for mark in &panel.scale.marks {
            let text = panel.scale.mark_text(*mark, strip.difference);
            let (x, y) = (num(frame.x0 - 9.0), num(panel.y(*mark) + 4.4));
            out.words("text", &[("text-anchor", "end"), ("x", &x), ("y", &y), ("font-size", "13")], &text);
        }
    }
    out.close("g");
}

/// Quantity bold, unit and basis light, above the strip at the left.
fn name(out: &mut Out, frame: &Frame, strip: &Strip, panel: &Panel, palette: &Palette, sheet: &mut Sheet) {
    let baseline = panel.top - 7.0;
    let room = frame.width - frame.x0 - 4.0;
    let bold = shorten(&strip.name, room, true);
    let bold_width = text_width(&bold, LABEL, true);
    let mut light = strip.unit_and_basis.as_str();
    while !light.is_empty() && bold_width + 7.0 + text_width(light, LABEL, false) > room {
        light = light.rfind(", ").map_or("", |at| &light[..at]);
    }
    let mut width = bold_width;
    let draw = |out: &mut Out, class, text: &str, x: f64, weight: &str, fill| {
        let (x, y) = (num(x), num(baseline));
        out.words(
            "text",
            &[("class", class), ("x", &x), ("y", &y), ("font-size", "13.5"), ("font-weight", weight), ("fill", fill)],
            text,
        );
    };
    if !light.is_empty() {
        width += 7.0 + text_width(light, LABEL, false);
    }
    let rect = Rect { x: frame.x0, y: baseline - ASCENT * LABEL, w: width, h: BOX * LABEL };
    palette.plate(out, rect);
    sheet.take(rect);
    draw(out, "name", &bold, frame.x0, "600", palette.ink);
    if !light.is_empty() {
        draw(out, "basis", light, frame.x0 + bold_width + 7.0, "400", palette.ink2);
    }
}

/// A text cut to a width, with an ellipsis when anything is lost.
fn shorten(text: &str, room: f64, bold: bool) -> String {
    if text_width(text, LABEL, bold) <= room {
        return text.to_owned();
    }
    let mut short: String = text.to_owned();
    while !short.is_empty() && text_width(&short, LABEL, bold) + text_width("…", LABEL, bold) > room {
        short.pop();
    }
    format!("{}…", short.trim_end())
}

/// One line of a label.
#[derive(Clone, Copy)]
struct Style<'a> {
    class: &'a str,
    size: f64,
    bold: bool,
    fill: &'a str,
}

struct Writer<'a> {
    out: &'a mut Out,
    frame: &'a Frame,
    panel: &'a Panel,
    palette: &'a Palette,
    sheet: &'a mut Sheet,
}

impl Writer<'_> {
    /// "scale starts at 200": at the foot of the strip, as far left as there is room.
    fn scale_note(&mut self, strip: &Strip) {
        let scale = &self.panel.scale;
        if !strip.say_start || scale.from <= 0.0 {
            return;
        }
        let text = format!("scale starts at {}", scale.mark_text(scale.from, false));
        let style = Style { class: "scale-note", size: 12.5, bold: false, fill: self.palette.ink2 };
        let (w, h) = extent(&text, style);
        let mut candidates: Vec<Candidate> = self
            .slide(w, 24.0)
            .map(|x| Candidate {
                rect: Rect { x, y: self.panel.bottom - h - 4.0, w, h },
                cost: (x - self.frame.x0) / 12.0,
            })
            .collect();
        candidates.extend(self.header(w, h, 40.0));
        if let Some(rect) = self.sheet.place(None, &candidates) {
            self.write(rect, &text, style);
        }
    }

    /// The average with its value, at the right end of its line if there is room.
    fn mean(&mut self, strip: &Strip) {
        let Some(mean) = &strip.mean else { return };
        if !mean.value.is_finite() {
            return;
        }
        let blue = self.palette.blue;
        let light = Style { class: "mean-label", size: 13.0, bold: false, fill: blue };
        let strong = Style { class: "mean-value", size: 13.0, bold: true, fill: blue };
        let (a, h) = extent(&mean.label, light);
        let (b, _) = extent(&mean.value_text, strong);
        let (from, to) = (self.frame.x_within(mean.from_rpm), self.frame.x_within(mean.to_rpm));
        let y = self.panel.y(mean.value);
        let stacked = (a.max(b), 2.0 * h + 2.0);
        let row = (a + 5.0 + b, h);
        let mut candidates = Vec::new();
        for (extra, dy) in [(0.0, 0.0), (6.0, -9.0), (6.0, 9.0), (12.0, -18.0), (12.0, 18.0)] {
            for (x, cost) in [(to + 8.0, 0.0), (from - 8.0 - stacked.0, 30.0)] {
                let rect = Rect { x, y: y - stacked.1 / 2.0 + dy, w: stacked.0, h: stacked.1 };
                candidates.push(Candidate { rect, cost: cost + extra });
            }
        }
        for (x, cost) in [(to - row.0 - 8.0, 20.0), (from + 8.0, 24.0), ((from + to - row.0) / 2.0, 28.0)] {
            for (y, extra) in [(y - h - 4.0, 0.0), (y + 4.0, 3.0), (y - h - 18.0, 9.0), (y + 18.0, 9.0)] {
                candidates.push(Candidate { rect: Rect { x, y, w: row.0, h }, cost: cost + extra });
            }
        }
        candidates.retain(|c| self.in_panel(&c.rect));
        candidates.extend(self.header(row.0, h, 55.0));
        let Some(rect) = self.sheet.place(None, &candidates) else { return };
        if rect.h > h + 1.0 {
            self.write(Rect { h, ..rect }, &mean.label, light);
            self.write(Rect { y: rect.y + h + 2.0, h, ..rect }, &mean.value_text, strong);
        } else {
            self.write(rect, &mean.label, light);
            self.write(Rect { x: rect.x + a + 5.0, ..rect }, &mean.value_text, strong);
        }
    }

    /// The name of a ringed dot, beside it.
    fn pick(&mut self, pick: &Pick) {
        if pick.label.is_empty() || !on_scale(self.frame, self.panel, pick) {
            return;
        }
        let style = Style { class: "pick-label", size: 13.0, bold: true, fill: pick.kind.colour(self.palette) };
        let (w, h) = extent(&pick.label, style);
        let (x, y) = (self.frame.x(pick.at), self.panel.y(pick.value));
        let mut candidates = Vec::new();
        for (i, dy) in [0.0, -10.0, 10.0, -20.0, 20.0, -32.0, 32.0, 48.0, 64.0].into_iter().enumerate() {
            for (j, dx) in [0.0, 8.0, 20.0, 40.0].into_iter().enumerate() {
                let cost = i as f64 * 2.0 + j as f64 * 2.5;
                let y = y - h / 2.0 + dy;
                candidates.push(Candidate { rect: Rect { x: x + RING + 9.0 + dx, y, w, h }, cost });
                candidates.push(Candidate { rect: Rect { x: x - RING - 9.0 - dx - w, y, w, h }, cost: cost + 1.0 });
            }
        }
        for (dy, cost) in [(-RING - 3.0 - h, 3.0), (RING + 3.0, 4.0), (-RING - 14.0 - h, 9.0), (RING + 14.0, 10.0)] {
            candidates.push(Candidate { rect: Rect { x: x - w / 2.0, y: y + dy, w, h }, cost });
        }
        candidates.retain(|c| self.in_panel(&c.rect));
        if let Some(rect) = self.sheet.place(None, &candidates) {
            self.write(rect, &pick.label, style);
        }
    }

    /// The name of a limit, at its right end if there is room.
    fn limit(&mut self, limit: &LimitLine) {
        let Some((from, to)) = limit_x(self.frame, limit).filter(|_| !limit.label.is_empty()) else { return };
        let style = Style { class: "limit-label", size: 13.0, bold: false, fill: self.palette.flag };
        let (w, h) = extent(&limit.label, style);
        let y = self.panel.y(limit.value);
        let (allowed, beyond) = if limit.greatest { (y + 4.0, y - 4.0 - h) } else { (y - 4.0 - h, y + 4.0) };
        let mut candidates = Vec::new();
        let steps = ((to - from - w) / 16.0).floor().max(0.0) as usize;
        for i in 0..=steps {
            let (x, cost) = (to - w - 4.0 - 16.0 * i as f64, i as f64 * 0.8);
            candidates.push(Candidate { rect: Rect { x, y: allowed, w, h }, cost });
            candidates.push(Candidate { rect: Rect { x, y: beyond, w, h }, cost: cost + 2.0 });
        }
        candidates.retain(|c| self.in_panel(&c.rect));
        candidates.extend(self.header(w, h, 45.0));
        if let Some(rect) = self.sheet.place(None, &candidates) {
            self.write(rect, &limit.label, style);
        }
    }

    /// Numbered disc with words near the offending stretch; the disc alone when words find no room.
    fn flag(&mut self, flag: &FlagMark) {
        let style = Style { class: "flag-words", size: 13.5, bold: true, fill: self.palette.flag };
        let number = flag.number.to_string();
        let disc = DISC.max(text_width(&number, 13.0, true) + 6.0);
        let (w, _) = extent(&flag.words, style);
        let parts = stretches(self.frame, self.panel, &flag.stretch);
        let points: Vec<(f64, f64)> = parts.into_iter().flatten().collect();
        let (from, to) = flag_x(self.frame, flag);
        let middle = (self.panel.top + self.panel.bottom) / 2.0;
        let (x0, x1) = points.first().zip(points.last()).map_or((from, to), |(a, b)| (a.0, b.0));
        let low = points.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
        let high = points.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        let (high, low) = if points.is_empty() { (middle, middle) } else { (high, low) };
        for (words, width) in [(flag.words.as_str(), disc + 5.0 + w), ("", disc)] {
            if !words.is_empty() || width == disc {
                let candidates = self.around(x0, x1, high, low, width, DISC);
                if let Some(rect) = self.sheet.place(None, &candidates) {
                    self.disc(rect, disc, &number, flag);
                    let text = Rect { x: rect.x + disc + 5.0, y: rect.y + (DISC - BOX * 13.5) / 2.0, ..rect };
                    if !words.is_empty() {
                        self.write(text, words, style);
                    }
                    return;
                }
            }
        }
    }

    fn around(&self, x0: f64, x1: f64, high: f64, low: f64, w: f64, h: f64) -> Vec<Candidate> {
        let mut candidates = Vec::new();
        let middle = (high + low) / 2.0;
        let rows =
            [middle - h / 2.0, high - h / 2.0, low - h / 2.0, high - h - 6.0, low + 6.0, high - h - 14.0, low + 14.0];
        for (i, y) in rows.into_iter().enumerate() {
            let cost = i as f64 * 1.5;
            candidates.push(Candidate { rect: Rect { x: x1 + 8.0, y, w, h }, cost });
            candidates.push(Candidate { rect: Rect { x: x0 - 8.0 - w, y, w, h }, cost: cost + 6.0 });
            candidates.push(Candidate { rect: Rect { x: (x0 + x1 - w) / 2.0, y, w, h }, cost: cost + 4.0 });
            for step in 1..8 {
                let dx = f64::from(step) * 22.0;
                let extra = cost + 6.0 + f64::from(step) * 3.0;
                candidates.push(Candidate { rect: Rect { x: x1 + 8.0 + dx, y, w, h }, cost: extra });
                candidates.push(Candidate { rect: Rect { x: x0 - 8.0 - w - dx, y, w, h }, cost: extra + 3.0 });
            }
        }
        // The row of names is above the strip; a disc may stand there rather than nowhere.
        candidates.retain(|c| c.rect.y >= self.panel.top - GAP + 2.0 && c.rect.bottom() <= self.panel.bottom + 3.0);
        candidates.extend(self.header(w, h, 45.0));
        candidates
    }

    fn disc(&mut self, rect: Rect, disc: f64, number: &str, flag: &FlagMark) {
        let (cx, cy) = (rect.x + disc / 2.0, rect.y + DISC / 2.0);
        let palette = self.palette;
        self.out.leaf(
            "rect",
            &[
                ("class", "disc"),
                ("data-flag", &flag.number.to_string()),
                ("x", &num(rect.x)),
                ("y", &num(rect.y)),
                ("width", &num(disc)),
                ("height", &num(DISC)),
                ("rx", &num(DISC / 2.0)),
                ("fill", palette.flag),
                ("stroke-width", "3"),
            ],
        );
        self.out.words(
            "text",
            &[
                ("class", "disc-number"),
                ("text-anchor", "middle"),
                ("x", &num(cx)),
                ("y", &num(cy + 4.5)),
                ("font-size", "13"),
                ("font-weight", "600"),
                ("fill", palette.onblue),
                ("stroke", "none"),
            ],
            number,
        );
    }

    /// The name of a curve, beside the curve.
    fn line(&mut self, line: &Line, owner: usize) {
        if line.label.is_empty() {
            return;
        }
        let bold = matches!(line.kind, LineKind::Measured | LineKind::Gain);
        let style = Style { class: "line-label", size: LABEL, bold, fill: line.kind.colour(self.palette) };
        let (w, h) = extent(&line.label, style);
        let parts = stretches(self.frame, self.panel, &line.points);
        let edges = self.edges(line);
        let wished = self.wished(line, &parts);
        let above_first = matches!(line.kind, LineKind::Measured | LineKind::Gain | LineKind::SinglePull);
        let span = self.frame.x1 - self.frame.x0;
        let mut candidates = Vec::new();
        for part in &parts {
            let (first, last) = (part[0].0, part[part.len() - 1].0);
            let mut x = (first - 0.5 * w).max(self.frame.x0 + 1.0);
            while x + w / 2.0 <= last {
                let (high, low) =
                    edges.iter().chain(std::iter::once(part)).fold((f64::INFINITY, f64::NEG_INFINITY), |all, edge| {
                        let (high, low) = extremes(edge, x, x + w);
                        (f64::min(all.0, high), f64::max(all.1, low))
                    });
                for (gap, far) in [(4.0, 0.0), (10.0, 3.0), (20.0, 12.0), (34.0, 26.0)] {
                    let cost = (x + w / 2.0 - wished).abs() / span * 24.0 + far;
                    let above = Rect { x, y: high - gap - h, w, h };
                    let below = Rect { x, y: low + gap, w, h };
                    candidates.push(Candidate { rect: above, cost: cost + if above_first { 0.0 } else { 6.0 } });
                    candidates.push(Candidate { rect: below, cost: cost + if above_first { 6.0 } else { 0.0 } });
                }
                x += 10.0;
            }
        }
        candidates.retain(|c| self.in_panel(&c.rect));
        candidates.extend(self.header(w, h, 55.0));
        let Some(rect) = self.sheet.place(Some(owner), &candidates) else { return };
        self.leader(rect, &parts, style.fill);
        self.write(rect, &line.label, style);
    }

    /// The edges of a prediction's band: its label stands outside of it.
    fn edges(&self, line: &Line) -> Vec<Vec<(f64, f64)>> {
        let Some(band) = line.band.as_ref().filter(|_| line.kind == LineKind::Predicted) else { return Vec::new() };
        let edge = |pick: fn(&(f64, f64)) -> f64| {
            let points: Vec<(f64, f64)> = line.points.iter().zip(band).map(|(p, b)| (p.0, pick(b))).collect();
            stretches(self.frame, self.panel, &points)
        };
        [edge(|b| b.0), edge(|b| b.1)].concat()
    }

    /// A thin line from a label to its curve when they do not stand together.
    fn leader(&mut self, rect: Rect, parts: &[Vec<(f64, f64)>], stroke: &str) {
        let x = rect.x + rect.w / 2.0;
        let Some(part) = parts.iter().find(|part| part[0].0 <= x && part[part.len() - 1].0 >= x) else { return };
        let (high, low) = extremes(part, x - 0.5, x + 0.5);
        let (from, to) = if high > rect.bottom() { (rect.bottom(), high) } else { (rect.y, low) };
        if (to - from).abs() < 22.0 || rect.y < self.panel.top - 6.0 {
            return;
        }
        let step = if to > from { 3.0 } else { -3.0 };
        let (x, y1, y2) = (num(x), num(from + step / 3.0), num(to - step));
        let place = [("class", "leader"), ("x1", x.as_str()), ("y1", &y1), ("x2", &x), ("y2", &y2)];
        let mut attributes = place.to_vec();
        attributes.extend([("stroke", stroke), ("stroke-width", "1")]);
        self.out.leaf("line", &attributes);
    }

    /// Where along the speed a label of this kind would like to stand.
    fn wished(&self, line: &Line, parts: &[Vec<(f64, f64)>]) -> f64 {
        let all: Vec<(f64, f64)> = parts.iter().flatten().copied().collect();
        let (Some(first), Some(last)) = (all.first(), all.last()) else { return self.frame.x0 };
        let share = match line.kind {
            LineKind::Measured | LineKind::Gain => {
                let top = all.iter().fold(*first, |top, p| if p.1 < top.1 { *p } else { top });
                return top.0.clamp(first.0 + 0.1 * (last.0 - first.0), last.0);
            }
            LineKind::Before => 0.62,
            LineKind::Predicted => 0.88,
            LineKind::SinglePull => 0.3,
        };
        first.0 + share * (last.0 - first.0)
    }

    /// What is said at the last point of a curve.
    fn end_note(&mut self, line: &Line) {
        let Some(note) = line.end_note.as_ref().filter(|note| !note.is_empty()) else { return };
        let Some((x, y)) = stretches(self.frame, self.panel, &line.points).last().and_then(|part| part.last().copied())
        else {
            return;
        };
        let style = Style { class: "end-note", size: 13.0, bold: false, fill: line.kind.colour(self.palette) };
        let (w, h) = extent(note, style);
        let mut candidates = Vec::new();
        for (i, dy) in [6.0, -6.0 - h, 14.0, -14.0 - h, -h / 2.0, 24.0, -24.0 - h].into_iter().enumerate() {
            for (j, left) in [x - w, x + 7.0, x - w - 12.0, x - w / 2.0, x - w - 30.0].into_iter().enumerate() {
                let rect = Rect { x: left, y: y + dy, w, h };
                candidates.push(Candidate { rect, cost: i as f64 * 2.0 + j as f64 });
            }
        }
        candidates.retain(|c| self.in_panel(&c.rect));
        if let Some(rect) = self.sheet.place(None, &candidates) {
            self.write(rect, note, style);
        }
    }

    /// Why there is no data, in or beside the hatched span.
    fn no_data(&mut self, strip: &Strip) {
        for gap in strip.no_data.iter().filter(|gap| !gap.words.is_empty()) {
            let style = Style { class: "no-data-words", size: 13.0, bold: false, fill: self.palette.ink2 };
            let (w, h) = extent(&gap.words, style);
            let middle = (self.frame.x_within(gap.from_rpm) + self.frame.x_within(gap.to_rpm)) / 2.0;
            let centre = (self.panel.top + self.panel.bottom) / 2.0;
            let mut candidates = Vec::new();
            for (i, dy) in [0.0, -14.0, 14.0, -28.0, 28.0].into_iter().enumerate() {
                for dx in [0.0, -8.0, 8.0, -16.0, 16.0, -30.0, 30.0, -w] {
                    let rect = Rect { x: middle - w / 2.0 + dx, y: centre - h / 2.0 + dy, w, h };
                    candidates.push(Candidate { rect, cost: i as f64 + f64::abs(dx) / 4.0 });
                }
            }
            candidates.retain(|c| self.in_panel(&c.rect));
            if let Some(rect) = self.sheet.place(None, &candidates) {
                self.write(rect, &gap.words, style);
            }
        }
    }

    /// Places in the row of names, from the right: the last resort of a label.
    fn header(&self, w: f64, h: f64, cost: f64) -> Vec<Candidate> {
        let y = self.panel.top - 7.0 - ASCENT * LABEL + (BOX * LABEL - h) / 2.0;
        (0..24)
            .map(|i| {
                let x = self.frame.x1 - w - f64::from(i) * 24.0;
                Candidate { rect: Rect { x, y, w, h }, cost: cost + f64::from(i) }
            })
            .collect()
    }

    fn slide(&self, w: f64, step: f64) -> impl Iterator<Item = f64> + use<> {
        let (from, to) = (self.frame.x0 + 8.0, self.frame.x1 - w);
        let count = ((to - from) / step).floor().max(0.0) as usize;
        (0..=count).map(move |i| from + i as f64 * step)
    }

    fn in_panel(&self, rect: &Rect) -> bool {
        rect.y >= self.panel.top - 5.0 && rect.bottom() <= self.panel.bottom + 1.0
    }

    fn write(&mut self, rect: Rect, text: &str, style: Style<'_>) {
        let plate = Rect { w: text_width(text, style.size, style.bold), h: BOX * style.size, ..rect };
        self.palette.plate(self.out, plate);
        let size = num(style.size);
        let (x, y) = (num(rect.x), num(rect.y + ASCENT * style.size));
        let mut attributes = vec![("class", style.class), ("x", &x), ("y", &y), ("font-size", &size)];
        if style.bold {
            attributes.push(("font-weight", "600"));
        }
        attributes.push(("fill", style.fill));
        self.out.words("text", &attributes, text);
    }
}

fn extent(text: &str, style: Style<'_>) -> (f64, f64) {
    (text_width(text, style.size, style.bold), BOX * style.size)
}

/// Highest and lowest place of a stretch over a span (small y is high).
///
/// A span beside the stretch has none: infinite, the wrong way round.
fn extremes(part: &[(f64, f64)], from: f64, to: f64) -> (f64, f64) {
    let mut high = f64::INFINITY;
    let mut low = f64::NEG_INFINITY;
    if part.first().is_none_or(|p| p.0 > to) || part.last().is_none_or(|p| p.0 < from) {
        return (high, low);
    }
    let first = part.partition_point(|p| p.0 < from).saturating_sub(1);
    for (i, point) in part.iter().enumerate().skip(first) {
        high = high.min(point.1);
        low = low.max(point.1);
        if point.0 > to && i > first {
            break;
        }
    }
    (high, low)
}

/// Font size of the values that the page script fills in.
pub(crate) const READOUT: f64 = SCALE;

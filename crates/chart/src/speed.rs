//! The engraved scale of speed below the strips, and the band of use above and behind them.

use crate::layout::{Frame, SCALE};
use crate::measure::text_width;
use crate::picture::{BandOfUse, RunPicture};
use crate::place::Rect;
use crate::scale::label_step;
use crate::svg::{Out, num};
use crate::theme::Palette;
use crate::words;

/// Width from which five-hundreds are labelled too.
const WIDE: f64 = 600.0;

/// Line, ticks of 4 (100 rpm), 8 (500) and 11 px (1,000), labels, unit.
pub(crate) fn engraved(out: &mut Out, frame: &Frame, palette: &Palette) {
    let y = frame.speed_y;
    out.open("g", &[("class", "speed-scale")]);
    let (x0, x1) = (num(frame.x0), num(frame.x1));
    let line = [("x1", x0.as_str()), ("y1", &num(y)), ("x2", &x1), ("y2", &num(y)), ("stroke", palette.ink)];
    out.leaf("line", &line);
    let per_rpm = (frame.x1 - frame.x0) / (frame.rpm1 - frame.rpm0);
    let fine = [100.0, 500.0, 1000.0, 5000.0].into_iter().find(|s| s * per_rpm >= 3.5).unwrap_or(1e4);
    let mut ticks = [String::new(), String::new()];
    for k in (frame.rpm0 / fine).ceil() as i64..=(frame.rpm1 / fine + 1e-9).floor() as i64 {
        let rpm = k as f64 * fine;
        let length = tick(rpm);
        let d = &mut ticks[usize::from(length > 4.0)];
        d.push_str(&format!("M{} {}v{}", num(frame.x(rpm)), num(y), num(length)));
    }
    for (d, stroke) in ticks.iter().zip([palette.edge, palette.ink]) {
        if !d.is_empty() {
            out.leaf("path", &[("class", "tick"), ("d", d), ("fill", "none"), ("stroke", stroke)]);
        }
    }
    labels(out, frame, palette);
    out.close("g");
}

fn tick(rpm: f64) -> f64 {
    if rpm % 1000.0 == 0.0 {
        11.0
    } else if rpm % 500.0 == 0.0 {
        8.0
    } else {
        4.0
    }
}

fn labels(out: &mut Out, frame: &Frame, palette: &Palette) {
    let baseline = num(frame.speed_y + 26.0);
    let end = frame.x1 + 6.0;
    let unit_from = end - text_width("rpm", SCALE, false) - 6.0;
    let step = label_step(frame.rpm0, frame.rpm1, frame.x1 - frame.x0, frame.width >= WIDE);
    for k in (frame.rpm0 / step).ceil() as i64..=(frame.rpm1 / step + 1e-9).floor() as i64 {
        let rpm = k as f64 * step;
        let text = words::rpm(rpm);
        let bold = rpm % 1000.0 == 0.0;
        let half = text_width(&text, SCALE, bold) / 2.0;
        let x = frame.x(rpm);
        if x + half > unit_from || x - half < 0.0 {
            continue;
        }
        let mut attributes = vec![("class", "rpm"), ("text-anchor", "middle")];
        let place = num(x);
        attributes.extend([("x", place.as_str()), ("y", &baseline), ("font-size", "13")]);
        attributes.push(("fill", if bold { palette.ink } else { palette.ink2 }));
        if bold {
            attributes.push(("font-weight", "600"));
        }
        out.words("text", &attributes, &text);
    }
    let unit = [("class", "unit"), ("text-anchor", "end"), ("x", &num(end)), ("y", &baseline), ("font-size", "13")];
    let mut attributes: Vec<(&str, &str)> = unit.iter().map(|(k, v)| (*k, *v)).collect();
    attributes.push(("fill", palette.ink2));
    out.words("text", &attributes, "rpm");
}

/// Tint, dotted edges, bar, its label, and the two ends. Everything of the band in one group, drawn
/// first; `interactive` gives the ends their handles.
pub(crate) fn band(out: &mut Out, frame: &Frame, picture: &RunPicture, palette: &Palette, interactive: bool) {
    let (Some(band), Some(bar_y)) = (&picture.band, frame.bar_y) else { return };
    let (from, to) = (frame.x_within(band.from_rpm), frame.x_within(band.to_rpm));
    out.open(
        "g",
        &[("class", "band"), ("data-from", &format!("{}", band.from_rpm)), ("data-to", &format!("{}", band.to_rpm))],
    );
    let (top, bottom) = (num(frame.top), num(frame.speed_y));
    out.leaf(
        "rect",
        &[
            ("class", "band-tint"),
            ("x", &num(from)),
            ("y", &top),
            ("width", &num(to - from)),
            ("height", &num(frame.speed_y - frame.top)),
            ("fill", palette.raised),
        ],
    );
    for (end, x) in [("from", from), ("to", to)] {
        let x = num(x);
        out.leaf(
            "line",
            &[
                ("class", "band-edge"),
                ("data-end", end),
                ("x1", &x),
                ("y1", &top),
                ("x2", &x),
                ("y2", &bottom),
                ("stroke", palette.ink3),
                ("stroke-dasharray", "1.5 3"),
            ],
        );
    }
    let y = num(bar_y);
    out.leaf(
        "line",
        &[
            ("class", "band-bar"),
            ("x1", &num(from)),
            ("y1", &y),
            ("x2", &num(to)),
            ("y2", &y),
            ("stroke", palette.ink),
            ("stroke-width", "2"),
        ],
    );
    let numbers = end_numbers(frame, band, from, to);
    bar_label(out, frame, band, (from + to) / 2.0, palette, interactive, numbers.is_none());
    for (end, x, rpm) in [("from", from, band.from_rpm), ("to", to, band.to_rpm)] {
        handle(out, frame, end, x, rpm, band, palette, interactive);
    }
    out.open("g", &palette.halo());
    for (end, at, rpm) in numbers.into_iter().flatten() {
        let (x, anchor) = at;
        let w = text_width(&words::rpm(rpm), SCALE, true);
        palette.plate(out, Rect { x: if anchor == "end" { x - w } else { x }, y: bar_y - 6.0, w, h: 12.0 });
        out.words(
            "text",
            &[
                ("class", "band-number"),
                ("data-end", end),
                ("text-anchor", anchor),
                ("x", &num(x)),
                ("y", &num(bar_y + 4.6)),
                ("font-size", "13"),
                ("font-weight", "600"),
                ("fill", palette.ink),
            ],
            &words::rpm(rpm),
        );
    }
    out.close("g");
    out.close("g");
}

type EndNumber = (&'static str, (f64, &'static str), f64);

/// Places of the two speeds beside the handles: outside where there is room, else on the bar; `None`
/// when the bar is too short for that, and the label must say them.
fn end_numbers(frame: &Frame, band: &BandOfUse, from: f64, to: f64) -> Option<[EndNumber; 2]> {
    let wide = |rpm: f64| text_width(&words::rpm(rpm), SCALE, true);
    let (left, right) = (wide(band.from_rpm), wide(band.to_rpm));
    let left_outside = from - 13.0 - left >= 0.0;
    let right_outside = to + 13.0 + right <= frame.width;
    let inside = if left_outside { 0.0 } else { left } + if right_outside { 0.0 } else { right };
    if inside > 0.0 && to - from < inside + 44.0 {
        return None;
    }
    let at_left = if left_outside { (from - 13.0, "end") } else { (from + 13.0, "start") };
    let at_right = if right_outside { (to + 13.0, "start") } else { (to - 13.0, "end") };
    Some([("from", at_left, band.from_rpm), ("to", at_right, band.to_rpm)])
}

fn bar_label(
    out: &mut Out,
    frame: &Frame,
    band: &BandOfUse,
    middle: f64,
    palette: &Palette,
    interactive: bool,
    with_numbers: bool,
) {
    let span = format!("{} to {}", words::rpm(band.from_rpm), words::rpm(band.to_rpm));
    let mut bold = band.label.clone();
    if with_numbers {
        bold = if bold.is_empty() { span } else { format!("{bold} {span}") };
    }
    let room = frame.width - 4.0;
    if text_width(&bold, SCALE, true) > room {
        return;
    }
    let bold_width = text_width(&bold, SCALE, true);
    let note_width = 8.0 + text_width(&band.note, SCALE, false);
    let with_note = interactive && !band.note.is_empty() && bold_width + note_width <= room;
    let width = bold_width + if with_note { note_width } else { 0.0 };
    let x = (middle - width / 2.0).clamp(2.0, frame.width - 2.0 - width);
    let class = |class| [("class", class), ("y", "13"), ("font-size", "13")];
    let mut attributes = class("band-label").to_vec();
    let place = num(x);
    attributes.extend([("x", place.as_str()), ("font-weight", "600"), ("fill", palette.ink)]);
    out.words("text", &attributes, &bold);
    if with_note {
        let mut attributes = class("band-note").to_vec();
        let place = num(x + bold_width + 8.0);
        attributes.extend([("x", place.as_str()), ("fill", palette.ink2)]);
        out.words("text", &attributes, &band.note);
    }
}

#[allow(clippy::too_many_arguments)]
fn handle(
    out: &mut Out,
    frame: &Frame,
    end: &str,
    x: f64,
    rpm: f64,
    band: &BandOfUse,
    palette: &Palette,
    interactive: bool,
) {
    let place = format!("translate({} {})", num(x), num(frame.bar_y.unwrap_or(0.0)));
    let label = if end == "from" { "Lower end of the band" } else { "Upper end of the band" };
    let (least, most) = if end == "from" { (frame.rpm0, band.to_rpm) } else { (band.from_rpm, frame.rpm1) };
    let text = format!("{} rpm", words::rpm(rpm));
    let (least, most, now) = (format!("{least}"), format!("{most}"), format!("{rpm}"));
    let mut attributes = vec![("class", "handle"), ("data-end", end), ("transform", place.as_str())];
    if interactive {
        attributes.extend([
            ("role", "slider"),
            ("tabindex", "0"),
            ("aria-label", label),
            ("aria-valuemin", &least),
            ("aria-valuemax", &most),
            ("aria-valuenow", &now),
            ("aria-valuetext", &text),
        ]);
    }
    out.open("g", &attributes);
    if interactive {
        let hit = [("class", "hit"), ("x", "-22"), ("y", "-22"), ("width", "44"), ("height", "44")];
        let mut attributes = hit.to_vec();
        attributes.extend([("fill", "transparent"), ("pointer-events", "all")]);
        out.leaf("rect", &attributes);
    }
    out.leaf(
        "rect",
        &[
            ("class", "grip"),
            ("x", "-8"),
            ("y", "-11"),
            ("width", "16"),
            ("height", "22"),
            ("rx", "3"),
            ("fill", palette.sheet),
            ("stroke", palette.ink),
            ("stroke-width", "1.6"),
        ],
    );
    out.leaf("path", &[("d", "M-2.5 -4.5V4.5M2.5 -4.5V4.5"), ("fill", "none"), ("stroke", palette.ink)]);
    out.close("g");
}

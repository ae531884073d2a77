//! The two small pictures: a sparkline for lists of runs, and plateau bars.

use crate::measure::text_width;
use crate::picture::{LineKind, PlateauRow, Theme};
use crate::place::Rect;
use crate::svg::{FAMILY, Out, num, path};
use crate::words;

/// A line without scales for a list of runs, `width` × `height` px. Gaps stay gaps.
///
/// `label` says in words what is drawn. Without a single value only the frame of the drawing is left.
pub fn sparkline(points: &[(f64, f64)], label: &str, theme: Theme, width: f64, height: f64) -> String {
    let palette = theme.palette();
    let mut out = Out::default();
    start(&mut out, "sparkline", label, width, height);
    let there = |p: &&(f64, f64)| p.0.is_finite() && p.1.is_finite();
    let range = |pick: fn(&(f64, f64)) -> f64| {
        let values = points.iter().filter(there).map(pick);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    let ((x0, x1), (y0, y1)) = (range(|p| p.0), range(|p| p.1));
    let x = |v: f64| if x1 > x0 { 2.0 + (v - x0) / (x1 - x0) * (width - 4.0) } else { width / 2.0 };
    let y = |v: f64| if y1 > y0 { height - 2.5 - (v - y0) / (y1 - y0) * (height - 5.0) } else { height / 2.0 };
    for part in points.split(|p| !(p.0.is_finite() && p.1.is_finite())).filter(|part| !part.is_empty()) {
        let placed: Vec<(f64, f64)> = part.iter().map(|p| (x(p.0), y(p.1))).collect();
        if let [(x, y)] = placed.as_slice() {
            out.leaf("circle", &[("cx", &num(*x)), ("cy", &num(*y)), ("r", "1.7"), ("fill", palette.blue)]);
            continue;
        }
        let d = path(&placed);
        let stroke = [("d", d.as_str()), ("fill", "none"), ("stroke", palette.blue), ("stroke-width", "1.7")];
        let mut attributes = stroke.to_vec();
        attributes.push(("stroke-linejoin", "round"));
        out.leaf("path", &attributes);
    }
    out.close("svg");
    out.text.trim_start().to_owned() + "\n"
}

/// Height of one bar's row, px.
const ROW: f64 = 24.0;

/// Bars from the lower to the upper end of each plateau on one common scale of speed.
///
/// An end that runs into the end of the data is drawn open and its speed is given as "2,000 or less",
/// "6,600 or more". Rows with an end that is no number are left empty.
pub fn plateau_bars(rows: &[PlateauRow], theme: Theme, width: f64) -> String {
    let palette = theme.palette();
    let width = width.max(200.0);
    let height = ROW * rows.len().max(1) as f64;
    let mut out = Out::default();
    let there = |row: &&PlateauRow| row.from_rpm.is_finite() && row.to_rpm.is_finite() && row.from_rpm <= row.to_rpm;
    let said: Vec<String> = rows
        .iter()
        .map(|row| {
            let span =
                if there(&row) { format!("{} to {} rpm", from_text(row), to_text(row)) } else { "none".to_owned() };
            format!("{}: {span}", row.label)
        })
        .collect();
    start(&mut out, "plateau-bars", &said.join("; "), width, height);
    let low = rows.iter().filter(there).map(|row| row.from_rpm).fold(f64::INFINITY, f64::min);
    let high = rows.iter().filter(there).map(|row| row.to_rpm).fold(f64::NEG_INFINITY, f64::max);
    let wide = |text: String, row: &PlateauRow| text_width(&text, 13.5, bold(row)) + 8.0;
    let left = rows.iter().filter(there).map(|row| wide(from_text(row), row)).fold(0.0, f64::max) + 10.0;
    let right = rows.iter().filter(there).map(|row| wide(to_text(row), row)).fold(0.0, f64::max) + 10.0;
    let x = |rpm: f64| {
        let room = (width - left - right).max(20.0);
        if high > low { left + (rpm - low) / (high - low) * room } else { left + room / 2.0 }
    };
    for (index, row) in rows.iter().enumerate() {
        let y = ROW * (index as f64 + 0.5);
        let middle = num(y);
        let (end, hair) = (num(width), palette.hair);
        out.leaf("line", &[("x1", "0"), ("y1", &middle), ("x2", &end), ("y2", &middle), ("stroke", hair)]);
        if there(&row) {
            bar(&mut out, row, x(row.from_rpm), x(row.to_rpm), y, &palette);
        }
    }
    out.close("svg");
    out.text.trim_start().to_owned() + "\n"
}

fn bar(out: &mut Out, row: &PlateauRow, from: f64, to: f64, y: f64, palette: &crate::theme::Palette) {
    let colour = row.kind.colour(palette);
    let thick = if bold(row) { 10.0 } else { 6.0 };
    let to = to.max(from + 2.0);
    let (top, h) = (num(y - thick / 2.0), num(thick));
    let place = [("x", num(from)), ("y", top), ("width", num(to - from)), ("height", h)];
    let mut attributes: Vec<(&str, &str)> = place.iter().map(|(key, value)| (*key, value.as_str())).collect();
    attributes.push(("class", row.kind.class()));
    attributes.push(("fill", colour));
    out.leaf("rect", &attributes);
    for (open, x) in [(row.open_below, from), (row.open_above, to)] {
        if open {
            // An open end: a slit in the bar, as in a broken-off drawing.
            let slit = format!(
                "M{} {}l4 {}",
                num(x - 2.0 + if x == from { 4.0 } else { -4.0 }),
                num(y + thick / 2.0 + 1.0),
                num(-thick - 2.0)
            );
            out.leaf("path", &[("d", &slit), ("fill", "none"), ("stroke", palette.sheet), ("stroke-width", "2")]);
        }
    }
    for (anchor, x, text) in [("end", from - 6.0, from_text(row)), ("start", to + 6.0, to_text(row))] {
        let w = text_width(&text, 13.5, bold(row));
        let left = if anchor == "end" { x - w } else { x };
        palette.plate(out, Rect { x: left, y: y - 6.0, w, h: 12.0 });
        let (x, y) = (num(x), num(y + 4.6));
        let mut attributes = vec![("text-anchor", anchor), ("x", x.as_str()), ("y", &y), ("font-size", "13.5")];
        attributes.extend([("font-weight", if bold(row) { "600" } else { "400" }), ("fill", colour)]);
        attributes.extend(palette.halo());
        out.words("text", &attributes, &text);
    }
}

fn bold(row: &PlateauRow) -> bool {
    matches!(row.kind, LineKind::Measured | LineKind::Gain | LineKind::SinglePull)
}

fn from_text(row: &PlateauRow) -> String {
    let rpm = words::rpm(row.from_rpm);
    if row.open_below { format!("{rpm} or less") } else { rpm }
}

fn to_text(row: &PlateauRow) -> String {
    let rpm = words::rpm(row.to_rpm);
    if row.open_above { format!("{rpm} or more") } else { rpm }
}

fn start(out: &mut Out, class: &str, label: &str, width: f64, height: f64) {
    let (w, h) = (num(width), num(height));
    let view = format!("0 0 {w} {h}");
    let root = [("xmlns", "http://www.w3.org/2000/svg"), ("class", class), ("width", &w), ("height", &h)];
    let mut attributes = root.to_vec();
    attributes.extend([("viewBox", view.as_str()), ("font-family", FAMILY), ("role", "img"), ("aria-label", label)]);
    out.open("svg", &attributes);
}

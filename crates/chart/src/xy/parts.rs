//! A whole as one bar: what is added from the left, what is taken away back from its right end, and
//! what remains.

use super::axis::{NAME_ROW, Rule};
use super::{XAxis, XScale, root};
use crate::draw::clean;
use crate::measure::text_width;
use crate::picture::{Size, Theme};
use crate::place::{Candidate, Rect, Sheet};
use crate::svg::{Out, num};
use crate::theme::Palette;
use serde::Serialize;

/// One part of a whole.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Part {
    /// What it is: "chamber".
    pub name: String,
    /// Its size with sign, in the picture's unit; one below zero takes away.
    pub value: f64,
    /// As printed, with its sign: "+64.0".
    pub value_text: String,
    /// Measured here, or said and calculated.
    pub measured: bool,
}

/// A whole and its parts.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct PartsPicture {
    /// Title for readers who cannot see the picture.
    pub title: String,
    /// The finding and the parts in sentences, for the same readers.
    pub summary: String,
    /// Quantity, printed bold: "Combustion space".
    pub name: String,
    /// Unit and basis, printed light: "cm³, one cylinder at top dead centre".
    pub unit_and_basis: String,
    /// Unit alone, below the scale.
    pub unit: String,
    /// In the order in which they add up. Those that are no numbers are left out.
    pub parts: Vec<Part>,
    /// Printed below what remains: "clearance volume 74.6 cm³".
    pub total_label: String,
}

const NAME: f64 = 18.0;
const TIER: f64 = 19.0;
const TIERS: usize = 3;
const BAR: f64 = 34.0;
const BAR_TOP: f64 = NAME + TIER * TIERS as f64 + 14.0;
const TOTAL: f64 = 40.0;

/// Height of the drawing, px; it does not depend on the parts.
pub fn parts_height() -> f64 {
    BAR_TOP + BAR + TOTAL + 42.0 + NAME_ROW
}

/// Draws a whole as SVG text. The height of `size` is left aside, see [`parts_height`].
///
/// A part below zero is drawn dashed and hatched, back from the right end of what was added. Without a
/// part above zero only the scale is left.
pub fn draw_parts(picture: &PartsPicture, theme: Theme, size: &Size) -> String {
    let palette = theme.palette();
    let prefix = clean(&size.prefix);
    let width = if size.width.is_finite() { size.width.max(280.0) } else { 280.0 };
    let mut out = Out::default();
    let spoken = (picture.title.as_str(), picture.summary.as_str());
    root(&mut out, "parts-chart", (width, parts_height()), spoken, size, &prefix, &palette);
    pattern(&mut out, &palette, &prefix);
    let parts: Vec<&Part> = picture.parts.iter().filter(|p| p.value.is_finite() && p.value != 0.0).collect();
    let added: f64 = parts.iter().map(|p| p.value.max(0.0)).sum();
    let to = if added > 0.0 && added.is_finite() { added } else { 1.0 };
    let (x0, x1) = (22.0, width - 22.0);
    let rule = Rule { x0, x1, from: 0.0, to, y: BAR_TOP + BAR + TOTAL, width };
    let x = |v: f64| x0 + v / to * (x1 - x0);
    let spans = spans(&parts, added);
    out.open("g", &[("class", "parts")]);
    for (part, (from, to)) in parts.iter().zip(&spans) {
        segment(&mut out, part, x(*from), x(*to), &palette, &prefix);
    }
    out.close("g");
    total(&mut out, picture, x(0.0), x(spans_end(&parts, added)), width, &palette);
    let mut attributes = vec![("class", "labels")];
    attributes.extend(palette.halo());
    out.open("g", &attributes);
    title(&mut out, picture, width, &palette);
    names(&mut out, &parts, &spans, x, width, &palette);
    out.close("g");
    let axis = XAxis { name: picture.unit.clone(), scale: XScale::Decimal, from: 0.0, to };
    rule.draw(&mut out, &axis, &palette);
    out.close("svg");
    out.text.trim_start().to_owned() + "\n"
}

/// From and to of each part: what adds from zero upward, what takes away from the sum downward.
fn spans(parts: &[&Part], added: f64) -> Vec<(f64, f64)> {
    let (mut up, mut down) = (0.0, added);
    let mut span = |part: &&Part| {
        if part.value > 0.0 {
            up += part.value;
            (up - part.value, up)
        } else {
            down += part.value;
            // A part that takes away more than there is ends at zero; the words say its whole size.
            (down.max(0.0), (down - part.value).max(0.0))
        }
    };
    parts.iter().map(&mut span).collect()
}

fn spans_end(parts: &[&Part], added: f64) -> f64 {
    (added + parts.iter().map(|p| p.value.min(0.0)).sum::<f64>()).max(0.0)
}

fn pattern(out: &mut Out, palette: &Palette, prefix: &str) {
    out.open("defs", &[]);
    let id = format!("{prefix}-away");
    let size = [("width", "6"), ("height", "6"), ("patternUnits", "userSpaceOnUse")];
    let mut attributes = vec![("id", id.as_str())];
    attributes.extend(size);
    attributes.push(("patternTransform", "rotate(-45)"));
    out.open("pattern", &attributes);
    out.leaf("rect", &[("width", "6"), ("height", "6"), ("fill", palette.sheet), ("fill-opacity", "0.7")]);
    out.leaf("path", &[("d", "M3 0V6"), ("stroke", palette.ink3)]);
    out.close("pattern");
    out.close("defs");
}

fn colour(part: &Part, palette: &Palette) -> &'static str {
    if part.measured { palette.blue } else { palette.brass }
}

fn segment(out: &mut Out, part: &Part, from: f64, to: f64, palette: &Palette, prefix: &str) {
    let away = part.value < 0.0;
    // What takes away lies in the lower half, over what it takes away from.
    let (top, height) = if away { (BAR_TOP + BAR * 0.35, BAR * 0.65) } else { (BAR_TOP, BAR) };
    let (x, y, w, h) = (num(from), num(top), num((to - from).max(0.5)), num(height));
    let fill = if away { format!("url(#{prefix}-away)") } else { colour(part, palette).to_owned() };
    let class = if part.measured { "part measured" } else { "part predicted" };
    let mut attributes = vec![("class", class), ("x", x.as_str()), ("y", &y), ("width", &w), ("height", &h)];
    attributes.extend([("fill", fill.as_str()), ("stroke", colour(part, palette))]);
    if !away {
        attributes.push(("fill-opacity", if part.measured { palette.measured_band } else { "0.2" }));
    }
    if away || !part.measured {
        attributes.push(("stroke-dasharray", "7 3.5"));
    }
    out.leaf("rect", &attributes);
}

/// What remains: an ink line with ends below the bar, and its words.
fn total(out: &mut Out, picture: &PartsPicture, from: f64, to: f64, width: f64, palette: &Palette) {
    let y = BAR_TOP + BAR + 9.0;
    if to - from < 1.0 {
        return;
    }
    let d = format!(
        "M{} {}v8M{} {}h{}M{} {}v8",
        num(from),
        num(y - 4.0),
        num(from),
        num(y),
        num(to - from),
        num(to),
        num(y - 4.0)
    );
    out.leaf(
        "path",
        &[("class", "total"), ("d", &d), ("fill", "none"), ("stroke", palette.ink), ("stroke-width", "1.7")],
    );
    let w = text_width(&picture.total_label, 13.5, true);
    if w > width - 8.0 {
        return;
    }
    let x = num(((from + to - w) / 2.0).clamp(4.0, width - 4.0 - w));
    let baseline = num(y + 19.0);
    let mut attributes = vec![("class", "total-label"), ("x", x.as_str()), ("y", &baseline), ("font-size", "13.5")];
    attributes.extend([("font-weight", "600"), ("fill", palette.ink)]);
    out.words("text", &attributes, &picture.total_label);
}

fn title(out: &mut Out, picture: &PartsPicture, width: f64, palette: &Palette) {
    let mut x = 22.0;
    for (text, bold, fill) in [(&picture.name, true, palette.ink), (&picture.unit_and_basis, false, palette.ink2)] {
        let w = text_width(text, 13.5, bold);
        if text.is_empty() || x + w > width - 4.0 {
            continue;
        }
        let place = num(x);
        let mut attributes = vec![("class", if bold { "name" } else { "basis" }), ("x", place.as_str()), ("y", "13.5")];
        attributes.extend([("font-size", "13.5"), ("font-weight", if bold { "600" } else { "400" }), ("fill", fill)]);
        out.words("text", &attributes, text);
        x += w + 7.0;
    }
}

/// Name and size above each part, in the lowest row with room, with a line down to it.
fn names(out: &mut Out, parts: &[&Part], spans: &[(f64, f64)], x: impl Fn(f64) -> f64, width: f64, palette: &Palette) {
    let mut sheet = Sheet::new(width, BAR_TOP);
    sheet.take(Rect { x: 0.0, y: 0.0, w: width, h: NAME });
    // The widest parts first: their names belong right above them.
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|a, b| (spans[*b].1 - spans[*b].0).total_cmp(&(spans[*a].1 - spans[*a].0)));
    let mut leaders = Vec::new();
    let mut placed = Vec::new();
    for index in order {
        let part = parts[index];
        let middle = (x(spans[index].0) + x(spans[index].1)) / 2.0;
        let (a, b) = (text_width(&part.name, 13.5, false), text_width(&part.value_text, 13.5, true));
        let w = a + 5.0 + b;
        let mut candidates = Vec::new();
        for tier in 0..TIERS {
            let y = BAR_TOP - 14.0 - TIER * (tier as f64 + 1.0) + 3.0;
            for step in -24..=24 {
                let left = middle - w / 2.0 + f64::from(step) * 10.0;
                let cost = tier as f64 * 6.0 + f64::from(step).abs();
                // The line down starts within the words.
                let holds = left + 4.0 <= middle && middle <= left + w - 4.0;
                let rect = Rect { x: left, y, w, h: 14.0 };
                let crossed = leaders
                    .iter()
                    .any(|(lx, ly): &(f64, f64)| rect.meets(&Rect { x: lx - 4.0, y: *ly, w: 8.0, h: BAR_TOP - ly }));
                let crosses = placed.iter().any(|r: &Rect| r.y > y && middle > r.x - 3.0 && middle < r.right() + 3.0);
                if holds && !crossed && !crosses {
                    candidates.push(Candidate { rect, cost });
                }
            }
        }
        let Some(rect) = sheet.place(None, &candidates) else { continue };
        leaders.push((middle, rect.bottom()));
        placed.push(rect);
        let fill = colour(part, palette);
        let down = BAR_TOP + if part.value < 0.0 { BAR * 0.35 } else { 0.0 };
        let (lx, y1, y2) = (num(middle), num(rect.bottom() + 2.0), num(down));
        let ends = [("class", "leader"), ("x1", lx.as_str()), ("y1", &y1), ("x2", &lx), ("y2", &y2)];
        let mut attributes = ends.to_vec();
        attributes.extend([("stroke", fill), ("stroke-width", "1")]);
        out.leaf("line", &attributes);
        palette.plate(out, rect);
        for (text, left, bold) in [(&part.name, rect.x, false), (&part.value_text, rect.x + a + 5.0, true)] {
            let (left, baseline) = (num(left), num(rect.y + 11.0));
            let mut attributes =
                vec![("class", "part-name"), ("x", left.as_str()), ("y", &baseline), ("font-size", "13.5")];
            attributes.extend([("font-weight", if bold { "600" } else { "400" }), ("fill", fill)]);
            out.words("text", &attributes, text);
        }
    }
}

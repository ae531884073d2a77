//! Strips over crank degrees, lift or another scale, and a whole as one bar of its parts.
//!
//! The grammar is that of the run picture, and so are its parts: strips, hairlines, bands, labels and
//! limits are drawn by the same code. Only the common scale differs. These drawings are still: no
//! handles, no readout.

mod axis;
mod parts;

pub use parts::{Part, PartsPicture, draw_parts, parts_height};

use crate::draw::{STYLE, clean};
use crate::labels::{self};
use crate::layout::Frame;
use crate::marks;
use crate::measure::text_width;
use crate::picture::{RunPicture, Size, Strip, Theme};
use crate::place::{Candidate, Rect, Sheet};
use crate::svg::{FAMILY, Out, num};
use crate::theme::Palette;
use axis::{NAME_ROW, Rule};
use serde::Serialize;

/// How the common scale is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum XScale {
    /// By tens: lift, volume.
    #[default]
    Decimal,
    /// By the parts of a turn: 10, 30, 90.
    Degrees,
}

/// The scale that all strips share.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct XAxis {
    /// What it is, with its unit: "crank degrees after the top dead centre of overlap". Printed below it.
    pub name: String,
    /// How it is divided.
    pub scale: XScale,
    /// Its left end. Points of lines beyond the ends are not drawn.
    pub from: f64,
    /// Its right end, above `from`.
    pub to: f64,
}

/// A place on the common scale that has a name: a dotted line through all strips.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct XMark {
    /// Where.
    pub at: f64,
    /// Printed above: "top dead centre".
    pub label: String,
}

/// Strips over one scale that is no engine speed.
///
/// In its strips the places that the run picture calls rpm stand in the unit of the axis.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct XyPicture {
    /// Title for readers who cannot see the picture.
    pub title: String,
    /// The finding and the figures in sentences, for the same readers.
    pub summary: String,
    /// The common scale.
    pub axis: XAxis,
    /// Strips from top to bottom.
    pub strips: Vec<Strip>,
    /// Named places of the scale.
    pub marks: Vec<XMark>,
}

/// Room for the names of marks above the strips.
const MARK_ROW: f64 = 20.0;

/// Draws strips over a scale as SVG text. A drawing lower than its strips need is made higher;
/// `interactive` is left aside. An axis whose ends are no numbers, or not apart, is drawn from 0 to 1.
pub fn draw_xy(picture: &XyPicture, theme: Theme, size: &Size) -> String {
    let (from, to) = (picture.axis.from, picture.axis.to);
    let ends = if from.is_finite() && to.is_finite() && from < to { (from, to) } else { (0.0, 1.0) };
    let strips = RunPicture { rpm_from: ends.0, rpm_to: ends.1, strips: picture.strips.clone(), ..Default::default() };
    let marks: Vec<&XMark> = picture.marks.iter().filter(|m| m.at >= ends.0 && m.at <= ends.1).collect();
    let head = if marks.iter().any(|m| !m.label.is_empty()) { MARK_ROW } else { 4.0 };
    let drawn = Size { height: size.height - NAME_ROW, interactive: false, ..size.clone() };
    let mut frame = Frame::over(&strips, &drawn, ends, head);
    frame.height += NAME_ROW;
    let palette = theme.palette();
    let prefix = clean(&size.prefix);
    let mut out = Out::default();
    let spoken = (picture.title.as_str(), picture.summary.as_str());
    root(&mut out, "xy-chart", (frame.width, frame.height), spoken, size, &prefix, &palette);
    marks::patterns(&mut out, &palette, &prefix);
    marks::hairlines(&mut out, &frame, &palette);
    mark_lines(&mut out, &frame, &marks, &palette);
    for index in 0..strips.strips.len() {
        marks::strip(&mut out, &frame, &strips, index, &palette, &prefix);
    }
    labels::labels(&mut out, &frame, &strips, &palette);
    Rule { x0: frame.x0, x1: frame.x1, from: ends.0, to: ends.1, y: frame.speed_y, width: frame.width }.draw(
        &mut out,
        &picture.axis,
        &palette,
    );
    out.close("svg");
    out.text.trim_start().to_owned() + "\n"
}

/// The root of a still drawing, with its title, its summary and, for files, its rules and its paper.
fn root(
    out: &mut Out,
    class: &str,
    (width, height): (f64, f64),
    (title, summary): (&str, &str),
    size: &Size,
    prefix: &str,
    palette: &Palette,
) {
    let (w, h) = (num(width), num(height));
    let view = format!("0 0 {w} {h}");
    let (title_id, desc_id) = (format!("{prefix}-title"), format!("{prefix}-desc"));
    let labelled = format!("{title_id} {desc_id}");
    out.open(
        "svg",
        &[
            ("xmlns", "http://www.w3.org/2000/svg"),
            ("class", class),
            ("width", &w),
            ("height", &h),
            ("viewBox", &view),
            ("font-family", FAMILY),
            ("role", "img"),
            ("aria-labelledby", &labelled),
        ],
    );
    out.words("title", &[("id", &title_id)], title);
    out.words("desc", &[("id", &desc_id)], summary);
    if size.embed_style {
        out.words("style", &[], STYLE);
        out.leaf("rect", &[("class", "sheet"), ("width", &w), ("height", &h), ("fill", palette.sheet)]);
    }
}

fn mark_lines(out: &mut Out, frame: &Frame, marks: &[&XMark], palette: &Palette) {
    if marks.is_empty() {
        return;
    }
    out.open("g", &[("class", "x-marks")]);
    for mark in marks {
        let x = num(frame.x(mark.at));
        let (top, bottom) = (num(frame.top), num(frame.speed_y));
        let place = [("x1", x.as_str()), ("y1", &top), ("x2", &x), ("y2", &bottom)];
        let mut attributes = place.to_vec();
        attributes.extend([("stroke", palette.ink3), ("stroke-dasharray", "1.5 3")]);
        out.leaf("line", &attributes);
    }
    let mut row = Sheet::new(frame.width, MARK_ROW);
    for mark in marks.iter().filter(|m| !m.label.is_empty()) {
        let w = text_width(&mark.label, 13.0, false);
        let x = frame.x(mark.at);
        let candidates: Vec<Candidate> = [(-0.5, 0.0), (-0.25, 1.0), (-0.75, 1.0), (0.0, 2.0), (-1.0, 2.0)]
            .into_iter()
            .map(|(share, cost)| Candidate { rect: Rect { x: x + share * w, y: 2.0, w, h: 14.0 }, cost })
            .collect();
        if let Some(rect) = row.place(None, &candidates) {
            let place = num(rect.x);
            let words = [("class", "x-mark"), ("x", place.as_str()), ("y", "13"), ("font-size", "13")];
            let mut attributes = words.to_vec();
            attributes.push(("fill", palette.ink2));
            out.words("text", &attributes, &mark.label);
        }
    }
    out.close("g");
}

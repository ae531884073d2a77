//! The run picture.

use crate::labels;
use crate::layout::Frame;
use crate::marks;
use crate::picture::{RunPicture, Size, Theme};
use crate::readout;
use crate::speed;
use crate::svg::{FAMILY, Out, num};

/// Draws a run as SVG text.
///
/// Lines are expected to rise in speed; a step back starts a new stretch, and points outside
/// `rpm_from … rpm_to` beyond the ends of the scale are not drawn. A drawing lower than its strips
/// need is made higher: the real size stands in `viewBox`.
///
/// Attributes for the page script: on the root `data-x0`, `data-x1` (px), `data-rpm0`, `data-rpm1`;
/// on each `g.strip` `data-y0` (px of the value `data-v0`, the foot) and `data-y1` (px of `data-v1`).
pub fn draw(picture: &RunPicture, theme: Theme, size: &Size) -> String {
    let frame = Frame::new(picture, size);
    let palette = theme.palette();
    let prefix = clean(&size.prefix);
    let mut out = Out::default();
    root(&mut out, &frame, picture, size, &prefix);
    if size.embed_style {
        out.words("style", &[], STYLE);
        let (w, h) = (num(frame.width), num(frame.height));
        out.leaf("rect", &[("class", "sheet"), ("width", &w), ("height", &h), ("fill", palette.sheet)]);
    }
    marks::patterns(&mut out, &palette, &prefix);
    speed::band(&mut out, &frame, picture, &palette, size.interactive);
    marks::hairlines(&mut out, &frame, &palette);
    marks::flag_spans(&mut out, &frame, &picture.flags, &prefix);
    for index in 0..picture.strips.len() {
        marks::strip(&mut out, &frame, picture, index, &palette, &prefix);
    }
    labels::labels(&mut out, &frame, picture, &palette);
    speed::engraved(&mut out, &frame, &palette);
    if size.interactive {
        readout::readout(&mut out, &frame, picture, &palette);
    }
    out.close("svg");
    out.text.trim_start().to_owned() + "\n"
}

/// Height below which a picture cannot be drawn, px: every strip at its least height.
pub fn least_height(picture: &RunPicture) -> f64 {
    Frame::new(picture, &Size::file(0.0, 0.0)).height
}

/// Rules of drawings that stand alone.
pub(crate) const STYLE: &str = "text{font-family:'Atkinson Hyperlegible Next',sans-serif;font-feature-settings:'tnum'}";

fn root(out: &mut Out, frame: &Frame, picture: &RunPicture, size: &Size, prefix: &str) {
    let (w, h) = (num(frame.width), num(frame.height));
    let view = format!("0 0 {w} {h}");
    let title_id = format!("{prefix}-title");
    let desc_id = format!("{prefix}-desc");
    let labelled = format!("{title_id} {desc_id}");
    let (x0, x1) = (num(frame.x0), num(frame.x1));
    let (rpm0, rpm1) = (num(frame.rpm0), num(frame.rpm1));
    let mut attributes = vec![
        ("xmlns", "http://www.w3.org/2000/svg"),
        ("class", "run-chart"),
        ("width", w.as_str()),
        ("height", &h),
        ("viewBox", &view),
        ("font-family", FAMILY),
        ("data-x0", &x0),
        ("data-x1", &x1),
        ("data-rpm0", &rpm0),
        ("data-rpm1", &rpm1),
    ];
    if size.interactive {
        // A title element would pop up under the pointer and cover the readout.
        attributes.extend([("role", "group"), ("aria-label", picture.title.as_str()), ("aria-describedby", &desc_id)]);
    } else {
        attributes.extend([("role", "img"), ("aria-labelledby", labelled.as_str())]);
    }
    out.open("svg", &attributes);
    if !size.interactive {
        out.words("title", &[("id", &title_id)], &picture.title);
    }
    out.words("desc", &[("id", &desc_id)], &picture.summary);
}

/// A prefix that is safe in ids and in `url(#…)`; without one, "run".
pub(crate) fn clean(prefix: &str) -> String {
    let kept: String = prefix.chars().filter(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_')).collect();
    if kept.starts_with(|c: char| c.is_ascii_alphabetic()) { kept } else { format!("run{kept}") }
}

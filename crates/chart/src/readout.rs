//! The readout of interactive drawings: hidden until the page script moves it.
//!
//! The group stands at x = 0; the script sets its `transform` to the place of the speed, `cy` of the
//! rings and the texts. Rows are fixed, so that values do not jump. With `data-side="left"` on the
//! group, the script has turned the values to the left of the line (`data-left-x`).

use crate::labels::READOUT;
use crate::layout::Frame;
use crate::measure::text_width;
use crate::picture::{LineKind, RunPicture, Strip};
use crate::svg::{Out, num};
use crate::theme::Palette;

/// Distance of rows in tall strips.
const ROW: f64 = 17.0;
/// Height from which values stand in rows below each other.
const TALL: f64 = 110.0;

pub(crate) fn readout(out: &mut Out, frame: &Frame, picture: &RunPicture, palette: &Palette) {
    out.open("g", &[("class", "readout"), ("visibility", "hidden"), ("pointer-events", "none")]);
    let line = [("class", "readout-line"), ("x1", "0"), ("x2", "0")];
    let mut attributes = line.to_vec();
    let (top, bottom) = (num(frame.top), num(frame.speed_y));
    attributes.extend([("y1", top.as_str()), ("y2", &bottom), ("stroke", palette.ink)]);
    out.leaf("line", &attributes);
    for (strip, panel) in picture.strips.iter().zip(&frame.panels) {
        for (index, line) in ordered(strip) {
            out.leaf(
                "circle",
                &[
                    ("class", "readout-ring"),
                    ("data-strip", &strip.key),
                    ("data-line", &index.to_string()),
                    ("cx", "0"),
                    ("cy", &num(panel.bottom)),
                    ("r", "3.6"),
                    ("fill", palette.sheet),
                    ("stroke", line.colour(palette)),
                    ("stroke-width", "1.6"),
                ],
            );
        }
        values(out, strip, panel.top, panel.bottom, palette);
    }
    tag(out, frame, palette);
    out.close("g");
}

/// Lines that the readout reads, in the order of its rows: measured, predicted, before.
fn ordered(strip: &Strip) -> Vec<(usize, LineKind)> {
    let rank = |kind: LineKind| match kind {
        LineKind::Measured | LineKind::Gain => Some(0),
        LineKind::Predicted => Some(1),
        LineKind::Before => Some(2),
        LineKind::SinglePull => None,
    };
    let lines = strip.lines.iter().enumerate();
    let mut all: Vec<(usize, LineKind)> =
        lines.filter(|(_, line)| rank(line.kind).is_some()).map(|(index, line)| (index, line.kind)).collect();
    all.sort_by_key(|(index, kind)| (rank(*kind), *index));
    all
}

fn values(out: &mut Out, strip: &Strip, top: f64, bottom: f64, palette: &Palette) {
    let lines = ordered(strip);
    let tall = bottom - top >= TALL;
    let first =
        if tall { bottom - 0.25 * (bottom - top) - ROW * (lines.len().max(1) - 1) as f64 } else { bottom - 2.0 };
    let widest = text_width("was −8888.88 ±88", READOUT, false);
    for (row, (index, kind)) in lines.into_iter().enumerate() {
        let (dx, y) = if tall { (9.0, first + ROW * row as f64) } else { (9.0 + row as f64 * widest, first) };
        let before = match kind {
            LineKind::Predicted => "predicted ",
            LineKind::Before => "was ",
            _ => "",
        };
        let bold = before.is_empty();
        out.words(
            "text",
            &[
                ("class", "readout-value"),
                ("data-strip", &strip.key),
                ("data-line", &index.to_string()),
                ("data-words", before),
                ("data-right-x", &num(dx)),
                ("data-left-x", &num(-dx)),
                ("x", &num(dx)),
                ("y", &num(y)),
                ("font-size", &num(READOUT)),
                ("font-weight", if bold { "600" } else { "400" }),
                ("fill", kind.colour(palette)),
                ("paint-order", "stroke"),
                ("stroke", palette.sheet),
                ("stroke-width", "5"),
                ("stroke-linejoin", "round"),
            ],
            "",
        );
    }
}

fn tag(out: &mut Out, frame: &Frame, palette: &Palette) {
    let y = frame.speed_y + 12.0;
    out.open("g", &[("class", "readout-tag")]);
    let place = [("x", "-27"), ("width", "54"), ("height", "20"), ("rx", "2"), ("fill", palette.ink)];
    let mut attributes = place.to_vec();
    let top = num(y);
    attributes.push(("y", &top));
    out.leaf("rect", &attributes);
    out.words(
        "text",
        &[
            ("class", "readout-rpm"),
            ("text-anchor", "middle"),
            ("x", "0"),
            ("y", &num(y + 14.5)),
            ("font-size", "13"),
            ("font-weight", "600"),
            ("fill", palette.sheet),
        ],
        "",
    );
    out.close("g");
}

//! The engraved scale below strips that do not stand over engine speed.

use super::{XAxis, XScale};
use crate::layout::SCALE;
use crate::measure::text_width;
use crate::scale::decimals_of;
use crate::svg::{Out, num};
use crate::theme::Palette;
use crate::words;

/// Room for the name of the scale below its numbers, px.
pub(super) const NAME_ROW: f64 = 14.0;
/// Least distance of the finest ticks, px.
const FINE: f64 = 3.5;
/// Clear room between two numbers, px.
const BETWEEN: f64 = 12.0;

/// Where a scale stands.
pub(super) struct Rule {
    pub(super) x0: f64,
    pub(super) x1: f64,
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) y: f64,
    /// Of the drawing.
    pub(super) width: f64,
}

/// Distances of ticks of 4, 8 and 11 px.
struct Steps {
    fine: f64,
    half: f64,
    whole: f64,
}

impl Rule {
    fn x(&self, value: f64) -> f64 {
        self.x0 + (value - self.from) / (self.to - self.from) * (self.x1 - self.x0)
    }

    /// The finest division whose ticks stand apart and whose whole steps can be numbered.
    fn steps(&self, scale: XScale) -> Steps {
        let per = (self.x1 - self.x0) / (self.to - self.from);
        let widest = |step: f64| {
            let width = |v: f64| text_width(&words::value(v, decimals_of(step), false), SCALE, true);
            width((self.from / step).ceil() * step).max(width((self.to / step).floor() * step))
        };
        let fits = |s: &Steps| s.fine * per >= FINE && s.whole * per >= widest(s.whole) + BETWEEN;
        let turn = [[1.0, 5.0, 10.0], [5.0, 10.0, 30.0], [10.0, 30.0, 90.0], [30.0, 90.0, 180.0], [90.0, 180.0, 360.0]];
        let decade = ((self.to - self.from) / 1000.0).log10().floor() as i32;
        let tens = (decade..decade + 6).flat_map(|d| {
            let unit = 10f64.powi(d);
            [
                [unit, 5.0 * unit, 10.0 * unit],
                [2.0 * unit, 10.0 * unit, 20.0 * unit],
                [5.0 * unit, 10.0 * unit, 50.0 * unit],
            ]
        });
        let made = |[fine, half, whole]: [f64; 3]| Steps { fine, half, whole };
        let found = match scale {
            XScale::Degrees => turn.into_iter().map(made).find(fits),
            XScale::Decimal => None,
        };
        found.or_else(|| tens.map(made).find(fits)).unwrap_or_else(|| {
            let span = self.to - self.from;
            Steps { fine: span, half: span, whole: span }
        })
    }

    /// Line, ticks, numbers, and the name below them at the right.
    pub(super) fn draw(&self, out: &mut Out, axis: &XAxis, palette: &Palette) {
        out.open("g", &[("class", "x-scale")]);
        let (x0, x1, y) = (num(self.x0), num(self.x1), num(self.y));
        out.leaf("line", &[("x1", &x0), ("y1", &y), ("x2", &x1), ("y2", &y), ("stroke", palette.ink)]);
        let steps = self.steps(axis.scale);
        let is_step = |v: f64, step: f64| (v / step - (v / step).round()).abs() < 1e-6;
        let mut ticks = [String::new(), String::new()];
        let multiples = |step: f64| {
            let (first, last) = ((self.from / step - 1e-9).ceil() as i64, (self.to / step + 1e-9).floor() as i64);
            (first..=last).map(move |k| k as f64 * step)
        };
        for v in multiples(steps.fine) {
            let length = match v {
                v if is_step(v, steps.whole) => 11.0,
                v if is_step(v, steps.half) => 8.0,
                _ => 4.0,
            };
            ticks[usize::from(length > 4.0)].push_str(&format!("M{} {y}v{}", num(self.x(v)), num(length)));
        }
        for (d, stroke) in ticks.iter().zip([palette.edge, palette.ink]).filter(|(d, _)| !d.is_empty()) {
            out.leaf("path", &[("class", "tick"), ("d", d), ("fill", "none"), ("stroke", stroke)]);
        }
        let per = (self.x1 - self.x0) / (self.to - self.from);
        let text = |v: f64, step: f64| words::value(v, decimals_of(step), false);
        let widest = multiples(steps.half).map(|v| text_width(&text(v, steps.half), SCALE, true)).fold(0.0, f64::max);
        let numbered = if steps.half * per >= widest + BETWEEN { steps.half } else { steps.whole };
        let baseline = num(self.y + 26.0);
        for v in multiples(numbered) {
            let bold = is_step(v, steps.whole);
            let number = text(v, numbered);
            let half = text_width(&number, SCALE, bold) / 2.0;
            let x = self.x(v);
            if x - half < 0.0 || x + half > self.width {
                continue;
            }
            let place = num(x);
            let mut attributes = vec![("class", "x-number"), ("text-anchor", "middle"), ("x", place.as_str())];
            attributes.extend([("y", baseline.as_str()), ("font-size", "13")]);
            attributes.push(("fill", if bold { palette.ink } else { palette.ink2 }));
            if bold {
                attributes.push(("font-weight", "600"));
            }
            out.words("text", &attributes, &number);
        }
        self.name(out, axis, palette);
        out.close("g");
    }

    fn name(&self, out: &mut Out, axis: &XAxis, palette: &Palette) {
        // Cut from the right, a word at a time, when the drawing is too narrow for it.
        let mut name = axis.name.as_str();
        while text_width(name, SCALE, false) > self.width - 8.0 {
            let Some(at) = name.rfind(' ') else { return };
            name = &name[..at];
        }
        let (x, y) = (num(self.x1.min(self.width - 4.0)), num(self.y + 26.0 + 17.0));
        let mut attributes = vec![("class", "x-name"), ("text-anchor", "end"), ("x", x.as_str()), ("y", &y)];
        let fits = text_width(name, SCALE, false) <= self.x1 - 4.0;
        let left = num(4.0);
        if !fits {
            attributes = vec![("class", "x-name"), ("x", left.as_str()), ("y", &y)];
        }
        attributes.extend([("font-size", "13"), ("fill", palette.ink2)]);
        out.words("text", &attributes, name);
    }
}

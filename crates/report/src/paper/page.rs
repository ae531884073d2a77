//! A page under construction: texts and rules at places, written as SVG.

use crate::paper::flow::{Line, Run};
use std::fmt::Write;

/// Colours of print.
pub(crate) mod ink {
    pub(crate) const INK: &str = "#000000";
    pub(crate) const INK2: &str = "#333333";
    pub(crate) const INK3: &str = "#4D4D4D";
    pub(crate) const RULE: &str = "#BBBBBB";
    pub(crate) const HAIR: &str = "#DDDDDD";
    pub(crate) const BLUE: &str = "#12307A";
    pub(crate) const GREY: &str = "#6E6E6E";
    pub(crate) const FLAG: &str = "#8F0F33";
}

/// Which way a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    /// It begins there.
    Left,
    /// It ends there.
    Right,
}

/// The page as SVG elements.
#[derive(Debug, Default)]
pub(crate) struct Page {
    body: String,
}

impl Page {
    /// Texts of a line on a baseline.
    pub(crate) fn line(&mut self, line: &Line, x: f64, baseline: f64) {
        for (dx, run) in line {
            self.text(run, x + dx, baseline, Side::Left);
        }
    }

    /// One text on a baseline.
    pub(crate) fn text(&mut self, run: &Run, x: f64, baseline: f64, side: Side) {
        if run.text.trim().is_empty() {
            return;
        }
        let x = if side == Side::Right { x - run.width() } else { x };
        let _ = write!(
            self.body,
            "\n<text x=\"{}\" y=\"{}\" font-family=\"'{}'\" font-weight=\"{}\" font-size=\"{}\" fill=\"{}\">{}</text>",
            num(x),
            num(baseline),
            run.cut.family(),
            run.cut.weight(),
            num(run.size),
            run.fill,
            escape(&run.text)
        );
    }

    /// A horizontal rule.
    pub(crate) fn rule(&mut self, x: f64, y: f64, width: f64, thick: f64, stroke: &str) {
        let _ = write!(
            self.body,
            "\n<line x1=\"{}\" y1=\"{y}\" x2=\"{}\" y2=\"{y}\" stroke=\"{stroke}\" stroke-width=\"{}\"/>",
            num(x),
            num(x + width),
            num(thick),
            y = num(y)
        );
    }

    /// A filled disc with its number, 15 px wide or wider.
    pub(crate) fn disc(&mut self, number: &Run, x: f64, middle: f64) -> f64 {
        let wide = number.width();
        let width = (wide + 7.0).max(15.0);
        let _ = write!(
            self.body,
            "\n<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"15\" rx=\"7.5\" fill=\"{}\"/>",
            num(x),
            num(middle - 7.5),
            num(width),
            ink::FLAG
        );
        self.text(number, x + (width - wide) / 2.0, middle + 3.9, Side::Left);
        width
    }

    /// A whole drawing, scaled, with its top left corner at a place.
    pub(crate) fn drawing(&mut self, svg: &str, x: f64, y: f64, scale: f64) {
        let _ = write!(self.body, "\n<g transform=\"translate({} {}) scale({})\">\n", num(x), num(y), num(scale));
        self.body.push_str(svg.trim_end());
        self.body.push_str("</g>");
    }

    /// The page as a standing SVG.
    pub(crate) fn finish(self, width: f64, height: f64) -> String {
        let (w, h) = (num(width), num(height));
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\">{}\n</svg>\n",
            self.body
        )
    }
}

/// Height of lines at a line height.
pub(crate) fn height(lines: &[Line], leading: f64) -> f64 {
    lines.len() as f64 * leading
}

fn num(v: f64) -> String {
    let text = format!("{:.2}", (v * 100.0).round() / 100.0 + 0.0);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

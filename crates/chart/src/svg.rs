//! Writing SVG text: numbers, escapes, elements.

use std::fmt::Write;

/// Family of every label; a page or a renderer must have it.
pub(crate) const FAMILY: &str = "Atkinson Hyperlegible Next";

/// A coordinate: a hundredth of a pixel, no trailing zeros, no minus zero.
pub(crate) fn num(v: f64) -> String {
    let cents = (v * 100.0).round();
    if cents == 0.0 || !cents.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{:.2}", cents / 100.0);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Text for element content or a quoted attribute. Control characters that XML forbids are left out.
pub(crate) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if (c as u32) < 0x20 || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}

/// An SVG under construction.
#[derive(Debug, Default)]
pub(crate) struct Out {
    pub(crate) text: String,
}

impl Out {
    /// An element without content. `attributes` are written as they are.
    pub(crate) fn leaf(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.start(name, attributes);
        self.text.truncate(self.text.len() - 1);
        self.text.push_str("/>");
    }

    /// Opens an element.
    pub(crate) fn open(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.start(name, attributes);
    }

    /// Closes an element.
    pub(crate) fn close(&mut self, name: &str) {
        let _ = write!(self.text, "</{name}>");
    }

    /// An element that holds text.
    pub(crate) fn words(&mut self, name: &str, attributes: &[(&str, &str)], words: &str) {
        self.start(name, attributes);
        self.text.push_str(&escape(words));
        self.close(name);
    }

    fn start(&mut self, name: &str, attributes: &[(&str, &str)]) {
        let _ = write!(self.text, "\n<{name}");
        for (key, value) in attributes {
            let _ = write!(self.text, " {key}=\"{}\"", escape(value));
        }
        self.text.push('>');
    }
}

/// A path through points, as `d`.
pub(crate) fn path(points: &[(f64, f64)]) -> String {
    let mut d = String::new();
    for (i, (x, y)) in points.iter().enumerate() {
        let _ = write!(d, "{}{} {}", if i == 0 { "M" } else { "L" }, num(*x), num(*y));
    }
    d
}

//! Reads back a drawing: elements, attributes, boxes of texts. Every element stands on its own line.

use chart::text_width;

/// One element.
#[derive(Debug, Clone)]
pub(crate) struct Element {
    pub(crate) name: String,
    pub(crate) attributes: Vec<(String, String)>,
    pub(crate) words: String,
}

/// A box around a text or a handle.
#[derive(Debug, Clone)]
pub(crate) struct Shape {
    pub(crate) what: String,
    pub(crate) x0: f64,
    pub(crate) y0: f64,
    pub(crate) x1: f64,
    pub(crate) y1: f64,
}

impl Shape {
    pub(crate) fn meets(&self, other: &Shape) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }
}

impl Element {
    pub(crate) fn get(&self, key: &str) -> Option<&str> {
        self.attributes.iter().find(|a| a.0 == key).map(|a| a.1.as_str())
    }

    pub(crate) fn number(&self, key: &str) -> f64 {
        self.get(key).and_then(|v| v.parse().ok()).unwrap_or(0.0)
    }

    pub(crate) fn is(&self, name: &str, class: &str) -> bool {
        self.name == name && self.get("class").is_some_and(|c| c.split(' ').any(|c| c == class))
    }

    /// The box of a text: cap height and descent of the font, not the line box of the drawing.
    pub(crate) fn text_box(&self) -> Shape {
        let size = self.number("font-size");
        let bold = self.get("font-weight") == Some("600");
        let width = text_width(&self.words, size, bold);
        let x = match self.get("text-anchor") {
            Some("middle") => self.number("x") - width / 2.0,
            Some("end") => self.number("x") - width,
            _ => self.number("x"),
        };
        let y = self.number("y");
        Shape { what: self.words.clone(), x0: x, y0: y - 0.70 * size, x1: x + width, y1: y + 0.19 * size }
    }
}

/// All elements in the order of drawing.
pub(crate) fn elements(svg: &str) -> Vec<Element> {
    svg.lines().filter_map(element).collect()
}

fn element(line: &str) -> Option<Element> {
    let rest = line.strip_prefix('<')?;
    let end = rest.find([' ', '>', '/'])?;
    let (name, mut rest) = rest.split_at(end);
    let mut attributes = Vec::new();
    while let Some(after) = rest.strip_prefix(' ') {
        let (key, value) = after.split_once("=\"")?;
        let (value, next) = value.split_once('"')?;
        attributes.push((key.to_owned(), plain(value)));
        rest = next;
    }
    let words = rest.strip_prefix('>').and_then(|r| r.split_once('<')).map_or("", |r| r.0);
    Some(Element { name: name.to_owned(), attributes, words: plain(words) })
}

fn plain(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

/// Boxes of everything that may not meet: texts that are not filled in later, discs, handles.
pub(crate) fn shapes(all: &[Element]) -> Vec<Shape> {
    let mut shapes = Vec::new();
    for e in all {
        if e.name == "text" && !e.words.is_empty() && !e.is("text", "disc-number") {
            shapes.push(e.text_box());
        } else if e.is("rect", "disc") {
            let (x, y) = (e.number("x"), e.number("y"));
            let (w, h) = (e.number("width"), e.number("height"));
            shapes.push(Shape { what: "disc".into(), x0: x, y0: y, x1: x + w, y1: y + h });
        } else if e.is("g", "handle") {
            let (x, y) = translation(e);
            shapes.push(Shape { what: "handle".into(), x0: x - 8.0, y0: y - 11.0, x1: x + 8.0, y1: y + 11.0 });
        }
    }
    shapes
}

fn translation(e: &Element) -> (f64, f64) {
    let text = e.get("transform").unwrap_or_default();
    let inside = text.trim_start_matches("translate(").trim_end_matches(')');
    let (x, y) = inside.split_once(' ').expect("a translation has two numbers");
    (x.parse().expect("x"), y.parse().expect("y"))
}

/// Points of a path made of absolute moves and lines.
pub(crate) fn points(d: &str) -> Vec<(f64, f64)> {
    let parts = d.split(['M', 'L', 'Z']).filter(|p| !p.is_empty());
    parts.filter_map(|p| p.split_once(' ')).map(|(x, y)| (x.parse().expect("x"), y.parse().expect("y"))).collect()
}

/// Width and height of the canvas.
pub(crate) fn canvas(all: &[Element]) -> (f64, f64) {
    let view = all[0].get("viewBox").expect("a drawing has a viewBox");
    let numbers: Vec<f64> = view.split(' ').map(|v| v.parse().expect("number")).collect();
    (numbers[2], numbers[3])
}

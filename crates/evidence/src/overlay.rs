//! Marks over a photo, as SVG.
//!
//! Every stroke is drawn twice, a dark one below a light one, so that it shows on any photo. Colours are presentation
//! attributes: the drawing needs no style sheet and runs nothing.

/// One mark. Places are shares of width and height, 0 … 1 from the upper left corner of the upright photo.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// An arrow to a point.
    Arrow {
        /// Where it begins.
        from: (f64, f64),
        /// What it points at.
        to: (f64, f64),
    },
    /// A circle round a point.
    Circle {
        /// Its middle.
        at: (f64, f64),
        /// Its radius, a share of the width.
        radius: f64,
    },
    /// Words beside a point.
    Words {
        /// Where they begin.
        at: (f64, f64),
        /// The words.
        words: String,
    },
}

/// Why marks cannot be drawn.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MarkError {
    /// A place outside of the photo, or no number.
    #[error("mark {number}: {value} is no place on the photo; 0 to 1 is expected")]
    Place {
        /// Which mark, from 1.
        number: usize,
        /// What was given.
        value: f64,
    },
    /// A radius that cannot be.
    #[error("mark {number}: a radius of {value}; more than 0 and at most 1, a share of the width, is expected")]
    Radius {
        /// Which mark, from 1.
        number: usize,
        /// What was given.
        value: f64,
    },
    /// No words, or too many.
    #[error("mark {number}: {found} letters; 1 to {MOST_WORDS} are expected")]
    Words {
        /// Which mark, from 1.
        number: usize,
        /// Letters given.
        found: usize,
    },
    /// Too many marks.
    #[error("{found} marks; up to {MOST_MARKS} on one photo are expected")]
    TooMany {
        /// Marks given.
        found: usize,
    },
    /// A photo without size.
    #[error("a photo of {width} × {height} pixels cannot be drawn on")]
    NoSize {
        /// Width.
        width: u32,
        /// Height.
        height: u32,
    },
}

const MOST_MARKS: usize = 200;
const MOST_WORDS: usize = 200;
const LIGHT: &str = "#ffd23f";
const DARK: &str = "#111111";

/// The marks as an SVG drawing of the size of the upright photo; it is laid over the photo, which stays as it is.
///
/// # Errors
/// [`MarkError`] for the first mark that cannot be drawn.
pub fn overlay(marks: &[Mark], width: u32, height: u32) -> Result<String, MarkError> {
    check(marks)?;
    if width == 0 || height == 0 {
        return Err(MarkError::NoSize { width, height });
    }
    let pen = Pen { width: f64::from(width), height: f64::from(height) };
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\"><title>{}</title>",
        escaped(&described(marks))
    );
    for mark in marks {
        svg += &match mark {
            Mark::Arrow { from, to } => pen.arrow(pen.at(*from), pen.at(*to)),
            Mark::Circle { at, radius } => pen.circle(pen.at(*at), radius * pen.width),
            Mark::Words { at, words } => pen.words(pen.at(*at), at.0, words),
        };
    }
    svg += "</svg>";
    Ok(svg)
}

fn check(marks: &[Mark]) -> Result<(), MarkError> {
    if marks.len() > MOST_MARKS {
        return Err(MarkError::TooMany { found: marks.len() });
    }
    for (mark, number) in marks.iter().zip(1..) {
        let places: &[(f64, f64)] = match mark {
            Mark::Arrow { from, to } => &[*from, *to],
            Mark::Circle { at, .. } | Mark::Words { at, .. } => &[*at],
        };
        if let Some(value) = places.iter().flat_map(|p| [p.0, p.1]).find(|v| !(0.0..=1.0).contains(v)) {
            return Err(MarkError::Place { number, value });
        }
        match mark {
            Mark::Circle { radius, .. } if !(*radius > 0.0 && *radius <= 1.0) => {
                return Err(MarkError::Radius { number, value: *radius });
            }
            Mark::Words { words, .. } => {
                let found = words.trim().chars().count();
                if found == 0 || found > MOST_WORDS {
                    return Err(MarkError::Words { number, found });
                }
            }
            _ => {}
        }
    }
    Ok(())
}

/// The marks in words, for those who do not see them: "arrow to the upper left; circle in the middle; words: crack".
pub fn described(marks: &[Mark]) -> String {
    if marks.is_empty() {
        return "no marks".to_owned();
    }
    let words: Vec<String> = marks
        .iter()
        .map(|mark| match mark {
            Mark::Arrow { to, .. } => format!("arrow to the {}", place(*to)),
            Mark::Circle { at, .. } => format!("circle at the {}", place(*at)),
            Mark::Words { at, words } => format!("words at the {}: {}", place(*at), clean(words)),
        })
        .collect();
    words.join("; ")
}

fn place((x, y): (f64, f64)) -> &'static str {
    let third = |v: f64| if v < 1.0 / 3.0 { 0 } else { usize::from(v > 2.0 / 3.0) + 1 };
    const PLACES: [[&str; 3]; 3] = [
        ["upper left", "upper edge", "upper right"],
        ["left edge", "middle", "right edge"],
        ["lower left", "lower edge", "lower right"],
    ];
    PLACES[third(y)][third(x)]
}

struct Pen {
    width: f64,
    height: f64,
}

impl Pen {
    fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (x * self.width, y * self.height)
    }

    /// Width of a stroke: a two-hundredth of the longer side.
    fn stroke(&self) -> f64 {
        self.width.max(self.height) / 200.0
    }

    /// One path, dark below light.
    fn path(&self, d: &str) -> String {
        let one = |colour: &str, width: f64| {
            format!(
                "<path d=\"{d}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width:.1}\" stroke-linecap=\"round\" stroke-linejoin=\"round\"/>"
            )
        };
        one(DARK, 2.2 * self.stroke()) + &one(LIGHT, self.stroke())
    }

    fn arrow(&self, from: (f64, f64), to: (f64, f64)) -> String {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy);
        // A tap without a drag: the point itself, as a short arrow from above.
        let (ux, uy) = if length > 0.0 { (dx / length, dy / length) } else { (0.0, 1.0) };
        let from = if length > 0.0 { from } else { (to.0, to.1 - 12.0 * self.stroke()) };
        let head = 5.0 * self.stroke();
        let barb = |side: f64| (to.0 - head * (ux - side * 0.6 * uy), to.1 - head * (uy + side * 0.6 * ux));
        let (a, b) = (barb(1.0), barb(-1.0));
        self.path(&format!(
            "M{:.1} {:.1}L{:.1} {:.1}M{:.1} {:.1}L{:.1} {:.1}L{:.1} {:.1}",
            from.0, from.1, to.0, to.1, a.0, a.1, to.0, to.1, b.0, b.1
        ))
    }

    fn circle(&self, (x, y): (f64, f64), r: f64) -> String {
        let (left, right) = (x - r, x + r);
        self.path(&format!(
            "M{left:.1} {y:.1}A{r:.1} {r:.1} 0 1 1 {right:.1} {y:.1}A{r:.1} {r:.1} 0 1 1 {left:.1} {y:.1}"
        ))
    }

    fn words(&self, (x, y): (f64, f64), share: f64, words: &str) -> String {
        let size = 6.0 * self.stroke();
        // Near the right edge the words end at their place, so that they stay on the photo.
        let anchor = if share > 0.6 { "end" } else { "start" };
        format!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-family=\"sans-serif\" font-size=\"{size:.1}\" font-weight=\"700\" text-anchor=\"{anchor}\" \
             fill=\"{LIGHT}\" stroke=\"{DARK}\" stroke-width=\"{:.1}\" stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
            0.25 * size,
            escaped(&clean(words))
        )
    }
}

/// One line without control characters.
fn clean(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ").chars().filter(|c| allowed(*c)).collect()
}

/// What XML 1.0 allows in a text, less the controls.
fn allowed(c: char) -> bool {
    !c.is_control() && !matches!(c, '\u{FFFE}' | '\u{FFFF}')
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\'' => out += "&#39;",
            c => out.push(c),
        }
    }
    out
}

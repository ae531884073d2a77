//! An engine in pictures: lift curves over the piston, piston motion, port flow, combustion space.
//!
//! Curves come from `engine`, drawings from `chart`; here stand the units, the words at the marks, the
//! finding of each picture, and the limits that lie over it. Blue is what was measured in this shop;
//! brass is what was said or calculated. A picture whose inputs are missing is listed with the reason.

mod finding;
mod flow;
mod lift;
mod motion;
mod space;

pub use finding::engine_finding;

use chart::{LineKind, PartsPicture, Size, Theme, XyPicture, draw_parts, draw_xy};
use engine::build::{Build, Input, Lack, Origin};
use engine::limits::Layers;
use engine::sheet::Sheet;
use quantity::{Dimension, UnitSystem, digits, thousands};

/// One picture of an engine.
#[derive(Debug, Clone, PartialEq)]
pub struct EnginePicture {
    /// Stable key, also the name of its file: `lift`, `overlap`, `piston-motion`, `port-flow`,
    /// `combustion-space`.
    pub key: &'static str,
    /// What it shows.
    pub title: String,
    /// What it says, in one sentence.
    pub finding: String,
    /// What is drawn.
    pub drawing: Drawing,
}

/// A drawing of either kind.
#[derive(Debug, Clone, PartialEq)]
pub enum Drawing {
    /// Strips over one scale.
    Strips(XyPicture),
    /// A whole as one bar.
    Parts(PartsPicture),
}

impl EnginePicture {
    /// The picture as SVG text. A bar of parts has a height of its own.
    pub fn svg(&self, theme: Theme, size: &Size) -> String {
        match &self.drawing {
            Drawing::Strips(picture) => draw_xy(picture, theme, size),
            Drawing::Parts(picture) => draw_parts(picture, theme, size),
        }
    }
}

/// A picture that cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotDrawn {
    /// Key of the picture.
    pub key: &'static str,
    /// Why: what is not stated, or what the arithmetic refuses.
    pub why: String,
}

/// Everything that can be drawn of a build, in a person's units, and what cannot.
///
/// `sheet` is the sheet of the same build; figures in the findings are taken from it. `limits` are the
/// tables that lie over the pictures.
pub fn engine_pictures(
    build: &Build,
    sheet: &Sheet,
    units: UnitSystem,
    limits: &Layers<'_>,
) -> (Vec<EnginePicture>, Vec<NotDrawn>) {
    let about = About { build, sheet, units, limits };
    let all: [(&'static str, Result<EnginePicture, Lack>); 5] = [
        ("combustion-space", space::picture(&about)),
        ("lift", lift::whole(&about)),
        ("overlap", lift::overlap(&about)),
        ("piston-motion", motion::picture(&about)),
        ("port-flow", flow::picture(&about)),
    ];
    let (mut drawn, mut not_drawn) = (Vec::new(), Vec::new());
    for (key, made) in all {
        match made {
            Ok(picture) => drawn.push(picture),
            Err(lack) => not_drawn.push(NotDrawn { key, why: lack.to_string() }),
        }
    }
    (drawn, not_drawn)
}

/// What every picture is made of.
struct About<'a> {
    build: &'a Build,
    sheet: &'a Sheet,
    units: UnitSystem,
    limits: &'a Layers<'a>,
}

impl About<'_> {
    /// An SI value as a plain number in the person's unit.
    fn number(&self, dimension: Dimension, si: f64) -> f64 {
        self.units.unit(dimension).from_si(si)
    }

    fn symbol(&self, dimension: Dimension) -> &'static str {
        self.units.unit(dimension).symbol
    }

    /// A hundredth of a millimetre, or a thousandth of an inch.
    fn length_decimals(&self) -> u8 {
        if self.units == UnitSystem::Metric { 2 } else { 3 }
    }

    /// "2.31 mm".
    fn length(&self, si: f64) -> String {
        let number = digits(self.number(Dimension::Length, si), i32::from(self.length_decimals()));
        format!("{number} {}", self.symbol(Dimension::Length))
    }

    /// "31.2 m/s": with so many decimals, and thousands parted.
    fn say(&self, dimension: Dimension, si: f64, decimals: i32) -> String {
        let number = thousands(&digits(self.number(dimension, si), decimals));
        format!("{number} {}", self.symbol(dimension))
    }

    fn points(&self, dimension: Dimension, points: &[(f64, f64)], to_si: f64) -> Vec<(f64, f64)> {
        points.iter().map(|p| (p.0, self.number(dimension, p.1 * to_si))).collect()
    }
}

fn measured(input: Option<&Input>) -> bool {
    input.is_some_and(|input| matches!(input.origin, Origin::Measured { .. }))
}

fn kind_of(measured: bool) -> LineKind {
    if measured { LineKind::Measured } else { LineKind::Predicted }
}

/// "10° before", "10° after" or "at" a dead centre.
fn beside(angle_deg: f64, what: &str) -> String {
    match angle_deg.round() {
        0.0 => format!("at {what}"),
        a if a < 0.0 => format!("{}° before {what}", digits(-a, 0)),
        a => format!("{}° after {what}", digits(a, 0)),
    }
}

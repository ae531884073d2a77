//! Colours by theme. Colour says where a number comes from, never which quantity it is.

use crate::picture::{LineKind, Theme};
use crate::place::Rect;
use crate::svg::{Out, num};

/// The colours of a drawing, as SVG paint.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Palette {
    pub(crate) sheet: &'static str,
    pub(crate) raised: &'static str,
    pub(crate) ink: &'static str,
    pub(crate) ink2: &'static str,
    pub(crate) ink3: &'static str,
    pub(crate) edge: &'static str,
    pub(crate) rule: &'static str,
    pub(crate) hair: &'static str,
    pub(crate) blue: &'static str,
    pub(crate) brass: &'static str,
    pub(crate) grey: &'static str,
    pub(crate) flag: &'static str,
    pub(crate) bluewash: &'static str,
    pub(crate) onblue: &'static str,
    /// Opacity of the band about a measured line.
    pub(crate) measured_band: &'static str,
    /// Opacity of a target area, in ink.
    pub(crate) target: &'static str,
    /// Labels stand on plates of the sheet's colour instead of having a halo: PDF writers stroke glyph by
    /// glyph, and a halo would eat into the letter before.
    pub(crate) plates: bool,
}

const VARIABLES: Palette = Palette {
    sheet: "var(--sheet)",
    raised: "var(--raised)",
    ink: "var(--ink)",
    ink2: "var(--ink2)",
    ink3: "var(--ink3)",
    edge: "var(--edge)",
    rule: "var(--rule)",
    hair: "var(--hair)",
    blue: "var(--blue)",
    brass: "var(--brass)",
    grey: "var(--grey)",
    flag: "var(--flag)",
    bluewash: "var(--bluewash)",
    onblue: "var(--onblue)",
    measured_band: "0.33",
    target: "0.09",
    plates: false,
};

const LIGHT: Palette = Palette {
    sheet: "#FAFCF6",
    raised: "#F1F5EC",
    ink: "#15232B",
    ink2: "#44555B",
    ink3: "#54646A",
    edge: "#71807C",
    rule: "#C3CEC2",
    hair: "#DDE5DB",
    blue: "#1B3F94",
    brass: "#80590A",
    grey: "#667274",
    flag: "#A3173F",
    bluewash: "#DFE6F3",
    onblue: "#FAFCF6",
    measured_band: "0.3",
    target: "0.085",
    plates: false,
};

const DARK: Palette = Palette {
    sheet: "#151D1F",
    raised: "#1B2527",
    ink: "#E8EDE4",
    ink2: "#B3C0BC",
    ink3: "#93A3A0",
    edge: "#748583",
    rule: "#334142",
    hair: "#242F31",
    blue: "#8FB4FF",
    brass: "#DDB453",
    grey: "#7F8D90",
    flag: "#FF96AE",
    bluewash: "#1F2E4A",
    onblue: "#0D1314",
    measured_band: "0.36",
    target: "0.11",
    plates: false,
};

const PRINT: Palette = Palette {
    sheet: "#FFFFFF",
    raised: "#FFFFFF",
    ink: "#000000",
    ink2: "#333333",
    ink3: "#4D4D4D",
    edge: "#777777",
    rule: "#BBBBBB",
    hair: "#DDDDDD",
    blue: "#12307A",
    brass: "#7A5600",
    grey: "#6E6E6E",
    flag: "#8F0F33",
    bluewash: "#E3E9F5",
    onblue: "#FFFFFF",
    measured_band: "0.3",
    target: "0.085",
    plates: true,
};

impl Palette {
    /// Attributes of a halo about text; none where labels stand on plates.
    pub(crate) fn halo(&self) -> Vec<(&'static str, &'static str)> {
        if self.plates {
            return Vec::new();
        }
        vec![("paint-order", "stroke"), ("stroke", self.sheet), ("stroke-width", "5"), ("stroke-linejoin", "round")]
    }

    /// The plate under a text whose box is given; nothing where labels have a halo.
    pub(crate) fn plate(&self, out: &mut Out, rect: Rect) {
        if !self.plates {
            return;
        }
        let r = rect.grown(1.5);
        let place = [("x", num(r.x)), ("y", num(r.y)), ("width", num(r.w)), ("height", num(r.h))];
        let mut attributes = vec![("class", "plate")];
        attributes.extend(place.iter().map(|(key, value)| (*key, value.as_str())));
        attributes.push(("fill", self.sheet));
        out.leaf("rect", &attributes);
    }
}

impl Theme {
    pub(crate) fn palette(self) -> Palette {
        match self {
            Theme::Variables => VARIABLES,
            Theme::Light => LIGHT,
            Theme::Dark => DARK,
            Theme::Print => PRINT,
        }
    }
}

impl LineKind {
    pub(crate) fn colour(self, palette: &Palette) -> &'static str {
        match self {
            LineKind::Measured | LineKind::SinglePull | LineKind::Gain => palette.blue,
            LineKind::Predicted => palette.brass,
            LineKind::Before => palette.grey,
        }
    }

    /// Class in the drawing, for the page's sheet and for forced colours.
    pub(crate) fn class(self) -> &'static str {
        match self {
            LineKind::Measured => "measured",
            LineKind::Predicted => "predicted",
            LineKind::Before => "before",
            LineKind::SinglePull => "single-pull",
            LineKind::Gain => "gain",
        }
    }
}

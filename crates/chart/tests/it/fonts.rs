//! The committed table of advances against the fonts themselves.

use chart::{advance, measured_characters};
use rustybuzz::ttf_parser::Face;

/// The table holds whole thousandths of the size, and the fonts have 1,000 units per em: no slack.
#[test]
fn advances_are_those_of_the_fonts() {
    for (name, bold) in [("Regular", false), ("SemiBold", true)] {
        let data = crate::rendered::font(name);
        let face = Face::parse(&data, 0).expect("the font can be read");
        assert_eq!(face.units_per_em(), 1000);
        for c in measured_characters() {
            let glyph = face.glyph_index(c).unwrap_or_else(|| panic!("{name} has {c:?}"));
            let width = face.glyph_hor_advance(glyph).expect("an advance");
            assert_eq!(advance(c, bold), width, "{name} {c:?}");
        }
    }
}

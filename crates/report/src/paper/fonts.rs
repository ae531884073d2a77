//! The fonts of the sheet, built into the program, and the true width of text in them.

use resvg::usvg::fontdb::Database;
use rustybuzz::{Face, UnicodeBuffer};
use std::sync::{Arc, OnceLock};

/// A cut that the sheet uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Cut {
    /// Labels and figures.
    Sans,
    /// Figures that count.
    SansStrong,
    /// Running text of the finding.
    Serif,
    /// Titles.
    SerifStrong,
}

const SANS: &[u8] = include_bytes!("../../../../assets/fonts/AtkinsonHyperlegibleNext-Regular.ttf");
const SANS_STRONG: &[u8] = include_bytes!("../../../../assets/fonts/AtkinsonHyperlegibleNext-SemiBold.ttf");
const SERIF: &[u8] = include_bytes!("../../../../assets/fonts/SourceSerif4-Regular.ttf");
const SERIF_STRONG: &[u8] = include_bytes!("../../../../assets/fonts/SourceSerif4-SemiBold.ttf");

impl Cut {
    pub(crate) fn family(self) -> &'static str {
        match self {
            Cut::Sans | Cut::SansStrong => "Atkinson Hyperlegible Next",
            Cut::Serif | Cut::SerifStrong => "Source Serif 4",
        }
    }

    pub(crate) fn weight(self) -> &'static str {
        match self {
            Cut::Sans | Cut::Serif => "400",
            Cut::SansStrong | Cut::SerifStrong => "600",
        }
    }

    /// The same family, strong.
    pub(crate) fn strong(self) -> Cut {
        match self {
            Cut::Sans | Cut::SansStrong => Cut::SansStrong,
            Cut::Serif | Cut::SerifStrong => Cut::SerifStrong,
        }
    }

    fn data(self) -> &'static [u8] {
        match self {
            Cut::Sans => SANS,
            Cut::SansStrong => SANS_STRONG,
            Cut::Serif => SERIF,
            Cut::SerifStrong => SERIF_STRONG,
        }
    }

    fn face(self) -> &'static Face<'static> {
        static FACES: OnceLock<[Face<'static>; 4]> = OnceLock::new();
        let faces = FACES.get_or_init(|| {
            [Cut::Sans, Cut::SansStrong, Cut::Serif, Cut::SerifStrong]
                .map(|cut| Face::from_slice(cut.data(), 0).expect("the fonts of the program can be read"))
        });
        &faces[self as usize]
    }
}

/// Every font of the sheet and no other, so that a sheet looks the same on every machine.
pub(crate) fn database() -> Arc<Database> {
    static DATABASE: OnceLock<Arc<Database>> = OnceLock::new();
    let database = DATABASE.get_or_init(|| {
        let mut database = Database::new();
        for data in [SANS, SANS_STRONG, SERIF, SERIF_STRONG] {
            database.load_font_data(data.to_vec());
        }
        Arc::new(database)
    });
    Arc::clone(database)
}

/// Width of a line of text, shaped and kerned, px.
pub(crate) fn width(text: &str, cut: Cut, size_px: f64) -> f64 {
    let face = cut.face();
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(text);
    let shaped = rustybuzz::shape(face, &[], buffer);
    let units: i32 = shaped.glyph_positions().iter().map(|p| p.x_advance).sum();
    f64::from(units) * size_px / f64::from(face.units_per_em())
}

/// The text with every character that the cut lacks replaced by a question mark: a missing glyph would
/// vanish from the sheet without a trace.
pub(crate) fn printable(text: &str, cut: Cut) -> String {
    let face = cut.face();
    let kept = |c: char| match c {
        '\t' | '\n' | '\r' => ' ',
        c if c.is_control() => '?',
        c if face.glyph_index(c).is_some() => c,
        _ => '?',
    };
    text.chars().map(kept).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_character_without_a_glyph_is_seen_as_missing() {
        assert_eq!(printable("Lauf 14 λ ≤ 漢\u{7}", Cut::Sans), "Lauf 14 λ ≤ ??");
    }

    #[test]
    fn the_table_of_the_chart_is_no_narrower_than_the_shaped_text() {
        // Kerning may make shaped text wider by single units; 0.5 px allows for that at this length.
        for text in ["Run 14, three pulls", "scale starts at 200", "pull 2 lean by 0.02", "AVATAR To fi 3,600"] {
            let shaped = width(text, Cut::Sans, 13.5);
            let table = chart::text_width(text, 13.5, false);
            assert!(table >= shaped - 0.5, "{text}: {table} against {shaped}");
        }
    }
}

//! The one-page sheet of a run, as SVG and as PDF.
//!
//! The page is composed by our own small layout into one SVG (texts measured in the fonts that are
//! built in, the chart as vector), and written as PDF from that. It is always one page: with much to
//! say the picture gives up height, then flags and notes are cut short and the sheet says so.

pub(crate) mod flow;
pub(crate) mod fonts;
mod notes;
mod page;
mod sheet;
mod tables;

use crate::words::RunNames;
use krilla::geom::Size;
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla_svg::{SurfaceExt, SvgSettings};
use pull::analysis::{Analysis, Comparison};
use quantity::UnitSystem;
use resvg::usvg::{Options, Tree};

/// Paper of the sheet, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Paper {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 8.5 × 11 in.
    Letter,
}

impl Paper {
    /// Width and height in PDF points (1/72 in).
    pub fn points(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0),
            Paper::Letter => (612.0, 792.0),
        }
    }

    /// Width and height in px of 1/96 in, in which the page is composed.
    pub(crate) fn pixels(self) -> (f64, f64) {
        let (w, h) = self.points();
        (w / 0.75, h / 0.75)
    }

    /// The paper of a key: `a4`, `letter`.
    pub fn from_key(key: &str) -> Option<Self> {
        match key {
            "a4" => Some(Paper::A4),
            "letter" => Some(Paper::Letter),
            _ => None,
        }
    }
}

/// What stands on the sheet besides the run itself.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SheetMeta {
    /// Names of the run.
    pub names: RunNames,
    /// Foot of the sheet, at the left: shop and job. May be empty.
    pub shop: String,
    /// Date as it is to be printed: "8 April 2026". The sheet reads no clock. May be empty.
    pub date: String,
    /// Mark that identifies the record: an import number or the first digits of a hash. May be empty.
    pub mark: String,
}

/// What may go wrong when a sheet is written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReportError {
    /// The composed page cannot be read back; a fault of the program.
    #[error(
        "the page was composed but cannot be drawn: {reason}\n  go on    report this as a fault of the program; the page on the screen is not affected"
    )]
    Drawing {
        /// What the reader of the drawing says.
        reason: String,
    },
    /// The PDF cannot be written; a fault of the program.
    #[error(
        "the page was drawn but the PDF cannot be written: {reason}\n  go on    print the page from the browser instead, and report this as a fault of the program"
    )]
    Writing {
        /// What the PDF writer says.
        reason: String,
    },
}

/// The sheet of a run as one SVG page, in px of 1/96 in. It needs the fonts of the house to be seen.
pub fn sheet_svg(
    analysis: &Analysis,
    comparison: Option<&Comparison>,
    system: UnitSystem,
    paper: Paper,
    meta: &SheetMeta,
) -> String {
    sheet::compose(analysis, comparison, system, paper, meta)
}

/// The sheet of a run as a PDF of one page.
///
/// Text can be selected, fonts are embedded, and the same input gives the same bytes: no clock is
/// read, the date is what `meta` says.
///
/// # Errors
/// [`ReportError`] when the page cannot be drawn or written, which no input should bring about.
pub fn pdf(
    analysis: &Analysis,
    comparison: Option<&Comparison>,
    system: UnitSystem,
    paper: Paper,
    meta: &SheetMeta,
) -> Result<Vec<u8>, ReportError> {
    let svg = sheet_svg(analysis, comparison, system, paper, meta);
    let options = Options { fontdb: fonts::database(), ..Options::default() };
    let tree = Tree::from_str(&svg, &options).map_err(|e| ReportError::Drawing { reason: e.to_string() })?;
    let (width, height) = paper.points();
    let size = Size::from_wh(width as f32, height as f32)
        .ok_or_else(|| ReportError::Drawing { reason: "the paper has no size".to_owned() })?;
    let mut document = krilla::Document::new();
    let title = if meta.names.title.is_empty() { "Run" } else { &meta.names.title };
    document
        .set_metadata(Metadata::new().title(title.to_owned()).language("en".to_owned()).creator("Plateau".to_owned()));
    let settings = PageSettings::from_wh(size.width(), size.height())
        .ok_or_else(|| ReportError::Drawing { reason: "the paper has no size".to_owned() })?;
    let mut page = document.start_page_with(settings);
    let mut surface = page.surface();
    let drawn = surface.draw_svg(&tree, size, SvgSettings::default());
    surface.finish();
    page.finish();
    drawn.ok_or_else(|| ReportError::Drawing { reason: "the drawing was not taken".to_owned() })?;
    document.finish().map_err(|e| ReportError::Writing { reason: format!("{e:?}") })
}

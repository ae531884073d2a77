//! A run as a picture and as a sheet.

use crate::cli::{PaperSize, UnitSystem};
use crate::failure::Failure;
use chart::{Size, Theme};
use pull::analysis::{Analysis, Comparison};
use report::{Paper, PictureOptions, RunNames, SheetMeta};

/// Size of the picture, px.
const PICTURE: (f64, f64) = (798.0, 726.0);

/// The picture as an SVG file that stands alone.
pub(crate) fn picture(analysis: &Analysis, comparison: Option<&Comparison>, units: UnitSystem) -> String {
    let options = PictureOptions { names: names(analysis), ..PictureOptions::default() };
    let picture = report::run_picture(analysis, comparison, units.into(), &options);
    chart::draw(&picture, Theme::Light, &Size::file(PICTURE.0, PICTURE.1))
}

/// The one-page sheet as PDF. `paper` is A4 with metric units and Letter with US units if nobody says otherwise.
pub(crate) fn sheet(
    analysis: &Analysis,
    comparison: Option<&Comparison>,
    units: UnitSystem,
    paper: Option<PaperSize>,
) -> Result<Vec<u8>, Failure> {
    let paper = match (paper, units) {
        (Some(PaperSize::A4), _) | (None, UnitSystem::Metric) => Paper::A4,
        (Some(PaperSize::Letter), _) | (None, UnitSystem::Us) => Paper::Letter,
    };
    let meta = SheetMeta { names: names(analysis), ..SheetMeta::default() };
    report::pdf(analysis, comparison, units.into(), paper, &meta).map_err(|e| Failure::Words(e.to_string()))
}

/// The run has no name of its own here: its logs name it.
fn names(analysis: &Analysis) -> RunNames {
    let logs: Vec<&str> = analysis.logs.iter().map(|log| log.name.as_str()).collect();
    let title = match logs.as_slice() {
        [first, rest @ ..] if rest.len() > 2 => format!("{first} and {} more", rest.len()),
        few => few.join(", "),
    };
    RunNames { title, run: "This run".to_owned() }
}

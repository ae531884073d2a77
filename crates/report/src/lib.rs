//! A run in pictures, in sentences and on paper.
//!
//! Every sentence that a page, a sheet or a terminal shows about a run is made here, so that they
//! all say the same. Numbers come from `pull::analysis`, pictures from `chart`.
//!
//! Digits follow the expanded uncertainty (k = 2): no decimal beyond what it supports. Observed
//! figures stand beside corrected ones, peaks come last and say "at least" where power was still
//! climbing at the end of the data.

mod conditions;
mod engine_pictures;
mod finding;
mod flags;
mod json;
mod paper;
mod picture;
mod prediction;
mod provenance;
mod rows;
mod say;
mod words;

pub use conditions::conditions;
pub use engine_pictures::{Drawing, EnginePicture, NotDrawn, engine_finding, engine_pictures};
pub use finding::finding;
pub use flags::flag_list;
pub use json::{asking_json, run_json};
pub use paper::{Paper, ReportError, SheetMeta, pdf, sheet_svg};
pub use picture::{PictureOptions, run_picture};
pub use prediction::{
    idle_text, prediction_finding, prediction_json, prediction_picture, prediction_text, trace_pictures,
};
pub use provenance::provenance;
pub use rows::{figure_rows, peak_rows, plateau_lines, plateau_rows, repeat_sentence};
pub use words::{
    Condition, FigureRow, Finding, FlagItem, PeakCell, PeakRow, Piece, PlateauLine, ProvenanceLine, RunNames,
};

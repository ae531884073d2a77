//! A run in pictures, in sentences and on paper.
//!
//! Every sentence that a page, a sheet or a terminal shows about a run is made here, so that they
//! all say the same. Numbers come from `pull::analysis`, pictures from `chart`.

mod words;

pub use words::{
    Condition, FigureRow, Finding, FlagItem, PeakCell, PeakRow, Piece, PlateauLine, ProvenanceLine, RunNames,
};

//! The sentences of a run, as `report` makes them for every face.

use crate::cli::UnitSystem;
use pull::analysis::{Analysis, Comparison};
use report::{Condition, FigureRow, Finding, FlagItem, PeakRow, Piece, PlateauLine, ProvenanceLine};

/// Everything that is said about a run.
#[derive(Debug)]
pub(crate) struct Told {
    pub(crate) finding: Finding,
    pub(crate) conditions: Vec<Condition>,
    pub(crate) figures: Vec<FigureRow>,
    pub(crate) plateau: Vec<PlateauLine>,
    pub(crate) repeat: Vec<Piece>,
    pub(crate) flags: Vec<FlagItem>,
    pub(crate) provenance: Vec<ProvenanceLine>,
    pub(crate) peaks: Vec<PeakRow>,
}

impl Told {
    pub(crate) fn new(analysis: &Analysis, comparison: Option<&Comparison>, units: UnitSystem) -> Self {
        let system = units.into();
        Self {
            finding: report::finding(analysis, comparison, system),
            conditions: report::conditions(analysis, system),
            figures: report::figure_rows(analysis, comparison, system),
            plateau: report::plateau_lines(analysis, comparison, "This run"),
            repeat: report::repeat_sentence(analysis),
            flags: report::flag_list(analysis),
            provenance: report::provenance(analysis, comparison, system),
            peaks: report::peak_rows(analysis, comparison, system),
        }
    }
}

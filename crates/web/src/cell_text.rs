//! The text of a dyno: read with the place of a fault, and written.

use pull::cell::CellFile;

/// Why a dyno's text cannot be read.
#[derive(Debug, Clone)]
pub(crate) struct TextFault {
    /// One sentence.
    pub(crate) what: String,
    /// Line and column from 1, if the fault has a place.
    pub(crate) place: Option<(usize, usize)>,
}

/// Reads a dyno's text.
pub(crate) fn read(_text: &str) -> Result<CellFile, TextFault> {
    Err(TextFault { what: "this build cannot read dyno files yet".to_owned(), place: None })
}

/// Writes a dyno's text.
pub(crate) fn write(cell: &CellFile) -> String {
    format!("name = {:?}\n", cell.name)
}

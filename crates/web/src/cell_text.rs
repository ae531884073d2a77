//! The text of a dyno: read with the place of a fault.

use pull::cell::CellFile;

/// Why a dyno's text cannot be read.
#[derive(Debug, Clone)]
pub(crate) struct TextFault {
    /// One sentence, with a suggestion where one is near.
    pub(crate) what: String,
    /// Line, from 1.
    pub(crate) line: usize,
    /// Column, from 1.
    pub(crate) column: usize,
}

/// Reads a dyno's text.
pub(crate) fn read(text: &str) -> Result<CellFile, TextFault> {
    pull::cell_file::parse(text).map_err(|error| {
        let suggestion = error.suggestion.as_ref().map_or_else(String::new, |s| format!("; {s}"));
        // The parser of the notation may explain over several lines.
        let what = format!("{}{suggestion}", error.what.lines().collect::<Vec<_>>().join(", "));
        TextFault { what: format!("{}.", what.trim_end_matches('.')), line: error.line, column: error.column }
    })
}

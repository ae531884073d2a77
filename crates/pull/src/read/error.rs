//! Why nothing can be read of a file.

use super::mdf::MdfError;

/// Why nothing can be read of a file. Shown through [`super::message`], which adds the file name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ReadError {
    /// The file holds nothing, or nothing but blanks.
    #[error("the file is empty")]
    Empty {
        /// Length of the file, bytes.
        bytes: usize,
    },
    /// The file is no text.
    #[error("the file is {found}")]
    Binary {
        /// What it looks like, with the way out.
        found: String,
    },
    /// No row of numbers was found.
    #[error("no table of numbers was found")]
    NoTable {
        /// Lines looked at.
        lines: usize,
        /// The first line that holds something, shortened.
        first_line: String,
    },
    /// There is a header, and the file ends before the first row of numbers.
    #[error("the file ends before the first row of numbers")]
    NoRows {
        /// Names found.
        names: Vec<String>,
        /// Line of the header.
        line: usize,
    },
    /// The comma stands both between cells and inside numbers.
    #[error("the comma is used both between the cells and as decimal mark")]
    CommaTwice {
        /// Columns named.
        names: usize,
        /// Cells in a row.
        cells: usize,
        /// The first row of numbers, shortened.
        row: String,
        /// Its line.
        line: usize,
    },
    /// More columns than a log has.
    #[error("the table has {found} columns; up to {most} are read")]
    TooManyColumns {
        /// Columns found.
        found: usize,
        /// Columns read at most.
        most: usize,
    },
    /// Rows have so few cells that they cannot belong to the header.
    #[error("the rows have far fewer cells than the header has names")]
    Ragged {
        /// Columns named.
        names: usize,
        /// Cells in a usual row.
        cells: usize,
    },
    /// An MDF file that cannot be read.
    #[error(transparent)]
    Mdf(#[from] MdfError),
}

//! What is wrong with a build file, and where.

use std::fmt;

/// One fault: where, what was found, what was expected, and what to try.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1, in characters.
    pub column: usize,
    /// Key of the build file, as `block.bore`; empty where the file cannot be read at all.
    pub key: String,
    /// What was found.
    pub found: String,
    /// What was expected; empty where two facts clash.
    pub expected: String,
    /// What to try.
    pub suggestion: Option<String>,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}, column {}", self.line, self.column)?;
        if !self.key.is_empty() {
            write!(f, ", {}", self.key)?;
        }
        write!(f, ": {}", self.found)?;
        if !self.expected.is_empty() {
            write!(f, "; expected {}", self.expected)?;
        }
        self.suggestion.as_ref().map_or(Ok(()), |s| write!(f, "; {s}"))
    }
}

/// Every fault of a build file. Nothing was taken from the file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct BuildFileError {
    /// In the order of the file.
    pub faults: Vec<Fault>,
}

impl fmt::Display for BuildFileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for fault in &self.faults {
            writeln!(f, "{fault}")?;
        }
        f.write_str("the file was left as it is; correct it and read it again")
    }
}

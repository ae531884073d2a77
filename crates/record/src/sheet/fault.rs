//! What is wrong with a template.

/// Why a template cannot be read. Nothing of the text is used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {what}{}", .suggestion.as_ref().map_or(String::new(), |s| format!("; {s}")))]
#[non_exhaustive]
pub struct TemplateError {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is not as it should be: found and expected.
    pub what: String,
    /// What may have been meant, or what to write.
    pub suggestion: Option<String>,
}

//! Errors of the command, and how they look in a terminal.

use notebook::NotebookError;
use std::path::PathBuf;
use store::StoreError;
use takein::TakeInError;
use takein::statement::StatementError;
use web::ServeError;
use web::accounts::PasswordError;
use web::accounts::book::BookError;

/// Why a verb did not do what was asked.
#[derive(Debug)]
pub(crate) enum Failure {
    /// A file could not be read or written.
    File { path: PathBuf, doing: &'static str, source: std::io::Error },
    /// A flag's text cannot be used.
    Flag { flag: String, found: String, why: String, example: &'static str },
    /// Something in words, in the form of the messages of the other crates.
    Words(String),
    /// Standard output was closed by the reader.
    ReaderGone,
}

impl Failure {
    /// "error: …" with the lines of the message below it.
    pub(crate) fn for_terminal(&self) -> String {
        let text = match self {
            Self::File { path, doing, source } => {
                let next = match source.kind() {
                    std::io::ErrorKind::NotFound => "check the name and the folder",
                    std::io::ErrorKind::PermissionDenied => "check the owner and the rights of the file",
                    std::io::ErrorKind::StorageFull => "make room and repeat",
                    _ => "check the disk, then repeat",
                };
                let why = match source.kind() {
                    std::io::ErrorKind::NotFound if *doing == "written" => "there is no such folder".to_owned(),
                    _ => reason(source),
                };
                format!("{} could not be {doing}: {why}\n  go on    {next}", path.display())
            }
            Self::Flag { flag, found, why, example } => {
                let quoted = format!("\"{example}\"");
                let example = if example.contains(' ') && !example.contains('"') { quoted.as_str() } else { example };
                format!("--{flag}: `{found}` cannot be used: {why}\n  go on    write it like --{flag} {example}")
            }
            Self::Words(text) => text.clone(),
            Self::ReaderGone => "the output was closed".to_owned(),
        };
        let text = text.trim_end();
        if text.starts_with("error: ") { text.to_owned() } else { format!("error: {text}") }
    }

    /// Reading a file failed.
    pub(crate) fn reading(path: &std::path::Path) -> impl FnOnce(std::io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::File { path, doing: "read", source }
    }

    /// Writing a file failed.
    pub(crate) fn writing(path: &std::path::Path) -> impl FnOnce(std::io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::File { path, doing: "written", source }
    }

    /// Writing to standard output failed.
    pub(crate) fn output(source: std::io::Error) -> Self {
        if source.kind() == std::io::ErrorKind::BrokenPipe {
            return Self::ReaderGone;
        }
        Self::File { path: "standard output".into(), doing: "written", source }
    }
}

/// The system's reason without its error number, which says nothing to a person at the dyno.
fn reason(source: &std::io::Error) -> String {
    match source.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "it may not be opened".to_owned(),
        std::io::ErrorKind::IsADirectory => "it is a folder".to_owned(),
        std::io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        _ => source.to_string(),
    }
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        Self::Words(error.to_string())
    }
}

impl From<NotebookError> for Failure {
    fn from(error: NotebookError) -> Self {
        Self::Words(error.to_string())
    }
}

impl From<TakeInError> for Failure {
    fn from(error: TakeInError) -> Self {
        Self::Words(error.to_string())
    }
}

impl From<StatementError> for Failure {
    fn from(error: StatementError) -> Self {
        Self::Words(error.to_string())
    }
}

impl From<ServeError> for Failure {
    fn from(error: ServeError) -> Self {
        Self::Words(error.to_string())
    }
}

impl From<BookError> for Failure {
    fn from(error: BookError) -> Self {
        Self::Words(error.to_string())
    }
}

impl From<PasswordError> for Failure {
    fn from(error: PasswordError) -> Self {
        Self::Words(format!("{error}; nothing was saved"))
    }
}

//! A text that the shop edits, on a page: what is wrong with it stands over it, with line and column, and what was
//! typed stays.

use crate::fault::Fault;
use crate::marks;
use axum::http::StatusCode;
use axum::response::Response;
use maud::{Markup, html};
use notebook::NotebookError;

/// Where a text is wrong.
#[derive(Debug, Clone)]
pub(super) struct TextFault {
    pub(super) line: usize,
    pub(super) column: usize,
    pub(super) what: String,
}

/// The form around a text.
pub(super) struct TextForm<'a> {
    /// Id of the field.
    pub(super) id: &'a str,
    /// Address that takes it.
    pub(super) action: &'a str,
    /// Label over it.
    pub(super) label: &'a str,
    /// The text as it stands in the field.
    pub(super) text: &'a str,
    /// Revision that it was made on.
    pub(super) revision: i64,
    /// What is wrong with it.
    pub(super) fault: Option<&'a TextFault>,
    /// Words on the button.
    pub(super) send: &'a str,
}

impl TextForm<'_> {
    pub(super) fn markup(&self) -> Markup {
        let wrong = format!("{}-fault", self.id);
        html! {
            form.sec.heavy.cellfile method="post" action=(self.action) {
                h2 { label for=(self.id) { (self.label) } }
                input type="hidden" name="revision" value=(self.revision);
                @if let Some(fault) = self.fault {
                    div.banner id=(wrong) role="alert" { (marks::flag()) div {
                        p.what { (fault.what) }
                        p { "Line " (fault.line) ", column " (fault.column) ". Nothing was saved; the text below is as you typed it." }
                    } }
                }
                textarea.field id=(self.id) name="text" spellcheck="false" rows="26" aria-invalid=[self.fault.map(|_| "true")]
                    aria-describedby=[self.fault.map(|_| wrong.clone())] data-line=[self.fault.map(|f| f.line)] { "\n" (self.text) }
                div.row.apart { button.btn.main type="submit" { (self.send) } }
            }
        }
    }
}

/// Somebody else was faster.
pub(super) fn overtaken(error: NotebookError, what: &str, back: &str) -> Fault {
    match error {
        NotebookError::Store(store::StoreError::TextConflict { .. }) => Fault::Overtaken {
            what: format!("{what} was changed elsewhere while this page was open."),
            next: "Your text was not saved, theirs was. Look at it as it is now, then make your change again."
                .to_owned(),
            back: back.to_owned(),
        },
        other => other.into(),
    }
}

/// The same page as an answer to a text that was not taken.
pub(super) fn refused(mut response: Response) -> Response {
    *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    response
}

/// One sentence of a fault and its suggestion.
pub(super) fn fault(line: usize, column: usize, what: &str, suggestion: Option<&String>) -> TextFault {
    let hint = suggestion.map_or_else(String::new, |s| format!("; {s}"));
    TextFault { line, column, what: crate::pages::jobs::value::sentence(&format!("{what}{hint}")) }
}

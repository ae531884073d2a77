//! Errors, problems and questions in the words that terminal and page both show.
//!
//! A [`Message`] has a headline and labelled lines: where, found, expected, data (what happened to
//! them), go on (what to do). The terminal prints it as it is; the page sets the same lines.

use super::ReadError;
use super::assign::{About, Question, SettleError};
use crate::log::{Problem, RawLog, Severity};
use std::fmt;

/// Columns that the labels take in print.
const LABEL: usize = 9;
/// Columns of a printed line.
const WIDTH: usize = 100;

/// A message: one headline, then labelled lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Message {
    /// How bad it is: "error", "loss", "note", "question".
    pub kind: &'static str,
    /// File or column and what is the matter.
    pub headline: String,
    /// Label and text.
    pub lines: Vec<(&'static str, String)>,
}

impl fmt::Display for Message {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{}: {}", self.kind, self.headline)?;
        for (label, text) in &self.lines {
            let mut first = true;
            for line in wrapped(text, WIDTH - LABEL - 2) {
                let label = if first { label } else { "" };
                writeln!(f, "  {label:LABEL$}{line}")?;
                first = false;
            }
        }
        Ok(())
    }
}

/// Text in lines of at most `width` characters, broken at spaces.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split(' ') {
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(line);
    lines
}

fn lines<const N: usize>(all: [(&'static str, Option<String>); N]) -> Vec<(&'static str, String)> {
    all.into_iter().filter_map(|(label, text)| Some((label, text?))).filter(|(_, t)| !t.is_empty()).collect()
}

/// The message of a file that cannot be read at all.
pub fn of_error(file: &str, error: &ReadError) -> Message {
    let (where_, found, expected, go_on): (Option<String>, Option<String>, Option<String>, &str) = match error {
        ReadError::Empty { bytes } => (
            None,
            Some(if *bytes == 0 {
                "a file of 0 bytes".to_owned()
            } else {
                format!("{bytes} bytes, all of them blank")
            }),
            None,
            "see whether the dyno has written the log, and copy it again",
        ),
        ReadError::Binary { .. } => (None, None, None, "a log is read as CSV text or as an MDF 4 file"),
        ReadError::NoTable { lines, first_line } => (
            None,
            Some(match lines {
                1 => format!("1 line; it is `{first_line}`"),
                n => format!("{n} lines; the first is `{first_line}`"),
            }),
            Some("rows of numbers with commas, semicolons, tabs or bars between them".to_owned()),
            "export the log as CSV, one row per instant and one column per channel",
        ),
        ReadError::NoRows { names, line } => (
            Some(format!("row {line}")),
            Some(format!(
                "a header of {} columns ({}) and nothing after it",
                names.len(),
                names.iter().take(4).cloned().collect::<Vec<_>>().join(", ")
            )),
            Some("rows of numbers below it".to_owned()),
            "the writer may not have finished: see whether the dyno still has the whole log",
        ),
        ReadError::CommaTwice { names, cells, row, line } => (
            Some(format!("row {line}")),
            Some(format!("`{row}`: {cells} cells for {names} names")),
            Some("as many cells as names".to_owned()),
            "export again with semicolons or tabs between the cells, or with a decimal point",
        ),
        ReadError::TooManyColumns { .. } => (None, None, None, "export only the channels that are needed"),
        ReadError::Ragged { names, cells } => (
            None,
            Some(format!("{names} names, {cells} cells in a usual row")),
            Some("as many cells as names".to_owned()),
            "see whether the header belongs to these rows, and export again",
        ),
        ReadError::Mdf(_) => (None, None, None, ""),
    };
    let headline = format!("{file} was not read: {error}");
    let mut lines =
        lines([("where", where_), ("found", found), ("expected", expected), ("go on", Some(go_on.to_owned()))]);
    lines.insert(lines.len().saturating_sub(usize::from(!go_on.is_empty())), ("data", "nothing was saved".to_owned()));
    Message { kind: "error", headline, lines }
}

/// The message of one problem of a log.
pub fn of_problem(file: &str, problem: &Problem) -> Message {
    let kind = match problem.severity {
        Severity::Stop => "error",
        Severity::Loss => "loss",
        Severity::Note => "note",
    };
    Message {
        kind,
        headline: format!("{file}: {}", problem.what.trim_end_matches('.')),
        lines: lines([
            ("where", problem.place.clone()),
            ("found", problem.found.clone()),
            ("expected", problem.expected.clone()),
            ("data", problem.effect.clone()),
            ("go on", problem.next.clone()),
        ]),
    }
}

/// The message of a question.
pub fn of_question(file: &str, question: &Question) -> Message {
    let choices: Vec<String> = question
        .choices
        .iter()
        .map(|c| if c.label == c.key { format!("`{}`", c.key) } else { format!("`{}` {}", c.key, c.label) })
        .collect();
    let need =
        if question.must { "needed before the log can be used" } else { "may stay open; the channel is then not used" };
    let kept = if question.about == About::Fuel { "" } else { "   (remembered for this dyno, shown in the report)" };
    Message {
        kind: "question",
        headline: format!("{file}: {}", question.text.trim_end_matches('.')),
        lines: lines([
            ("found", Some(question.found.clone())),
            ("choices", Some(choices.join(", "))),
            ("data", Some(need.to_owned())),
            ("go on", Some(format!("{}{kept}", question.answer_flag))),
        ]),
    }
}

/// The messages of a log that cannot be settled yet.
pub fn of_settle_error(file: &str, error: &SettleError) -> Vec<Message> {
    match error {
        SettleError::Open { questions } => questions.iter().map(|q| of_question(file, q)).collect(),
        SettleError::Stopped { problems } => problems.iter().map(|p| of_problem(file, p)).collect(),
        SettleError::OtherLog { .. } => {
            vec![Message { kind: "error", headline: format!("{file}: {error}"), lines: Vec::new() }]
        }
    }
}

/// All that is to be said about a file: the error, or the problems and questions in order of weight.
pub fn render(file: &str, read: Result<&RawLog, &ReadError>, questions: &[Question]) -> String {
    let messages: Vec<Message> = match read {
        Err(error) => vec![of_error(file, error)],
        Ok(log) => log
            .problems
            .iter()
            // A question says the same with the choices.
            .filter(|p| !matches!(p.code.as_str(), "decimal_open" | "date_order_open") || questions.is_empty())
            .map(|p| of_problem(file, p))
            .chain(questions.iter().map(|q| of_question(file, q)))
            .collect(),
    };
    messages.iter().map(ToString::to_string).collect::<Vec<_>>().join("")
}

//! Questions that only the person can settle, and their answers.

use pull::cell::Answers;
use pull::log::Problem;
use pull::read::assign::{self, About};
use pull::read::message;
use serde::{Deserialize, Serialize};

/// What is asked about rows that cannot be read.
const BAD_ROWS: &str = "bad_rows";
/// The answer to it.
const LEAVE_OUT: &str = "leave_out";

/// Something only the person can settle about the logs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Question {
    /// File name of the log in which it came up first.
    pub log: String,
    /// The column it is about; `None` when it is about the whole file (decimal mark, rows per second).
    pub column: Option<String>,
    /// What is asked: `unit`, `role`, `column`, `decimal`, `rate`, `date_order`, `fuel`, `arm`, `bad_rows`.
    pub about: String,
    /// The question in one sentence, with what was found.
    pub sentence: String,
    /// The answers that fit, as [`reply`] takes them; empty when any text may be right.
    pub choices: Vec<String>,
    /// The flag that answers it on the command line: `--unit Baro=inHg`.
    pub flag: String,
    /// The question as the reader put it, with what speaks for each choice; `None` for `bad_rows`.
    pub asked: Option<assign::Question>,
}

impl Question {
    /// The question in the form of the reader's messages, for a terminal.
    pub fn message(&self) -> String {
        match &self.asked {
            Some(asked) => message::of_question(&self.log, asked).to_string(),
            None => format!("question: {}: {}\n  go on    {}", self.log, self.sentence, self.flag),
        }
    }
}

/// Writes an answer into the answers: the key of a choice, or the text typed.
///
/// # Errors
/// In words, when the text is no answer to this question; the answers are then as before.
/// The fuel is not an answer but a statement about the run (`stoich`).
pub fn reply(question: &Question, text: &str, answers: &mut Answers) -> Result<(), String> {
    match &question.asked {
        Some(asked) => assign::answer(asked, text, answers).map_err(|e| e.to_string()),
        None if text.trim() == LEAVE_OUT => {
            answers.leave_out_bad_rows = true;
            Ok(())
        }
        None => Err(format!("`{text}` is no answer here; expected {LEAVE_OUT}")),
    }
}

/// Sorts the reader's questions into those that must be answered and those that may stay open.
/// A question that came up with an earlier log of the run is not asked again.
pub(crate) fn open_questions(
    log: &str,
    asked: &[assign::Question],
    needed: &mut Vec<Question>,
    optional: &mut Vec<Question>,
) {
    for question in asked {
        let list = if question.must { &mut *needed } else { &mut *optional };
        let known = list.iter().any(|q| q.asked.as_ref().is_some_and(|a| a.id == question.id));
        if !known {
            list.push(of_reader(log, question));
        }
    }
}

/// What a stop leaves to the person: nothing more where the reader asks about it already, a
/// question about the rows where they may be left out, `None` where only correcting the file helps.
pub(crate) fn of_stop(log: &str, problem: &Problem) -> Option<Option<Question>> {
    if matches!(problem.code.as_str(), "decimal_open" | "date_order_open") {
        return Some(None);
    }
    let next = problem.next.as_deref().unwrap_or("");
    if !next.contains("--leave-out-bad-rows") {
        return None;
    }
    let place = problem.place.as_ref().map_or(String::new(), |p| format!(", {p}"));
    let found = problem.found.as_ref().map_or(String::new(), |f| format!(": found {f}"));
    Some(Some(Question {
        log: log.to_owned(),
        column: None,
        about: BAD_ROWS.to_owned(),
        sentence: format!("{}{place}{found}", problem.what.trim_end_matches('.')),
        choices: vec![LEAVE_OUT.to_owned()],
        flag: next.to_owned(),
        asked: None,
    }))
}

fn of_reader(log: &str, question: &assign::Question) -> Question {
    let found = match question.found.trim() {
        "" => String::new(),
        found => format!(" Found: {}.", found.trim_end_matches('.')),
    };
    Question {
        log: log.to_owned(),
        column: (!question.column.is_empty()).then(|| question.column.clone()),
        about: about(question.about).to_owned(),
        sentence: format!("{}{found}", question.text),
        choices: question.choices.iter().map(|choice| choice.key.clone()).collect(),
        flag: question.answer_flag.clone(),
        asked: Some(question.clone()),
    }
}

fn about(about: About) -> &'static str {
    match about {
        About::Unit => "unit",
        About::Role => "role",
        About::Column => "column",
        About::Decimal => "decimal",
        About::DateOrder => "date_order",
        About::Rate => "rate",
        About::Fuel => "fuel",
        About::Arm => "arm",
        _ => "other",
    }
}

//! What the columns mean: proposed from names, units and numbers, settled with the person.
//!
//! [`propose()`] gives every column a role where its name suggests one, and a question wherever name,
//! unit and numbers leave a doubt. [`answer`] writes an answer into [`Answers`]; propose again and the
//! question is gone. [`settle()`] makes the [`Log`] in SI units as soon as the needed questions are
//! answered, and [`learn()`] keeps what was settled in the cell file. Nothing is taken for certain
//! that a person, the cell file, or name and unit together have not said.

mod fit;
mod learn;
mod propose;
mod settle;
mod time;
mod words;

pub use learn::learn;
pub use propose::propose;
pub use settle::{SettleError, settle};

use crate::cell::Answers;
#[cfg(doc)]
use crate::log::Log;
use crate::role::Role;
use serde::{Deserialize, Serialize};

/// What is proposed for a log, and what must be asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Proposal {
    /// One entry per column, in the order of groups and columns.
    pub columns: Vec<ColumnProposal>,
    /// Open questions, the needed ones first.
    pub questions: Vec<Question>,
    /// Rows per second for groups without a time column, Hz.
    pub rate_hz: Option<f64>,
}

impl Proposal {
    /// Whether the log can be settled: no needed question is open.
    pub fn ready(&self) -> bool {
        self.questions.iter().all(|q| !q.must)
    }

    /// What is proposed for the first column of a name.
    pub fn column(&self, name: &str) -> Option<&ColumnProposal> {
        self.columns.iter().find(|c| c.name == name)
    }
}

/// What is proposed for one column.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ColumnProposal {
    /// Index of the group.
    pub group: usize,
    /// Index of the column in its group.
    pub column: usize,
    /// Name as written.
    pub name: String,
    /// Proposed role, if any.
    pub role: Option<Role>,
    /// Unit as answered, as written, as remembered, or as the name says; in this order.
    pub unit: Option<String>,
    /// Why this role and unit, in words.
    pub why: String,
    /// Settled: used without asking. With a role and `false`, a question is open.
    pub sure: bool,
    /// The person said that the channel is of no interest.
    pub ignored: bool,
    /// Delay of the channel behind the engine, s, from the cell file.
    pub lag_s: Option<f64>,
}

/// What a question is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum About {
    /// Unit of a column.
    Unit,
    /// Role of a column.
    Role,
    /// Column of a role.
    Column,
    /// Decimal mark of the file.
    Decimal,
    /// Order of day and month.
    DateOrder,
    /// Rows per second.
    Rate,
    /// The fuel, for air–fuel ratios.
    Fuel,
    /// Length of the torque arm.
    Arm,
}

/// A question to the person.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Question {
    /// Stable name: "unit:Baro", "role:Torque", "which:torque", "missing:speed", "decimal".
    pub id: String,
    /// Column it is about; empty when it is about the file.
    pub column: String,
    /// What it is about.
    pub about: About,
    /// Role it is about, if any.
    pub role: Option<Role>,
    /// Without an answer the log cannot be judged. Any other question may stay open.
    pub must: bool,
    /// The question, in a sentence or two.
    pub text: String,
    /// What the column or the file holds.
    pub found: String,
    /// Choices, the fitting ones first; empty when a number or a name is to be typed.
    pub choices: Vec<Choice>,
    /// How it is answered in the terminal.
    pub answer_flag: String,
}

/// One answer to choose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Choice {
    /// What [`answer`] takes.
    pub key: String,
    /// What a person reads.
    pub label: String,
    /// What speaks for or against it.
    pub why: String,
}

/// Writes an answer into the answers. `key` is the key of a choice or the text typed.
///
/// # Errors
/// [`AnswerError`] when the text is no answer to this question.
pub fn answer(question: &Question, key: &str, answers: &mut Answers) -> Result<(), AnswerError> {
    let wrong = |expected: &str| AnswerError::NotAnAnswer {
        question: question.id.clone(),
        found: key.to_owned(),
        expected: expected.to_owned(),
    };
    let key = key.trim();
    match question.about {
        About::Unit if key == "none" => {
            answers.roles.insert(question.column.clone(), "none".to_owned());
        }
        About::Unit => {
            if let Some(role) = question.role
                && !matches!(fit::unit_for(role, key), fit::UnitFor::Is(_))
            {
                return Err(wrong(&format!("a unit of {}", fit::dimension(role).name())));
            }
            answers.units.insert(question.column.clone(), key.to_owned());
        }
        About::Role => {
            if key != "none" && Role::from_key(key).is_none() {
                return Err(wrong("the key of a role, or none"));
            }
            answers.roles.insert(question.column.clone(), key.to_owned());
        }
        About::Column => {
            let role = question.role.ok_or_else(|| wrong("a column"))?;
            if key == "none" {
                for choice in question.choices.iter().filter(|c| c.key != "none") {
                    answers.roles.insert(choice.key.clone(), "none".to_owned());
                }
            } else if question.choices.iter().any(|c| c.key == key) {
                answers.roles.insert(key.to_owned(), role.key());
            } else {
                return Err(wrong("the name of one of the columns offered"));
            }
        }
        About::Decimal => {
            let mark = key.chars().next().filter(|c| key.len() == 1 && matches!(c, '.' | ','));
            answers.decimal = Some(mark.ok_or_else(|| wrong("a point or a comma"))?);
        }
        About::DateOrder => {
            let order = crate::read::DateOrder::from_key(key).ok_or_else(|| wrong("dmy, mdy or ymd"))?;
            answers.date_order = Some(order.key().to_owned());
        }
        About::Rate => {
            let number = key.trim_end_matches("Hz").trim().parse::<f64>().ok();
            let rate = number.filter(|r| r.is_finite() && *r > 0.0);
            answers.rate_hz = Some(rate.ok_or_else(|| wrong("rows per second, a number above 0"))?);
        }
        About::Arm => {
            if learn::length_m(key).is_none() {
                return Err(wrong("a length such as 0.35 m or 13.78 in"));
            }
            answers.arm = Some(key.to_owned());
        }
        About::Fuel => return Err(wrong("the fuel, which is stated with the run and not here")),
    }
    Ok(())
}

/// Why a text is no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum AnswerError {
    /// The text does not answer the question.
    #[error("`{found}` is no answer to {question}; expected {expected}")]
    NotAnAnswer {
        /// Id of the question.
        question: String,
        /// What was given.
        found: String,
        /// What is expected.
        expected: String,
    },
}

/// Whether a name is one that a channel of a dyno log would have.
pub(crate) fn is_channel_word(name: &str) -> bool {
    !words::suggest(name).roles.is_empty()
}

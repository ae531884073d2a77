//! Questions, answers, decisions and notes.

use crate::Id;
use serde::{Deserialize, Serialize};

/// A question to somebody.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// The question.
    pub words: String,
    /// Whom it is for: "builder", "owner", "operator".
    pub to: String,
    /// The hand-over waits for the answer.
    #[serde(default)]
    pub stops_hand_over: bool,
    /// What it is about: a claim, a reading, a run, a sheet.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub about: Vec<Id>,
    /// Place on a sheet that it is about, beside the sheet in `about`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// The answer to a question.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// The question.
    pub to: Id,
    /// The answer.
    pub words: String,
    /// Who gave it, if not the writer: "owner, by phone".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub given_by: String,
    /// Answers that this one takes the place of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replaces: Vec<Id>,
}

/// How the owner said yes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnersYes {
    /// In which way: "signed on the sheet", "by message".
    pub how: String,
    /// Day, YYYY-MM-DD.
    pub on: String,
    /// Photo or file of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file: Option<Id>,
}

/// Something was decided.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decision {
    /// What is done.
    pub words: String,
    /// Why, and what else was weighed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub because: String,
    /// The owner's yes; none while it is not there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub owners_yes: Option<OwnersYes>,
    /// What it settles: findings, claims, questions.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub settles: Vec<Id>,
    /// The stage whose scope it agrees: opened_up for taking apart, agreed_build for the build.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub agrees: Option<crate::Stage>,
}

/// A note in the notebook.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NoteWritten {
    /// The note.
    pub words: String,
    /// What it is about.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub about: Vec<Id>,
}

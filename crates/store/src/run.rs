//! A run: as it was taken in, what was changed about it, and the fold of the two.

use crate::files::FileRef;
use crate::id::RunId;
use serde::{Deserialize, Serialize};

/// Whether a run waits for answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RunState {
    /// Questions about units or roles are open.
    Asking,
    /// Nothing is open.
    Ready,
}

impl RunState {
    /// The word kept in the database: `asking` or `ready`.
    pub fn key(self) -> &'static str {
        match self {
            Self::Asking => "asking",
            Self::Ready => "ready",
        }
    }

    /// The state of a word kept in the database.
    pub fn from_key(key: &str) -> Option<Self> {
        match key {
            "asking" => Some(Self::Asking),
            "ready" => Some(Self::Ready),
            _ => None,
        }
    }
}

/// A run to be added.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NewRun {
    /// Made by whoever adds the run; adding the same id twice adds one run.
    pub id: RunId,
    /// What the run is called; not empty.
    pub title: String,
    /// When the logs came in, RFC 3339 in UTC, from the caller's clock.
    pub received_at: String,
    /// Who brought them; not empty.
    pub author: String,
    /// Key of the dyno, if known.
    pub dyno: Option<String>,
    /// The logs, in order; each kept before by [`crate::Store::keep_file`].
    pub files: Vec<FileRef>,
    /// Whether questions are open.
    pub state: RunState,
    /// What is stated about the run, JSON.
    pub setup_json: String,
    /// Answers to questions about units and roles, JSON.
    pub answers_json: String,
    /// A small summary for lists, JSON.
    pub headline_json: String,
}

/// When and by whom a run was accepted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Accepted {
    /// When, RFC 3339 in UTC.
    pub when: String,
    /// By whom.
    pub by: String,
}

/// A run as it stands: taken in, and every change applied.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Run {
    /// Identifies it everywhere.
    pub id: RunId,
    /// Number within the shop, from 1, in order of arrival.
    pub number: i64,
    /// What it is called.
    pub title: String,
    /// When the logs came in, RFC 3339 in UTC.
    pub received_at: String,
    /// Who brought them.
    pub author: String,
    /// Key of the dyno, if known.
    pub dyno: Option<String>,
    /// The logs, in order.
    pub files: Vec<FileRef>,
    /// Whether questions are open.
    pub state: RunState,
    /// What is stated about the run, JSON.
    pub setup_json: String,
    /// Answers to questions, JSON.
    pub answers_json: String,
    /// A small summary for lists, JSON.
    pub headline_json: String,
    /// The run it is compared with.
    pub against: Option<RunId>,
    /// Accepted when and by whom; `None` while it is not.
    pub accepted: Option<Accepted>,
    /// 1 as taken in, one more with each change.
    pub revision: i64,
}

/// One change to a run. New kinds are added, never taken away: old rows must be readable for ever.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", content = "to", rename_all = "snake_case")]
#[non_exhaustive]
pub enum RunChange {
    /// Other statements about the run.
    Setup {
        /// The whole new text, JSON.
        json: String,
    },
    /// Other answers.
    Answers {
        /// The whole new text, JSON.
        json: String,
    },
    /// Questions answered, or new ones open.
    State(RunState),
    /// Another name; not empty.
    Title(String),
    /// Compared with another run, or with none.
    Against(Option<RunId>),
    /// Another summary for lists.
    Headline {
        /// The whole new text, JSON.
        json: String,
    },
    /// Ran on another dyno.
    Dyno(Option<String>),
    /// Accepted by a person.
    Accepted(Accepted),
    /// No longer accepted, with the reason.
    AcceptedTakenBack {
        /// Why.
        reason: String,
    },
    /// A pull was left out or taken back in. Kept for the record; callers also put it into the setup.
    LeftOut {
        /// Number of the pull, from 1.
        pull: usize,
        /// Why; `None` takes it back in.
        reason: Option<String>,
    },
    /// A remark by a person.
    Remark(String),
}

impl RunChange {
    /// The word kept in the database beside the change.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Setup { .. } => "setup",
            Self::Answers { .. } => "answers",
            Self::State(_) => "state",
            Self::Title(_) => "title",
            Self::Against(_) => "against",
            Self::Headline { .. } => "headline",
            Self::Dyno(_) => "dyno",
            Self::Accepted(_) => "accepted",
            Self::AcceptedTakenBack { .. } => "accepted_taken_back",
            Self::LeftOut { .. } => "left_out",
            Self::Remark(_) => "remark",
        }
    }
}

/// A change as it was written down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WrittenChange {
    /// Revision of the run that it made, from 2.
    pub revision: i64,
    /// When, RFC 3339 in UTC.
    pub at: String,
    /// Who changed it.
    pub author: String,
    /// What was changed.
    pub change: RunChange,
}

/// A run as taken in, and everything changed since, oldest first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunHistory {
    /// As it was taken in (revision 1).
    pub taken_in: Run,
    /// The changes in order.
    pub changes: Vec<WrittenChange>,
}

impl RunHistory {
    /// The run as it stood at a revision; later changes are not applied.
    pub fn at_revision(&self, revision: i64) -> Run {
        let mut run = self.taken_in.clone();
        for written in self.changes.iter().take_while(|c| c.revision <= revision) {
            run.apply(written);
        }
        run
    }
}

impl Run {
    /// Applies one written change: the step of the fold.
    pub(crate) fn apply(&mut self, written: &WrittenChange) {
        match written.change.clone() {
            RunChange::Setup { json } => self.setup_json = json,
            RunChange::Answers { json } => self.answers_json = json,
            RunChange::State(state) => self.state = state,
            RunChange::Title(title) => self.title = title,
            RunChange::Against(other) => self.against = other,
            RunChange::Headline { json } => self.headline_json = json,
            RunChange::Dyno(key) => self.dyno = key,
            RunChange::Accepted(accepted) => self.accepted = Some(accepted),
            RunChange::AcceptedTakenBack { .. } => self.accepted = None,
            RunChange::LeftOut { .. } | RunChange::Remark(_) => {}
        }
        self.revision = written.revision;
    }
}

//! The list of jobs.

use crate::{JobView, Notebook, NotebookError};
use record::{Stage, Standing};
use serde::Serialize;
use std::sync::Arc;

/// A job in the list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JobLine {
    /// Number in this shop.
    pub number: i64,
    /// Its name.
    pub id: String,
    /// Short name.
    pub title: String,
    /// What it is for.
    pub purpose: String,
    /// Stage.
    pub stage: Stage,
    /// When it was opened, RFC 3339.
    pub opened: String,
    /// When the shop received its newest entry, RFC 3339.
    pub last: String,
    /// Entries.
    pub entries: i64,
    /// Claims that nobody has judged, and promises without proof.
    pub open_claims: usize,
    /// Questions without an answer.
    pub open_questions: usize,
    /// Of those, how many stop the hand-over.
    pub stopping: usize,
    /// Entries that disagree.
    pub conflicts: usize,
}

impl JobLine {
    /// The line of a job.
    pub fn of(view: &JobView) -> Self {
        let job = &view.job;
        let opened = job.opened.as_ref().map(|o| &o.value);
        let open = || job.questions.iter().filter(|q| q.answers.is_empty());
        Self {
            number: view.row.number,
            id: view.row.job.clone(),
            title: opened.map(|o| o.title.clone()).unwrap_or_default(),
            purpose: opened.map(|o| o.purpose.clone()).unwrap_or_default(),
            stage: job.stage(),
            opened: view.row.opened_at.clone(),
            last: view.row.last_at.clone(),
            entries: view.row.entries,
            open_claims: job
                .claims
                .iter()
                .filter(|c| c.standing() == Standing::Open && !(c.ours && c.is_proved(&job.proofs(c))))
                .count(),
            open_questions: open().count(),
            stopping: open().filter(|q| q.question.value.stops_hand_over).count(),
            conflicts: job.conflicts.len(),
        }
    }
}

impl Notebook {
    /// How many jobs there are.
    ///
    /// # Errors
    /// Those of the store.
    pub fn count(&self) -> Result<usize, NotebookError> {
        Ok(self.store.count_jobs()?)
    }

    /// Jobs, newest first: `most` of them after the first `skip`.
    ///
    /// # Errors
    /// Those of the store, and [`NotebookError::Unreadable`].
    pub fn jobs(&self, skip: usize, most: usize) -> Result<Vec<Arc<JobView>>, NotebookError> {
        self.store.jobs_newest(skip, most)?.into_iter().map(|row| self.view(row)).collect()
    }
}

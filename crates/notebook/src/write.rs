//! Adding entries.

use crate::error::roles;
use crate::{JobView, Notebook, NotebookError};
use jiff::{SignedDuration, Timestamp};
use record::{Body, Entry, Id, Job, Role, Stage, fold, gate, misfits};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use store::{NewEntry, StoredEntry};

/// Who writes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Writer {
    /// Name that the entries carry.
    pub name: String,
    /// What the person works as.
    pub roles: Vec<Role>,
}

impl Writer {
    /// A person who may write everything: one person at one desk, without accounts.
    pub fn alone(name: &str) -> Self {
        Self { name: name.to_owned(), roles: Role::ALL.to_vec() }
    }
}

/// An entry to be written.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// Its name, made by whoever writes; sending it again adds nothing.
    pub id: Id,
    /// When it was written, by the writer's clock.
    pub at: Timestamp,
    /// What it says.
    pub body: Body,
}

impl Draft {
    /// An entry written now, at the shop's own clock.
    pub fn now(body: Body) -> Self {
        Self { id: Notebook::new_id(), at: now(), body }
    }
}

/// An entry as it was saved.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Written {
    /// Its name.
    pub id: String,
    /// Its number in the job.
    pub number: i64,
    /// When the shop saved it, RFC 3339 in UTC.
    pub received: String,
    /// Its hash.
    pub hash: String,
}

/// How far a writer's clock may be ahead of the shop's.
const AHEAD: SignedDuration = SignedDuration::from_hours(24);

fn now() -> Timestamp {
    // Whole milliseconds: what an id can say, too.
    let now = Timestamp::now();
    Timestamp::from_millisecond(now.as_millisecond()).unwrap_or(now)
}

impl Notebook {
    /// Opens a job: its first entry. The job as it then stands is returned.
    ///
    /// # Errors
    /// As [`Notebook::write`].
    pub fn open_job(&self, job: Id, draft: Draft, writer: &Writer) -> Result<std::sync::Arc<JobView>, NotebookError> {
        self.write(job, std::slice::from_ref(&draft), writer)?;
        self.job_by_id(job)
    }

    /// Writes entries of one job in the order given: all or none. An entry whose name is there with the same content
    /// counts as written. The first entry of a new job must open it.
    ///
    /// # Errors
    /// [`NotebookError`] saying which entry, what was found and what is expected; nothing is written then.
    pub fn write(&self, job: Id, drafts: &[Draft], writer: &Writer) -> Result<Vec<Written>, NotebookError> {
        let drafts: Vec<(&Writer, &Draft)> = drafts.iter().map(|draft| (writer, draft)).collect();
        self.write_as(job, &drafts)
    }

    /// The same for entries of several writers.
    pub(crate) fn write_as(&self, job: Id, drafts: &[(&Writer, &Draft)]) -> Result<Vec<Written>, NotebookError> {
        let of = drafts.len();
        let limit = Timestamp::now().checked_add(AHEAD).unwrap_or(Timestamp::MAX);
        for (place, (writer, draft)) in drafts.iter().enumerate() {
            draft.body.check().map_err(|why| NotebookError::Entry { number: place + 1, of, why })?;
            if draft.at > limit {
                return Err(NotebookError::FromTheFuture { id: draft.id, at: draft.at.to_string() });
            }
            may_write(&draft.body, writer)?;
        }
        let known = match self.store.job(&job.to_string())? {
            Some(row) => Some(self.view(row)?),
            None if matches!(drafts.first().map(|(_, d)| &d.body), Some(Body::JobOpened(_))) => None,
            None => return Err(NotebookError::NoJob { which: job.to_string() }),
        };
        self.check_against(job, known.as_deref(), drafts)?;
        let new: Vec<NewEntry> = drafts.iter().map(|(writer, draft)| new_entry(job, draft, writer)).collect();
        let stored = self.store.add_entries(&new)?;
        Ok(stored.iter().map(written).collect())
    }

    /// What the entries refer to must be there, and gates need reasons.
    fn check_against(
        &self,
        job: Id,
        known: Option<&JobView>,
        drafts: &[(&Writer, &Draft)],
    ) -> Result<(), NotebookError> {
        let there: BTreeSet<Id> = known.map(|k| k.entries.iter().map(|e| e.id).collect()).unwrap_or_default();
        let old = known.map_or(&[][..], |k| k.entries.as_slice());
        let mut fresh: Vec<Entry> = Vec::new();
        for (writer, draft) in drafts.iter().filter(|(_, d)| !there.contains(&d.id)) {
            // A gate is asked of the job as it stands before the entry that passes it.
            let (to, reasons) = match &draft.body {
                Body::StagePassed(it) => (Some(it.to), &it.in_spite_of[..]),
                Body::HandedOver(it) => (Some(Stage::HandedOver), &it.in_spite_of[..]),
                _ => (None, &[][..]),
            };
            if let Some(to) = to {
                self.ask_gate(&fold(old.iter().chain(&fresh)), to, reasons)?;
            }
            fresh.push(Entry {
                id: draft.id,
                job,
                at: draft.at,
                received: None,
                author: writer.name.clone(),
                body: draft.body.clone(),
            });
        }
        if fresh.is_empty() {
            return Ok(());
        }
        let misfits = misfits(old.iter().chain(&fresh));
        for (place, (_, draft)) in drafts.iter().enumerate() {
            if let Some(misfit) = misfits.iter().find(|m| m.entry == draft.id && !there.contains(&m.entry)) {
                return Err(NotebookError::Misfit { number: place + 1, of: drafts.len(), why: misfit.why.clone() });
            }
        }
        Ok(())
    }

    fn ask_gate(&self, before: &Job, to: Stage, reasons: &[(String, String)]) -> Result<(), NotebookError> {
        let missing: Vec<_> = gate(before, to, &self.facts_of(before)?)
            .into_iter()
            .filter(|m| !reasons.iter().any(|(key, why)| *key == m.key && !why.trim().is_empty()))
            .collect();
        if missing.is_empty() {
            return Ok(());
        }
        Err(NotebookError::GateShut { to: to.name().to_owned(), missing })
    }
}

fn may_write(body: &Body, writer: &Writer) -> Result<(), NotebookError> {
    if writer.roles.iter().any(|role| role.may_write(body)) {
        return Ok(());
    }
    let needed: Vec<Role> = Role::ALL.into_iter().filter(|role| role.may_write(body)).collect();
    Err(NotebookError::NotYours {
        kind: body.kind().replace('_', " "),
        needed: roles(&needed),
        author: writer.name.clone(),
        has: roles(&writer.roles),
    })
}

fn new_entry(job: Id, draft: &Draft, writer: &Writer) -> NewEntry {
    let files = match &draft.body {
        Body::EvidenceFile(file) => vec![(file.sha256.clone(), file.name.clone())],
        _ => Vec::new(),
    };
    NewEntry {
        id: draft.id.to_string(),
        job: job.to_string(),
        at: draft.at.to_string(),
        author: writer.name.clone(),
        kind: draft.body.kind().to_owned(),
        body: Entry::body_json(&draft.body).to_string(),
        files,
        search_text: crate::search_text::of(&draft.body),
    }
}

fn written(stored: &StoredEntry) -> Written {
    Written {
        id: stored.id.clone(),
        number: stored.number,
        received: stored.received.clone(),
        hash: stored.hash.clone(),
    }
}

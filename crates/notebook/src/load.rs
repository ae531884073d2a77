//! Jobs, folded from their entries and kept in memory until entries come.

use crate::{Notebook, NotebookError};
use jiff::Timestamp;
use record::{Entry, Id, Job, fold};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use store::{JobRow, StoredEntry};

/// Jobs kept in memory at most. A folded job with a few hundred readings is some hundred kilobytes.
const KEPT: usize = 400;

/// A job as it stands.
#[derive(Debug, Clone)]
pub struct JobView {
    /// Its name.
    pub id: Id,
    /// Its row in the shop: number, times.
    pub row: JobRow,
    /// Its state.
    pub job: Job,
    /// Its entries, in the order in which the shop received them.
    pub entries: Vec<Entry>,
    /// Hash of its newest entry.
    pub hash: String,
}

/// What was folded already.
#[derive(Debug, Default)]
pub(crate) struct Shelf(Mutex<HashMap<String, (u64, Arc<JobView>)>>, std::sync::atomic::AtomicU64);

impl Shelf {
    fn get(&self, job: &str) -> Option<Arc<JobView>> {
        let turn = self.1.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let found = kept.get_mut(job)?;
        found.0 = turn;
        Some(Arc::clone(&found.1))
    }

    fn put(&self, view: &Arc<JobView>) {
        let turn = self.1.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        // Another request may have folded more in the meantime.
        if kept.get(&view.row.job).is_none_or(|(_, there)| there.row.last_seq <= view.row.last_seq) {
            kept.insert(view.row.job.clone(), (turn, Arc::clone(view)));
        }
        if kept.len() > KEPT {
            let oldest = kept.iter().min_by_key(|(_, (turn, _))| *turn).map(|(job, _)| job.clone());
            if let Some(oldest) = oldest {
                kept.remove(&oldest);
            }
        }
    }
}

impl Notebook {
    /// A job by its number in this shop, as it stands.
    ///
    /// # Errors
    /// [`NotebookError::NoJob`], [`NotebookError::Unreadable`] and those of the store.
    pub fn job(&self, number: i64) -> Result<Arc<JobView>, NotebookError> {
        let row = self.store.job_by_number(number)?;
        self.view(row.ok_or_else(|| NotebookError::NoJob { which: number.to_string() })?)
    }

    /// A job by its name, as it stands.
    ///
    /// # Errors
    /// As [`Notebook::job`].
    pub fn job_by_id(&self, id: Id) -> Result<Arc<JobView>, NotebookError> {
        let row = self.store.job(&id.to_string())?;
        self.view(row.ok_or_else(|| NotebookError::NoJob { which: id.to_string() })?)
    }

    pub(crate) fn view(&self, row: JobRow) -> Result<Arc<JobView>, NotebookError> {
        let known = self.jobs.get(&row.job);
        if let Some(known) = &known
            && known.row.last_seq >= row.last_seq
        {
            return Ok(Arc::clone(known));
        }
        let id: Id = row.job.parse().map_err(|_| unreadable(&row, &row.job, "its name is no UUID of version 7"))?;
        let (mut entries, mut hash) = match &known {
            Some(known) => (known.entries.clone(), known.hash.clone()),
            None => (Vec::new(), String::new()),
        };
        let mut last_seq = row.last_seq;
        for stored in self.store.entries(&row.job, entries.len() as i64)? {
            entries.push(read(&row, &stored)?);
            last_seq = last_seq.max(stored.seq);
            hash = stored.hash;
        }
        let job = fold(&entries);
        let view = Arc::new(JobView {
            id,
            row: JobRow { entries: entries.len() as i64, last_seq, ..row },
            job,
            entries,
            hash,
        });
        self.jobs.put(&view);
        Ok(view)
    }
}

/// An entry as it is kept, read.
pub(crate) fn read(row: &JobRow, stored: &StoredEntry) -> Result<Entry, NotebookError> {
    let fault = |why: String| unreadable(row, &stored.id, &why);
    let time = |text: &str| text.parse::<Timestamp>().map_err(|e| fault(e.to_string()));
    Ok(Entry {
        id: stored.id.parse().map_err(|e: record::IdError| fault(e.to_string()))?,
        job: stored.job.parse().map_err(|e: record::IdError| fault(e.to_string()))?,
        at: time(&stored.at)?,
        received: Some(time(&stored.received)?),
        author: stored.author.clone(),
        body: Entry::body_from(&stored.kind, &stored.body).map_err(|e| fault(e.to_string()))?,
    })
}

fn unreadable(row: &JobRow, id: &str, why: &str) -> NotebookError {
    NotebookError::Unreadable { job: row.number, id: id.to_owned(), why: why.to_owned() }
}

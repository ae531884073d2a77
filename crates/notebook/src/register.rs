//! What the shop keeps beside its jobs: instruments, sheet templates, limits of its own.

use crate::{Notebook, NotebookError};

impl Notebook {
    pub(crate) fn sheet_facts(&self, _job: &record::Job, _facts: &mut record::Facts) -> Result<(), NotebookError> {
        Ok(())
    }
}

//! Working a stored run out again.

use crate::error::TakeInError;
use crate::said::CellSaid;
use crate::work::{Outcome, work};
use pull::cell::{Answers, CellFile};
use pull::setup::Setup;
use serde::{Deserialize, Serialize};
use store::{Run, RunState, Store};

/// What is kept as a run's setup: the statements, and which text of the dyno they go with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Stated {
    /// What is stated about the run.
    #[serde(flatten)]
    pub setup: Setup,
    /// Revision of the dyno's text that the run was worked out with; `None` while questions are open.
    #[serde(default)]
    pub dyno_revision: Option<i64>,
    /// What was said of the cell for this run alone.
    #[serde(default, skip_serializing_if = "CellSaid::is_empty")]
    pub cell: CellSaid,
}

/// A stored run, worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded {
    /// The run as it stands.
    pub run: Run,
    /// What was known of the dyno.
    pub cell: CellFile,
    /// What is stated.
    pub stated: Stated,
    /// What was answered.
    pub answers: Answers,
    /// Questions, or the analysis.
    pub outcome: Outcome,
}

/// Reads a stored run's logs again and works it out.
///
/// # Errors
/// Those of the store (a log missing or damaged), [`TakeInError::BadEntry`], and those of [`work`].
pub fn load(store: &Store, run: &Run) -> Result<Loaded, TakeInError> {
    let bad = |what, e: serde_json::Error| TakeInError::BadEntry { what, number: run.number, why: e.to_string() };
    let stated: Stated = serde_json::from_str(&run.setup_json).map_err(|e| bad("the setup", e))?;
    let answers: Answers = serde_json::from_str(&run.answers_json).map_err(|e| bad("the answers", e))?;
    let pinned = stated.dyno_revision.filter(|_| run.state == RunState::Ready);
    let (cell, _) = dyno_cell(store, run.dyno.as_deref(), pinned)?;
    let cell = stated.cell.over(cell);
    let files = run
        .files
        .iter()
        .map(|file| Ok((file.name.clone(), store.read_file(&file.sha256)?)))
        .collect::<Result<Vec<_>, TakeInError>>()?;
    let outcome = work(&files, &cell, &answers, &stated.setup)?;
    Ok(Loaded { run: run.clone(), cell, stated, answers, outcome })
}

/// What is known of a dyno, at a revision or as it stands; nothing is known of no dyno.
pub(crate) fn dyno_cell(
    store: &Store,
    key: Option<&str>,
    revision: Option<i64>,
) -> Result<(CellFile, Option<i64>), TakeInError> {
    let Some(key) = key else { return Ok((CellFile::default(), None)) };
    let found = match revision {
        Some(revision) => store.dyno_history(key)?.into_iter().find(|d| d.revision == revision),
        None => store.dyno(key)?,
    };
    let Some(dyno) = found else {
        let there = store.dynos()?.into_iter().map(|d| d.key).collect();
        return Err(TakeInError::NoDyno { key: key.to_owned(), there });
    };
    Ok((parse_cell(key, &dyno.cell_toml)?, Some(dyno.revision)))
}

/// What the shop knows of a dyno now.
///
/// # Errors
/// [`TakeInError::NoDyno`], [`TakeInError::BadDyno`], and those of the store.
pub fn dyno(store: &Store, key: &str) -> Result<CellFile, TakeInError> {
    Ok(dyno_cell(store, Some(key), None)?.0)
}

/// Reads a dyno's text. `key` names it in the message.
///
/// # Errors
/// [`TakeInError::BadDyno`].
pub fn parse_cell(key: &str, text: &str) -> Result<CellFile, TakeInError> {
    pull::cell_file::parse(text).map_err(|e| TakeInError::BadDyno { key: key.to_owned(), text: e.to_string() })
}

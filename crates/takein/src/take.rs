//! Taking logs in: all of them become one run, or nothing is saved.

use crate::error::TakeInError;
use crate::headline::Headline;
use crate::house::HouseRules;
use crate::load::{Stated, dyno_cell};
use crate::said::CellSaid;
use crate::work::{Outcome, judge, read_all};
use pull::cell::Answers;
use pull::setup::Setup;
use store::{FileRef, NewRun, Run, RunChange, RunId, RunState, Store};

/// Logs to be taken in, and what is said about them.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeIn {
    /// Made by whoever brings the logs; bringing the same id twice adds one run.
    pub id: RunId,
    /// Name (without folders) and bytes of each log, in order.
    pub files: Vec<(String, Vec<u8>)>,
    /// What is stated about the run.
    pub setup: Setup,
    /// Answers to questions, if any are known beforehand.
    pub answers: Answers,
    /// Key of the dyno.
    pub dyno: Option<String>,
    /// What to call the run; `None` makes a name from the logs' names.
    pub title: Option<String>,
    /// Who brings them.
    pub author: String,
    /// When, RFC 3339 in UTC.
    pub now: String,
    /// Take logs in although a run has them already.
    pub again: bool,
}

/// Takes logs in. The logs are worked out first, then kept, then one transaction adds the run.
///
/// # Errors
/// [`TakeInError::TakenInBefore`] if a run has one of the logs and `again` is not set; those of
/// [`crate::work()`] and of the store. Nothing is added then.
pub fn take_in(store: &Store, new: TakeIn) -> Result<Run, TakeInError> {
    take_in_saying(store, new, CellSaid::default(), &[])
}

/// As [`take_in`]; `progress` is told the index of a log and how many of its bytes are read, from any
/// thread.
///
/// # Errors
/// As [`take_in`].
pub fn take_in_telling(
    store: &Store,
    new: TakeIn,
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Result<Run, TakeInError> {
    take(store, new, CellSaid::default(), &[], progress)
}

/// As [`take_in`], with things of the cell that were said for this run alone, and with changes
/// that belong to the same act, such as [`RunChange::Against`].
///
/// # Errors
/// As [`take_in`].
pub fn take_in_saying(store: &Store, new: TakeIn, said: CellSaid, also: &[RunChange]) -> Result<Run, TakeInError> {
    take(store, new, said, also, &|_, _| {})
}

fn take(
    store: &Store,
    new: TakeIn,
    said: CellSaid,
    also: &[RunChange],
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Result<Run, TakeInError> {
    if let Some(there) = store.run(new.id)? {
        return Ok(there);
    }
    if !new.again {
        for (name, bytes) in &new.files {
            if let Some(run) = store.runs_with_file(&FileRef::of(name, bytes).sha256)?.first() {
                return Err(TakeInError::TakenInBefore { name: name.clone(), number: run.number, id: run.id });
            }
        }
    }
    let (cell, revision) = dyno_cell(store, new.dyno.as_deref(), None)?;
    let cell = said.over(cell);
    let house = HouseRules::of(store)?;
    let raw = read_all(&new.files, &cell, &new.answers, progress)?;
    let outcome = judge(raw, &cell, &new.answers, &new.setup, &house)?;
    let state = state_of(&outcome);
    let stated = Stated { setup: new.setup, dyno_revision: revision.filter(|_| state == RunState::Ready), cell: said };
    let files = new.files.iter().map(|(name, bytes)| store.keep_file(name, bytes)).collect::<Result<Vec<_>, _>>()?;
    let run = NewRun {
        id: new.id,
        title: new.title.unwrap_or_else(|| title_of(&new.files)),
        received_at: new.now,
        author: new.author,
        dyno: new.dyno,
        files,
        state,
        setup_json: to_json(&stated),
        answers_json: to_json(&new.answers),
        headline_json: Headline::of(&outcome, &house).to_json(),
    };
    Ok(store.add_run_with(run, also)?)
}

/// Whether questions are open.
pub(crate) fn state_of(outcome: &Outcome) -> RunState {
    match outcome {
        Outcome::Asking(_) => RunState::Asking,
        Outcome::Ready(..) => RunState::Ready,
    }
}

/// JSON of plain data with text keys, which cannot fail.
pub(crate) fn to_json<T: serde::Serialize>(value: &T) -> String {
    serde_json::to_string(value).unwrap_or_else(|_| "{}".to_owned())
}

/// "pull-01, pull-02, pull-03" or "pull-01 and 5 more".
fn title_of(files: &[(String, Vec<u8>)]) -> String {
    let stems: Vec<&str> =
        files.iter().map(|(name, _)| name.rsplit_once('.').map_or(name.as_str(), |(s, _)| s)).collect();
    match stems.as_slice() {
        [] => "run".to_owned(),
        [first, rest @ ..] if rest.len() > 3 => format!("{first} and {} more", rest.len()),
        few => few.join(", "),
    }
}

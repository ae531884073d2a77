//! Changes to a stored run: answers, other statements, a newer text of its dyno.

use crate::error::TakeInError;
use crate::headline::Headline;
use crate::house::HouseRules;
use crate::load::{Stated, dyno_cell};
use crate::take::{state_of, to_json};
use crate::work::{Outcome, work};
use pull::cell::Answers;
use pull::setup::Setup;
use store::{Run, RunChange, RunState, Store};

/// Answers questions about a run's logs. `answers` are all answers, not only the new ones.
/// The run is worked out again; it becomes ready if nothing is open any more.
///
/// # Errors
/// Those of [`work`] and of the store; nothing is changed then.
pub fn answer(
    store: &Store,
    run: &Run,
    expected_revision: i64,
    answers: Answers,
    author: &str,
) -> Result<(Run, Outcome), TakeInError> {
    let stated = stated_of(run)?;
    let said = RunChange::Answers { json: to_json(&answers) };
    change(store, run, expected_revision, stated, &answers, vec![said], author)
}

/// States other things about a run: band, weather, standard, a pull left out. `also` are further
/// changes that belong to the same act, such as [`RunChange::LeftOut`]; all are saved or none.
///
/// # Errors
/// Those of [`work`] and of the store; nothing is changed then.
pub fn restate(
    store: &Store,
    run: &Run,
    expected_revision: i64,
    setup: Setup,
    also: &[RunChange],
    author: &str,
) -> Result<(Run, Outcome), TakeInError> {
    let stated = Stated { setup, ..stated_of(run)? };
    let answers = answers_of(run)?;
    change(store, run, expected_revision, stated, &answers, also.to_vec(), author)
}

/// Works a run out with another dyno, or with what is known of its dyno now.
///
/// # Errors
/// Those of [`work`] and of the store; nothing is changed then.
pub fn use_newest_dyno(
    store: &Store,
    run: &Run,
    expected_revision: i64,
    dyno: Option<String>,
    author: &str,
) -> Result<(Run, Outcome), TakeInError> {
    let stated = Stated { dyno_revision: None, ..stated_of(run)? };
    let answers = answers_of(run)?;
    let also = if dyno == run.dyno { Vec::new() } else { vec![RunChange::Dyno(dyno.clone())] };
    let moved = Run { dyno, ..run.clone() };
    change(store, &moved, expected_revision, stated, &answers, also, author)
}

fn change(
    store: &Store,
    run: &Run,
    expected_revision: i64,
    mut stated: Stated,
    answers: &Answers,
    mut changes: Vec<RunChange>,
    author: &str,
) -> Result<(Run, Outcome), TakeInError> {
    let pinned = stated.dyno_revision.filter(|_| run.state == RunState::Ready);
    let (cell, revision) = dyno_cell(store, run.dyno.as_deref(), pinned)?;
    let cell = stated.cell.over(cell);
    let files = run
        .files
        .iter()
        .map(|file| Ok((file.name.clone(), store.read_file(&file.sha256)?)))
        .collect::<Result<Vec<_>, TakeInError>>()?;
    let house = HouseRules::of(store)?;
    let outcome = work(&files, &cell, answers, &stated.setup, &house)?;
    let state = state_of(&outcome);
    stated.dyno_revision = revision.filter(|_| state == RunState::Ready);
    let setup_json = to_json(&stated);
    if setup_json != run.setup_json {
        changes.push(RunChange::Setup { json: setup_json });
    }
    if state != run.state {
        changes.push(RunChange::State(state));
    }
    changes.push(RunChange::Headline { json: Headline::of(&outcome, &house).to_json() });
    let run = store.change_run_all(run.id, expected_revision, &changes, author)?;
    Ok((run, outcome))
}

fn stated_of(run: &Run) -> Result<Stated, TakeInError> {
    serde_json::from_str(&run.setup_json).map_err(|e| bad("the setup", run, &e))
}

fn answers_of(run: &Run) -> Result<Answers, TakeInError> {
    serde_json::from_str(&run.answers_json).map_err(|e| bad("the answers", run, &e))
}

fn bad(what: &'static str, run: &Run, why: &serde_json::Error) -> TakeInError {
    TakeInError::BadEntry { what, number: run.number, why: why.to_string() }
}

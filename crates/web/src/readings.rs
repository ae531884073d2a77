//! Runs worked out and kept in memory, so that a page for a stored run need not read its logs again.
//!
//! A reading belongs to one revision of a run and of the rules that it is judged by; a change makes a
//! new one. While questions are open it also belongs to one text of the dyno. The oldest are let go.

use crate::fault::Fault;
use crate::state::AppState;
use axum::extract::{FromRequestParts, RawPathParams};
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use pull::analysis::{Analysis, Comparison};
use pull::cell::Answers;
use std::sync::{Arc, Mutex, PoisonError};
use store::{Run, RunId, RunState};
use takein::{Outcome, Question, Stated, TakeInError};

/// Most readings kept. One takes some hundred kilobytes.
const KEPT: usize = 48;

/// A stored run, worked out.
#[derive(Debug)]
pub(crate) struct Reading {
    /// The run as it stood.
    pub(crate) run: Run,
    /// What is stated.
    pub(crate) stated: Stated,
    /// What was answered.
    pub(crate) answers: Answers,
    /// What came of it.
    pub(crate) found: Found,
    /// Revisions of the rules of the house that it was judged by.
    house: House,
}

/// What came of reading a run.
#[derive(Debug)]
pub(crate) enum Found {
    /// Questions are open.
    Asking(Vec<Question>),
    /// Worked out. The questions may stay open.
    Ready(Box<Analysis>, Vec<Question>),
    /// The logs can no longer be read or worked out; the words say why.
    Trouble(String),
}

/// Revisions of the guard text and of the limit on the spread of pulls.
type House = (i64, i64);
/// Run, its revision, that of its dyno's text while questions are open, and those of the house.
type Key = (RunId, i64, i64, House);
/// Run, revision and rules, and the same of the run before.
type PairKey = (RunId, i64, House, RunId, i64, House);

/// The readings in memory, newest use last, and how runs compare over the band that is kept.
#[derive(Debug, Default)]
pub(crate) struct Readings {
    runs: Mutex<Vec<(Key, Arc<Reading>)>>,
    pairs: Mutex<Vec<(PairKey, Arc<Comparison>)>>,
}

impl Readings {
    fn find(&self, key: Key) -> Option<Arc<Reading>> {
        let mut kept = self.runs.lock().unwrap_or_else(PoisonError::into_inner);
        let at = kept.iter().position(|(k, _)| *k == key)?;
        let entry = kept.remove(at);
        let reading = entry.1.clone();
        kept.push(entry);
        Some(reading)
    }

    fn keep(&self, key: Key, reading: &Arc<Reading>) {
        let mut kept = self.runs.lock().unwrap_or_else(PoisonError::into_inner);
        kept.retain(|(k, _)| *k != key && k.0 != key.0);
        if kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push((key, reading.clone()));
    }
}

/// A run held against an earlier one over the band that is kept, worked out or from memory.
pub(crate) fn comparison(state: &AppState, now: &Reading, before: &Reading) -> Option<Arc<Comparison>> {
    let (Found::Ready(analysis, _), Found::Ready(earlier, _)) = (&now.found, &before.found) else { return None };
    let key = (now.run.id, now.run.revision, now.house, before.run.id, before.run.revision, before.house);
    let lock = || state.readings().pairs.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, found)) = lock().iter().find(|(k, _)| *k == key) {
        return Some(found.clone());
    }
    let found = Arc::new(pull::compare::compare(analysis, earlier, &format!("Run {}", before.run.number), None));
    let mut pairs = lock();
    pairs.retain(|(k, _)| k.0 != key.0);
    if pairs.len() >= KEPT {
        pairs.remove(0);
    }
    pairs.push((key, found.clone()));
    Some(found)
}

/// The run of the address, `{number}` in its route. Without such a run the handler is not called.
pub(crate) struct OfRun(pub(crate) Run);

impl FromRequestParts<AppState> for OfRun {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, Response> {
        let number = number_of(parts, state).await?;
        run_of(state, &number).map(Self).map_err(IntoResponse::into_response)
    }
}

/// What stands in the address for `{number}`; a route without it has no number, which is no job and no run.
pub(crate) async fn number_of(parts: &mut Parts, state: &AppState) -> Result<String, Response> {
    let named = RawPathParams::from_request_parts(parts, state).await.map_err(IntoResponse::into_response)?;
    Ok(named.iter().find(|(name, _)| *name == "number").map_or_else(String::new, |(_, number)| number.to_owned()))
}

/// The run of a number, or the page that says there is none.
pub(crate) fn run_of(state: &AppState, number: &str) -> Result<Run, Fault> {
    let missing = || Fault::NoRun { number: number.to_owned() };
    let n: i64 = number.parse().map_err(|_| missing())?;
    state.store().run_by_number(n)?.ok_or_else(missing)
}

/// Works a run out, or takes the reading from memory.
pub(crate) async fn reading(state: &AppState, run: Run) -> Result<Arc<Reading>, Fault> {
    let dyno_revision = match (&run.state, &run.dyno) {
        (RunState::Asking, Some(dyno)) => state.store().dyno(dyno)?.map_or(0, |d| d.revision),
        _ => 0,
    };
    let house = takein::house_revisions(state.store())?;
    let key = (run.id, run.revision, dyno_revision, house);
    if let Some(reading) = state.readings().find(key) {
        return Ok(reading);
    }
    let store = state.store().clone();
    let reading = tokio::task::spawn_blocking(move || work_out(&store, run, house)).await??;
    let reading = Arc::new(reading);
    state.readings().keep(key, &reading);
    Ok(reading)
}

fn work_out(store: &store::Store, run: Run, house: House) -> Result<Reading, Fault> {
    match takein::load(store, &run) {
        Ok(loaded) => {
            let found = match loaded.outcome {
                Outcome::Asking(questions) => Found::Asking(questions),
                Outcome::Ready(analysis, open) => Found::Ready(analysis, open),
            };
            Ok(Reading { run, stated: loaded.stated, answers: loaded.answers, found, house })
        }
        Err(TakeInError::Store(error @ (store::StoreError::Locked { .. } | store::StoreError::Database { .. }))) => {
            Err(error.into())
        }
        Err(error) => Ok(Reading {
            stated: serde_json::from_str(&run.setup_json).unwrap_or_default(),
            answers: serde_json::from_str(&run.answers_json).unwrap_or_default(),
            found: Found::Trouble(error.to_string()),
            run,
            house,
        }),
    }
}

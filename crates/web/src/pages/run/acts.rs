//! What a person does to a run: keep a band, leave a pull out, hold it against another run, accept it.
//!
//! Every form carries the revision that its page showed. If the run has moved on since, nothing is
//! saved and the page says so.

use crate::accounts::InCell;
use crate::fault::Fault;
use crate::readings::{OfRun, run_of};
use crate::state::AppState;
use axum::Form;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use pull::setup::{Band, Setup};
use serde::Deserialize;
use store::{Accepted, Run, RunChange, RunState, StoreError};
use takein::{CellSaid, Stated, TakeInError};

/// A band to be kept with the run.
#[derive(Debug, Deserialize)]
pub(crate) struct BandForm {
    from: String,
    to: String,
    revision: i64,
}

/// Keeps the band that was judged.
pub(crate) async fn band(
    State(state): State<AppState>,
    InCell(who): InCell,
    OfRun(run): OfRun,
    Form(form): Form<BandForm>,
) -> Result<Response, Fault> {
    let band = band_of(&form.from, &form.to).map_err(|what| not_usable(&run, what))?;
    let mut setup = setup_of(&run);
    setup.band = Some(band);
    restate(&state, run, &who.name, form.revision, setup, Vec::new()).await
}

/// A pull to be left out, or to be taken back.
#[derive(Debug, Deserialize)]
pub(crate) struct PullForm {
    pull: usize,
    #[serde(default)]
    reason: String,
    revision: i64,
}

/// Leaves a pull out; the reason is required.
pub(crate) async fn leave_out(
    State(state): State<AppState>,
    InCell(who): InCell,
    OfRun(run): OfRun,
    Form(form): Form<PullForm>,
) -> Result<Response, Fault> {
    let reason = form.reason.trim().to_owned();
    if reason.is_empty() {
        let what = format!("Pull {} was not left out: the reason is missing.", form.pull);
        return Err(
            not_usable(&run, what).with_next("Write in a few words why it does not count; it is printed on the sheet.")
        );
    }
    let mut setup = setup_of(&run);
    setup.left_out.insert(form.pull, reason.clone());
    let also = vec![RunChange::LeftOut { pull: form.pull, reason: Some(reason) }];
    restate(&state, run, &who.name, form.revision, setup, also).await
}

/// Takes a pull back in.
pub(crate) async fn take_back(
    State(state): State<AppState>,
    InCell(who): InCell,
    OfRun(run): OfRun,
    Form(form): Form<PullForm>,
) -> Result<Response, Fault> {
    let mut setup = setup_of(&run);
    setup.left_out.remove(&form.pull);
    restate(&state, run, &who.name, form.revision, setup, vec![RunChange::LeftOut { pull: form.pull, reason: None }])
        .await
}

/// The run that this one is held against.
#[derive(Debug, Deserialize)]
pub(crate) struct AgainstForm {
    against: String,
    revision: i64,
}

/// Holds the run against another one, or against none.
pub(crate) async fn against(
    State(state): State<AppState>,
    InCell(who): InCell,
    OfRun(run): OfRun,
    Form(form): Form<AgainstForm>,
) -> Result<Response, Fault> {
    let other = match form.against.trim() {
        "" => None,
        other => Some(run_of(&state, other)?.id),
    };
    if other == Some(run.id) {
        return Err(not_usable(&run, "A run cannot be held against itself.".to_owned()));
    }
    change(&state, &run, &who.name, form.revision, RunChange::Against(other)).await
}

/// Accepting a run, or taking that back with a reason.
#[derive(Debug, Deserialize)]
pub(crate) struct AcceptForm {
    revision: i64,
    #[serde(default)]
    reason: String,
}

/// Accepts the run as it stands.
pub(crate) async fn accept(
    State(state): State<AppState>,
    InCell(who): InCell,
    OfRun(run): OfRun,
    Form(form): Form<AcceptForm>,
) -> Result<Response, Fault> {
    if run.state == RunState::Asking {
        return Err(not_usable(&run, "The run was not accepted: it still asks something.".to_owned()));
    }
    let accepted = Accepted { when: crate::words::now(), by: who.name.clone() };
    change(&state, &run, &who.name, form.revision, RunChange::Accepted(accepted)).await
}

/// Takes the acceptance back; the reason is required.
pub(crate) async fn unaccept(
    State(state): State<AppState>,
    InCell(who): InCell,
    OfRun(run): OfRun,
    Form(form): Form<AcceptForm>,
) -> Result<Response, Fault> {
    let reason = form.reason.trim().to_owned();
    if reason.is_empty() {
        let what = "The run stays accepted: the reason is missing.".to_owned();
        return Err(not_usable(&run, what).with_next("Write in a few words why it is opened again."));
    }
    change(&state, &run, &who.name, form.revision, RunChange::AcceptedTakenBack { reason }).await
}

/// What the run is called, and its dyno.
#[derive(Debug, Deserialize)]
pub(crate) struct AboutForm {
    title: String,
    #[serde(default)]
    dyno: String,
    revision: i64,
}

/// Gives the run another name or another dyno, or works it out with what is known of its dyno now.
pub(crate) async fn about(
    State(state): State<AppState>,
    InCell(who): InCell,
    OfRun(run): OfRun,
    Form(form): Form<AboutForm>,
) -> Result<Response, Fault> {
    if run.revision != form.revision {
        return Err(Fault::Conflict { number: run.number });
    }
    let title = form.title.trim().to_owned();
    if title.is_empty() {
        return Err(not_usable(&run, "A run needs a name.".to_owned()));
    }
    let dyno = Some(form.dyno.trim().to_owned()).filter(|d| !d.is_empty());
    let newest = match &dyno {
        Some(key) => state.store().dyno(key)?.map(|d| d.revision),
        None => None,
    };
    let pinned = serde_json::from_str::<Stated>(&run.setup_json).unwrap_or_default().dyno_revision;
    let store = state.store().clone();
    let number = run.number;
    let done = tokio::task::spawn_blocking(move || -> Result<(), TakeInError> {
        let mut run = run;
        if title != run.title {
            run = store.change_run(run.id, run.revision, &RunChange::Title(title), &who.name)?;
        }
        if dyno != run.dyno || (newest != pinned && run.state == RunState::Ready) {
            takein::use_newest_dyno(&store, &run, run.revision, dyno, &who.name)?;
        }
        Ok(())
    })
    .await?;
    done.map_err(|error| take_in_fault(number, error))?;
    Ok(to_run(number))
}

async fn change(state: &AppState, run: &Run, by: &str, revision: i64, change: RunChange) -> Result<Response, Fault> {
    let (store, id, by) = (state.store().clone(), run.id, by.to_owned());
    let number = run.number;
    let changed = tokio::task::spawn_blocking(move || store.change_run(id, revision, &change, &by)).await?;
    changed.map_err(|error| store_fault(number, error))?;
    Ok(to_run(number))
}

/// Works the run out with other statements and saves both.
pub(crate) async fn restate(
    state: &AppState,
    run: Run,
    by: &str,
    revision: i64,
    setup: Setup,
    also: Vec<RunChange>,
) -> Result<Response, Fault> {
    let (store, by) = (state.store().clone(), by.to_owned());
    let number = run.number;
    if run.revision != revision {
        return Err(Fault::Conflict { number });
    }
    let restated =
        tokio::task::spawn_blocking(move || takein::restate(&store, &run, revision, setup, &also, &by)).await?;
    restated.map_err(|error| take_in_fault(number, error))?;
    Ok(to_run(number))
}

/// The same, with other things said of the cell for this run alone.
pub(crate) async fn restate_with_cell(
    state: &AppState,
    mut run: Run,
    by: &str,
    revision: i64,
    setup: Setup,
    cell: CellSaid,
) -> Result<Response, Fault> {
    let stated: Stated = serde_json::from_str(&run.setup_json).unwrap_or_default();
    let mut also = Vec::new();
    if stated.cell != cell {
        let json = serde_json::to_string(&Stated { setup: setup.clone(), cell, ..stated })
            .map_err(|e| Fault::Ours { what: e.to_string() })?;
        run.setup_json.clone_from(&json);
        also.push(RunChange::Setup { json });
    }
    restate(state, run, by, revision, setup, also).await
}

/// Back to the run's page.
pub(crate) fn to_run(number: i64) -> Response {
    Redirect::to(&format!("/runs/{number}")).into_response()
}

/// The statements as kept; the defaults when the text is of an older form.
pub(crate) fn setup_of(run: &Run) -> Setup {
    serde_json::from_str::<Stated>(&run.setup_json).unwrap_or_default().setup
}

/// Errors of a change, in the words of a page.
pub(crate) fn store_fault(number: i64, error: StoreError) -> Fault {
    match error {
        StoreError::Conflict { .. } => Fault::Conflict { number },
        other => other.into(),
    }
}

/// Errors of working a run out after a change.
pub(crate) fn take_in_fault(number: i64, error: TakeInError) -> Fault {
    match error {
        TakeInError::Store(error) => store_fault(number, error),
        other => Fault::NotUsable {
            what: format!("{} Nothing was changed.", crate::pages::bring::first_line(&other.to_string())),
            next: String::new(),
            back: format!("/runs/{number}"),
        },
    }
}

fn not_usable(run: &Run, what: String) -> Fault {
    Fault::NotUsable { what, next: "Nothing was changed.".to_owned(), back: format!("/runs/{}", run.number) }
}

/// A band from what was typed: "3000" and "6,200 rpm".
///
/// # Errors
/// One sentence for the person.
pub(crate) fn band_of(from: &str, to: &str) -> Result<Band, String> {
    let (from_rpm, to_rpm) = (rpm_of(from)?, rpm_of(to)?);
    if from_rpm >= to_rpm {
        return Err(format!(
            "The band ends before it begins: found {} to {} rpm, expected the lower speed first.",
            crate::words::thousands(from_rpm),
            crate::words::thousands(to_rpm)
        ));
    }
    Ok(Band { from_rpm, to_rpm })
}

/// A speed in rpm as typed.
///
/// # Errors
/// One sentence for the person.
pub(crate) fn rpm_of(text: &str) -> Result<f64, String> {
    let plain: String =
        text.trim().trim_end_matches("rpm").chars().filter(|c| !c.is_whitespace() && *c != ',').collect();
    match plain.parse::<f64>() {
        Ok(rpm) if rpm.is_finite() && rpm > 0.0 && rpm < 100_000.0 => Ok(rpm),
        _ => Err(format!("\u{201c}{}\u{201d} is no engine speed: expected rpm, such as 3,000.", text.trim())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_band_is_read_as_people_type_it() {
        let band = band_of("3,000 rpm", " 6200").unwrap();
        assert_eq!((band.from_rpm, band.to_rpm), (3000.0, 6200.0));
        assert!(band_of("6200", "3000").unwrap_err().contains("ends before it begins"));
        assert!(rpm_of("fast").unwrap_err().contains("\u{201c}fast\u{201d}"));
        assert!(rpm_of("-5").is_err());
        assert!(rpm_of("1e9").is_err());
    }
}

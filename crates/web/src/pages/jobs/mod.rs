//! The pages of a job: what was said, found, promised, asked, decided, and the way through its stages.

mod add;
mod claim;
mod claims;
mod conflicts;
mod decisions;
pub(crate) mod draw;
mod entry_words;
mod files;
mod forms;
mod intake;
mod job;
mod list;
mod notebook;
mod parts;
mod photo;
mod photos;
mod questions;
mod runs;
mod scale;
pub(crate) mod sent;
pub(crate) mod shared;
mod stage;
mod stands;
mod time_line;
mod trail;
pub(crate) mod value;
pub(crate) mod writer;

pub(crate) use runs::on_run_page;

use crate::accounts::Who;
use crate::prefs::Prefs;
use crate::state::AppState;
use add::Adding;
use axum::Router;
use axum::extract::{Query, State};
use axum::routing::{get, post};
use sent::Sent;

/// Addresses that take an ordinary form.
pub(crate) fn routes() -> Router<AppState> {
    let mut all = Router::new()
        .route("/", get(list::list))
        .route("/jobs", get(list::list))
        .route("/jobs/new", get(intake::form).post(intake::open))
        .route("/jobs/{number}", get(job::show))
        .route("/jobs/{number}/intake", get(intake::show))
        .route("/jobs/{number}/claims", get(claims::list))
        .route("/jobs/{number}/claims/{claim}", get(claim::show).post(claim::judge))
        .route("/jobs/{number}/promises", get(claims::promises))
        .route("/jobs/{number}/parts", get(parts::list))
        .route("/jobs/{number}/decisions", get(decisions::list))
        .route("/jobs/{number}/questions", get(questions::list))
        .route("/jobs/{number}/questions/{question}/answer", post(questions::answer))
        .route("/jobs/{number}/notebook", get(notebook::list))
        .route("/jobs/{number}/notebook/{entry}", get(notebook::entry))
        .route("/jobs/{number}/notebook/{entry}/correct", post(notebook::correct))
        .route("/jobs/{number}/notebook/{entry}/strike", post(notebook::strike))
        .route("/jobs/{number}/stage", get(stage::show).post(stage::pass))
        .route("/jobs/{number}/hand-over", get(stage::hand_over).post(stage::hand_it_over))
        .route("/jobs/{number}/runs", get(runs::list).post(runs::attach))
        .route("/jobs/{number}/photos", get(photos::list))
        .route("/jobs/{number}/photos/{photo}", get(photo::show).post(photo::draw))
        .route("/files/{sha}/original", get(files::original))
        .route("/files/{sha}/view", get(files::view))
        .route("/files/{sha}/thumb", get(files::thumb));
    for adding in Adding::ALL {
        let form =
            move |state: State<AppState>,
                  prefs: Prefs,
                  who: Who,
                  job: shared::OfJob,
                  query: Query<Vec<(String, String)>>| { add::form(adding, state, prefs, who, job, query) };
        all = all.route(&format!("/jobs/{{number}}/{}/new", adding.word()), get(form));
    }
    all
}

/// Addresses that take photos and files.
pub(crate) fn uploads() -> Router<AppState> {
    let mut all = Router::new().route("/jobs/{number}/photos", post(photos::bring));
    for adding in Adding::ALL {
        let write = move |state: State<AppState>, prefs: Prefs, who: Who, job: shared::OfJob, sent: Sent| {
            add::write_down(adding, state, prefs, who, job, sent)
        };
        all = all.route(&format!("/jobs/{{number}}/{}/new", adding.word()), post(write));
    }
    all
}

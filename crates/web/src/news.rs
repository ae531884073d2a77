//! News for open pages, as a stream of server-sent events under `/events`.
//!
//! `change` says that something was written to the shop, by this process or another one, and to which jobs;
//! `progress` says how far the reading of a log has come. A stream ends when the server closes, and
//! when the person who opened it is no longer signed in.

use crate::accounts::{Who, gate};
use crate::state::AppState;
use axum::extract::State;
use axum::response::sse::{Event, KeepAlive, Sse};
use futures_util::{Stream, StreamExt};
use serde::Serialize;
use std::convert::Infallible;
use std::time::Duration;
use tokio_stream::wrappers::{BroadcastStream, WatchStream};

/// How often the shop is asked for what other processes wrote.
const ASK_EVERY: Duration = Duration::from_millis(300);
/// How often an open stream asks whether its person is still signed in.
const STILL_IN_EVERY: Duration = Duration::from_secs(5);

/// Something that open pages should hear of.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub(crate) enum News {
    /// Something was written.
    Change {
        /// Newest place in the shop's sequence.
        seq: i64,
        /// Jobs that entries were written to.
        jobs: Vec<String>,
        /// Whether anything else was written.
        other: bool,
    },
    /// A log is being read.
    Progress {
        /// Mark of the import, made by the page.
        mark: String,
        /// Rows read.
        done: u64,
        /// Rows expected; 0 when not known.
        of: u64,
        /// The same in words: "31,200 of 48,000 rows".
        words: String,
    },
}

/// The stream of a page.
pub(crate) async fn events(
    State(state): State<AppState>,
    who: Who,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let news = BroadcastStream::new(state.news().subscribe()).map(|item| match item {
        Ok(change @ News::Change { .. }) => Event::default().event("change").json_data(&change).unwrap_or_default(),
        Ok(progress) => Event::default().event("progress").json_data(&progress).unwrap_or_default(),
        // Fell behind: whatever was missed, looking again shows it.
        Err(_) => Event::default().event("change").data("{}"),
    });
    let mut closing = WatchStream::new(state.closing());
    let over = async move {
        let closed = async { while closing.next().await == Some(false) {} };
        tokio::select! {
            () = closed => {}
            () = signed_out(&state, &who) => {}
        }
    };
    let stream = futures_util::StreamExt::take_until(news, Box::pin(over)).map(Ok);
    Sse::new(stream).keep_alive(KeepAlive::new().interval(Duration::from_secs(15)))
}

/// Done when the person is no longer signed in. Asked when something was written, since that may be it, and now and then.
async fn signed_out(state: &AppState, who: &Who) {
    let mut news = state.news().subscribe();
    loop {
        tokio::select! {
            () = tokio::time::sleep(STILL_IN_EVERY) => {}
            _ = news.recv() => {}
        }
        if !gate::still_in(state, who) {
            return;
        }
    }
}

/// What was written since a place in the sequence: a page of one job need not look again for another's.
fn what_changed(store: &store::Store, known: i64, newest: i64) -> News {
    let Ok(changes) = store.changes_since(known) else {
        return News::Change { seq: newest, jobs: Vec::new(), other: true };
    };
    let mut jobs: Vec<String> = changes.iter().filter(|c| c.what == "entry").map(|c| c.subject.clone()).collect();
    jobs.sort_unstable();
    jobs.dedup();
    News::Change { seq: newest, jobs, other: changes.iter().any(|c| c.what != "entry") }
}

/// Asks the shop again and again for what is new, and tells the open pages. Runs until the server closes.
pub(crate) async fn follow(state: AppState) {
    let mut closing = state.closing();
    let store = state.store().clone();
    let mut known = store.latest_change().unwrap_or(0);
    loop {
        tokio::select! {
            () = tokio::time::sleep(ASK_EVERY) => {}
            _ = closing.wait_for(|closed| *closed) => return,
        }
        let store = store.clone();
        match tokio::task::spawn_blocking(move || store.latest_change()).await {
            Ok(Ok(newest)) if newest != known => {
                let news = what_changed(state.store(), known, newest);
                known = newest;
                // No page open is no fault.
                let _ = state.news().send(news);
            }
            Ok(Err(error)) => tracing::warn!(%error, "the shop could not be asked for news"),
            _ => {}
        }
    }
}

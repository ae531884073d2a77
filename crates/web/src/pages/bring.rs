//! Taking in the logs of one run, sent by a form.
//!
//! All files together become one run, or nothing is saved. They are held in memory while they
//! arrive, because the readers work on whole files; the body limit bounds that.

use crate::accounts::InCell;
use crate::fault::Fault;
use crate::frame;
use crate::marks;
use crate::pages::runs::list_page;
use crate::prefs::Prefs;
use crate::rows_read::RowsRead;
use crate::state::AppState;
use axum::extract::multipart::MultipartError;
use axum::extract::{Multipart, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use store::{RunId, RunState};
use takein::{TakeIn, TakeInError};

/// What came with the form.
#[derive(Debug, Default)]
struct Brought {
    files: Vec<(String, Vec<u8>)>,
    dyno: Option<String>,
    mark: Option<String>,
    again: bool,
}

/// Takes the logs in and goes to the run, or to its questions.
pub(crate) async fn bring(
    State(state): State<AppState>,
    InCell(who): InCell,
    prefs: Prefs,
    form: Multipart,
) -> Result<Response, Fault> {
    let brought = match receive(form).await {
        Ok(brought) => brought,
        Err(error) if error.status() == StatusCode::PAYLOAD_TOO_LARGE => return Err(Fault::TooLarge),
        Err(error) => {
            return Err(Fault::NotUsable {
                what: format!("The logs did not arrive whole ({}).", error.body_text()),
                next: "Nothing was saved; they still stand where you took them from. Bring them in again.".to_owned(),
                back: "/runs".to_owned(),
            });
        }
    };
    let (store, news) = (state.store().clone(), state.news().clone());
    let names: Vec<String> = brought.files.iter().map(|(name, _)| name.clone()).collect();
    let taken = tokio::task::spawn_blocking(move || {
        let read = brought.mark.map(|mark| RowsRead::of(mark, &brought.files));
        let tell = |log: usize, done: usize| {
            if let Some(progress) = read.as_ref().and_then(|read| read.at(log, done)) {
                // No page open is no fault.
                let _ = news.send(progress);
            }
        };
        takein::take_in_telling(
            &store,
            TakeIn {
                id: RunId::new(),
                files: brought.files,
                setup: pull::setup::Setup::default(),
                answers: pull::cell::Answers::default(),
                dyno: brought.dyno,
                title: None,
                author: who.name,
                now: crate::words::now(),
                again: brought.again,
            },
            &tell,
        )
    })
    .await?;
    match taken {
        Ok(run) if run.state == RunState::Asking => {
            Ok(Redirect::to(&format!("/runs/{}/questions", run.number)).into_response())
        }
        Ok(run) => Ok(Redirect::to(&format!("/runs/{}", run.number)).into_response()),
        Err(TakeInError::Store(error)) => Err(error.into()),
        Err(error) => {
            let page = list_page(&state, &prefs, Some(banner(&names, &error)))?;
            let mut response = frame::respond(&state, &prefs, page);
            *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
            Ok(response)
        }
    }
}

async fn receive(mut form: Multipart) -> Result<Brought, MultipartError> {
    let mut brought = Brought::default();
    while let Some(field) = form.next_field().await? {
        match field.name().unwrap_or_default() {
            "logs" => {
                let name = plain_name(field.file_name().unwrap_or_default());
                let bytes = field.bytes().await?;
                if !(name.is_empty() && bytes.is_empty()) {
                    let name = if name.is_empty() { format!("log-{}", brought.files.len() + 1) } else { name };
                    brought.files.push((name, bytes.into()));
                }
            }
            "dyno" => brought.dyno = Some(field.text().await?).filter(|d| !d.is_empty()),
            "mark" => brought.mark = Some(field.text().await?).filter(|m| m.len() <= 64),
            "again" => brought.again = field.text().await? == "yes",
            _ => {}
        }
    }
    Ok(brought)
}

/// Without folders: some browsers send them along.
pub(crate) fn plain_name(name: &str) -> String {
    name.rsplit(['/', '\\']).next().unwrap_or_default().trim().to_owned()
}

/// What was not taken: what, where, what it spoils, one act.
fn banner(names: &[String], error: &TakeInError) -> Markup {
    let text = error.to_string();
    html! {
        div.banner role="alert" {
            (marks::flag())
            div {
                p.what { (first_line(&text)) }
                (details(&text))
                @match error {
                    TakeInError::TakenInBefore { number, .. } => p { a href={"/runs/" (number)} { "Look at run " (number) } },
                    TakeInError::NoLog => p { "Choose the files first, or drop them on the page." },
                    _ => p.quiet { @if !text.contains("nothing was saved") { "Nothing was saved. " } (names.join(", ")) " still stand" @if names.len() == 1 { "s" } " where you took " @if names.len() == 1 { "it" } @else { "them" } " from." },
                }
            }
        }
    }
}

/// The sentence of a message.
pub(crate) fn first_line(text: &str) -> String {
    let line = text.lines().next().unwrap_or_default().trim();
    let line = line.strip_prefix("error: ").unwrap_or(line);
    if line.ends_with(['.', '?']) { line.to_owned() } else { format!("{line}.") }
}

/// The lines after it: a short label, then words.
pub(crate) fn details(text: &str) -> Markup {
    let rows = text.lines().skip(1).filter(|line| !line.trim().is_empty());
    html! {
        @if text.lines().count() > 1 {
            dl { @for row in rows { @let (label, words) = split(row); dt { (label) } dd { (words) } } }
        }
    }
}

/// "  go on    correct it" → ("go on", "correct it"); a line that only goes on has no label.
fn split(row: &str) -> (&str, &str) {
    const LABELS: [&str; 7] = ["where", "found", "expected", "around", "also", "data", "go on"];
    let row = row.trim();
    let labelled = LABELS.iter().find_map(|label| {
        let words = row.strip_prefix(label)?;
        words.starts_with(char::is_whitespace).then(|| (*label, words.trim_start()))
    });
    labelled.unwrap_or(("", row))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_of_a_message_part_into_label_and_words() {
        assert_eq!(split("  go on    correct the cell"), ("go on", "correct the cell"));
        assert_eq!(split("  expected rows of numbers"), ("expected", "rows of numbers"));
        assert_eq!(split("           the rest of a sentence"), ("", "the rest of a sentence"));
        assert_eq!(split("  foundation"), ("", "foundation"));
        assert_eq!(first_line("error: a.csv was not read\n  go on  x"), "a.csv was not read.");
    }

    #[test]
    fn folders_are_taken_off_a_name() {
        assert_eq!(plain_name("C:\\logs\\pull 1.csv"), "pull 1.csv");
        assert_eq!(plain_name("logs/pull.csv"), "pull.csv");
    }
}

//! Kept photos and files as bytes: the original, and pictures of a size made from it.
//!
//! Pictures hold nothing that a camera wrote into the photo, so a place where it was taken is in none of them.

use crate::fault::Fault;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};
use notebook::{NotebookError, PictureSize};
use tokio::sync::Semaphore;

/// Pictures made at one time: a large photo takes some hundred megabytes while it is decoded.
static AT_WORK: Semaphore = Semaphore::const_new(2);

/// A browser may keep what a hash names for good; others on the way may not.
const FOR_GOOD: HeaderValue = HeaderValue::from_static("private, max-age=31536000, immutable");

/// The original as it came, to be saved.
pub(crate) async fn original(State(state): State<AppState>, Path(sha): Path<String>) -> Result<Response, Fault> {
    let (store, of) = (state.store().clone(), sha.clone());
    let found = tokio::task::spawn_blocking(move || -> Result<_, store::StoreError> {
        let Some(entry) = store.entries_with_file(&of)?.into_iter().next() else { return Ok(None) };
        let name = entry.files.into_iter().find(|(sha256, _)| *sha256 == of).map(|(_, name)| name);
        Ok(Some((name.unwrap_or_default(), store.read_file(&of)?)))
    })
    .await??;
    let Some((name, bytes)) = found else { return Err(not_there(&sha)) };
    let mut response = bytes.into_response();
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static("application/octet-stream"));
    if let Ok(value) = HeaderValue::from_str(&format!("attachment; filename=\"{}\"", plain(&name))) {
        headers.insert(header::CONTENT_DISPOSITION, value);
    }
    headers.insert(header::CACHE_CONTROL, FOR_GOOD);
    Ok(response)
}

/// A name that no header and no disk takes amiss.
fn plain(name: &str) -> String {
    let kept: String =
        name.chars().map(|c| if c.is_ascii_alphanumeric() || ".-_ ".contains(c) { c } else { '_' }).collect();
    if kept.trim_matches(['.', ' ']).is_empty() { "file".to_owned() } else { kept }
}

/// A small picture.
pub(crate) async fn thumb(state: State<AppState>, sha: Path<String>) -> Result<Response, Fault> {
    picture(state, sha, PictureSize::Thumb).await
}

/// A picture for the screen.
pub(crate) async fn view(state: State<AppState>, sha: Path<String>) -> Result<Response, Fault> {
    picture(state, sha, PictureSize::View).await
}

async fn picture(State(state): State<AppState>, Path(sha): Path<String>, size: PictureSize) -> Result<Response, Fault> {
    let (notebook, of) = (state.notebook().clone(), sha.clone());
    let turn = AT_WORK.acquire().await.map_err(|e| Fault::Ours { what: e.to_string() })?;
    let made = tokio::task::spawn_blocking(move || {
        // Logs of the dyno are kept in the same place; only what an entry names is a photo.
        if notebook.store().entries_with_file(&of)?.is_empty() {
            return Ok(None);
        }
        notebook.picture(&of, size).map(Some)
    })
    .await?;
    drop(turn);
    let picture = match made {
        Ok(Some(picture)) => picture,
        Ok(None) | Err(NotebookError::Store(store::StoreError::BadHash { .. })) => return Err(not_there(&sha)),
        Err(error @ NotebookError::Store(_)) => return Err(error.into()),
        Err(error) => {
            return Err(Fault::NotUsable {
                what: super::value::sentence(&error.to_string()),
                next: "The original can be saved from the page of the photo.".to_owned(),
                back: "/".to_owned(),
            });
        }
    };
    let mut response = picture.bytes.into_response();
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(picture.media_type));
    headers.insert(header::CACHE_CONTROL, FOR_GOOD);
    Ok(response)
}

fn not_there(sha: &str) -> Fault {
    Fault::NotThere { address: format!("/files/{sha}") }
}

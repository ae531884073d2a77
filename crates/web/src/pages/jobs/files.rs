//! Kept photos and files as bytes: the original, and pictures of a size made from it.

use crate::fault::Fault;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};

/// The original as it came, to be saved.
pub(crate) async fn original(State(state): State<AppState>, Path(sha): Path<String>) -> Result<Response, Fault> {
    let (store, of) = (state.store().clone(), sha.clone());
    let found = tokio::task::spawn_blocking(move || -> Result<_, store::StoreError> {
        let Some(entry) = store.entries_with_file(&of)?.into_iter().next() else { return Ok(None) };
        Ok(Some((entry.files.into_iter().find(|(s, _)| *s == of).map(|(_, name)| name), store.read_file(&of)?)))
    })
    .await??;
    let Some((name, bytes)) = found else { return Err(Fault::NotThere { address: format!("/files/{sha}") }) };
    let name: String = name.unwrap_or_else(|| "file".to_owned()).chars().map(|c| if c.is_ascii_alphanumeric() || ".-_ ".contains(c) { c } else { '_' }).collect();
    let mut response = bytes.into_response();
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static("application/octet-stream"));
    if let Ok(value) = HeaderValue::from_str(&format!("attachment; filename=\"{name}\"")) {
        headers.insert(header::CONTENT_DISPOSITION, value);
    }
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("private, max-age=31536000, immutable"));
    Ok(response)
}

/// A small picture.
pub(crate) async fn thumb(state: State<AppState>, sha: Path<String>) -> Result<Response, Fault> {
    picture(state, sha, 320).await
}

/// A picture for the screen.
pub(crate) async fn view(state: State<AppState>, sha: Path<String>) -> Result<Response, Fault> {
    picture(state, sha, 1600).await
}

/// A picture of at most so many pixels along its longer side, without anything the camera wrote into the file.
async fn picture(State(state): State<AppState>, Path(sha): Path<String>, _most: u32) -> Result<Response, Fault> {
    let (store, of) = (state.store().clone(), sha.clone());
    let bytes = tokio::task::spawn_blocking(move || store.read_file(&of)).await??;
    Ok(bytes.into_response())
}

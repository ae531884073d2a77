//! The run as files: the logs as they came, byte for byte.

use crate::fault::Fault;
use crate::readings::run_of;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

/// One log of the run as it came, by its place from 1.
pub(crate) async fn log(
    State(state): State<AppState>,
    Path((number, place)): Path<(String, String)>,
) -> Result<Response, Fault> {
    let run = run_of(&state, &number)?;
    let file = place.parse::<usize>().ok().and_then(|n| run.files.get(n.checked_sub(1)?).cloned());
    let Some(file) = file else {
        return Err(Fault::NotThere { address: format!("/runs/{number}/logs/{place}") });
    };
    let (store, sha256) = (state.store().clone(), file.sha256.clone());
    let bytes = tokio::task::spawn_blocking(move || store.read_file(&sha256)).await??;
    let headers = [
        (header::CONTENT_TYPE, "application/octet-stream".to_owned()),
        (header::CONTENT_DISPOSITION, attachment(&file.name)),
        (header::ETAG, format!("\"{}\"", file.sha256)),
    ];
    Ok((headers, bytes).into_response())
}

/// A `Content-Disposition` that keeps the name, also outside ASCII (RFC 6266, RFC 8187).
pub(crate) fn attachment(name: &str) -> String {
    let plain: String =
        name.chars().map(|c| if c.is_ascii_graphic() && !"\"\\".contains(c) || c == ' ' { c } else { '_' }).collect();
    let mut encoded = String::new();
    for byte in name.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            encoded.push(char::from(byte));
        } else {
            encoded.push_str(&format!("%{byte:02X}"));
        }
    }
    format!("attachment; filename=\"{plain}\"; filename*=UTF-8''{encoded}")
}

#[cfg(test)]
mod tests {
    use super::attachment;

    #[test]
    fn a_name_outside_ascii_is_kept() {
        assert_eq!(
            attachment("Lauf \u{fc}1.csv"),
            "attachment; filename=\"Lauf _1.csv\"; filename*=UTF-8''Lauf%20%C3%BC1.csv"
        );
    }
}

//! The run as files: its numbers, its picture, its sheet, and the logs as they came, byte for byte.

use super::view::{Judge, Judged, judge};
use crate::fault::Fault;
use crate::prefs::Prefs;
use crate::readings::{Found, Reading, reading, run_of};
use crate::state::AppState;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use chart::{Size, Theme};
use quantity::UnitSystem;
use report::{Paper, SheetMeta};
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;

/// The numbers of the picture, for the readout of the page: what is drawn, and nothing else.
pub(crate) async fn curve_json(
    State(state): State<AppState>,
    prefs: Prefs,
    Path(number): Path<String>,
    Query(asked): Query<Judge>,
) -> Result<Response, Fault> {
    let reading = ready(&state, &number).await?;
    let judged = judged(&state, &reading, &asked).await?;
    let picture = judged.picture(prefs.units);
    let strips: Vec<_> = picture
        .strips
        .iter()
        .map(|strip| {
            let lines: Vec<_> = strip
                .lines
                .iter()
                .map(|line| json!({ "kind": line.kind, "points": line.points, "spread": line.spread }))
                .collect();
            json!({
                "key": strip.key, "name": strip.name, "unit": strip.unit, "decimals": strip.decimals,
                "difference": strip.difference, "lines": lines,
            })
        })
        .collect();
    Ok(Json(json!({ "run": reading.run.number, "revision": reading.run.revision, "strips": strips })).into_response())
}

/// The picture as a file that stands alone.
pub(crate) async fn svg(
    State(state): State<AppState>,
    prefs: Prefs,
    Path(number): Path<String>,
    Query(asked): Query<Judge>,
) -> Result<Response, Fault> {
    let reading = ready(&state, &number).await?;
    let judged = judged(&state, &reading, &asked).await?;
    let picture = judged.picture(prefs.units);
    let drawing = chart::draw(&picture, Theme::Light, &Size::file(798.0, 726.0));
    Ok(file(&format!("run-{}.svg", reading.run.number), "image/svg+xml", drawing.into_bytes()))
}

/// Everything that was worked out, as one JSON object: the fields of [`pull::analysis::Analysis`], SI,
/// speeds in rpm; a number that is not there is null.
pub(crate) async fn json(
    State(state): State<AppState>,
    Path(number): Path<String>,
    Query(asked): Query<Judge>,
) -> Result<Response, Fault> {
    let reading = ready(&state, &number).await?;
    let judged = judged(&state, &reading, &asked).await?;
    let run = &reading.run;
    let object = json!({
        "form": "plateau analysis 1",
        "run": { "number": run.number, "id": run.id.to_string(), "revision": run.revision, "title": run.title },
        "analysis": judged.analysis.as_ref(),
        "comparison": judged.comparison.as_deref(),
    });
    let text = serde_json::to_vec_pretty(&object).map_err(|e| Fault::Ours { what: e.to_string() })?;
    Ok(file(&format!("run-{}.json", reading.run.number), "application/json", text))
}

/// Which paper.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Sheet {
    paper: Option<String>,
}

/// The one-page sheet.
pub(crate) async fn pdf(
    State(state): State<AppState>,
    prefs: Prefs,
    Path(number): Path<String>,
    Query(sheet): Query<Sheet>,
    Query(asked): Query<Judge>,
) -> Result<Response, Fault> {
    let reading = ready(&state, &number).await?;
    let judged = judged(&state, &reading, &asked).await?;
    let paper = match (sheet.paper.as_deref(), prefs.units) {
        (Some("letter"), _) | (None, UnitSystem::UsCustomary) => Paper::Letter,
        _ => Paper::A4,
    };
    let run = &reading.run;
    let meta = SheetMeta {
        names: judged.names(),
        shop: state.shop_name(),
        date: crate::words::day(&run.received_at),
        mark: format!("{}, change {}", run.id.to_string().get(24..).unwrap_or_default(), run.revision),
    };
    let (analysis, comparison) = (judged.analysis.into_owned(), judged.comparison);
    let bytes =
        tokio::task::spawn_blocking(move || report::pdf(&analysis, comparison.as_deref(), prefs.units, paper, &meta))
            .await?
            .map_err(|e| Fault::Ours { what: e.to_string() })?;
    Ok(file(&format!("run-{number}.pdf"), "application/pdf", bytes))
}

/// The reading of a run that has a curve.
async fn ready(state: &AppState, number: &str) -> Result<Arc<Reading>, Fault> {
    reading(state, run_of(state, number)?).await
}

async fn judged<'a>(state: &AppState, reading: &'a Reading, asked: &Judge) -> Result<Judged<'a>, Fault> {
    match &reading.found {
        Found::Ready(analysis, _) => judge(state, reading, analysis, asked).await,
        _ => Err(Fault::NotUsable {
            what: format!("Run {} has no curve yet.", reading.run.number),
            next: "Its questions stand before it.".to_owned(),
            back: format!("/runs/{}/questions", reading.run.number),
        }),
    }
}

/// A file with its name: shown in the browser, or saved. An SVG is saved, because the rules that it
/// carries for standing alone would be stopped by our own content policy.
fn file(name: &str, kind: &'static str, bytes: Vec<u8>) -> Response {
    let how = if kind == "image/svg+xml" { "attachment" } else { "inline" };
    let headers = [
        (header::CONTENT_TYPE, kind.to_owned()),
        (header::CONTENT_DISPOSITION, format!("{how}; filename=\"{name}\"")),
        (header::VARY, "Cookie".to_owned()),
    ];
    (headers, bytes).into_response()
}

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

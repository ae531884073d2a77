//! Choices that are kept on this machine: light or dark, units.

use axum::Form;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// What was chosen; the others stay as they are.
#[derive(Debug, Deserialize)]
pub(crate) struct Chosen {
    paper: Option<String>,
    units: Option<String>,
    back: Option<String>,
}

/// Sets the cookies and goes back to the page.
pub(crate) async fn prefs(Form(chosen): Form<Chosen>) -> Response {
    let mut response = (StatusCode::SEE_OTHER, [(header::LOCATION, back_to(chosen.back.as_deref()))]).into_response();
    let paper = chosen.paper.filter(|p| matches!(p.as_str(), "light" | "dark" | "machine"));
    let units = chosen.units.filter(|u| matches!(u.as_str(), "metric" | "us"));
    for (name, value) in [("paper", paper), ("units", units)] {
        let Some(value) = value else { continue };
        let cookie = format!("{name}={value}; Path=/; Max-Age=31536000; SameSite=Strict");
        if let Ok(cookie) = cookie.parse() {
            response.headers_mut().append(header::SET_COOKIE, cookie);
        }
    }
    response
}

/// Only a path of our own is gone back to.
pub(crate) fn back_to(wanted: Option<&str>) -> String {
    match wanted {
        Some(path)
            if path.starts_with('/')
                && !path.starts_with("//")
                && path.bytes().all(|b| b.is_ascii_graphic() && b != b'\\') =>
        {
            path.to_owned()
        }
        _ => "/".to_owned(),
    }
}

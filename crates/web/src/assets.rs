//! Style sheets, scripts and fonts, built into the program.
//!
//! Everything is served under `/assets/<mark>/`, where the mark is a digest of the content: a
//! browser may keep the files for ever, and a new version of the program has new addresses.
//! The style sheets are joined in the order of their names into one `style.css`.

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};

#[derive(RustEmbed)]
#[folder = "assets/"]
struct Embedded;

macro_rules! fonts {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_bytes!(concat!("../../../assets/fonts/", $name)) as &[u8])),*]
    };
}

const FONTS: &[(&str, &[u8])] = fonts![
    "AtkinsonHyperlegibleNext-Regular.woff2",
    "AtkinsonHyperlegibleNext-Italic.woff2",
    "AtkinsonHyperlegibleNext-SemiBold.woff2",
    "SourceSerif4-Regular.woff2",
    "SourceSerif4-SemiBold.woff2",
    "SourceSerif4-Italic.woff2",
];

/// All files that pages need, by name below `/assets/<mark>/`.
#[derive(Debug)]
pub(crate) struct Assets {
    mark: String,
    files: BTreeMap<String, Cow<'static, [u8]>>,
}

impl Assets {
    /// Gathers the embedded files.
    pub(crate) fn gather() -> Self {
        let mut files: BTreeMap<String, Cow<'static, [u8]>> = BTreeMap::new();
        let mut style = Vec::new();
        let mut names: Vec<String> = Embedded::iter().map(Cow::into_owned).collect();
        names.sort();
        for name in names {
            let Some(file) = Embedded::get(&name) else { continue };
            if name.starts_with("css/") {
                style.extend_from_slice(&file.data);
            } else if let Some(script) = name.strip_prefix("js/") {
                files.insert(script.to_owned(), file.data);
            }
        }
        files.insert("style.css".to_owned(), Cow::Owned(style));
        for (name, bytes) in FONTS {
            files.insert(format!("fonts/{name}"), Cow::Borrowed(bytes));
        }
        let mut hasher = DefaultHasher::new();
        files.hash(&mut hasher);
        Self { mark: format!("{:016x}", hasher.finish()), files }
    }

    /// Address of a file: `/assets/<mark>/style.css`.
    pub(crate) fn address(&self, name: &str) -> String {
        format!("/assets/{}/{name}", self.mark)
    }

    /// Answers a request for a file. A mark of another version is answered too, but not to be kept.
    pub(crate) fn answer(&self, mark: &str, name: &str) -> Response {
        let Some(bytes) = self.files.get(name) else {
            return StatusCode::NOT_FOUND.into_response();
        };
        let kind = match name.rsplit('.').next() {
            Some("css") => "text/css; charset=utf-8",
            Some("js") => "text/javascript; charset=utf-8",
            Some("woff2") => "font/woff2",
            _ => "application/octet-stream",
        };
        let keep = if mark == self.mark { "public, max-age=31536000, immutable" } else { "no-cache" };
        (
            [
                (header::CONTENT_TYPE, HeaderValue::from_static(kind)),
                (header::CACHE_CONTROL, HeaderValue::from_static(keep)),
            ],
            bytes.clone().into_owned(),
        )
            .into_response()
    }
}

//! A table as it is written, row by row.

use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawTable {
    pub(super) version: i64,
    #[serde(default)]
    pub(super) title: String,
    #[serde(default)]
    pub(super) source: Vec<RawSource>,
    #[serde(default)]
    pub(super) value: Vec<RawValue>,
    #[serde(default)]
    pub(super) limit: Vec<RawLimit>,
    #[serde(default)]
    pub(super) band: Vec<RawBand>,
    #[serde(default)]
    pub(super) pattern: Vec<RawPattern>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawSource {
    pub(super) tag: String,
    pub(super) standing: String,
    pub(super) what: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawValue {
    pub(super) key: String,
    pub(super) value: String,
    pub(super) what: String,
    pub(super) source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawLimit {
    pub(super) key: String,
    #[serde(default)]
    pub(super) off: bool,
    #[serde(default)]
    pub(super) test: String,
    #[serde(default)]
    pub(super) figure: String,
    pub(super) min: Option<String>,
    pub(super) max: Option<String>,
    #[serde(default)]
    pub(super) words: String,
    #[serde(default)]
    pub(super) source: String,
    #[serde(default)]
    pub(super) do_not_run: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawBand {
    pub(super) test: String,
    pub(super) figure: String,
    pub(super) from: Option<String>,
    pub(super) to: Option<String>,
    pub(super) words: String,
    pub(super) source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawPattern {
    pub(super) key: String,
    #[serde(default)]
    pub(super) off: bool,
    #[serde(default)]
    pub(super) sign: String,
    #[serde(default)]
    pub(super) words: String,
    #[serde(default)]
    pub(super) look: String,
    #[serde(default)]
    pub(super) sure: String,
    #[serde(default)]
    pub(super) source: String,
    #[serde(default)]
    pub(super) do_not_run: bool,
    #[serde(default)]
    pub(super) nothing_wrong: bool,
}

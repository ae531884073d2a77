//! How a use spreads its time over engine speed.
//!
//! The profiles that come with the tool (`data/use_profiles`) are invented examples to be edited;
//! none is measured. Left out: load. A profile says how long a speed is used, not how hard.

use serde::Deserialize;

/// The files that come with the tool.
const SHIPPED: [&str; 5] = [
    include_str!("../../../data/use_profiles/street.toml"),
    include_str!("../../../data/use_profiles/tow.toml"),
    include_str!("../../../data/use_profiles/hill_climb.toml"),
    include_str!("../../../data/use_profiles/drag.toml"),
    include_str!("../../../data/use_profiles/marine.toml"),
];

/// A use: share of time at each speed.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    /// Key: `street`, `tow` …
    pub key: String,
    /// Name in words.
    pub name: String,
    /// What it is and where it comes from.
    pub note: String,
    /// (rpm, relative share of time), rising in speed, joined by straight lines.
    pub points: Vec<(f64, f64)>,
}

/// Why a use profile cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ProfileError {
    /// It is not TOML, or keys are missing or of another type.
    #[error("line {line}, column {column}: {what}; a profile has key, name, note and points = [[rpm, share], …]")]
    Format {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What was found.
        what: String,
    },
    /// The points cannot be used.
    #[error("profile `{key}`: {what}")]
    Points {
        /// Key of the profile.
        key: String,
        /// What is the matter, and what was expected.
        what: String,
    },
}

/// The profiles that come with the tool: street, tow, hill climb, drag, marine. Invented examples.
pub fn shipped() -> Vec<Profile> {
    // A test reads every file; this cannot fail in a build that passed its tests.
    SHIPPED
        .iter()
        .map(|text| parse(text).unwrap_or_else(|e| panic!("a shipped use profile cannot be read: {e}")))
        .collect()
}

/// Reads a profile from TOML.
///
/// Points need speeds above zero that rise, shares of zero or more, and at least one share above zero.
///
/// # Errors
/// [`ProfileError`] with the place, or with the point that cannot be used.
pub fn parse(text: &str) -> Result<Profile, ProfileError> {
    let profile: Profile = toml_edit::de::from_str(text).map_err(|e| {
        let (line, column) = quantity::written::place(text, e.span().map_or(0, |s| s.start));
        ProfileError::Format { line, column, what: e.message().replace('\n', ", ") }
    })?;
    let fault = |what: String| Err(ProfileError::Points { key: profile.key.clone(), what });
    if profile.points.len() < 2 {
        return fault(format!("{} points, at least two were expected", profile.points.len()));
    }
    if let Some((rpm, share)) =
        profile.points.iter().find(|(rpm, share)| !(*rpm > 0.0 && *share >= 0.0 && (rpm + share).is_finite()))
    {
        return fault(format!(
            "the point [{rpm}, {share}]; a speed above zero and a share of zero or more were expected"
        ));
    }
    if let Some(pair) = profile.points.windows(2).find(|w| w[0].0 >= w[1].0) {
        return fault(format!("{} rpm stands after {} rpm; speeds must rise", pair[1].0, pair[0].0));
    }
    if profile.points.iter().all(|(_, share)| *share == 0.0) {
        return fault("all shares are zero; at least one above zero was expected".to_owned());
    }
    Ok(profile)
}

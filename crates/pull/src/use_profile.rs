//! How a use spreads its time over engine speed.

/// A use: share of time at each speed.
#[derive(Debug, Clone, PartialEq)]
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

/// The profiles that come with the tool.
pub fn shipped() -> Vec<Profile> {
    Vec::new()
}

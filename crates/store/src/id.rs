//! Identifiers. They are made by whoever writes, so that sending twice does not double anything.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use uuid::Uuid;

/// Identifies a run for ever and in every shop (UUID version 7, RFC 9562: sorts by time of making).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct RunId(Uuid);

impl RunId {
    /// A new id; reads the clock and the system's random numbers.
    #[expect(clippy::new_without_default, reason = "two calls give two different ids, so it is no default")]
    pub fn new() -> Self {
        Self(Uuid::now_v7())
    }
}

impl fmt::Display for RunId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.hyphenated().fmt(f)
    }
}

impl FromStr for RunId {
    type Err = crate::StoreError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Uuid::try_parse(text).map(Self).map_err(|_| crate::StoreError::BadValue {
            what: "run id",
            found: text.to_owned(),
            expected: "a UUID such as 0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f10",
        })
    }
}

//! Names of entries and jobs: UUIDs of version 7, made by whoever writes.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Name of an entry or of a job. Sorted by the time at which it was made, to the millisecond.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Id(Uuid);

/// Why a text is no name of an entry.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{text}\" is no name of an entry: a UUID of version 7 (RFC 9562) is expected, as in 0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f10"
)]
pub struct IdError {
    /// The text.
    pub text: String,
}

impl Id {
    /// A name from a UUID that the caller made.
    ///
    /// # Errors
    /// [`IdError`] if it is not of version 7.
    pub fn from_uuid(uuid: Uuid) -> Result<Self, IdError> {
        if uuid.get_version_num() == 7 { Ok(Self(uuid)) } else { Err(IdError { text: uuid.to_string() }) }
    }

    /// When it was made by the writer's clock, milliseconds since 1970.
    pub fn made_at_ms(self) -> u64 {
        let bytes = self.0.as_bytes();
        bytes[..6].iter().fold(0, |ms, byte| (ms << 8) | u64::from(*byte))
    }
}

impl std::str::FromStr for Id {
    type Err = IdError;

    fn from_str(text: &str) -> Result<Self, IdError> {
        let fault = || IdError { text: text.chars().take(60).collect() };
        // The hyphenated form alone: one name, one spelling.
        let uuid = Uuid::try_parse(text).map_err(|_| fault())?;
        if text.len() == 36 && text == uuid.to_string() && uuid.get_version_num() == 7 {
            Ok(Self(uuid))
        } else {
            Err(fault())
        }
    }
}

impl TryFrom<String> for Id {
    type Error = IdError;

    fn try_from(text: String) -> Result<Self, IdError> {
        text.parse()
    }
}

impl From<Id> for String {
    fn from(id: Id) -> Self {
        id.0.to_string()
    }
}

impl std::fmt::Display for Id {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

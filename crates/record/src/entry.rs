//! An entry: who wrote what, when, about which job.

use crate::{Body, Id, Mark, Value};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// One entry of the record. It is never changed once it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its name, made by the writer.
    pub id: Id,
    /// The job it belongs to.
    pub job: Id,
    /// When it was written, by the writer's clock. A tablet without link writes earlier than the shop receives.
    pub at: Timestamp,
    /// When the shop received it; none while it is still on a tablet.
    pub received: Option<Timestamp>,
    /// Who wrote it.
    pub author: String,
    /// What it says.
    pub body: Body,
}

/// What a person works as. One person may be several.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// At the bench: takes apart, measures, puts together.
    Bench,
    /// In the dyno cell.
    Cell,
    /// In the office: with the owner, scope and money.
    Office,
}

impl Role {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Bench, Self::Cell, Self::Office];

    /// Whether a person of this role writes entries of this kind. Notes, questions, photos and findings are everybody's.
    pub fn may_write(self, body: &Body) -> bool {
        match body {
            Body::Decision(_) | Body::HandedOver(_) | Body::JobOpened(_) | Body::Promise(_) => self == Self::Office,
            Body::SheetBegun(_) | Body::SheetFinished(_) | Body::FittedPart(_) | Body::LimitWaived(_) => {
                matches!(self, Self::Bench | Self::Cell)
            }
            Body::RunAttached(_) => matches!(self, Self::Cell | Self::Office),
            Body::Correction(correction) => self.may_write(&correction.now),
            _ => true,
        }
    }

    /// "bench".
    pub fn name(self) -> &'static str {
        match self {
            Self::Bench => "bench",
            Self::Cell => "cell",
            Self::Office => "office",
        }
    }
}

/// Why an entry cannot stand as it is.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum EntryError {
    /// A text that must say something is empty.
    #[error("{field} is empty; write {expected}")]
    Empty {
        /// Which text.
        field: &'static str,
        /// What is expected there.
        expected: &'static str,
    },
    /// A number is not finite, or outside what it can be.
    #[error("{field} is {found}; {expected} is expected")]
    Number {
        /// Which number.
        field: &'static str,
        /// What was found.
        found: f64,
        /// What is expected.
        expected: &'static str,
    },
    /// A text is longer than a person writes.
    #[error("{field} is {found} characters long; at most {most} are kept in one entry")]
    TooLong {
        /// Which text.
        field: &'static str,
        /// Its length.
        found: usize,
        /// The limit.
        most: usize,
    },
    /// A correction says something of another kind.
    #[error("a correction of a {of} says something of kind {now}; it must be of the same kind")]
    OtherKind {
        /// Kind of what is corrected.
        of: String,
        /// Kind of the correction.
        now: String,
    },
    /// The body is not what its kind asks for.
    #[error("the entry cannot be read: {why}")]
    NotReadable {
        /// The reader's words.
        why: String,
    },
}

/// Longest text in one entry, characters; a build file or a template may be longer.
const LONGEST: usize = 20_000;

impl Entry {
    /// Reads kind and body from JSON text.
    ///
    /// # Errors
    /// [`EntryError::NotReadable`] naming the key that is missing, unknown or of another type.
    pub fn body_from(kind: &str, body: &str) -> Result<Body, EntryError> {
        let fault = |e: serde_json::Error| EntryError::NotReadable { why: e.to_string() };
        let body: serde_json::Value = serde_json::from_str(body).map_err(fault)?;
        serde_json::from_value(serde_json::json!({ "kind": kind, "body": body })).map_err(fault)
    }

    /// The body as JSON, without its kind.
    pub fn body_json(body: &Body) -> serde_json::Value {
        // A body is strings, numbers, lists and maps with text keys: it always has a JSON form.
        match serde_json::to_value(body) {
            Ok(serde_json::Value::Object(mut whole)) => whole.remove("body").unwrap_or_default(),
            _ => serde_json::Value::Null,
        }
    }
}

impl Body {
    /// Checks what can be checked without knowing the job.
    ///
    /// # Errors
    /// [`EntryError`] with the field, what was found and what is expected.
    pub fn check(&self) -> Result<(), EntryError> {
        match self {
            Self::JobOpened(it) => filled("title", &it.title, "what the engine is, in a few words"),
            Self::Claim(it) => {
                filled("component", &it.component, "the part of the engine it is about")?;
                filled("words", &it.words, "what was said, in its words")?;
                filled("by", &it.by, "who said it")?;
                it.claimed.as_ref().map_or(Ok(()), value)?;
                allowance(it.allowance_si)
            }
            Self::Promise(it) => {
                filled("component", &it.component, "the part of the engine it is about")?;
                filled("words", &it.words, "what is promised")?;
                it.promised.as_ref().map_or(Ok(()), value)?;
                allowance(it.allowance_si)
            }
            Self::Finding(it) => {
                filled("component", &it.component, "the part of the engine it is about")?;
                filled("words", &it.words, "what was seen")?;
                it.found.as_ref().map_or(Ok(()), value)
            }
            Self::VerdictGiven(it) => {
                filled("because", &it.because, "the reason; for \"cannot tell\", what would tell")
            }
            Self::EvidenceFile(it) => {
                if it.sha256.len() != 64 || !it.sha256.bytes().all(|b| b.is_ascii_hexdigit()) {
                    return Err(EntryError::NotReadable { why: format!("\"{}\" is no SHA-256", it.sha256) });
                }
                filled("name", &it.name, "the name of the file")
            }
            Self::Drawing(it) => it.marks.iter().try_for_each(mark),
            Self::Reading(it) => {
                filled("place", &it.place, "the place on the sheet")?;
                value(&it.value)
            }
            Self::SheetBegun(it) => {
                filled("title", &it.title, "what is measured, and when in the work")?;
                filled("template_text", &it.template_text, "the template, whole")?;
                it.given.values().try_for_each(|v| finite("a given value", v.si))
            }
            Self::LimitWaived(it) => filled("because", &it.because, "why it is kept"),
            Self::Question(it) => {
                filled("words", &it.words, "the question")?;
                filled("to", &it.to, "whom it is for")
            }
            Self::Answer(it) => filled("words", &it.words, "the answer"),
            Self::Decision(it) => {
                filled("words", &it.words, "what is done")?;
                it.owners_yes.as_ref().map_or(Ok(()), |yes| filled("how", &yes.how, "how the owner said yes"))
            }
            Self::FittedPart(it) => {
                filled("component", &it.component, "the part of the engine")?;
                filled("words", &it.words, "what was fitted")
            }
            Self::BuildStated(it) => {
                if it.toml.trim().is_empty() {
                    filled("toml", &it.toml, "the build file")
                } else {
                    Ok(())
                }
            }
            Self::Correction(it) => {
                filled("because", &it.because, "why it is corrected")?;
                if it.replaces.is_empty() {
                    return Err(EntryError::Empty { field: "replaces", expected: "the version that is corrected" });
                }
                it.now.check()
            }
            Self::Struck(it) => filled("because", &it.because, "why it does not count"),
            Self::StagePassed(it) => reasons(&it.in_spite_of),
            Self::HandedOver(it) => {
                filled("to", &it.to, "to whom the engine goes")?;
                reasons(&it.in_spite_of)
            }
            Self::NoteWritten(it) => filled("words", &it.words, "the note"),
            Self::TestBefore(_) | Self::SheetFinished(_) | Self::RunAttached(_) => Ok(()),
        }
    }
}

fn filled(field: &'static str, text: &str, expected: &'static str) -> Result<(), EntryError> {
    if text.trim().is_empty() {
        return Err(EntryError::Empty { field, expected });
    }
    let found = text.chars().count();
    if found > LONGEST && field != "template_text" {
        return Err(EntryError::TooLong { field, found, most: LONGEST });
    }
    Ok(())
}

fn finite(field: &'static str, found: f64) -> Result<(), EntryError> {
    if found.is_finite() { Ok(()) } else { Err(EntryError::Number { field, found, expected: "a finite number" }) }
}

fn allowance(si: Option<f64>) -> Result<(), EntryError> {
    match si {
        Some(found) if !(found >= 0.0 && found.is_finite()) => {
            Err(EntryError::Number { field: "allowance", found, expected: "zero or more" })
        }
        _ => Ok(()),
    }
}

fn value(it: &Value) -> Result<(), EntryError> {
    match it {
        Value::Quantity(stated) => {
            finite("the value", stated.si)?;
            finite("the step of the value", stated.step_si)?;
            match stated.u_si {
                Some(u) if !(u >= 0.0 && u.is_finite()) => {
                    Err(EntryError::Number { field: "the uncertainty", found: u, expected: "zero or more" })
                }
                _ => Ok(()),
            }
        }
        Value::Word(word) => filled("the value", word, "a word or a quantity"),
        Value::NotRead(why) => filled("the reason", why, "why it was not read"),
    }
}

fn mark(it: &Mark) -> Result<(), EntryError> {
    let inside = |field, (x, y): (f64, f64)| {
        for found in [x, y] {
            if !(0.0..=1.0).contains(&found) {
                return Err(EntryError::Number { field, found, expected: "a share of the photo, 0 to 1," });
            }
        }
        Ok(())
    };
    match it {
        Mark::Arrow { from, to } => inside("the start of an arrow", *from).and(inside("the tip of an arrow", *to)),
        Mark::Circle { at, radius } => inside("the middle of a circle", *at).and(inside("a radius", (*radius, 0.0))),
        Mark::Words { at, words } => {
            inside("the place of words", *at)?;
            filled("words on a photo", words, "the words")
        }
    }
}

fn reasons(list: &[(String, String)]) -> Result<(), EntryError> {
    list.iter().try_for_each(|(_, why)| filled("a reason", why, "why it goes on all the same"))
}

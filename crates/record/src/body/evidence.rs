//! What was seen: findings, photos and other files, and what is drawn on a photo.

use crate::{Id, InstrumentUsed, Value};
use serde::{Deserialize, Serialize};

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// A fact, no action.
    Note,
    /// Does not touch the goal; the owner is told.
    Minor,
    /// Goal, life or price are touched; the owner decides in writing before more is spent.
    Major,
    /// Running it risks the engine or people.
    Stop,
}

/// Something seen or measured on a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// Part of the engine.
    pub component: String,
    /// Where on it: "cylinder 3", "main 2", "crown".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub position: String,
    /// What was seen, in words.
    pub words: String,
    /// The claim or promise it speaks about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub claim: Option<Id>,
    /// What was found, as a quantity or a word.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found: Option<Value>,
    /// The instrument it was found with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentUsed>,
    /// How it was found, where no instrument of the register was used: "Loupe ×10".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub how: String,
    /// How grave it is.
    pub severity: Severity,
    /// Photos, files and readings that show it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub shown_by: Vec<Id>,
}

/// A photo or another file that was kept byte for byte.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EvidenceFile {
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Name it came with.
    pub name: String,
    /// What it is: "image/jpeg", "image/png", "image/webp", "image/heic", "application/pdf".
    pub media_type: String,
    /// Bytes.
    pub size: u64,
    /// Width and height, pixels, upright; none for a PDF.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pixels: Option<(u32, u32)>,
    /// When it was taken by the camera's clock, as written in the file: "2026-03-06T10:12:44". No zone unless the file says one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taken: Option<String>,
    /// What is to be seen.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
    /// Entries it shows: claims, findings, readings, parts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub about: Vec<Id>,
}

/// One mark on a photo. Places are shares of width and height, 0 … 1 from the upper left corner of the upright photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "mark", rename_all = "snake_case", deny_unknown_fields)]
pub enum Mark {
    /// An arrow to a point.
    Arrow {
        /// Where it begins.
        from: (f64, f64),
        /// What it points at.
        to: (f64, f64),
    },
    /// A circle round a point.
    Circle {
        /// Its middle.
        at: (f64, f64),
        /// Its radius, a share of the width.
        radius: f64,
    },
    /// Words beside a point.
    Words {
        /// Where they begin.
        at: (f64, f64),
        /// The words.
        words: String,
    },
}

/// What is drawn on a photo, all of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drawing {
    /// The entry of the photo.
    pub on: Id,
    /// The marks.
    pub marks: Vec<Mark>,
    /// Drawings that this one takes the place of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replaces: Vec<Id>,
}

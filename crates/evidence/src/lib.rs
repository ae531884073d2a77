//! Photos and papers that come in as evidence: what a file is, and copies to look at.
//!
//! [`look()`] tells from the bytes of a file what it is, how large the picture is upright, when the camera says it was
//! taken, and whether a position is inside. [`copies`] makes small pictures without any of that inside. [`overlay()`]
//! draws marks over a picture as SVG. The original is never touched: it is kept byte for byte by whoever calls.
//!
//! Taken are JPEG, PNG, WebP and HEIC photos, and PDF papers. A file is recognised by its bytes; its name is only
//! compared.
//!
//! Left out: colour profiles. Copies carry none, so that a photo of a wide-gamut camera looks a little pale in them;
//! the original has its colours. Films, raw files of cameras and depth maps are not taken.

mod copy;
mod error;
mod exif_data;
mod guarded;
mod heic;
mod kind;
mod look;
mod overlay;
mod paper;

pub use copy::{Copied, THUMBNAIL_SIDE, VIEW_SIDE, copies};
pub use error::EvidenceError;
pub use exif_data::{Position, Taken, TakenFrom};
pub use kind::Kind;
pub use look::{Bounds, Looked, look};
pub use overlay::{Mark, MarkError, described, overlay};

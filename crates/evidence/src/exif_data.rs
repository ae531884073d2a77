//! What the camera wrote into the file: time, orientation, position.
//!
//! # Source
//! Tags of Exif 2.32 (CIPA DC-008), from memory: 0x0112 orientation, 0x9003 time of the picture, 0x9011 its offset from
//! universal time, the GPS block.

use crate::guarded::guarded;
use crate::kind::Kind;
use exif::{DateTime, Exif, In, Reader, Tag, Value};
use std::io::Cursor;

/// Which time it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TakenFrom {
    /// When the picture was taken.
    Picture,
    /// When it was made digital; of a camera, the same.
    Digitised,
    /// When the file was changed last.
    Changed,
}

/// When a picture was taken, by the camera's clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// "2026-03-06T10:12:44".
    pub at: String,
    /// Offset from universal time, as "+01:00", where the file says one.
    pub offset: Option<String>,
    /// Which time it is.
    pub from: TakenFrom,
}

impl std::fmt::Display for Taken {
    /// "2026-03-06T10:12:44+01:00", or without offset where the file says none.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", self.at, self.offset.as_deref().unwrap_or_default())
    }
}

/// Whether the original holds the place where it was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Position {
    /// It does.
    Held,
    /// None was found in the places where cameras write it.
    NotFound,
    /// What the camera wrote cannot be read.
    CannotTell,
}

/// What was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Camera {
    pub(crate) taken: Option<Taken>,
    /// 1 … 8; 1 where nothing is said.
    pub(crate) orientation: u8,
    pub(crate) position: Position,
    /// The block is there and cannot be read.
    pub(crate) unreadable: bool,
}

/// What the camera wrote. A paper has no such block; of a HEIC photo the container turns the picture, so that its
/// orientation counts as upright.
pub(crate) fn read_of(kind: Kind, bytes: &[u8]) -> Camera {
    match kind {
        Kind::Pdf => Camera { taken: None, orientation: 1, position: in_text(bytes), unreadable: false },
        Kind::Heic => Camera { orientation: 1, ..read(bytes) },
        Kind::Jpeg | Kind::Png | Kind::Webp => read(bytes),
    }
}

/// A second place where a position stands, in plain text.
fn in_text(bytes: &[u8]) -> Position {
    let held = contains(bytes, b"GPSLatitude") || contains(bytes, b"GPSLongitude");
    if held { Position::Held } else { Position::NotFound }
}

fn read(bytes: &[u8]) -> Camera {
    let found = guarded(|| {
        let mut reader = Reader::new();
        reader.continue_on_error(true);
        match reader.read_from_container(&mut Cursor::new(bytes)) {
            Ok(exif) => Ok(Some(exif)),
            Err(exif::Error::NotFound(_)) => Ok(None),
            // What could be read of a damaged block counts.
            Err(error) => match error.distill_partial_result(|_| {}) {
                Ok(exif) => Ok(Some(exif)),
                Err(error) => Err(error.to_string()),
            },
        }
    });
    let in_text = in_text(bytes) == Position::Held;
    match found {
        Ok(Some(exif)) => {
            let held = in_text || exif.fields().any(|f| PLACES.contains(&f.tag));
            let position = if held { Position::Held } else { Position::NotFound };
            Camera { taken: taken(&exif), orientation: orientation(&exif), position, unreadable: false }
        }
        Ok(None) | Err(_) => {
            let unreadable = found.is_err();
            let position = match (in_text, unreadable) {
                (true, _) => Position::Held,
                (false, true) => Position::CannotTell,
                (false, false) => Position::NotFound,
            };
            Camera { taken: None, orientation: 1, position, unreadable }
        }
    }
}

/// Tags of the GPS block that tell a place.
const PLACES: [Tag; 7] = [
    Tag::GPSLatitude,
    Tag::GPSLongitude,
    Tag::GPSDestLatitude,
    Tag::GPSDestLongitude,
    Tag::GPSAreaInformation,
    Tag::GPSAltitude,
    Tag::GPSMapDatum,
];

fn contains(bytes: &[u8], what: &[u8]) -> bool {
    bytes.windows(what.len()).any(|w| w == what)
}

fn orientation(exif: &Exif) -> u8 {
    let value = exif.get_field(Tag::Orientation, In::PRIMARY).and_then(|f| f.value.get_uint(0));
    value.and_then(|v| u8::try_from(v).ok()).filter(|v| (1..=8).contains(v)).unwrap_or(1)
}

fn taken(exif: &Exif) -> Option<Taken> {
    let places = [
        (Tag::DateTimeOriginal, Tag::OffsetTimeOriginal, TakenFrom::Picture),
        (Tag::DateTimeDigitized, Tag::OffsetTimeDigitized, TakenFrom::Digitised),
        (Tag::DateTime, Tag::OffsetTime, TakenFrom::Changed),
    ];
    places.into_iter().find_map(|(time, offset, from)| {
        let at = time_text(ascii(exif, time)?)?;
        Some(Taken { at, offset: ascii(exif, offset).and_then(offset_text), from })
    })
}

fn ascii(exif: &Exif, tag: Tag) -> Option<&[u8]> {
    match &exif.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(lines) => lines.first().map(Vec::as_slice),
        _ => None,
    }
}

/// "2026:03:06 10:12:44" as "2026-03-06T10:12:44"; a clock that was never set gives none.
fn time_text(text: &[u8]) -> Option<String> {
    let t = DateTime::from_ascii(text).ok()?;
    let days = match t.month {
        4 | 6 | 9 | 11 => 30,
        2 if t.year % 4 == 0 && (t.year % 100 != 0 || t.year % 400 == 0) => 29,
        2 => 28,
        1..=12 => 31,
        _ => return None,
    };
    let possible = t.year > 0 && (1..=days).contains(&t.day) && t.hour < 24 && t.minute < 60 && t.second < 61;
    possible.then(|| format!("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", t.year, t.month, t.day, t.hour, t.minute, t.second))
}

/// "+01:00" or "Z", as it is written.
fn offset_text(text: &[u8]) -> Option<String> {
    let text = std::str::from_utf8(text).ok()?.trim();
    if text == "Z" {
        return Some("Z".to_owned());
    }
    let b = text.as_bytes();
    let digits = [1, 2, 4, 5].iter().all(|i| b.get(*i).is_some_and(u8::is_ascii_digit));
    (b.len() == 6 && matches!(b[0], b'+' | b'-') && b[3] == b':' && digits).then(|| text.to_owned())
}

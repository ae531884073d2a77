//! What a file is.

use crate::error::EvidenceError;
use crate::exif_data::{self, Camera, Position, Taken};
use crate::guarded::guarded;
use crate::kind::Kind;
use crate::{heic, paper};
use image::{ImageDecoder, ImageFormat, ImageReader, Limits};
use std::io::Cursor;

/// What is taken at most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bounds {
    /// Bytes of a file.
    pub bytes: u64,
    /// Pixels of a picture, width times height.
    pub pixels: u64,
    /// Memory that a decoder may ask for, bytes.
    pub memory: u64,
}

impl Default for Bounds {
    /// 40 MB, 100 million pixels, 700 MB of memory. A photo of a good telephone has 12 to 50 million pixels.
    fn default() -> Self {
        Self { bytes: 40_000_000, pixels: 100_000_000, memory: 700_000_000 }
    }
}

/// What a file is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Looked {
    /// Kind, by its bytes.
    pub kind: Kind,
    /// Bytes.
    pub size: u64,
    /// Width and height, upright; none for a paper, or where the picture cannot be read.
    pub pixels: Option<(u32, u32)>,
    /// When it was taken, by the camera's clock.
    pub taken: Option<Taken>,
    /// Whether the original holds the place where it was taken.
    pub position: Position,
    /// Pages of a paper, where they can be counted.
    pub pages: Option<u32>,
    /// Why no picture can be shown; none where one can.
    pub no_picture: Option<String>,
    /// What is to be known about it, in sentences: another kind than the name says, an end too early.
    pub notes: Vec<String>,
}

/// Tells what a file is. The name is compared and never believed.
///
/// A picture whose data are damaged is not refused: it may be all that there is. [`Looked::no_picture`] says so.
///
/// # Errors
/// [`EvidenceError`] for a file that is empty, too large, of another kind, or a picture with too many pixels.
pub fn look(name: &str, bytes: &[u8], bounds: &Bounds) -> Result<Looked, EvidenceError> {
    let named = || shown(name);
    if bytes.is_empty() {
        return Err(EvidenceError::Empty { name: named() });
    }
    let size = bytes.len() as u64;
    if size > bounds.bytes {
        return Err(EvidenceError::TooLarge { name: named(), bytes: size, most: bounds.bytes });
    }
    let kind = Kind::of_bytes(bytes)
        .map_err(|looks_like| EvidenceError::NotTaken { name: named(), looks_like: looks_like.to_owned() })?;
    let mut notes = Vec::new();
    if let Some(said) = Kind::of_name(name).filter(|said| *said != kind) {
        notes.push(format!(
            "The name says {}, the file is {}; it is kept as {}.",
            said.name(),
            kind.name(),
            kind.name()
        ));
    }
    let camera = exif_data::read_of(kind, bytes);
    if camera.unreadable {
        notes.push("What the camera wrote beside the picture cannot be read.".to_owned());
    }
    if ends_early(kind, bytes) {
        notes.push(
            "The file ends before the picture does; it is kept as it came. Send it again if there is another."
                .to_owned(),
        );
    }
    let mut looked = Looked {
        kind,
        size,
        pixels: None,
        taken: camera.taken.clone(),
        position: camera.position,
        pages: None,
        no_picture: None,
        notes,
    };
    if kind == Kind::Pdf {
        looked.pages = paper::pages(bytes);
        looked.no_picture = Some("a paper is opened as a whole".to_owned());
        return Ok(looked);
    }
    match guarded(|| size_of(kind, bytes, bounds)) {
        Err(why) => looked.no_picture = Some(why),
        Ok(found) => {
            let (width, height) = found.shown;
            if width.saturating_mul(height).max(found.decoded) > bounds.pixels {
                return Err(too_many(name, found.shown, bounds));
            }
            looked.pixels = upright(&camera, width, height);
            if found.memory > bounds.memory {
                looked.no_picture = Some(TOO_MUCH_MEMORY.to_owned());
            }
        }
    }
    Ok(looked)
}

fn too_many(name: &str, (width, height): (u64, u64), bounds: &Bounds) -> EvidenceError {
    EvidenceError::TooManyPixels { name: shown(name), width, height, most_million: bounds.pixels / 1_000_000 }
}

fn upright(camera: &Camera, width: u64, height: u64) -> Option<(u32, u32)> {
    let (width, height) = (u32::try_from(width).ok()?, u32::try_from(height).ok()?);
    Some(if camera.orientation >= 5 { (height, width) } else { (width, height) })
}

pub(crate) fn format(kind: Kind) -> Option<ImageFormat> {
    match kind {
        Kind::Jpeg => Some(ImageFormat::Jpeg),
        Kind::Png => Some(ImageFormat::Png),
        Kind::Webp => Some(ImageFormat::WebP),
        Kind::Heic | Kind::Pdf => None,
    }
}

/// A decoder that asks for no more memory on its way than allowed.
pub(crate) fn decoder<'a>(
    format: ImageFormat,
    bytes: &'a [u8],
    bounds: &Bounds,
) -> Result<impl ImageDecoder + 'a, String> {
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(bounds.memory);
    reader.limits(limits);
    reader.into_decoder().map_err(|e| words(&e))
}

pub(crate) const TOO_MUCH_MEMORY: &str = "showing it takes more memory than is allowed";

pub(crate) fn words(error: &image::ImageError) -> String {
    match error {
        image::ImageError::Limits(_) => TOO_MUCH_MEMORY.to_owned(),
        image::ImageError::IoError(_) => "the file ends before the picture does".to_owned(),
        other => format!("its data are damaged ({other})"),
    }
}

/// What a picture takes, by its header.
struct Size {
    /// Width and height as stored.
    shown: (u64, u64),
    /// Pixels that are decoded, where more of them are than are shown.
    decoded: u64,
    /// Bytes of the decoded picture.
    memory: u64,
}

fn size_of(kind: Kind, bytes: &[u8], bounds: &Bounds) -> Result<Size, String> {
    let Some(format) = format(kind) else {
        let (shown, decoded) = heic::size(bytes)?;
        return Ok(Size { shown, decoded, memory: decoded.saturating_mul(heic::BYTES_PER_PIXEL) });
    };
    let decoder = decoder(format, bytes, bounds)?;
    let (width, height) = decoder.dimensions();
    Ok(Size { shown: (u64::from(width), u64::from(height)), decoded: 0, memory: decoder.total_bytes() })
}

/// Whether the mark that ends the file is missing. HEIC has none.
fn ends_early(kind: Kind, bytes: &[u8]) -> bool {
    match kind {
        // Telephones append films and maps behind the picture: the mark may stand anywhere in the second half.
        Kind::Jpeg => !bytes[bytes.len() / 2..].windows(2).any(|w| w == [0xFF, 0xD9]),
        Kind::Png => !bytes.windows(4).any(|w| w == b"IEND"),
        Kind::Webp => {
            let said = bytes.get(4..8).and_then(|b| b.try_into().ok()).map_or(0, u32::from_le_bytes);
            (bytes.len() as u64) < u64::from(said) + 8
        }
        Kind::Pdf => !bytes[bytes.len().saturating_sub(2048)..].windows(5).any(|w| w == b"%%EOF"),
        Kind::Heic => false,
    }
}

/// A name as it may stand in a sentence: no control characters, not too long.
fn shown(name: &str) -> String {
    let clean: String = name.chars().filter(|c| !c.is_control()).take(80).collect();
    if clean.is_empty() { "the file".to_owned() } else { clean }
}

//! What a file is, by its first bytes.
//!
//! # Source
//! JPEG: ISO/IEC 10918-1 (SOI marker). PNG: ISO/IEC 15948, clause 5.2. WebP: RIFF container with form type WEBP.
//! HEIC: ISO/IEC 23008-12, brands of the file type box. PDF: ISO 32000-1, 7.5.2. All from memory.

/// Kinds of files that are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// JPEG photo.
    Jpeg,
    /// PNG picture.
    Png,
    /// WebP picture.
    Webp,
    /// HEIC photo.
    Heic,
    /// PDF paper.
    Pdf,
}

impl Kind {
    /// What a person reads: "JPEG".
    pub fn name(self) -> &'static str {
        match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::Webp => "WebP",
            Self::Heic => "HEIC",
            Self::Pdf => "PDF",
        }
    }

    /// "image/jpeg".
    pub fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::Webp => "image/webp",
            Self::Heic => "image/heic",
            Self::Pdf => "application/pdf",
        }
    }

    /// The kind that the end of a name stands for.
    pub(crate) fn of_name(name: &str) -> Option<Self> {
        let end = name.rsplit_once('.')?.1.to_ascii_lowercase();
        Some(match end.as_str() {
            "jpg" | "jpeg" | "jpe" | "jfif" => Self::Jpeg,
            "png" => Self::Png,
            "webp" => Self::Webp,
            "heic" | "heif" | "hif" => Self::Heic,
            "pdf" => Self::Pdf,
            _ => return None,
        })
    }

    /// The kind of a file, or what it looks like.
    pub(crate) fn of_bytes(bytes: &[u8]) -> Result<Self, &'static str> {
        let at = |offset: usize, what: &[u8]| bytes.get(offset..offset + what.len()) == Some(what);
        if at(0, &[0xFF, 0xD8, 0xFF]) {
            return Ok(Self::Jpeg);
        }
        if at(0, b"\x89PNG\r\n\x1a\n") {
            return Ok(Self::Png);
        }
        if at(0, b"RIFF") && at(8, b"WEBP") {
            return Ok(Self::Webp);
        }
        if at(4, b"ftyp") {
            return of_brands(bytes);
        }
        let plain = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes).trim_ascii_start();
        if plain.starts_with(b"%PDF-") {
            return Ok(Self::Pdf);
        }
        Err(looks_like(bytes))
    }
}

fn of_brands(bytes: &[u8]) -> Result<Kind, &'static str> {
    let size = bytes.get(..4).and_then(|b| b.try_into().ok()).map_or(0, u32::from_be_bytes) as usize;
    // The box ends where it says, and holds few brands; 4 KiB are plenty.
    let brands = bytes.get(8..size.clamp(8, 4096).min(bytes.len())).unwrap_or_default();
    let any = |wanted: &[&[u8; 4]]| brands.chunks_exact(4).any(|b| wanted.iter().any(|w| b == w.as_slice()));
    if any(&[b"avif", b"avis"]) {
        return Err("an AVIF picture");
    }
    if any(&[b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs"]) {
        return Ok(Kind::Heic);
    }
    if any(&[b"mif1", b"msf1"]) {
        return Ok(Kind::Heic);
    }
    Err("a film or another file of the MP4 family")
}

/// Files that people send by mistake.
fn looks_like(bytes: &[u8]) -> &'static str {
    const KNOWN: [(&[u8], &str); 12] = [
        (b"GIF8", "a GIF picture"),
        (b"BM", "a BMP picture"),
        (b"II*\0", "a TIFF picture or a camera's raw file"),
        (b"MM\0*", "a TIFF picture or a camera's raw file"),
        (b"PK\x03\x04", "a ZIP file or an office document"),
        (b"\xD0\xCF\x11\xE0", "an old office document"),
        (b"RIFF", "a film or a sound"),
        (b"\x1A\x45\xDF\xA3", "a film"),
        (b"<svg", "an SVG drawing"),
        (b"<!DOCTYPE", "a web page"),
        (b"<html", "a web page"),
        (b"ID3", "a sound"),
    ];
    if let Some((_, what)) = KNOWN.iter().find(|(start, _)| bytes.starts_with(start)) {
        return what;
    }
    let start = &bytes[..bytes.len().min(512)];
    let text = start.iter().all(|b| (0x20..0x7F).contains(b) || matches!(b, b'\t' | b'\r' | b'\n'));
    if text { "plain text" } else { "of a kind that is not known here" }
}

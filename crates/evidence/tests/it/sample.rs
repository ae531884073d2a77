//! Files to try things on.

use std::path::PathBuf;

pub(crate) fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../validation/photos")
}

/// A file of validation/photos.
pub(crate) fn photo(name: &str) -> Vec<u8> {
    std::fs::read(folder().join(name)).expect("a photo")
}

/// Check sum of a PNG chunk (ISO/IEC 15948, annex D), bit by bit.
fn crc(bytes: &[u8]) -> u32 {
    let step = |crc: u32, byte: &u8| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 })
    };
    !bytes.iter().fold(u32::MAX, step)
}

/// A PNG that says a size of its own, with a good check sum, `depth` bits and RGBA.
pub(crate) fn png_that_says(width: u32, height: u32, depth: u8) -> Vec<u8> {
    let mut bytes = photo("png_6.png");
    bytes[16..20].copy_from_slice(&width.to_be_bytes());
    bytes[20..24].copy_from_slice(&height.to_be_bytes());
    bytes[24] = depth;
    bytes[25] = 6;
    let sum = crc(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&sum.to_be_bytes());
    bytes
}

/// A JPEG that says a size of its own.
pub(crate) fn jpeg_that_says(width: u16, height: u16) -> Vec<u8> {
    let mut bytes = photo("jpeg_1.jpg");
    let at = bytes.windows(2).position(|w| w == [0xFF, 0xC0]).expect("a frame header");
    bytes[at + 5..at + 7].copy_from_slice(&height.to_be_bytes());
    bytes[at + 7..at + 9].copy_from_slice(&width.to_be_bytes());
    bytes
}

pub(crate) fn png_of(picture: &image::DynamicImage) -> Vec<u8> {
    let mut out = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut out, image::ImageFormat::Png).expect("a PNG");
    out.into_inner()
}

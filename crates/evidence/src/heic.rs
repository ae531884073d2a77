//! HEIC photos: size and pixels.
//!
//! The container's own turns and crops are applied by the decoder; the orientation in the camera's block repeats them
//! and does not count (ISO/IEC 23008-12, from memory).

use heic_decoder::{decode, probe};
use image::{DynamicImage, RgbImage};

/// Memory that decoding takes for each pixel: samples of four bytes, half as many again of colour, and the picture.
/// 13.3 were measured on a photo of 12 million pixels.
pub(crate) const BYTES_PER_PIXEL: u64 = 14;

/// Width and height, upright, and the pixels that decoding takes: a crop comes last, so that they may be more.
pub(crate) fn size(bytes: &[u8]) -> Result<((u64, u64), u64), String> {
    let info = probe(bytes).map_err(|e| e.to_string())?;
    let coded = (info.coded_width as u64).saturating_mul(info.coded_height as u64);
    Ok(((info.width as u64, info.height as u64), coded))
}

/// The picture, upright.
pub(crate) fn picture(bytes: &[u8]) -> Result<DynamicImage, String> {
    let rgb = decode(bytes).and_then(|image| image.to_rgb8()).map_err(|e| e.to_string())?;
    let size = |n: usize| u32::try_from(n).map_err(|_| "its size is not possible".to_owned());
    let (width, height) = (size(rgb.width)?, size(rgb.height)?);
    let image = RgbImage::from_raw(width, height, rgb.data).ok_or("its pixels do not fill its size")?;
    Ok(DynamicImage::ImageRgb8(image))
}

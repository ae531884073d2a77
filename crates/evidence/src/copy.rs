//! Copies to look at: small, upright, with nothing inside but pixels.

use crate::error::EvidenceError;
use crate::exif_data;
use crate::guarded::guarded;
use crate::heic;
use crate::kind::Kind;
use crate::look::{Bounds, decoder, format, look, words};
use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::metadata::Orientation;
use image::{DynamicImage, Rgb, RgbImage};

/// Longest side of a thumbnail, pixels.
pub const THUMBNAIL_SIDE: u32 = 280;
/// Longest side of a copy to look at, pixels.
pub const VIEW_SIDE: u32 = 1400;

/// Quality of the copies, 1 … 100: no block is to be seen at arm's length on a tablet.
const QUALITY: u8 = 82;

/// A copy: JPEG, upright, without anything that the camera wrote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Copied {
    /// The file.
    pub bytes: Vec<u8>,
    /// Its media type, "image/jpeg".
    pub media_type: &'static str,
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
}

/// Copies with the given longest sides, in the order asked for, from one decoding. A picture is never enlarged.
///
/// # Errors
/// [`EvidenceError`] as [`look`](crate::look()), and [`EvidenceError::NoPicture`] for a paper or damaged data.
pub fn copies(bytes: &[u8], sides: &[u32], bounds: &Bounds) -> Result<Vec<Copied>, EvidenceError> {
    let looked = look("the file", bytes, bounds)?;
    let no_picture = |why: String| EvidenceError::NoPicture { why };
    if let Some(why) = looked.no_picture {
        return Err(no_picture(why));
    }
    guarded(|| {
        let orientation = exif_data::read_of(looked.kind, bytes).orientation;
        let mut picture = flat(decode(looked.kind, bytes, bounds)?);
        let mut largest_first: Vec<usize> = (0..sides.len()).collect();
        largest_first.sort_by_key(|n| std::cmp::Reverse(sides[*n]));
        let mut made: Vec<Option<Copied>> = vec![None; sides.len()];
        for n in largest_first {
            // Each copy is made from the one before: most of the time goes into the first step down.
            picture = smaller(picture, sides[n].max(1));
            made[n] = Some(coded(picture.clone(), orientation)?);
        }
        Ok(made.into_iter().flatten().collect())
    })
    .map_err(no_picture)
}

fn decode(kind: Kind, bytes: &[u8], bounds: &Bounds) -> Result<DynamicImage, String> {
    match format(kind) {
        Some(format) => DynamicImage::from_decoder(decoder(format, bytes, bounds)?).map_err(|e| words(&e)),
        None => heic::picture(bytes),
    }
}

/// On white: JPEG has no transparency.
fn flat(picture: DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.into_rgb8();
    }
    let rgba = picture.into_rgba8();
    RgbImage::from_fn(rgba.width(), rgba.height(), |x, y| {
        let [r, g, b, a] = rgba.get_pixel(x, y).0;
        let over = |c: u8| ((u32::from(c) * u32::from(a) + 255 * (255 - u32::from(a)) + 127) / 255) as u8;
        Rgb([over(r), over(g), over(b)])
    })
}

fn smaller(picture: RgbImage, side: u32) -> RgbImage {
    let (width, height) = picture.dimensions();
    let longest = width.max(height).max(1);
    if longest <= side {
        return picture;
    }
    let scaled =
        |n: u32| ((u64::from(n) * u64::from(side) + u64::from(longest) / 2) / u64::from(longest)).max(1) as u32;
    image::imageops::resize(&picture, scaled(width), scaled(height), FilterType::Triangle)
}

fn coded(picture: RgbImage, orientation: u8) -> Result<Copied, String> {
    let mut turned = DynamicImage::ImageRgb8(picture);
    turned.apply_orientation(Orientation::from_exif(orientation).unwrap_or(Orientation::NoTransforms));
    let (width, height) = (turned.width(), turned.height());
    let mut bytes = Vec::new();
    turned.write_with_encoder(JpegEncoder::new_with_quality(&mut bytes, QUALITY)).map_err(|e| words(&e))?;
    Ok(Copied { bytes, media_type: Kind::Jpeg.media_type(), width, height })
}

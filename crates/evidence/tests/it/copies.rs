//! Sizes and colours of copies.

use crate::sample::png_of;
use evidence::{Bounds, EvidenceError, THUMBNAIL_SIDE, VIEW_SIDE, copies};
use image::{DynamicImage, Rgb, RgbImage, Rgba, RgbaImage};

#[test]
fn longest_sides_are_kept_and_nothing_is_enlarged() {
    let wide = png_of(&DynamicImage::ImageRgb8(RgbImage::from_pixel(2000, 500, Rgb([90, 120, 150]))));
    let made = copies(&wide, &[THUMBNAIL_SIDE, VIEW_SIDE, 5000], &Bounds::default()).expect("copies");
    let sizes: Vec<(u32, u32)> = made.iter().map(|c| (c.width, c.height)).collect();
    assert_eq!(sizes, [(280, 70), (1400, 350), (2000, 500)]);
    // A strip of one pixel keeps a pixel.
    let strip = png_of(&DynamicImage::ImageRgb8(RgbImage::from_pixel(3000, 1, Rgb([1, 2, 3]))));
    let made = copies(&strip, &[280], &Bounds::default()).expect("a copy").remove(0);
    assert_eq!((made.width, made.height), (280, 1));
}

#[test]
fn what_is_clear_stands_on_white() {
    let mut clear = RgbaImage::from_pixel(40, 40, Rgba([0, 0, 0, 0]));
    for x in 0..20 {
        for y in 0..40 {
            clear.put_pixel(x, y, Rgba([200, 0, 0, 255]));
        }
    }
    let made = copies(&png_of(&DynamicImage::ImageRgba8(clear)), &[280], &Bounds::default()).expect("a copy").remove(0);
    let picture = image::load_from_memory(&made.bytes).expect("a JPEG").to_rgb8();
    assert!(picture.get_pixel(35, 20).0.iter().all(|c| *c > 245), "{:?}", picture.get_pixel(35, 20));
    assert!(picture.get_pixel(4, 20).0[0] > 180 && picture.get_pixel(4, 20).0[1] < 20);
}

#[test]
fn sixteen_bits_and_grey_are_taken() {
    let grey = DynamicImage::ImageLuma16(image::ImageBuffer::from_pixel(30, 20, image::Luma([0x8080u16])));
    let made = copies(&png_of(&grey), &[280], &Bounds::default()).expect("a copy").remove(0);
    let picture = image::load_from_memory(&made.bytes).expect("a JPEG").to_rgb8();
    assert!(picture.get_pixel(15, 10).0.iter().all(|c| c.abs_diff(0x80) <= 2));
}

#[test]
fn a_paper_has_no_picture() {
    let error = copies(b"%PDF-1.4\n%%EOF", &[280], &Bounds::default()).expect_err("no picture");
    assert!(matches!(error, EvidenceError::NoPicture { .. }), "{error}");
}

#[test]
fn the_same_file_gives_the_same_copy() {
    let bytes = crate::sample::photo("jpeg_6.jpg");
    assert_eq!(copies(&bytes, &[60], &Bounds::default()), copies(&bytes, &[60], &Bounds::default()));
}

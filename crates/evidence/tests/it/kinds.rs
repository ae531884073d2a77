//! What is taken, what is not, and what is said.

use crate::sample::{jpeg_that_says, photo, png_that_says};
use evidence::{Bounds, EvidenceError, Kind, copies, look};

fn message(name: &str, bytes: &[u8]) -> String {
    look(name, bytes, &Bounds::default()).expect_err("it is refused").to_string()
}

#[test]
fn refusals_say_what_and_what_to_do() {
    let film = [b"\0\0\0\x18ftypisom\0\0\0\0isommp42".as_slice(), &[0; 100]].concat();
    let avif = [b"\0\0\0\x1Cftypavif\0\0\0\0avifmif1miaf".as_slice(), &[0; 100]].concat();
    let said = [
        message("empty.jpg", b""),
        message("clip.mov", &film),
        message("a.avif", &avif),
        message("notes.jpg", b"not a photo at all"),
        message("book.docx", b"PK\x03\x04\x14\0\x06\0"),
        message("raw.cr2", b"II*\0\x10\0\0\0CR"),
        message("noise.jpg", &[0x80, 0x01, 0xFE, 0x00]),
        message("evil\n\"name\u{7}.svg", b"<svg onload=\"x\">"),
    ];
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn bounds_hold_for_bytes_pixels_and_memory() {
    let small = Bounds { bytes: 500, ..Bounds::default() };
    assert_eq!(
        look("a.jpg", &photo("jpeg_1.jpg"), &small).expect_err("too large").to_string(),
        "\"a.jpg\" has 0.0 MB; up to 0.0 MB are taken. Nothing was kept; send a smaller one"
    );
    // A few hundred bytes that say they are 3.6 and 4.3 thousand million pixels.
    for bomb in [png_that_says(60_000, 60_000, 8), jpeg_that_says(65_500, 65_500)] {
        assert!(bomb.len() < 2000);
        let error = look("bomb", &bomb, &Bounds::default()).expect_err("a bomb");
        assert!(matches!(error, EvidenceError::TooManyPixels { most_million: 100, .. }), "{error}");
        assert!(copies(&bomb, &[280], &Bounds::default()).is_err());
    }
    // Within the pixels, beyond the memory: 99.9 million pixels of 8 bytes. The file itself may be kept.
    let deep = png_that_says(9_999, 9_990, 16);
    let found = look("deep.png", &deep, &Bounds::default()).expect("it is kept");
    assert_eq!(found.no_picture.as_deref(), Some("showing it takes more memory than is allowed"));
    let error = copies(&deep, &[280], &Bounds::default()).expect_err("no copy");
    assert_eq!(error.to_string(), "no picture can be made of it: showing it takes more memory than is allowed");
    for name in ["jpeg_1.jpg", "png_6.png", "webp_8.webp", "heic_1.heic"] {
        assert!(copies(&photo(name), &[64], &Bounds::default()).is_ok(), "{name}");
        assert!(copies(&photo(name), &[64], &Bounds { memory: 10_000, ..Bounds::default() }).is_err(), "{name}");
    }
}

#[test]
fn a_heic_that_says_too_much_is_refused_or_not_shown() {
    let mut bytes = photo("heic_1.heic");
    let at = bytes.windows(4).position(|w| w == b"ispe").expect("a size") + 8;
    bytes[at..at + 4].copy_from_slice(&60_000u32.to_be_bytes());
    bytes[at + 4..at + 8].copy_from_slice(&60_000u32.to_be_bytes());
    match look("a.heic", &bytes, &Bounds::default()) {
        Err(EvidenceError::TooManyPixels { .. }) => {}
        // The picture inside says its own size; what is decoded stays within the bounds.
        Ok(found) => {
            assert!(
                found.no_picture.is_some()
                    || found.pixels.is_some_and(|(w, h)| u64::from(w) * u64::from(h) < 100_000_000)
            )
        }
        Err(other) => panic!("{other}"),
    }
}

#[test]
fn a_file_is_what_its_bytes_are() {
    for (name, file, kind) in [
        ("photo.png", "jpeg_1.jpg", Kind::Jpeg),
        ("photo.jpg", "png_6.png", Kind::Png),
        ("photo.JPG", "heic_1.heic", Kind::Heic),
        ("photo.pdf", "webp_8.webp", Kind::Webp),
    ] {
        let found = look(name, &photo(file), &Bounds::default()).expect("it is taken");
        assert_eq!(found.kind, kind);
        assert!(found.notes[0].contains(&format!("the file is {}", kind.name())), "{:?}", found.notes);
    }
    assert_eq!(
        look("photo.png", &photo("jpeg_1.jpg"), &Bounds::default()).expect("taken").notes,
        ["The name says PNG, the file is JPEG; it is kept as JPEG."]
    );
    for name in ["photo", "photo.JPEG", "photo.jpe", ".jpg"] {
        assert!(look(name, &photo("jpeg_1.jpg"), &Bounds::default()).expect("taken").notes.is_empty(), "{name}");
    }
}

#[test]
fn a_file_cut_short_is_kept_and_named() {
    for name in ["jpeg_1.jpg", "png_6.png", "webp_8.webp"] {
        let whole = photo(name);
        let cut = &whole[..whole.len() * 3 / 4];
        let found = look(name, cut, &Bounds::default()).expect("it is kept");
        assert!(found.notes.iter().any(|n| n.starts_with("The file ends before")), "{name}: {found:?}");
    }
    // Only the start of a header: it is no picture any more.
    let found = look("a.jpg", &photo("jpeg_1.jpg")[..30], &Bounds::default()).expect("it is kept");
    assert!(found.no_picture.is_some() && found.pixels.is_none());
    let half = photo("heic_1.heic");
    let found = look("a.heic", &half[..half.len() / 2], &Bounds::default());
    assert!(found.is_ok(), "{found:?}");
}

#[test]
fn papers_count_their_pages_where_they_can() {
    let pages = |text: &str| look("a.pdf", text.as_bytes(), &Bounds::default()).expect("a paper").pages;
    let two = "%PDF-1.4\n1 0 obj\n<< /Type /Catalog /Pages 2 0 R >>\nendobj\n2 0 obj\n<< /Type /Pages /Kids [3 0 R 4 0 R] /Count 2 >>\nendobj\n\
               3 0 obj\n<< /Type /Page /Parent 2 0 R >>\nendobj\n4 0 obj\n<< /Type /Page /Parent 2 0 R >>\nendobj\n%%EOF";
    assert_eq!(pages(two), Some(2));
    // The root counts all, its branches fewer.
    let tree = "%PDF-1.4\n2 0 obj\n<< /Count 7 /Kids [3 0 R 4 0 R] /Type/Pages >>\nendobj\n3 0 obj\n<< /Type /Pages /Count 3 >>\nendobj\n%%EOF";
    assert_eq!(pages(tree), Some(7));
    let web = "%PDF-1.5\n1 0 obj\n<< /Linearized 1 /L 5000 /O 3 /E 400 /N 12 /T 4000 >>\nendobj\n%%EOF";
    assert_eq!(pages(web), Some(12));
    assert_eq!(pages("%PDF-1.7\n1 0 obj\n<< /Type /ObjStm >>\nendobj\n%%EOF"), None, "packed: not known");
    let cut = look("a.pdf", b"%PDF-1.7\n1 0 obj", &Bounds::default()).expect("a paper");
    assert!(cut.notes.iter().any(|n| n.starts_with("The file ends before")));
}

#[test]
fn a_camera_block_that_cannot_be_read_does_not_take_the_photo_away() {
    let mut bytes = photo("jpeg_place.jpg");
    let at = bytes.windows(6).position(|w| w == b"Exif\0\0").expect("a block") + 6;
    bytes[at..at + 4].copy_from_slice(b"????");
    let found = look("a.jpg", &bytes, &Bounds::default()).expect("it is taken");
    assert_eq!(found.position, evidence::Position::CannotTell);
    assert!(found.notes[0].contains("cannot be read") && found.no_picture.is_none());
    assert!(copies(&bytes, &[280], &Bounds::default()).is_ok());
}

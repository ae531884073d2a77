//! Against what Pillow reads from the same files (validation/photos/SOURCE.md).

use crate::sample::{folder, photo};
use evidence::{Bounds, Position, TakenFrom, copies, look};

fn table() -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(folder().join("expected.csv")).expect("a table");
    let rows: Vec<Vec<String>> = text.lines().skip(1).map(|l| l.split(',').map(str::to_owned).collect()).collect();
    assert_eq!(rows.len(), 14);
    rows
}

#[test]
fn kind_size_time_and_place_are_as_pillow_reads_them() {
    for row in table() {
        let (name, said) = (&row[0], |n: usize| row[n].as_str());
        let found = look(name, &photo(name), &Bounds::default()).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(found.kind.name(), said(1), "{name}");
        assert_eq!(found.pixels, Some((said(2).parse().expect("width"), said(3).parse().expect("height"))), "{name}");
        // "2026:03:06 10:12:44" there is "2026-03-06T10:12:44" here; zeros are no time.
        let at = said(4).replacen(':', "-", 2).replacen(' ', "T", 1);
        let taken = found.taken.as_ref();
        if at.starts_with("0000") {
            assert_eq!(taken, None, "{name}: a clock that was never set");
        } else {
            assert_eq!(taken.map(|t| (t.at.as_str(), t.from)), Some((at.as_str(), TakenFrom::Picture)), "{name}");
            assert_eq!(taken.and_then(|t| t.offset.as_deref()).unwrap_or_default(), said(5), "{name}");
        }
        let position = if said(6) == "1" { Position::Held } else { Position::NotFound };
        assert_eq!(found.position, position, "{name}");
        assert_eq!((found.notes.as_slice(), found.no_picture), (&[][..], None), "{name}");
    }
}

#[test]
fn copies_stand_upright_for_every_orientation() {
    for row in table() {
        let name = &row[0];
        let copy =
            copies(&photo(name), &[1400], &Bounds::default()).unwrap_or_else(|e| panic!("{name}: {e}")).remove(0);
        let picture = image::load_from_memory(&copy.bytes).expect("a JPEG").to_rgb8();
        assert_eq!(picture.dimensions(), (row[2].parse().expect("width"), row[3].parse().expect("height")), "{name}");
        assert_eq!(picture.dimensions(), (copy.width, copy.height));
        let (w, h) = picture.dimensions();
        for ((x, y), colour) in [(8, 8), (w - 8, 8), (8, h - 8), (w - 8, h - 8)].into_iter().zip(&row[7..]) {
            let expected: Vec<i32> = colour.split(' ').map(|c| c.parse().expect("a colour")).collect();
            for (found, expected) in picture.get_pixel(x, y).0.iter().zip(expected) {
                // Coded twice, with colours at the edge of what JPEG holds; the patches differ by 200 levels.
                assert!((i32::from(*found) - expected).abs() <= 16, "{name} at {x}, {y}: {found}, {expected} expected");
            }
        }
    }
}

#[test]
fn nothing_that_the_camera_wrote_is_in_a_copy() {
    for name in ["jpeg_place.jpg", "png_6.png", "webp_8.webp", "heic_1.heic"] {
        let bytes = photo(name);
        assert_eq!(look(name, &bytes, &Bounds::default()).expect("it reads").position, Position::Held);
        for copy in copies(&bytes, &[280, 1400], &Bounds::default()).expect("copies") {
            let again = look("copy.jpg", &copy.bytes, &Bounds::default()).expect("it reads");
            assert_eq!(
                (again.position, again.taken, again.kind.media_type()),
                (Position::NotFound, None, copy.media_type)
            );
            // Markers of application data: JFIF's own alone.
            let markers: Vec<u8> = copy.bytes.windows(2).filter(|w| w[0] == 0xFF).map(|w| w[1]).collect();
            let foreign =
                markers.iter().take_while(|m| **m != 0xDA).filter(|m| (0xE1..=0xEF).contains(*m) || **m == 0xFE);
            assert_eq!(foreign.count(), 0, "{name}");
            assert!(!copy.bytes.windows(4).any(|w| w == b"Exif"), "{name}");
        }
    }
}

#[test]
fn a_position_in_plain_text_is_noticed_too() {
    let mut bytes = photo("jpeg_1.jpg");
    let packet = b"http://ns.adobe.com/xap/1.0/\0<x exif:GPSLatitude=\"46,30N\"/>";
    let mut segment = vec![0xFF, 0xE1];
    segment.extend(u16::try_from(packet.len() + 2).expect("short").to_be_bytes());
    segment.extend(packet);
    bytes.splice(2..2, segment);
    let found = look("a.jpg", &bytes, &Bounds::default()).expect("it reads");
    assert_eq!(found.position, Position::Held);
    let copy = copies(&bytes, &[280], &Bounds::default()).expect("a copy").remove(0);
    assert!(!copy.bytes.windows(3).any(|w| w == b"GPS"));
}

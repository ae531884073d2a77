//! Whatever comes in, nothing breaks.

use crate::sample::photo;
use evidence::{Bounds, Mark, copies, look, overlay};
use proptest::prelude::*;

const FILES: [&str; 6] = ["jpeg_6.jpg", "jpeg_place.jpg", "png_6.png", "webp_8.webp", "heic_1.heic", "heic_6.heic"];

/// Small bounds: what is tried is whether it ends, not how much memory the machine has.
const BOUNDS: Bounds = Bounds { bytes: 1_000_000, pixels: 4_000_000, memory: 64_000_000 };

/// A panic inside a decoder is caught by the wall around it and shows as these words.
fn broke(why: &str) -> bool {
    why.contains("break the decoder")
}

fn try_all(bytes: &[u8]) -> Result<(), TestCaseError> {
    if let Ok(found) = look("a.jpg", bytes, &BOUNDS) {
        prop_assert!(!found.no_picture.as_deref().is_some_and(broke), "{:?}", found.no_picture);
        if let Some((w, h)) = found.pixels {
            prop_assert!(u64::from(w) * u64::from(h) <= BOUNDS.pixels);
        }
    }
    match copies(bytes, &[64], &BOUNDS) {
        Ok(made) => prop_assert!(made.iter().all(|c| c.width <= 64 && c.height <= 64 && !c.bytes.is_empty())),
        Err(error) => prop_assert!(!broke(&error.to_string()), "{error}"),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400), start in 0usize..8) {
        const STARTS: [&[u8]; 8] = [
            b"", &[0xFF, 0xD8, 0xFF, 0xE1], b"\x89PNG\r\n\x1a\n", b"RIFF\x40\0\0\0WEBPVP8 ",
            b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", b"%PDF-1.7\n/Type /Pages /Count ", b"RIFF\x40\0\0\0WEBPVP8X", b"%PDF-/Linearized /N",
        ];
        try_all(&[STARTS[start], &bytes].concat())?;
    }

    #[test]
    fn photos_with_bytes_changed(
        file in 0..FILES.len(),
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        cut in proptest::option::of(any::<prop::sample::Index>()),
    ) {
        let mut bytes = photo(FILES[file]);
        for (at, value) in changes {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        try_all(&bytes)?;
    }

    #[test]
    fn any_words_give_a_drawing_that_is_whole(words in "\\PC{1,40}|.{1,40}", x in 0.0..=1.0f64, y in 0.0..=1.0f64) {
        if let Ok(svg) = overlay(&[Mark::Words { at: (x, y), words }], 640, 480) {
            prop_assert_eq!(svg.matches('<').count(), svg.matches('>').count());
            prop_assert_eq!(svg.matches('<').count(), 6, "svg, title and text, each opened and closed: {}", svg);
            prop_assert!(!svg.chars().any(|c| c.is_control()));
        }
    }
}

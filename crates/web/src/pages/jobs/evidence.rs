//! What a photo or file is, by its bytes.

/// Most that one file may weigh, bytes.
const LARGEST: usize = 40 * 1024 * 1024;

/// Whether a file can be taken.
///
/// # Errors
/// One sentence for the person.
pub(crate) fn acceptable(name: &str, bytes: &[u8]) -> Result<(), String> {
    if bytes.len() > LARGEST {
        return Err(format!(
            "\u{201c}{name}\u{201d} weighs {} MB; a single photo or file may weigh {} MB. Nothing was kept.",
            bytes.len() / 1_000_000,
            LARGEST / 1_000_000
        ));
    }
    if bytes.is_empty() {
        return Err(format!("\u{201c}{name}\u{201d} is empty. Nothing was kept."));
    }
    Ok(())
}

/// Whether a picture can be made of it.
pub(crate) fn has_picture(media_type: &str) -> bool {
    matches!(media_type, "image/jpeg" | "image/png" | "image/webp" | "image/heic" | "image/heif")
}

//! From older versions of the build file to the present one.
//!
//! Version 1 counted a dome positive, in `piston.dome_volume`, and called the chamber `head.cc`.
//! Version 2 has `piston.crown_volume`, dish positive and dome negative, as a burette sheet does, and
//! `head.chamber_volume`. Keys and values are changed in their place: comments, order and lines stay.

use super::VERSION;
use std::ops::Range;
use toml_edit::{Document, Item};

/// The text in the present version, with a sentence for every change. `None` when it is no older version
/// (a text that cannot be read is for the reader to refuse).
pub(crate) fn migrate(text: &str) -> Option<(String, Vec<String>)> {
    let document = Document::parse(text).ok()?;
    let root = document.as_table();
    if root.get("plateau_build").and_then(Item::as_integer) != Some(1) {
        return None;
    }
    let mut edits: Vec<(Range<usize>, String)> = Vec::new();
    let mut said = vec!["read as version 1 of the build file".to_owned()];
    edits.push((root.get("plateau_build")?.span()?, VERSION.to_string()));
    if let Some(piston) = root.get("piston").and_then(Item::as_table_like)
        && let (Some(key), Some(item)) = (piston.key("dome_volume"), piston.get("dome_volume"))
    {
        edits.push((key.span()?, "crown_volume".to_owned()));
        // The table form has its figure under `value`.
        let figure = item.as_table_like().and_then(|t| t.get("value")).unwrap_or(item);
        if let (Some(words), Some(span)) = (figure.as_str(), figure.span()) {
            edits.push((span, format!("\"{}\"", turned(words))));
        }
        said.push("piston.dome_volume, dome positive, became piston.crown_volume, dome negative".to_owned());
    }
    if let Some(key) = root.get("head").and_then(Item::as_table_like).and_then(|head| head.key("cc")) {
        edits.push((key.span()?, "chamber_volume".to_owned()));
        said.push("head.cc became head.chamber_volume".to_owned());
    }
    edits.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    let mut out = text.to_owned();
    for (span, new) in edits {
        out.replace_range(span, &new);
    }
    Some((out, said))
}

/// The same words with the other sign in front.
fn turned(words: &str) -> String {
    let trimmed = words.trim();
    match trimmed.strip_prefix(['-', '−']) {
        Some(rest) => rest.trim_start().to_owned(),
        None if trimmed.trim_start_matches(['0', '.']).starts_with(|c: char| c.is_ascii_digit()) => {
            format!("-{trimmed}")
        }
        None => trimmed.to_owned(),
    }
}

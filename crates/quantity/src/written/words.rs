//! Places in a text, and words that are nearly the same.

/// Line and column of a byte of a text, both from 1, the column in characters.
///
/// A byte behind the end counts as the end; a byte inside a character counts as that character.
pub fn place(text: &str, byte: usize) -> (usize, usize) {
    let before = &text[..text.floor_char_boundary(byte)];
    let line_start = before.rfind('\n').map_or(0, |n| n + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

/// Characters to change, add or take away to get from one text to the other (the edit distance of Levenshtein, row by
/// row). Two characters in the wrong order count as two.
pub fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut corner = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let changed = corner + usize::from(x != *y);
            corner = row[j + 1];
            row[j + 1] = changed.min(row[j] + 1).min(corner + 1);
        }
    }
    row[b.len()]
}

/// The known word with the fewest [`edits`] from one that was found, if it needs no more than `most`. Of several as
/// near, the first.
pub fn nearest_within<'a>(found: &str, known: impl IntoIterator<Item = &'a str>, most: usize) -> Option<&'a str> {
    let near = known.into_iter().map(|word| (edits(found, word), word)).min_by_key(|(n, _)| *n)?;
    (near.0 <= most).then_some(near.1)
}

/// The known word nearest to one that was found, if it is near enough to be meant: one edit, and one more for every
/// three characters found (common practice, no source).
pub fn nearest<'a>(found: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    nearest_within(found, known, 1 + found.chars().count() / 3)
}

/// "did you mean …?" where a known word is near, otherwise what is known; none where nothing is.
pub fn suggestion<'a>(found: &str, known: impl IntoIterator<Item = &'a str> + Clone) -> Option<String> {
    match nearest(found, known.clone()) {
        Some(near) => Some(format!("did you mean `{near}`?")),
        None => known_are(known),
    }
}

/// "known are …"; none where nothing is.
pub fn known_are<'a>(known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let known: Vec<&str> = known.into_iter().collect();
    (!known.is_empty()).then(|| format!("known are {}", known.join(", ")))
}

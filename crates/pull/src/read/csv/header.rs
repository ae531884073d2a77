//! The lines above the numbers: names, units, and facts about the run.

use super::cell;
use super::sniff::{SampleRow, Sniffed};
use super::text::Text;
use quantity::{Dimension, UnitError, find_unit};

/// What the lines above the numbers say.
#[derive(Debug, Default)]
pub(crate) struct Header {
    /// Name and unit per column, as many as the widest of header and data.
    pub(crate) columns: Vec<(String, Option<String>)>,
    /// The header lines as bytes, to know them again further down.
    pub(crate) lines: Vec<Vec<u8>>,
    /// Preamble facts.
    pub(crate) facts: Vec<(String, String)>,
    /// Columns were numbered because no line names them.
    pub(crate) unnamed: bool,
    /// Names that stood twice and were made unique.
    pub(crate) repeated: Vec<String>,
    /// Columns that the header does not name although other columns are named.
    pub(crate) nameless: usize,
}

/// Reads the lines above the first row of numbers.
pub(crate) fn read(text: &Text<'_>, sniffed: &Sniffed<'_>) -> Header {
    let first = sniffed.first_data.unwrap_or(sniffed.head.len());
    let above = &sniffed.head[..first];
    let cells =
        |row: &SampleRow<'_>| -> Vec<String> { row.cells.iter().map(|c| text.decode(&cell::unquote(c))).collect() };
    // Bottom up: the lines directly above the numbers that have the width of the table.
    let mut names: Vec<(usize, Vec<String>)> = Vec::new();
    let mut units: Option<(usize, Vec<String>)> = None;
    let width = sniffed.width.max(1);
    let mut gap = false;
    for (at, row) in above.iter().enumerate().rev() {
        let texts = cells(row);
        let filled = texts.iter().filter(|t| !t.is_empty()).count();
        if filled == 0 {
            gap = true;
            continue;
        }
        if gap && (!names.is_empty() || units.is_some()) {
            break;
        }
        // A header may be short of a trailing delimiter, or its last names may be missing.
        let wide = texts.len() * 2 > width && (filled * 2 > width || (names.len() == 1 && texts.len() >= width));
        if !wide || (names.len() == 2) {
            break;
        }
        let unit_cells = texts.iter().filter(|t| !t.is_empty() && (is_unit(t) || is_dash(t))).count();
        if units.is_none()
            && unit_cells * 10 >= filled * 6
            && at > 0
            && (names.is_empty() || filled > 1)
            && !names_only(&texts)
        {
            units = Some((at, texts));
            continue;
        }
        if names.len() == 1 && !belongs_above(&texts, &names[0].1, width) {
            break;
        }
        names.push((at, texts));
    }
    if names.is_empty()
        && let Some((at, texts)) = units.take()
    {
        // A single line of `rpm`, `Nm`, `kPa` names the columns by their units.
        names.push((at, texts));
    }
    let top = names.iter().map(|n| n.0).chain(units.iter().map(|u| u.0)).min().unwrap_or(first);
    let mut header = Header { facts: facts(text, &above[..top]), unnamed: names.is_empty(), ..Header::default() };
    for row in &above[top..] {
        let line = text.bytes[row.at..row.end].trim_ascii();
        if !line.is_empty() {
            header.lines.push(line.to_vec());
        }
    }
    let header_width = names.iter().map(|(_, n)| n.iter().rposition(|t| !t.is_empty()).map_or(0, |at| at + 1)).max();
    let columns = width.max(header_width.unwrap_or(0));
    names.reverse();
    let spread: Vec<Vec<String>> = names
        .iter()
        .enumerate()
        .map(
            |(line, (_, texts))| if names.len() == 2 && line == 0 { fill_right(texts, columns) } else { texts.clone() },
        )
        .collect();
    for at in 0..columns {
        let mut parts: Vec<&str> = spread.iter().filter_map(|line| line.get(at)).map(String::as_str).collect();
        parts.retain(|part| !part.is_empty());
        parts.dedup();
        let joined = parts.join(" ");
        let (mut name, mut unit) = split_unit(&joined);
        if let Some(text) = units.as_ref().and_then(|(_, texts)| texts.get(at)).filter(|t| !t.is_empty()) {
            unit = Some(strip_brackets(text).to_owned());
        }
        if name.is_empty() {
            name = format!("column {}", at + 1);
            header.nameless += usize::from(!header.unnamed);
        }
        header.columns.push((name, unit));
    }
    unique(&mut header);
    header
}

/// Whether a line reads like names although every one is also a unit: `rpm;Nm` directly above numbers.
fn names_only(texts: &[String]) -> bool {
    texts.iter().any(|t| matches!(t.to_lowercase().as_str(), "time" | "torque" | "speed" | "power"))
}

/// Whether `upper` is the upper half of a header over two lines.
fn belongs_above(upper: &[String], lower: &[String], width: usize) -> bool {
    if upper.iter().any(|t| cell::looks_like_number(t.as_bytes())) || upper.len() < width.min(lower.len()) {
        return false;
    }
    let has_repeats = |texts: &[String]| {
        let mut seen = std::collections::BTreeSet::new();
        texts.iter().filter(|t| !t.is_empty()).any(|t| !seen.insert(t.as_str()))
    };
    let gaps = upper.iter().take(width).any(String::is_empty);
    // Groups over names (gaps or repeats above), names told apart only by their group (repeats below),
    // or long names broken over two lines.
    has_repeats(upper) || gaps || has_repeats(lower) || width >= 3
}

/// A group name stands over its first column; the empty cells to the right belong to it.
fn fill_right(texts: &[String], width: usize) -> Vec<String> {
    let mut out = Vec::with_capacity(width);
    let mut last = String::new();
    let gaps = texts.iter().take(width).any(String::is_empty);
    for at in 0..width {
        let text = texts.get(at).cloned().unwrap_or_default();
        if !text.is_empty() {
            last = text;
        } else if !gaps {
            last = String::new();
        }
        out.push(last.clone());
    }
    out
}

/// Makes names unique by a trailing " (2)" and notes which were not.
fn unique(header: &mut Header) {
    let mut seen = std::collections::BTreeSet::new();
    for (name, _) in &mut header.columns {
        if seen.insert(name.clone()) {
            continue;
        }
        if !header.repeated.contains(name) {
            header.repeated.push(name.clone());
        }
        let mut n = 2;
        let mut other = format!("{name} ({n})");
        while !seen.insert(other.clone()) {
            n += 1;
            other = format!("{name} ({n})");
        }
        *name = other;
    }
}

/// Preamble lines as key and value.
fn facts(text: &Text<'_>, rows: &[SampleRow<'_>]) -> Vec<(String, String)> {
    let mut out = Vec::new();
    for (at, row) in rows.iter().enumerate() {
        let cells: Vec<String> =
            row.cells.iter().map(|c| text.decode(&cell::unquote(c))).filter(|c| !c.is_empty()).collect();
        let fact = match cells.as_slice() {
            [] => continue,
            [one] => match one.split_once('=').or_else(|| one.split_once(": ")).or_else(|| one.split_once(':')) {
                Some((key, value)) if !key.trim().is_empty() => (key.trim().to_owned(), value.trim().to_owned()),
                _ => (format!("line {}", at + 1), one.clone()),
            },
            [key, rest @ ..] => (key.trim_end_matches([':', '=']).trim().to_owned(), rest.join(" ")),
        };
        out.push((fact.0.trim_start_matches('#').trim_start().to_owned(), fact.1));
    }
    out
}

/// Whether a text is written like a unit (known, ambiguous, or known to need more than a factor).
pub(crate) fn is_unit(text: &str) -> bool {
    let text = text.trim();
    !text.is_empty()
        && text.chars().count() <= 16
        && !text.chars().all(|c| c.is_ascii_digit())
        && !is_dash(text)
        && quantity::unit::is_unit(text)
}

/// A sign in the place of a unit that says "none".
fn is_dash(text: &str) -> bool {
    matches!(strip_brackets(text), "-" | "--" | "–" | "1" | "")
}

fn strip_brackets(text: &str) -> &str {
    let text = text.trim();
    for (open, close) in [('[', ']'), ('(', ')'), ('{', '}'), ('<', '>')] {
        if let Some(inner) = text.strip_prefix(open).and_then(|t| t.strip_suffix(close)) {
            return inner.trim();
        }
    }
    text
}

/// Takes a unit off a column name: `Torque (N·m)`, `Torque [Nm]` give "Torque" and the unit;
/// `Torque_Nm`, `Torque/Nm`, `Torque Nm` keep the name as written and give the unit as well.
pub(crate) fn split_unit(written: &str) -> (String, Option<String>) {
    let written = written.trim();
    for (open, close, certain) in [('[', ']', true), ('(', ')', false), ('{', '}', false), ('<', '>', false)] {
        let Some(from) = written.rfind(open) else { continue };
        let Some(length) = written[from..].find(close) else { continue };
        let inner = written[from + open.len_utf8()..from + length].trim();
        let rest =
            format!("{} {}", written[..from].trim_end(), written[from + length + close.len_utf8()..].trim_start());
        let rest = rest.trim();
        let number = !inner.is_empty() && inner.chars().all(|c| c.is_ascii_digit());
        // Square brackets hold nothing but units in logs; round ones also hold "cyl 1" or "oil".
        if !rest.is_empty()
            && !number
            && (is_unit(inner)
                || is_dash(inner)
                || (certain && !inner.contains(' ') && written.ends_with(close) && !role_word(inner)))
        {
            let unit = if inner.is_empty() { "-" } else { inner };
            return (rest.to_owned(), Some(unit.to_owned()));
        }
    }
    for (at, separator) in written.char_indices().filter(|(at, c)| *at > 0 && matches!(c, ' ' | '_' | '/' | ',' | '-'))
    {
        let suffix = written[at + separator.len_utf8()..].trim();
        if suffix.is_empty() || suffix.starts_with(['/', '_', '-', ',']) || suffix.contains(['(', ')', '[', ']']) {
            continue;
        }
        if is_unit(suffix) && suits_a_channel(suffix) {
            return (written.to_owned(), Some(suffix.to_owned()));
        }
    }
    (written.to_owned(), None)
}

/// Words in square brackets that name a place and no unit.
fn role_word(text: &str) -> bool {
    matches!(
        text.to_lowercase().as_str(),
        "oil" | "water" | "air" | "fuel" | "left" | "right" | "l" | "r" | "raw" | "filtered"
    )
}

/// Whether a suffix without brackets may be a unit of a channel; `Coolant_in` is not in inches and
/// `Bank A` not in amperes.
fn suits_a_channel(suffix: &str) -> bool {
    let single = suffix.chars().count() == 1;
    let fits = |dimension| match dimension {
        Dimension::Torque
        | Dimension::Power
        | Dimension::Pressure
        | Dimension::Temperature
        | Dimension::Time
        | Dimension::RotationalSpeed
        | Dimension::Angle
        | Dimension::MassFlow
        | Dimension::VolumeFlow
        | Dimension::Fraction
        | Dimension::Voltage => true,
        Dimension::Force => !single,
        _ => false,
    };
    match find_unit(suffix) {
        Ok(unit) => fits(unit.dimension),
        Err(UnitError::Ambiguous { choices, .. }) => choices.iter().any(|unit| fits(unit.dimension)),
        Err(UnitError::Refused { .. }) => true,
        Err(_) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_come_off_names() {
        let case = |written: &str| {
            let (name, unit) = split_unit(written);
            format!("{name}|{}", unit.unwrap_or_default())
        };
        assert_eq!(case("Torque (N·m)"), "Torque|N·m");
        assert_eq!(case("Torque [Nm]"), "Torque|Nm");
        assert_eq!(case("Torque[lb-ft]"), "Torque|lb-ft");
        assert_eq!(case("Torque_Nm"), "Torque_Nm|Nm");
        assert_eq!(case("Torque/Nm"), "Torque/Nm|Nm");
        assert_eq!(case("Fuel lb/hr"), "Fuel lb/hr|lb/hr");
        assert_eq!(case("EGT (cyl 1)"), "EGT (cyl 1)|");
        assert_eq!(case("Lambda [-]"), "Lambda|-");
        assert_eq!(case("EGT [1]"), "EGT [1]|");
        assert_eq!(case("Coolant_in"), "Coolant_in|");
        assert_eq!(case("Oil Pressure"), "Oil Pressure|");
        assert_eq!(case("Bank A"), "Bank A|");
        assert_eq!(case("Coolant [foo]"), "Coolant|foo");
        assert_eq!(case("RPM"), "RPM|");
        assert_eq!(case("Engine RPM"), "Engine RPM|RPM");
    }
}

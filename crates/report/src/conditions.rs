//! The conditions line: weather observed, what it was corrected to, factor and range, load-cell check.

use crate::say;
use crate::words::{Condition, Piece};
use pull::analysis::{Analysis, Correction, LoadCellResult, Weather};
use quantity::{UnitSystem, digits};

/// The entries of the conditions line, in the order in which they are printed.
pub fn conditions(analysis: &Analysis, system: UnitSystem) -> Vec<Condition> {
    let mut all = vec![observed(&analysis.weather, system)];
    all.extend(corrected(analysis));
    all.push(load_cell(analysis.load_cell.as_ref()));
    all
}

fn strong(text: impl Into<String>) -> Piece {
    Piece { strong: true, text: text.into() }
}

fn light(text: impl Into<String>) -> Piece {
    Piece { strong: false, text: text.into() }
}

fn observed(weather: &Weather, system: UnitSystem) -> Condition {
    let mut pieces = Vec::new();
    let mut add = |name: &str, value: Option<String>| {
        let lead = if pieces.is_empty() { "" } else { ", " };
        match value {
            Some(value) if name.is_empty() => pieces.extend([light(lead), strong(value)]),
            Some(value) => pieces.extend([light(format!("{lead}{name} ")), strong(value)]),
            None => {
                let name = if name.is_empty() { "barometer" } else { name };
                pieces.push(light(format!("{lead}{name} not known")));
            }
        }
    };
    add("", weather.barometer_pa.map(|pa| system.barometer(pa, None).to_string()));
    add("intake air", weather.air_temperature_k.map(|k| system.temperature(k, Some(1)).to_string()));
    add("vapour", weather.vapour_pressure_pa.map(|pa| system.barometer(pa, None).to_string()));
    pieces.retain(|piece| !piece.text.is_empty());
    Condition { name: "Observed".to_owned(), pieces }
}

fn corrected(analysis: &Analysis) -> Vec<Condition> {
    let correction = &analysis.correction;
    if !say::is_corrected(analysis) {
        let mut pieces = vec![strong("nothing")];
        if let Some(note) = correction.notes.first() {
            let why = note.trim_start_matches("Not corrected: ").trim_end_matches('.');
            pieces.push(light(format!(": {why}")));
        }
        return vec![Condition { name: "Corrected to".to_owned(), pieces }];
    }
    let how = correction.words.strip_prefix("corrected ").unwrap_or(&correction.words);
    // One line of the page: "ISO 1585" stands for "with the ISO 1585 factor".
    let how = how.strip_prefix("with the ").and_then(|how| how.strip_suffix(" factor")).unwrap_or(how);
    let to = vec![strong(correction.reference.clone()), light(format!(" ({how})"))];
    let mut factor = vec![strong(digits(correction.factor, 3))];
    if let Some(range) = range(correction) {
        factor.push(light(format!(" {range}")));
    }
    vec![
        Condition { name: "Corrected to".to_owned(), pieces: to },
        Condition { name: "Factor".to_owned(), pieces: factor },
    ]
}

/// "inside 0.93–1.07", "outside 0.93–1.07", "at the edge of 0.93–1.07, cannot tell".
pub(crate) fn range(correction: &Correction) -> Option<String> {
    let (low, high) = correction.range?;
    let span = format!("{}–{}", digits(low, 2), digits(high, 2));
    Some(match correction.range_verdict.as_deref() {
        Some("inside") => format!("inside {span}"),
        Some("outside") => format!("outside {span}"),
        _ => format!("at the edge of {span}, cannot tell"),
    })
}

fn load_cell(check: Option<&LoadCellResult>) -> Condition {
    let pieces = match check {
        Some(check) => {
            let when =
                if check.when.is_empty() { "checked".to_owned() } else { format!("checked {}", day(&check.when)) };
            vec![light(format!("{when}, ")), strong(signed_percent(check.as_found_rel))]
        }
        None => vec![light("not checked")],
    };
    Condition { name: "Load cell".to_owned(), pieces }
}

/// "2026-04-08 07:50" as "8 Apr 2026"; any other text as it is. The time stands with what a run hangs on.
fn day(when: &str) -> String {
    const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let date = when.split([' ', 'T']).next().unwrap_or_default();
    let parts: Vec<&str> = date.split('-').collect();
    let read = |text: &str, digits: usize| (text.len() == digits).then(|| text.parse::<usize>().ok()).flatten();
    match parts.as_slice() {
        [year, month, day] => match (read(year, 4), read(month, 2), read(day, 2)) {
            (Some(year), Some(month @ 1..=12), Some(day @ 1..=31)) => format!("{day} {} {year}", MONTHS[month - 1]),
            _ => when.to_owned(),
        },
        _ => when.to_owned(),
    }
}

/// "+0.1 %", "−0.1 %", "0.0 %".
pub(crate) fn signed_percent(share: f64) -> String {
    let text = say::percent(share, 1);
    if share > 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b)) { format!("+{text}") } else { text }
}

#[cfg(test)]
mod tests {
    use super::day;

    #[test]
    fn a_date_is_said_shortly_and_other_words_as_they_are() {
        assert_eq!(day("2026-04-08 07:50"), "8 Apr 2026");
        assert_eq!(day("2026-12-31T07:50:00Z"), "31 Dec 2026");
        for as_it_is in ["8 April, 07:50", "2026-13-08", "26-04-08", "before the first pull", ""] {
            assert_eq!(day(as_it_is), as_it_is);
        }
    }
}

//! Finding a unit by the text that somebody wrote.

use super::{Dimension, PressureReference, Unit, all_units};
use crate::written::edits;
use std::collections::HashMap;
use std::sync::LazyLock;

/// Why a text is no unit.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum UnitError {
    /// Nothing is called that.
    #[error("{}{}", unknown(.text, .wanted), similar(.near))]
    Unknown {
        /// The text as given.
        text: String,
        /// The kind of quantity asked for, if one was.
        wanted: Option<Dimension>,
        /// Symbols that look alike, or the usual units of the kind asked for.
        near: Vec<&'static str>,
    },
    /// The text has more than one reading.
    #[error("\"{text}\" can be read as {}; write the one that is meant", choices_text(.choices))]
    Ambiguous {
        /// The text as given.
        text: String,
        /// The readings.
        choices: Vec<&'static Unit>,
    },
    /// The text is a unit of another kind of quantity.
    #[error("\"{text}\" is a unit of {}; here {wanted} is expected, in {}", found.dimension, offered(*.wanted))]
    WrongKind {
        /// The text as given.
        text: String,
        /// What was found.
        found: &'static Unit,
        /// What was asked for.
        wanted: Dimension,
    },
    /// The unit is known, and needs more than a factor.
    #[error("\"{text}\" cannot be converted by itself: {why}")]
    Refused {
        /// The text as given.
        text: String,
        /// What is missing and what to write instead.
        why: &'static str,
    },
}

/// The unit that a text stands for, whatever it measures.
///
/// # Errors
/// [`UnitError::Unknown`] with look-alikes, [`UnitError::Ambiguous`] with the readings
/// (`lb` is a mass and a force), [`UnitError::Refused`] with the reason (`scfm`).
pub fn find_unit(text: &str) -> Result<&'static Unit, UnitError> {
    refuse(text)?;
    let found: Vec<&'static Unit> = matches(text, |unit| !unit.only_when_asked);
    match found.as_slice() {
        [] => Err(UnitError::Unknown { text: text.trim().to_owned(), wanted: None, near: near(text, None) }),
        [one] => Ok(one),
        _ => Err(UnitError::Ambiguous { text: text.trim().to_owned(), choices: found }),
    }
}

/// Whether a text is written like a unit: one we know, one with more than one reading, or one that
/// needs more than a factor. Much cheaper than [`find_unit`] where most texts are none.
pub fn is_unit(text: &str) -> bool {
    refuse(text).is_err() || !matches(text, |unit| !unit.only_when_asked).is_empty()
}

/// The unit that a text stands for when the kind of quantity is known: `lb` as a force is lbf.
///
/// # Errors
/// As [`find_unit`], and [`UnitError::WrongKind`] for a unit of another kind.
pub fn find_unit_in(text: &str, wanted: Dimension) -> Result<&'static Unit, UnitError> {
    refuse(text)?;
    let found: Vec<&'static Unit> = matches(text, |unit| unit.dimension == wanted);
    match found.as_slice() {
        [one] => return Ok(one),
        [] => {}
        _ => return Err(UnitError::Ambiguous { text: text.trim().to_owned(), choices: found }),
    }
    match matches(text, |unit| !unit.only_when_asked).first() {
        Some(found) => Err(UnitError::WrongKind { text: text.trim().to_owned(), found, wanted }),
        None => Err(UnitError::Unknown {
            text: text.trim().to_owned(),
            wanted: Some(wanted),
            near: near(text, Some(wanted)),
        }),
    }
}

/// Texts that are units and yet no plain factor.
const REFUSED: &[(&[&str], &str)] = &[
    (
        &["scfm", "slpm", "sl/min", "sccm", "nm3/h", "nl/min", "standard cfm", "std cfm", "std l/min"],
        "it is a mass flow in disguise, stated at a pressure and temperature that differ from maker to maker; \
         give the flow in a mass unit (kg/h, lb/h), or as cfm or L/min with the pressure and temperature it is stated at",
    ),
    (&["phi", "φ", "ϕ", "equivalence ratio", "eq ratio"], "an equivalence ratio is the inverse of lambda; give lambda"),
    (
        &["whp", "rwhp", "wheel hp", "wtq", "rwtq"],
        "it says where the power was measured, at the wheels; give hp or lb-ft, and name the channel for its place",
    ),
    (
        &["atdc", "°atdc", "°ca atdc", "° crank atdc"],
        "it counts after top dead centre, where spark and most of a cam card count before it; \
         turn the sign and write °BTDC",
    ),
    (&["sg", "specific gravity", "api"], "it needs the reference temperature; give a density in kg/m³ or lb/ft³"),
    (&["mpg", "l/100km"], "fuel per distance is no fuel flow; give a fuel flow in kg/h, lb/h, L/h or gal/h"),
];

fn refuse(text: &str) -> Result<(), UnitError> {
    let key = normal(text).to_lowercase();
    for (names, why) in REFUSED {
        if names.iter().any(|name| normal(name).to_lowercase() == key) {
            return Err(UnitError::Refused { text: text.trim().to_owned(), why });
        }
    }
    Ok(())
}

struct Index {
    exact: HashMap<String, Vec<&'static Unit>>,
    folded: HashMap<String, Vec<(String, &'static Unit)>>,
}

static INDEX: LazyLock<Index> = LazyLock::new(|| {
    let mut index = Index { exact: HashMap::new(), folded: HashMap::new() };
    for unit in all_units() {
        for spelling in spellings(unit) {
            let key = normal(&spelling);
            let exact = index.exact.entry(key.clone()).or_default();
            if !exact.iter().any(|other| std::ptr::eq(*other, unit)) {
                exact.push(unit);
            }
            let folded = index.folded.entry(key.to_lowercase()).or_default();
            if !folded.iter().any(|(other, known)| *other == key && std::ptr::eq(*known, unit)) {
                folded.push((key, unit));
            }
        }
    }
    index
});

fn spellings(unit: &'static Unit) -> Vec<String> {
    let mut all = vec![unit.symbol.to_owned()];
    let suffixes: &[&str] = match (unit.dimension, unit.reference) {
        (Dimension::Pressure, PressureReference::Gauge) => &["g", "gauge", "gage", "ga", "rel", "relative", "boost"],
        (Dimension::Pressure, PressureReference::Absolute) => &["a", "abs", "absolute"],
        (Dimension::Pressure, PressureReference::Vacuum) => &["vac", "vacuum", "v"],
        _ => &[""],
    };
    let plain = plain_symbol(unit);
    for base in unit.aliases.iter().copied().chain(plain) {
        all.extend(suffixes.iter().map(|suffix| format!("{base}{suffix}")));
    }
    all
}

/// The symbol of the plain unit behind a gauge, absolute or vacuum one.
fn plain_symbol(unit: &'static Unit) -> Option<&'static str> {
    if unit.dimension != Dimension::Pressure || unit.reference == PressureReference::Unstated {
        return None;
    }
    all_units()
        .find(|other| {
            other.reference == PressureReference::Unstated
                && other.dimension == Dimension::Pressure
                && other.scale == unit.scale.abs()
                && unit.symbol.starts_with(other.symbol)
        })
        .map(|other| other.symbol)
}

/// Units whose spelling is the text. Case decides first (`MPa`); a text in other case matches only
/// where it cannot turn milli into mega or back.
fn matches(text: &str, keep: impl Fn(&Unit) -> bool) -> Vec<&'static Unit> {
    let key = normal(text);
    if let Some(found) = INDEX.exact.get(&key) {
        let mut kept: Vec<&'static Unit> = Vec::new();
        for unit in found.iter().copied().filter(|unit| keep(unit)) {
            if !kept.iter().any(|other| same(other, unit)) {
                kept.push(unit);
            }
        }
        if !kept.is_empty() {
            return kept;
        }
    }
    let mut kept: Vec<&'static Unit> = Vec::new();
    for (spelling, unit) in INDEX.folded.get(&key.to_lowercase()).into_iter().flatten() {
        let milli_as_mega = key.starts_with('m') && spelling.starts_with('M');
        let mega_as_milli =
            key.starts_with('M') && spelling.starts_with('m') && key.chars().skip(1).any(char::is_lowercase);
        let word = spelling.chars().count() > 4;
        let clash = !word && (milli_as_mega || mega_as_milli);
        if keep(unit) && !clash && !kept.iter().any(|other| same(other, unit)) {
            kept.push(unit);
        }
    }
    kept
}

/// Two rows of the table that say the same: a unit may stand twice, once with spellings that are
/// found only when its kind is asked for.
fn same(a: &Unit, b: &Unit) -> bool {
    (a.dimension, a.symbol, a.reference, a.shaft) == (b.dimension, b.symbol, b.reference, b.shaft)
}

/// The text without what does not matter: spaces, joiners, brackets, carets; raised digits lowered.
fn normal(text: &str) -> String {
    let spaced = text.replace(" per ", "/");
    let mut out = String::with_capacity(spaced.len());
    for c in spaced.chars() {
        match c {
            '²' => out.push('2'),
            '³' => out.push('3'),
            '¹' => out.push('1'),
            '⁰' | '₀' => out.push('0'),
            '₂' => out.push('2'),
            '°' | 'º' | '˚' => out.push_str("deg"),
            '℃' => out.push_str("degC"),
            '℉' => out.push_str("degF"),
            'μ' | 'µ' => out.push('u'),
            '∆' => out.push('Δ'),
            '”' | '″' | '“' => out.push('"'),
            '’' | '′' | '‘' => out.push('\''),
            '÷' | '∕' | '⁄' => out.push('/'),
            '\u{feff}' | '\u{200b}' => {}
            '·' | '⋅' | '•' | '∙' | '*' | '×' | '-' | '‐' | '‑' | '–' | '−' | '⁻' | '.' | '_' | '^' | ',' =>
                {}
            '(' | ')' | '[' | ']' | '{' | '}' | '<' | '>' => {}
            c if c.is_whitespace() => {}
            c => out.push(c),
        }
    }
    if out.is_empty() && spaced.chars().any(|c| matches!(c, '-' | '–' | '−')) {
        // A dash in the place of a unit says "none".
        out.push('1');
    }
    out
}

fn near(text: &str, wanted: Option<Dimension>) -> Vec<&'static str> {
    let key = normal(text).to_lowercase();
    let length = key.chars().count();
    let mut found: Vec<(usize, &'static str)> = Vec::new();
    if (1..=24).contains(&length) {
        let allowed = if length <= 2 { 1 } else { 2 };
        for (spelling, units) in &INDEX.folded {
            if spelling.chars().count().abs_diff(length) > allowed {
                continue;
            }
            let distance = edits(&key, spelling);
            // A spelling of one or two letters is near to everything.
            if distance <= allowed && distance < spelling.chars().count() {
                for (_, unit) in units {
                    if wanted.is_none_or(|dimension| dimension == unit.dimension) {
                        found.push((distance, unit.symbol));
                    }
                }
            }
        }
    }
    found.sort_unstable();
    let mut symbols: Vec<&'static str> = Vec::new();
    for (_, symbol) in found {
        if !symbols.contains(&symbol) && symbols.len() < 4 {
            symbols.push(symbol);
        }
    }
    if let (true, Some(dimension)) = (symbols.is_empty(), wanted) {
        return usual(dimension);
    }
    symbols
}

/// The first few units of a kind, each symbol once.
fn usual(dimension: Dimension) -> Vec<&'static str> {
    let mut symbols: Vec<&'static str> = Vec::new();
    for unit in super::units_of(dimension).filter(|unit| unit.reference == PressureReference::Unstated) {
        if !symbols.contains(&unit.symbol) && symbols.len() < 4 {
            symbols.push(unit.symbol);
        }
    }
    symbols
}

fn choices_text(choices: &[&'static Unit]) -> String {
    let named: Vec<String> =
        choices.iter().map(|unit| format!("{} ({})", unit.symbol, unit.dimension.name())).collect();
    match named.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => named.concat(),
    }
}

fn unknown(text: &str, wanted: &Option<Dimension>) -> String {
    match (text.is_empty(), wanted) {
        (true, None) => "no unit is given".to_owned(),
        (true, Some(dimension)) => format!("no unit of {dimension} is given"),
        (false, None) => format!("no unit is written \"{text}\""),
        (false, Some(dimension)) => format!("no unit of {dimension} is written \"{text}\""),
    }
}

fn similar(near: &[&'static str]) -> String {
    if near.is_empty() { String::new() } else { format!("; among the known ones are {}", near.join(", ")) }
}

fn offered(wanted: Dimension) -> String {
    let usual = usual(wanted);
    match usual.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => usual.concat(),
    }
}

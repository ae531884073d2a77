//! Limits, bands and patterns as tables that a shop edits.
//!
//! A table is TOML. Figures carry their unit, every row names the tag of its source. A shop's table lies over the
//! shipped one: a row with the key of a shipped row takes its place, others are added, `off = true` takes one away.

use super::judged::{SourceTag, Sourced, Sure};
use super::patterns::Sign;
use super::table_text::{RawBand, RawLimit, RawPattern, RawTable};
use crate::Stated;
use quantity::Dimension;
use std::sync::LazyLock;

/// Name and text of each shipped file, to be written out and edited.
pub const SHIPPED_FILES: [(&str, &str); 2] = [
    ("limits.toml", include_str!("../../../../data/tests_before/limits.toml")),
    ("patterns.toml", include_str!("../../../../data/tests_before/patterns.toml")),
];

const VERSION: i64 = 1;

/// Tests a row may be for.
const TESTS: [&str; 12] = [
    "cranking",
    "leak_down",
    "leak_down_aircraft",
    "oil_pressure",
    "vacuum",
    "noise",
    "borescope",
    "filter_debris",
    "plugs",
    "cooling_pressure",
    "blow_by",
    "cylinder_balance",
];

/// Why a table cannot be used. Nothing of it is.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum TableError {
    /// It is no TOML, or a key is not known; the message names the line.
    #[error("the table of tests before teardown cannot be read: {0}")]
    Toml(String),
    /// A row says something that cannot be.
    #[error("{row}: {what}")]
    Row {
        /// Which row.
        row: String,
        /// What was found and what was expected.
        what: String,
    },
}

/// A figure that signs are read with.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Setting {
    key: String,
    si: f64,
}

/// A limit.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct LimitRow {
    key: String,
    test: String,
    figure: String,
    pub(super) dimension: Dimension,
    pub(super) min_si: Option<f64>,
    pub(super) max_si: Option<f64>,
    pub(super) words: String,
    pub(super) source: SourceTag,
    pub(super) do_not_run: bool,
}

/// A band of a figure with its name.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BandRow {
    test: String,
    figure: String,
    pub(super) from_si: f64,
    pub(super) to_si: f64,
    pub(super) words: String,
}

/// What a sign points to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PatternRow {
    key: String,
    sign: String,
    pub(super) words: String,
    pub(super) look: String,
    pub(super) sure: Sure,
    pub(super) source: SourceTag,
    pub(super) do_not_run: bool,
    pub(super) nothing_wrong: bool,
}

/// Limits, bands and patterns.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    title: String,
    sources: Vec<SourceTag>,
    settings: Vec<Setting>,
    limits: Vec<LimitRow>,
    bands: Vec<BandRow>,
    patterns: Vec<PatternRow>,
}

/// A figure with the kind of quantity that its unit names.
fn dimension_of(text: &str) -> Option<(Stated, Dimension)> {
    // A plain count first: a bare number would be read as a speed.
    const KINDS: [Dimension; 9] = [
        Dimension::Count,
        Dimension::Fraction,
        Dimension::Pressure,
        Dimension::RotationalSpeed,
        Dimension::VolumeFlow,
        Dimension::Temperature,
        Dimension::Length,
        Dimension::Angle,
        Dimension::Time,
    ];
    KINDS.into_iter().find_map(|kind| Stated::read(text, kind, None).ok().map(|s| (s, kind)))
}

impl Table {
    /// Reads a table over another one, which gives what this one does not say.
    ///
    /// # Errors
    /// [`TableError`] with the row at fault.
    pub fn parse(text: &str, base: Option<&Self>) -> Result<Self, TableError> {
        let raw: RawTable = toml_edit::de::from_str(text).map_err(|e| TableError::Toml(e.to_string()))?;
        if raw.version != VERSION {
            let what = format!("version {} is given, version {VERSION} was expected", raw.version);
            return Err(TableError::Row { row: "version".to_owned(), what });
        }
        let mut table = base.cloned().unwrap_or_default();
        table.title = raw.title;
        for source in raw.source {
            let row = || format!("source {}", source.tag);
            let standing = one_of(&source.standing, &Sourced::ALL, Sourced::name)
                .map_err(|what| TableError::Row { row: row(), what })?;
            let tag = SourceTag { tag: source.tag.clone(), standing, what: source.what.clone() };
            put(&mut table.sources, tag, |s| s.tag.clone());
        }
        for value in raw.value {
            let fault = |what: String| TableError::Row { row: format!("value {}", value.key), what };
            let (stated, _) = figure(&value.value).map_err(&fault)?;
            table.source(&value.source).map_err(&fault)?;
            if value.what.trim().is_empty() {
                return Err(fault("`what` is empty; say what it is".to_owned()));
            }
            put(&mut table.settings, Setting { key: value.key.clone(), si: stated.si }, |s| s.key.clone());
        }
        for row in raw.limit {
            if row.off {
                table.limits.retain(|l| l.key != row.key);
                continue;
            }
            let limit =
                table.limit_row(&row).map_err(|what| TableError::Row { row: format!("limit {}", row.key), what })?;
            put(&mut table.limits, limit, |l| l.key.clone());
        }
        let own: Vec<(String, String)> = raw.band.iter().map(|b| (b.test.clone(), b.figure.clone())).collect();
        // Bands of one figure belong together: a shop states all of them or none.
        table.bands.retain(|b| !own.contains(&(b.test.clone(), b.figure.clone())));
        for row in raw.band {
            let band =
                table.band_row(&row).map_err(|what| TableError::Row { row: format!("band {}", row.words), what })?;
            table.bands.push(band);
        }
        for row in raw.pattern {
            if row.off {
                table.patterns.retain(|p| p.key != row.key);
                continue;
            }
            let pattern = table
                .pattern_row(&row)
                .map_err(|what| TableError::Row { row: format!("pattern {}", row.key), what })?;
            put(&mut table.patterns, pattern, |p| p.key.clone());
        }
        Ok(table)
    }

    fn source(&self, tag: &str) -> Result<&SourceTag, String> {
        self.sources.iter().find(|s| s.tag == tag).ok_or_else(|| {
            let tags: Vec<&str> = self.sources.iter().map(|s| s.tag.as_str()).collect();
            format!("no source has the tag `{tag}`; known are {}", tags.join(", "))
        })
    }

    fn limit_row(&self, row: &RawLimit) -> Result<LimitRow, String> {
        test(&row.test)?;
        let read = |text: &Option<String>| text.as_deref().map(figure).transpose();
        let (min, max) = (read(&row.min)?, read(&row.max)?);
        let dimension = match (&min, &max) {
            (None, None) => return Err("no figure; write min or max with its unit".to_owned()),
            (Some((_, a)), Some((_, b))) if a != b => {
                return Err(format!("min is a {a} and max a {b}"));
            }
            (Some((_, a)), _) | (None, Some((_, a))) => *a,
        };
        let (min_si, max_si) = (min.map(|m| m.0.si), max.map(|m| m.0.si));
        if min_si.zip(max_si).is_some_and(|(min, max)| min > max) {
            return Err("min lies above max".to_owned());
        }
        if row.words.trim().is_empty() || row.figure.trim().is_empty() {
            return Err("`words` and `figure` are needed".to_owned());
        }
        Ok(LimitRow {
            key: row.key.clone(),
            test: row.test.clone(),
            figure: row.figure.clone(),
            dimension,
            min_si,
            max_si,
            words: row.words.clone(),
            source: self.source(&row.source)?.clone(),
            do_not_run: row.do_not_run,
        })
    }

    fn band_row(&self, row: &RawBand) -> Result<BandRow, String> {
        test(&row.test)?;
        self.source(&row.source)?;
        let edge = |text: &Option<String>, open: f64| match text {
            Some(text) => figure(text).map(|f| f.0.si),
            None => Ok(open),
        };
        let (from_si, to_si) = (edge(&row.from, f64::NEG_INFINITY)?, edge(&row.to, f64::INFINITY)?);
        if from_si >= to_si {
            return Err("`from` does not lie below `to`".to_owned());
        }
        let (test, figure) = (row.test.clone(), row.figure.clone());
        Ok(BandRow { test, figure, from_si, to_si, words: row.words.clone() })
    }

    fn pattern_row(&self, row: &RawPattern) -> Result<PatternRow, String> {
        if !Sign::ALL.iter().any(|s| s.key() == row.sign) {
            let keys: Vec<&str> = Sign::ALL.iter().map(|s| s.key()).collect();
            return Err(format!("no sign is called `{}`; known are {}", row.sign, keys.join(", ")));
        }
        if row.words.trim().is_empty() {
            return Err("`words` is empty; say what the sign points to".to_owned());
        }
        Ok(PatternRow {
            key: row.key.clone(),
            sign: row.sign.clone(),
            words: row.words.clone(),
            look: row.look.clone(),
            sure: one_of(&row.sure, &Sure::ALL, Sure::name)?,
            source: self.source(&row.source)?.clone(),
            do_not_run: row.do_not_run,
            nothing_wrong: row.nothing_wrong,
        })
    }

    /// A figure that signs are read with. Every key that the code asks for is in the shipped table, which lies under
    /// every other; a test asks for each.
    pub(super) fn value(&self, key: &str) -> f64 {
        let found = |t: &Self| t.settings.iter().find(|s| s.key == key).map(|s| s.si);
        found(self).or_else(|| found(shipped())).unwrap_or(f64::NAN)
    }

    pub(super) fn limits(&self, test: &str, figure: &str) -> impl Iterator<Item = &LimitRow> {
        self.limits.iter().filter(move |l| l.test == test && l.figure == figure)
    }

    /// Bands that a value with its guard reaches into.
    pub(super) fn bands(&self, test: &str, figure: &str, low: f64, high: f64) -> Vec<&BandRow> {
        let rows = self.bands.iter().filter(|b| b.test == test && b.figure == figure);
        rows.filter(|b| b.from_si < high && b.to_si >= low).collect()
    }

    pub(super) fn patterns(&self, sign: &str) -> impl Iterator<Item = &PatternRow> {
        self.patterns.iter().filter(move |p| p.sign == sign)
    }

    /// Signs that no pattern speaks of: the program sees them and has nothing to say.
    pub fn silent_signs(&self) -> Vec<&'static str> {
        let silent = Sign::ALL.iter().filter(|s| self.patterns(s.key()).next().is_none());
        silent.map(|s| s.key()).collect()
    }
}

fn test(name: &str) -> Result<(), String> {
    if TESTS.contains(&name) {
        Ok(())
    } else {
        Err(format!("no test is called `{name}`; known are {}", TESTS.join(", ")))
    }
}

fn figure(text: &str) -> Result<(Stated, Dimension), String> {
    dimension_of(text).ok_or_else(|| format!("\"{text}\" is no figure; write a number and its unit, as in \"75 %\""))
}

fn one_of<T: Copy>(name: &str, all: &[T], of: fn(T) -> &'static str) -> Result<T, String> {
    all.iter().copied().find(|one| of(*one) == name).ok_or_else(|| {
        let names: Vec<&str> = all.iter().map(|one| of(*one)).collect();
        format!("`{name}` is not known; write one of {}", names.join(", "))
    })
}

fn put<T>(rows: &mut Vec<T>, new: T, key: fn(&T) -> String) {
    let name = key(&new);
    match rows.iter_mut().find(|row| key(row) == name) {
        Some(row) => *row = new,
        None => rows.push(new),
    }
}

/// The tables that come with the program.
pub fn shipped() -> &'static Table {
    &SHIPPED
}

// The texts are compiled in and a test reads every one of them, so that a fault cannot reach a shop.
static SHIPPED: LazyLock<Table> = LazyLock::new(|| {
    SHIPPED_FILES.iter().fold(Table::default(), |base, (name, text)| {
        Table::parse(text, Some(&base)).unwrap_or_else(|error| panic!("{name}: {error}"))
    })
});

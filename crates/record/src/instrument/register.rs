//! The register: a text that the shop edits.

use crate::sheet::fields::Texts as _;
use crate::{Stated, StatedError};
use jiff::civil::Date;
use quantity::Dimension;
use quantity::written::{self, Fields, Parsed, suggestion};
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, value};

/// The version of the format that this program reads and writes.
const VERSION: i64 = 1;

/// The register that comes with the program: kinds of instruments with what can honestly be said of them.
/// Nothing in it is calibrated; a shop puts in its own.
pub const STARTER_TEXT: &str = include_str!("../../../../data/instruments/starter.toml");

/// The starter register, read.
pub fn starter() -> &'static Register {
    static READ: std::sync::LazyLock<Register> = std::sync::LazyLock::new(|| {
        // The text is compiled in and a test reads it.
        Register::parse(STARTER_TEXT).unwrap_or_else(|error| panic!("starter.toml: {error}"))
    });
    &READ
}

/// A shop's instruments.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Register {
    /// What the register is called.
    pub title: String,
    /// Its instruments, in the order of the text.
    pub instruments: Vec<Instrument>,
}

/// An instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// Its key: "bore_gauge_2".
    pub key: String,
    /// Its name: "Bore gauge 2".
    pub name: String,
    /// Kind, as templates ask for it: "bore gauge".
    pub kind: String,
    /// What it measures.
    pub measures: Dimension,
    /// Step of its scale, SI.
    pub step_si: Option<f64>,
    /// Standard uncertainty (k = 1) of one reading, SI.
    pub u_si: Option<f64>,
    /// Standard uncertainty as a share of the reading.
    pub u_share: Option<f64>,
    /// The part of `u_si` that differs from reading to reading.
    pub u_repeat_si: Option<f64>,
    /// The part of `u_share` that differs from reading to reading.
    pub u_repeat_share: Option<f64>,
    /// Coverage factor that the register's ± was stated with; divided out above.
    pub coverage: f64,
    /// How long a calibration counts.
    pub interval: Option<Interval>,
    /// Calibrations, oldest first.
    pub calibrations: Vec<Calibration>,
    /// Where its figures come from: "certificate", "common practice, no source".
    pub standing: String,
    /// What is to be known.
    pub note: String,
}

/// How long a calibration counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Interval {
    /// Calendar months.
    Months(u32),
    /// Days.
    Days(u32),
}

/// A calibration.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calibration {
    /// Its day.
    pub on: Date,
    /// By whom.
    pub by: String,
    /// Number of the certificate.
    pub certificate: String,
    /// What was found before anything was adjusted.
    pub as_found: String,
    /// Last day on which it counts, where the certificate says another than the interval gives.
    pub until: Option<Date>,
}

/// Why a register cannot be read. Nothing of the text is used.
pub type RegisterError = quantity::written::TextError;

impl Register {
    /// Reads a register.
    ///
    /// # Errors
    /// [`RegisterError`] at the first fault.
    pub fn parse(text: &str) -> Result<Self, RegisterError> {
        written::read(text, register)
    }

    /// An instrument by its key.
    pub fn find(&self, key: &str) -> Option<&Instrument> {
        self.instruments.iter().find(|i| i.key == key)
    }

    /// Instruments of a kind that a template asks for, those of the kind first, then all others that measure the
    /// same quantity.
    pub fn for_kind(&self, kind: &str, measures: Dimension) -> Vec<&Instrument> {
        let of_kind = |i: &&Instrument| i.kind == kind;
        let same = self.instruments.iter().filter(|i| !of_kind(i) && i.measures == measures);
        self.instruments.iter().filter(of_kind).chain(same).collect()
    }
}

impl Calibration {
    /// Last day on which it counts; none where no end is stated.
    pub fn due(&self, interval: Option<Interval>) -> Option<Date> {
        if self.until.is_some() {
            return self.until;
        }
        let span = match interval? {
            Interval::Months(months) => jiff::Span::new().try_months(i64::from(months)),
            Interval::Days(days) => jiff::Span::new().try_days(i64::from(days)),
        };
        self.on.checked_add(span.ok()?).ok()
    }
}

/// A register's text with one more calibration under an instrument; everything else stays as it is written.
///
/// # Errors
/// [`RegisterError`] for a text that cannot be read, before or after, and for an instrument that is not in it.
pub fn with_calibration(text: &str, key: &str, calibration: &Calibration) -> Result<String, RegisterError> {
    let known = Register::parse(text)?;
    let absent = |suggestion| RegisterError {
        line: 1,
        column: 1,
        what: format!("no instrument is called `{key}`; nothing was written"),
        suggestion,
    };
    if known.find(key).is_none() {
        return Err(absent(suggestion(key, known.instruments.iter().map(|i| i.key.as_str()))));
    }
    let mut document: DocumentMut = text.parse().map_err(|_| absent(None))?;
    let tables = document.get_mut("instrument").and_then(Item::as_array_of_tables_mut).ok_or_else(|| absent(None))?;
    let own = tables.iter_mut().find(|t| t.get("key").and_then(Item::as_str) == Some(key));
    let own = own.ok_or_else(|| absent(None))?;
    let mut table = Table::new();
    table.insert("on", value(calibration.on.to_string()));
    for (field, words) in
        [("by", &calibration.by), ("certificate", &calibration.certificate), ("as_found", &calibration.as_found)]
    {
        if !words.is_empty() {
            table.insert(field, value(words.as_str()));
        }
    }
    if let Some(until) = calibration.until {
        table.insert("until", value(until.to_string()));
    }
    let list = own.entry("calibration").or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    match list.as_array_of_tables_mut() {
        Some(list) => list.push(table),
        None => return Err(absent(None)),
    }
    let text = document.to_string();
    Register::parse(&text)?;
    Ok(text)
}

fn register(root: &Fields<'_>) -> Parsed<Register> {
    root.only(&["version", "title", "instrument"])?;
    root.version(VERSION)?;
    let mut register = Register { title: root.text("title")?, instruments: Vec::new() };
    for fields in root.tables("instrument")? {
        let instrument = instrument(&fields)?;
        if register.find(&instrument.key).is_some() {
            let what = format!("a second instrument `{}`", instrument.key);
            return Err(fields.fault("key", what, Some("give each its own key".to_owned())));
        }
        register.instruments.push(instrument);
    }
    Ok(register)
}

const MEASURES: [Dimension; 14] = [
    Dimension::Length,
    Dimension::Volume,
    Dimension::Mass,
    Dimension::Force,
    Dimension::Torque,
    Dimension::Pressure,
    Dimension::Temperature,
    Dimension::Time,
    Dimension::RotationalSpeed,
    Dimension::Angle,
    Dimension::VolumeFlow,
    Dimension::MassFlow,
    Dimension::Fraction,
    Dimension::Count,
];

fn instrument(fields: &Fields<'_>) -> Parsed<Instrument> {
    fields.only(&[
        "key",
        "name",
        "kind",
        "measures",
        "step",
        "plus_minus",
        "share",
        "repeat",
        "repeat_share",
        "coverage",
        "interval",
        "standing",
        "note",
        "calibration",
    ])?;
    let words: Vec<(&str, Dimension)> = MEASURES.iter().map(|k| (k.name(), *k)).collect();
    let measures = fields.one_of("measures", &words, None)?;
    let coverage = match fields.table.get("coverage") {
        None => 2.0,
        Some(item) => item
            .as_float()
            .or_else(|| item.as_integer().map(|n| n as f64))
            .filter(|k| (1.0..=4.0).contains(k))
            .ok_or_else(|| {
                fields.fault(
                    "coverage",
                    "`coverage` is no factor between 1 and 4".to_owned(),
                    Some("certificates mostly say 2".to_owned()),
                )
            })?,
    };
    let figure = |name: &str, kind: Dimension| -> Parsed<Option<f64>> {
        let Some(text) = fields.maybe_text(name)? else { return Ok(None) };
        let text = text.trim_start_matches('±').trim();
        let stated = difference(text, kind).map_err(|e| fields.fault(name, e.to_string(), None))?;
        if stated > 0.0 {
            return Ok(Some(stated));
        }
        Err(fields.fault(name, format!("`{name}` is \"{text}\"; a figure above zero was expected"), None))
    };
    let over = |figure: Option<f64>| figure.map(|f| f / coverage);
    let read = Instrument {
        key: fields.key("key")?,
        name: fields.text("name")?,
        kind: fields.text("kind")?,
        measures,
        step_si: figure("step", measures)?,
        u_si: over(figure("plus_minus", measures)?),
        u_share: over(figure("share", Dimension::Fraction)?),
        u_repeat_si: over(figure("repeat", measures)?),
        u_repeat_share: over(figure("repeat_share", Dimension::Fraction)?),
        coverage,
        interval: interval(fields)?,
        calibrations: calibrations(fields)?,
        standing: fields.text("standing")?,
        note: fields.maybe_text("note")?.unwrap_or_default(),
    };
    if read.name.contains(',') {
        let hint = "leave the comma out: in build files a comma ends the instrument's name".to_owned();
        return Err(fields.fault("name", format!("\"{}\" has a comma in it", read.name), Some(hint)));
    }
    if read.u_si.is_none() && read.u_share.is_none() {
        let what = format!("nothing is said of how well `{}` reads", read.key);
        return Err(fields.fault("key", what, Some("write plus_minus = \"0.004 mm\" or share = \"2 %\"".to_owned())));
    }
    for (name, whole, part) in
        [("repeat", read.u_si, read.u_repeat_si), ("repeat_share", read.u_share, read.u_repeat_share)]
    {
        if let Some(part) = part
            && whole.is_none_or(|whole| part > whole * (1.0 + 1e-9))
        {
            let what = format!("`{name}` is larger than the whole that it is a part of");
            return Err(fields.fault(name, what, None));
        }
    }
    Ok(read)
}

/// A step or ± of a kind: for temperatures a difference, not a place on the scale.
fn difference(text: &str, kind: Dimension) -> Result<f64, StatedError> {
    let kind = if kind == Dimension::Temperature { Dimension::TemperatureDifference } else { kind };
    Stated::read(text, kind, None).map(|stated| stated.si)
}

fn interval(fields: &Fields<'_>) -> Parsed<Option<Interval>> {
    let Some(text) = fields.maybe_text("interval")? else { return Ok(None) };
    let read = text.split_once(' ').and_then(|(number, unit)| {
        let number: u32 = number.parse().ok().filter(|n| (1..=3650).contains(n))?;
        match unit.trim() {
            "month" | "months" => Some(Interval::Months(number)),
            "day" | "days" => Some(Interval::Days(number)),
            "year" | "years" => Some(Interval::Months(12 * number)),
            _ => None,
        }
    });
    read.map(Some).ok_or_else(|| {
        let what = format!("\"{text}\" is no interval");
        fields.fault("interval", what, Some("write \"12 months\" or \"90 days\"".to_owned()))
    })
}

fn calibrations(fields: &Fields<'_>) -> Parsed<Vec<Calibration>> {
    let mut all = Vec::new();
    for fields in fields.tables("calibration")? {
        fields.only(&["on", "by", "certificate", "as_found", "until"])?;
        let day = |name: &str| -> Parsed<Option<Date>> {
            let Some(text) = fields.maybe_text(name)? else { return Ok(None) };
            text.parse().map(Some).map_err(|_| {
                let hint = Some("write the day as 2026-03-12".to_owned());
                fields.fault(name, format!("\"{text}\" is no day"), hint)
            })
        };
        let on =
            day("on")?.ok_or_else(|| fields.fault("on", "`on` is missing".to_owned(), suggestion("on", ["on"])))?;
        let until = day("until")?;
        if until.is_some_and(|until| until < on) {
            return Err(fields.fault("until", "the calibration ends before it begins".to_owned(), None));
        }
        let words = |name: &str| Ok(fields.maybe_text(name)?.unwrap_or_default());
        all.push(Calibration {
            on,
            by: words("by")?,
            certificate: words("certificate")?,
            as_found: words("as_found")?,
            until,
        });
    }
    all.sort_by_key(|c| c.on);
    Ok(all)
}

//! How cells write: no two alike.

use crate::table::Table;
use std::fmt::Write as _;

/// How time is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimeStyle {
    /// Seconds with three decimals.
    Seconds,
    /// Whole milliseconds.
    Milliseconds,
    /// Hours, minutes, seconds and a fraction: `0:01:12.340`.
    Clock,
}

/// Where units stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnitStyle {
    /// `Torque [lb-ft]`.
    Brackets,
    /// `Torque (N·m)`.
    Parentheses,
    /// In a row of their own under the names.
    OwnRow,
}

/// Bytes of the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8 without a mark.
    Utf8,
    /// Windows-1252.
    Windows1252,
    /// UTF-16, little end first, with a byte order mark.
    Utf16,
}

/// One column as a cell writes it.
#[derive(Debug, Clone, PartialEq)]
pub struct ColumnStyle {
    /// Role key.
    pub key: String,
    /// Name as written.
    pub name: String,
    /// Unit as written.
    pub unit: String,
    /// Decimals.
    pub decimals: usize,
}

/// How one cell writes its logs.
#[derive(Debug, Clone, PartialEq)]
pub struct Style {
    /// Delimiter.
    pub delimiter: char,
    /// Decimal mark.
    pub decimal: char,
    /// Where units stand.
    pub units: UnitStyle,
    /// How time is written.
    pub time: TimeStyle,
    /// Name of the time column.
    pub time_name: String,
    /// Bytes.
    pub encoding: Encoding,
    /// Line end.
    pub line_end: &'static str,
    /// Lines before the header, after the one that says that the data are invented.
    pub preamble: Vec<String>,
    /// The header comes again after so many rows.
    pub repeat_header: Option<usize>,
    /// What stands where there is no value.
    pub missing: &'static str,
    /// A delimiter at the end of each line.
    pub trailing_delimiter: bool,
    /// The columns in the order written; channels of the log that are not named here are left out.
    pub columns: Vec<ColumnStyle>,
}

impl Style {
    /// Whether a channel is written.
    pub fn writes(&self, key: &str) -> bool {
        self.columns.iter().any(|c| c.key == key)
    }

    /// The log as bytes.
    pub fn write(&self, table: &Table, title: &str) -> Vec<u8> {
        let columns: Vec<(&ColumnStyle, &[f64])> =
            self.columns.iter().filter_map(|c| Some((c, table.values(&c.key)?))).collect();
        let mut text = String::new();
        let mut line = |cells: Vec<String>| {
            text.push_str(&cells.join(&self.delimiter.to_string()));
            if self.trailing_delimiter {
                text.push(self.delimiter);
            }
            text.push_str(self.line_end);
        };
        let header = self.header(columns.iter().map(|c| c.0));
        let preamble = [format!("invented data: {title}")];
        for words in preamble.iter().chain(&self.preamble) {
            line(vec![words.clone()]);
        }
        header.iter().for_each(|row| line(row.clone()));
        for row in 0..table.time_s.len() {
            if self.repeat_header.is_some_and(|n| row > 0 && row % n == 0) {
                header.iter().for_each(|row| line(row.clone()));
            }
            let mut cells = vec![self.time(table.time_s[row])];
            cells.extend(columns.iter().map(|(c, values)| self.number(from_si(&c.unit, values[row]), c.decimals)));
            line(cells);
        }
        encode(&text, self.encoding)
    }

    fn header<'a>(&self, columns: impl Iterator<Item = &'a ColumnStyle>) -> Vec<Vec<String>> {
        let time_unit = match self.time {
            TimeStyle::Seconds => "s",
            TimeStyle::Milliseconds => "ms",
            TimeStyle::Clock => "h:m:s",
        };
        let (mut names, mut units) = (vec![self.time_name.clone()], vec![time_unit.to_owned()]);
        for column in columns {
            names.push(column.name.clone());
            units.push(column.unit.clone());
        }
        let joined = |open: &str, close: &str| {
            names
                .iter()
                .zip(&units)
                .map(|(n, u)| if u.is_empty() || u == "h:m:s" { n.clone() } else { format!("{n} {open}{u}{close}") })
                .collect()
        };
        match self.units {
            UnitStyle::Brackets => vec![joined("[", "]")],
            UnitStyle::Parentheses => vec![joined("(", ")")],
            UnitStyle::OwnRow => vec![names, units],
        }
    }

    fn time(&self, time_s: f64) -> String {
        match self.time {
            TimeStyle::Seconds => self.number(time_s, 3),
            TimeStyle::Milliseconds => format!("{}", (time_s * 1000.0).round() as i64),
            TimeStyle::Clock => {
                let ms = (time_s * 1000.0).round() as i64;
                let (h, m, s) = (ms / 3_600_000, ms / 60_000 % 60, ms % 60_000);
                format!("{h}:{m:02}:{:02}.{:03}", s / 1000, s % 1000)
            }
        }
    }

    fn number(&self, value: f64, decimals: usize) -> String {
        if value.is_nan() {
            return self.missing.to_owned();
        }
        let mut text = String::new();
        // `+ 0.0` turns −0 into 0; a String takes every write.
        let _ = write!(text, "{:.*}", decimals, value + 0.0);
        if self.decimal == '.' { text } else { text.replace('.', &self.decimal.to_string()) }
    }
}

/// A value in SI as a number in a unit; the units that the invented cells use.
///
/// # Panics
/// With a unit that is not in the list: a mistake in a story, met by its tests.
pub fn from_si(unit: &str, si: f64) -> f64 {
    let scale = match unit {
        "" | "λ" | "lambda" | "V" => 1.0,
        "rpm" | "1/min" => 30.0 / std::f64::consts::PI,
        "lb-ft" | "lbf·ft" => 1.0 / crate::story::NM_PER_LB_FT,
        "Nm" | "N·m" => 1.0,
        "hp" => 1.0 / crate::story::W_PER_HP,
        "kW" => 1e-3,
        "kPa" | "kPa abs" => 1e-3,
        "hPa" | "mbar" => 1e-2,
        "bar" => 1e-5,
        "psi" | "psig" => 1.0 / 6_894.757_293_168,
        "inHg" => 1.0 / 3_386.389,
        "%" | "% RH" => 100.0,
        "°" | "deg" | "° BTDC" => 180.0 / std::f64::consts::PI,
        "lb/h" => 3_600.0 / 0.453_592_37,
        "kg/h" => 3_600.0,
        "°C" => return si - 273.15,
        "°F" => return si * 1.8 - 459.67,
        other => panic!("no invented cell writes the unit {other:?}"),
    };
    si * scale
}

fn encode(text: &str, encoding: Encoding) -> Vec<u8> {
    match encoding {
        Encoding::Utf8 => text.as_bytes().to_vec(),
        // The characters used stand at their Unicode places in Windows-1252; anything else would show as "?".
        Encoding::Windows1252 => text.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect(),
        Encoding::Utf16 => {
            let mut bytes = vec![0xff, 0xfe];
            bytes.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
            bytes
        }
    }
}

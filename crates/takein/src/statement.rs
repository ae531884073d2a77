//! What people state about a run, as they type it, into a [`Setup`].
//!
//! One list of keys serves the command's flags and the page's form, so that both read the same
//! words the same way. A number that carries a kind of quantity needs its unit: nothing is guessed.

use crate::said::CellSaid;
use gas::correction::{InductionResponse, Standard};
use pull::cell::Known;
use pull::setup::{Accelerate, Band, Setup};
use quantity::{Dimension, Origin, PressureReference, find_unit_in};

/// A statement that cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StatementError {
    /// There is no such statement.
    #[error("there is no statement called `{key}`")]
    NoSuchKey {
        /// The key as given.
        key: String,
    },
    /// The text does not say what is needed.
    #[error("{label}: `{found}` cannot be used: {why}\n  go on    write it like {example}")]
    NotUsable {
        /// What was stated, in words.
        label: &'static str,
        /// The text as typed.
        found: String,
        /// Why not.
        why: String,
        /// How it is written.
        example: &'static str,
    },
}

/// Everything that may be stated: key, label, example. Keys are the command's flags without dashes.
pub const STATEMENTS: &[(&str, &str, &str)] = &[
    ("standard", "standard", "sae_j1349"),
    ("induction", "induction", "follows, held or unknown"),
    ("band", "band of use", "3000-6200"),
    ("baro", "barometer", "29.2 inHg"),
    ("air", "intake air", "76 F"),
    ("humidity", "relative humidity", "45 %"),
    ("vapour", "vapour pressure", "11 mbar"),
    ("altitude", "altitude of the cell", "300 m"),
    ("inertia", "moment of inertia", "0.4 kg·m²"),
    ("arm", "torque arm", "0.7162 m"),
    ("displacement", "displacement", "2.4 L"),
    ("stroke", "stroke", "86 mm"),
    ("cylinders", "cylinders", "6"),
    ("two_stroke", "two-stroke", "yes or no"),
    ("friction", "friction mean effective pressure", "1.6 bar"),
    ("fuel", "fuel", "93 AKI pump"),
    ("stoich", "stoichiometric ratio of the fuel", "14.7"),
    ("density", "density of the fuel", "745 kg/m³"),
    ("blower_ratio", "blower ratio", "2.1"),
    ("use", "use profile", "street"),
    ("smooth", "smoothing half width", "75 rpm"),
    ("plateau", "share of best torque that counts as plateau", "95 %"),
    ("marine", "marine or aircraft use", "yes or no"),
    ("extrapolate", "peak beyond the data", "yes or no"),
    ("accelerate", "inertia to be accelerated, and speeds", "0.5 kg·m² 3000-6000"),
];

/// Puts one statement, as typed, into the setup (or what is said of the cell). An empty text takes it back.
///
/// # Errors
/// [`StatementError::NoSuchKey`]; [`StatementError::NotUsable`] for a number without its unit, a
/// unit of another kind, or a value outside what can be. Setup and cell are then as before.
pub fn state(setup: &mut Setup, cell: &mut CellSaid, key: &str, text: &str, by: &str) -> Result<(), StatementError> {
    let Some(&(_, label, example)) = STATEMENTS.iter().find(|row| row.0 == key) else {
        return Err(StatementError::NoSuchKey { key: key.to_owned() });
    };
    let text = text.trim();
    let typed = Typed { text, by };
    let given = !text.is_empty();
    let default = Setup::default();
    let put = || -> Result<Put, String> {
        Ok(match key {
            "standard" => Put::Standard(if given { standard(text)? } else { default.standard }),
            "induction" => Put::Induction(if given { induction(text)? } else { default.induction }),
            "band" => Put::Band(given.then(|| band(text)).transpose()?),
            "baro" | "vapour" => Put::Known(given.then(|| typed.absolute_pressure()).transpose()?),
            "friction" => Put::Known(given.then(|| typed.pressure_difference()).transpose()?),
            "air" => Put::Known(given.then(|| typed.positive(Dimension::Temperature)).transpose()?),
            "humidity" => Put::Known(given.then(|| typed.fraction()).transpose()?),
            "altitude" => Put::Number(given.then(|| typed.value(Dimension::Length)).transpose()?),
            "inertia" => Put::Known(given.then(|| typed.positive(Dimension::Inertia)).transpose()?),
            "arm" | "stroke" => Put::Known(given.then(|| typed.positive(Dimension::Length)).transpose()?),
            "displacement" => Put::Known(given.then(|| typed.positive(Dimension::Volume)).transpose()?),
            "density" => Put::Known(given.then(|| typed.positive(Dimension::Density)).transpose()?),
            "stoich" | "blower_ratio" => Put::Known(given.then(|| typed.plain_positive()).transpose()?),
            "cylinders" => Put::Count(given.then(|| cylinders(text)).transpose()?),
            "two_stroke" | "marine" | "extrapolate" => Put::Yes(given && yes(text)?),
            "fuel" | "use" => Put::Text(given.then(|| text.to_owned())),
            "smooth" => Put::Number(given.then(|| speed_width(text)).transpose()?),
            "plateau" => Put::Known(given.then(|| typed.fraction()).transpose()?),
            _ => Put::Accelerate(given.then(|| typed.accelerate()).transpose()?),
        })
    };
    let put = put().map_err(|why| StatementError::NotUsable { label, found: text.to_owned(), why, example })?;
    match (key, put) {
        ("standard", Put::Standard(v)) => setup.standard = v,
        ("induction", Put::Induction(v)) => setup.induction = v,
        ("band", Put::Band(v)) => setup.band = v,
        ("baro", Put::Known(v)) => setup.barometer_pa = v,
        ("air", Put::Known(v)) => setup.air_temperature_k = v,
        ("humidity", Put::Known(v)) => setup.humidity = v,
        ("vapour", Put::Known(v)) => setup.vapour_pressure_pa = v,
        ("friction", Put::Known(v)) => setup.friction_fmep_pa = v,
        ("altitude", Put::Number(v)) => cell.altitude_m = v,
        ("inertia", Put::Known(v)) => cell.inertia = v,
        ("arm", Put::Known(v)) => cell.arm = v,
        ("displacement", Put::Known(v)) => setup.displacement_m3 = v,
        ("stroke", Put::Known(v)) => setup.stroke_m = v,
        ("cylinders", Put::Count(v)) => setup.cylinders = v,
        ("two_stroke", Put::Yes(v)) => setup.four_stroke = !v,
        ("marine", Put::Yes(v)) => setup.marine_or_aircraft = v,
        ("extrapolate", Put::Yes(v)) => setup.extrapolate = v,
        ("fuel", Put::Text(v)) => setup.fuel = v,
        ("use", Put::Text(v)) => setup.use_profile = v,
        ("stoich", Put::Known(v)) => setup.fuel_stoich = v,
        ("density", Put::Known(v)) => setup.fuel_density_kg_m3 = v,
        ("blower_ratio", Put::Known(v)) => setup.blower_ratio = v,
        ("smooth", Put::Number(v)) => setup.half_width_rpm = v.unwrap_or(default.half_width_rpm),
        ("plateau", Put::Known(v)) => setup.plateau_share = v.map_or(default.plateau_share, |k| k.value),
        ("accelerate", Put::Accelerate(v)) => setup.accelerate = v,
        _ => return Err(StatementError::NoSuchKey { key: key.to_owned() }),
    }
    Ok(())
}

/// A statement understood, before it is put in its place.
enum Put {
    Standard(Standard),
    Induction(InductionResponse),
    Band(Option<Band>),
    Known(Option<Known>),
    Number(Option<f64>),
    Count(Option<u32>),
    Yes(bool),
    Text(Option<String>),
    Accelerate(Option<Accelerate>),
}

/// A text and who typed it.
#[derive(Clone, Copy)]
struct Typed<'a> {
    text: &'a str,
    by: &'a str,
}

impl Typed<'_> {
    fn known(self, value: f64) -> Known {
        Known { value, u: None, text: self.text.to_owned(), origin: Origin::Claimed { by: self.by.to_owned() } }
    }

    fn value(self, dimension: Dimension) -> Result<f64, String> {
        Ok(self.with_unit(dimension)?.0)
    }

    fn with_unit(self, dimension: Dimension) -> Result<(f64, PressureReference), String> {
        let (number, unit) = split(self.text)?;
        if unit.is_empty() {
            return Err(format!("it has no unit; {} needs one", dimension.name()));
        }
        let unit = find_unit_in(unit, dimension).map_err(|e| e.to_string())?;
        Ok((unit.to_si(number), unit.reference))
    }

    fn positive(self, dimension: Dimension) -> Result<Known, String> {
        let value = self.value(dimension)?;
        match dimension {
            _ if value > 0.0 => Ok(self.known(value)),
            Dimension::Temperature => Err("it lies below absolute zero".to_owned()),
            _ => Err("it must be above zero".to_owned()),
        }
    }

    fn absolute_pressure(self) -> Result<Known, String> {
        let (value, reference) = self.with_unit(Dimension::Pressure)?;
        if matches!(reference, PressureReference::Gauge | PressureReference::Vacuum) {
            return Err("it is counted from the air around; the station pressure itself is needed".to_owned());
        }
        if value >= 0.0 { Ok(self.known(value)) } else { Err("it must not be below zero".to_owned()) }
    }

    fn pressure_difference(self) -> Result<Known, String> {
        let (value, reference) = self.with_unit(Dimension::Pressure)?;
        if reference == PressureReference::Vacuum {
            return Err("a vacuum makes no sense here".to_owned());
        }
        if value > 0.0 { Ok(self.known(value)) } else { Err("it must be above zero".to_owned()) }
    }

    fn fraction(self) -> Result<Known, String> {
        let (number, unit) = split(self.text)?;
        let value = match unit {
            "" if number > 1.0 => return Err(format!("say whether it is {number} %")),
            "" => number,
            unit => find_unit_in(unit, Dimension::Fraction).map_err(|e| e.to_string())?.to_si(number),
        };
        if (0.0..=1.0).contains(&value) {
            Ok(self.known(value))
        } else {
            Err("it must lie within 0 and 100 %".to_owned())
        }
    }

    fn plain_positive(self) -> Result<Known, String> {
        let (number, unit) = split(self.text)?;
        if !matches!(unit, "" | ":1") {
            return Err("a plain number is expected".to_owned());
        }
        if number > 0.0 { Ok(self.known(number)) } else { Err("it must be above zero".to_owned()) }
    }

    fn accelerate(self) -> Result<Accelerate, String> {
        let (inertia, speeds) =
            self.text.rsplit_once(char::is_whitespace).ok_or("an inertia and two speeds are expected")?;
        let band = band(speeds)?;
        let inertia_kg_m2 = Typed { text: inertia.trim(), ..self }.positive(Dimension::Inertia)?;
        Ok(Accelerate { inertia_kg_m2, from_rpm: band.from_rpm, to_rpm: band.to_rpm })
    }
}

/// "29.2 inHg" → 29.2 and "inHg". A comma between digits is a decimal comma only if it cannot be a thousands mark.
fn split(text: &str) -> Result<(f64, &str), String> {
    let end = text
        .char_indices()
        .take_while(|&(i, c)| c.is_ascii_digit() || matches!(c, '.' | ',') || (i == 0 && matches!(c, '-' | '+' | '−')))
        .last()
        .map_or(0, |(i, c)| i + c.len_utf8());
    let (number, unit) = (&text[..end], text[end..].trim());
    if number.is_empty() {
        return Err("it does not begin with a number".to_owned());
    }
    let plain = number.replace('−', "-");
    let plain = match plain.split_once(',') {
        None => plain,
        Some((_, after)) if after.len() == 3 && !plain.contains('.') => {
            return Err(format!(
                "`{number}` can be read as {} and as {}; write it without the comma or with a point",
                plain.replace(',', ""),
                plain.replace(',', ".")
            ));
        }
        Some((_, after)) if !after.contains([',', '.']) => plain.replace(',', "."),
        Some(_) => return Err(format!("`{number}` is no number")),
    };
    let value: f64 = plain.parse().map_err(|_| format!("`{number}` is no number"))?;
    Ok((value, unit))
}

/// "3000-6200", "3,000–6,200 rpm", "3000 to 6200".
fn band(text: &str) -> Result<Band, String> {
    let plain =
        text.trim().trim_end_matches("rpm").trim_end().replace(['–', '—'], "-").replace(" to ", "-").replace(',', "");
    let two = || "two speeds in rpm are expected".to_owned();
    let (from, to) = plain.split_once('-').ok_or_else(two)?;
    let speed = |t: &str| t.trim().parse::<f64>().ok().filter(|v| v.is_finite() && *v >= 0.0).ok_or_else(two);
    let (from_rpm, to_rpm) = (speed(from)?, speed(to)?);
    if from_rpm < to_rpm { Ok(Band { from_rpm, to_rpm }) } else { Err("the lower speed comes first".to_owned()) }
}

/// A width in rpm; "75" and "75 rpm" are the same.
fn speed_width(text: &str) -> Result<f64, String> {
    let (value, unit) = split(text)?;
    if !matches!(unit, "" | "rpm") {
        return Err("a width in rpm is expected".to_owned());
    }
    if value > 0.0 { Ok(value) } else { Err("it must be above zero".to_owned()) }
}

fn cylinders(text: &str) -> Result<u32, String> {
    text.parse()
        .ok()
        .filter(|n| (1..=64).contains(n))
        .ok_or_else(|| "a whole number from 1 to 64 is expected".to_owned())
}

fn yes(text: &str) -> Result<bool, String> {
    match text.to_lowercase().as_str() {
        "yes" | "true" | "on" => Ok(true),
        "no" | "false" | "off" => Ok(false),
        _ => Err("yes or no is expected".to_owned()),
    }
}

/// The keys of the standards, as typed: dashes and underlines are the same.
fn standard(text: &str) -> Result<Standard, String> {
    let key = text.to_lowercase().replace(['-', ' '], "_");
    serde_json::from_value(serde_json::Value::String(key)).map_err(|_| {
        "known are observed, sae_j1349, sae_j1349_unrounded, sae_j1349_known_friction, sae_j607, \
         sae_j607_with_friction, iso1585, din70020 and jis_d1001"
            .to_owned()
    })
}

fn induction(text: &str) -> Result<InductionResponse, String> {
    match text.to_lowercase().replace(['-', ' '], "_").as_str() {
        "follows" | "follows_barometer" => Ok(InductionResponse::FollowsBarometer),
        "held" | "held_absolute" => Ok(InductionResponse::HeldAbsolute),
        "unknown" => Ok(InductionResponse::Unknown),
        _ => Err("known are follows, held and unknown".to_owned()),
    }
}

/// A time with its unit, in s: "0.15 s", "150 ms".
///
/// # Errors
/// In words: no number, no unit, or a unit of another kind.
pub fn time_s(text: &str) -> Result<f64, String> {
    Typed { text: text.trim(), by: "" }.value(Dimension::Time)
}

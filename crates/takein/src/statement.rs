//! What people state about a run, as they type it, into a [`Setup`].
//!
//! One list of keys serves the command's flags and the page's form, so that both read the same
//! words the same way. A number that carries a kind of quantity needs its unit: nothing is guessed.

use crate::said::CellSaid;
use gas::correction::{InductionResponse, Standard};
use pull::cell::Known;
use pull::setup::{Accelerate, Band, Setup};
use quantity::{
    AbsolutePressure, Altitude, Barometer, Density, Fraction, Fuel, GaugePressure, Inertia, Length, Origin, Quantity,
    Temperature, Time, Volume, parse,
};

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
            "baro" => Put::Known(given.then(|| typed.read(Barometer::pascals, true)).transpose()?),
            "vapour" | "friction" => Put::Known(given.then(|| typed.pressure()).transpose()?),
            "air" => Put::Known(given.then(|| typed.read(Temperature::kelvin, true)).transpose()?),
            "humidity" => Put::Known(given.then(|| typed.fraction()).transpose()?),
            "altitude" => {
                Put::Number(given.then(|| Ok::<_, String>(typed.read(Altitude::metres, false)?.value)).transpose()?)
            }
            "inertia" => Put::Known(given.then(|| typed.read(Inertia::kg_m2, true)).transpose()?),
            "arm" | "stroke" => Put::Known(given.then(|| typed.read(Length::metres, true)).transpose()?),
            "displacement" => Put::Known(given.then(|| typed.read(Volume::m3, true)).transpose()?),
            "density" => Put::Known(given.then(|| typed.read(Density::kg_m3, true)).transpose()?),
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
        ("fuel", Put::Text(v)) => fuel(setup, v),
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

/// The fuel, and with it the stoichiometric ratio where its name is one that we know and nobody has stated the ratio.
fn fuel(setup: &mut Setup, name: Option<String>) {
    let stated = setup.fuel_stoich.as_ref().is_some_and(|k| matches!(k.origin, Origin::Claimed { .. }));
    if !stated {
        setup.fuel_stoich = name.as_deref().and_then(Fuel::from_name).map(|fuel| {
            let ratio = fuel.stoichiometric();
            Known { value: ratio.by_mass(), u: None, text: fuel.name().to_owned(), origin: ratio.origin().clone() }
        });
    }
    setup.fuel = name;
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
    fn known(self, value: f64, plus_minus: Option<f64>) -> Known {
        // Behind ± stands an expanded uncertainty (k = 2), as our own output prints it.
        let u = plus_minus.map(|spread| spread / 2.0);
        Known { value, u, text: self.text.to_owned(), origin: Origin::Claimed { by: self.by.to_owned() } }
    }

    /// A quantity in SI by its reader; `positive` refuses zero and less.
    fn read<T: Quantity>(self, si: impl Fn(T) -> f64, positive: bool) -> Result<Known, String> {
        let entered = parse::<T>(self.text).map_err(|e| e.to_string())?;
        let value = si(entered.value);
        if positive && value <= 0.0 {
            return Err("it must be above zero".to_owned());
        }
        Ok(self.known(value, entered.plus_minus_si))
    }

    /// A pressure for which the air around does not matter: a partial or a mean effective pressure.
    fn pressure(self) -> Result<Known, String> {
        let known = self.read(GaugePressure::pascals, false).or_else(|error| {
            let absolute = self.read(AbsolutePressure::pascals, false);
            absolute.map_err(|_| error)
        })?;
        if known.value >= 0.0 { Ok(known) } else { Err("it must not be below zero".to_owned()) }
    }

    fn fraction(self) -> Result<Known, String> {
        let known = self.read(Fraction::share, false)?;
        if (0.0..=1.0).contains(&known.value) { Ok(known) } else { Err("it must lie within 0 and 100 %".to_owned()) }
    }

    fn plain_positive(self) -> Result<Known, String> {
        let number = self.text.trim_end_matches(":1").trim_end();
        let value = number.parse::<f64>().ok().filter(|v| v.is_finite());
        let value = value.ok_or("a plain number with a decimal point is expected")?;
        if value > 0.0 { Ok(self.known(value, None)) } else { Err("it must be above zero".to_owned()) }
    }

    fn accelerate(self) -> Result<Accelerate, String> {
        let (inertia, speeds) =
            self.text.rsplit_once(char::is_whitespace).ok_or("an inertia and two speeds are expected")?;
        let band = band(speeds)?;
        let inertia_kg_m2 = Typed { text: inertia.trim(), ..self }.read(Inertia::kg_m2, true)?;
        Ok(Accelerate { inertia_kg_m2, from_rpm: band.from_rpm, to_rpm: band.to_rpm })
    }
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
    let value = text.trim_end_matches("rpm").trim_end().parse::<f64>().ok().filter(|v| v.is_finite());
    let value = value.ok_or("a width in rpm is expected")?;
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
    Ok(parse::<Time>(text).map_err(|e| e.to_string())?.value.seconds())
}

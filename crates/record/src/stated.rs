//! A quantity as somebody stated it: the text as typed, and what it means in SI.

use quantity::{
    CrankAngle, Dimension, Entered, Force, Fraction, GaugePressure, Inertia, Lambda, Length, Mass, ParseError, Power,
    RotationalSpeed, Temperature, Torque, Velocity, Volume, VolumeFlow, find_unit_in, parse,
};
use serde::{Deserialize, Serialize};

/// A quantity as stated. Pressures are gauge pressures, angles crank angles, lengths diameters where a diameter is meant.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stated {
    /// The text as typed, with its unit: "92.752 mm".
    pub text: String,
    /// What kind of quantity it is.
    pub dimension: Dimension,
    /// The value, SI (kelvin, pascal, radian, rad/s).
    pub si: f64,
    /// Step of the last digit typed, SI.
    pub step_si: f64,
    /// Standard uncertainty (k = 1), SI: half of what stood behind "±". None where nothing was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub u_si: Option<f64>,
}

/// What was read or found: a quantity, a word, or nothing with the reason.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Value {
    /// A quantity.
    Quantity(Stated),
    /// A word: "cast", "no record".
    Word(String),
    /// It could not be read; the reason.
    NotRead(String),
}

/// Why a text is no quantity of the kind asked for.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StatedError {
    /// It cannot be read; the message says what to write instead.
    #[error(transparent)]
    Parse(#[from] ParseError),
    /// Kinds that are read as plain numbers with a unit.
    #[error("\"{text}\": {why}")]
    Plain {
        /// The text as typed.
        text: String,
        /// What was expected and what to write.
        why: String,
    },
}

impl Stated {
    /// Reads a text as a quantity of one kind. A bare number counts in `unit`, where one is given; the unit is
    /// written behind it, so that the text says what was meant. What stands behind "±" counts as k = 2.
    ///
    /// # Errors
    /// [`StatedError`] with what to write instead.
    pub fn read(text: &str, dimension: Dimension, unit: Option<&str>) -> Result<Self, StatedError> {
        let typed = text.trim();
        let whole = match unit {
            Some(unit) if !unit.is_empty() && bare(typed) => format!("{typed} {unit}"),
            _ => typed.to_owned(),
        };
        macro_rules! typed {
            ($type:ty, $si:ident) => {{
                let entered: Entered<$type> = parse(&whole)?;
                (entered.value.$si(), entered.resolution_si, entered.plus_minus_si)
            }};
        }
        let (si, step_si, plus_minus) = match dimension {
            Dimension::Length => typed!(Length, metres),
            Dimension::Volume => typed!(Volume, m3),
            Dimension::Mass => typed!(Mass, kg),
            Dimension::Force => typed!(Force, newtons),
            Dimension::Torque => typed!(Torque, nm),
            Dimension::Power => typed!(Power, watts),
            Dimension::Pressure => typed!(GaugePressure, pascals),
            Dimension::Temperature => typed!(Temperature, kelvin),
            Dimension::RotationalSpeed => typed!(RotationalSpeed, rad_s),
            Dimension::Velocity => typed!(Velocity, m_s),
            Dimension::Angle => typed!(CrankAngle, radians),
            Dimension::Inertia => typed!(Inertia, kg_m2),
            Dimension::VolumeFlow => typed!(VolumeFlow, m3_s),
            Dimension::Fraction => typed!(Fraction, share),
            Dimension::Lambda => typed!(Lambda, value),
            _ => plain(&whole, dimension)?,
        };
        Ok(Self { text: whole, dimension, si, step_si, u_si: plus_minus.map(|half| 0.5 * half) })
    }

    /// Standard uncertainty: what was said, or else that of the last digit typed (a uniform spread of one step).
    pub fn u_or_step(&self) -> f64 {
        self.u_si.unwrap_or(self.step_si / 12.0_f64.sqrt())
    }
}

/// Whether a text is a number without a unit ("92.752", "1/2", "0.5 ± 0.1").
fn bare(text: &str) -> bool {
    !text.is_empty()
        && text.chars().any(|c| c.is_ascii_digit())
        && text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '−' | '/' | '±' | ' ' | '½'))
}

/// Kinds without a type at the edge: a number and a unit, "8.8" or "8.8 : 1" for a ratio.
fn plain(text: &str, dimension: Dimension) -> Result<(f64, f64, Option<f64>), StatedError> {
    let fault = |why: String| StatedError::Plain { text: text.to_owned(), why };
    let tidy = text.replace('−', "-").replace("+/-", "±");
    let (main, spread) = match tidy.split_once('±') {
        Some((main, spread)) => (main.trim(), Some(spread.trim())),
        None => (tidy.trim(), None),
    };
    let (number, step, unit) = leading(main)
        .ok_or_else(|| fault(format!("a {} is expected: a number and its unit, as in \"8.8\"", dimension.name())))?;
    let ratio_of_one = unit.replace(' ', "") == ":1";
    let unit = if ratio_of_one { "" } else { unit };
    if unit.is_empty() {
        if dimension != Dimension::Count {
            return Err(fault(format!("a {} needs its unit behind the number", dimension.name())));
        }
        let half = match spread {
            None => None,
            Some(spread) => Some(
                leading(spread)
                    .filter(|s| s.2.replace(' ', "").trim_start_matches(":1").is_empty())
                    .ok_or_else(|| fault("what stands behind ± is no number".to_owned()))?
                    .0
                    .abs(),
            ),
        };
        return Ok((number, step, half));
    }
    let found = find_unit_in(unit, dimension).map_err(|e| fault(e.to_string()))?;
    let half = match spread {
        None => None,
        Some(spread) => {
            let (half, _, other) =
                leading(spread).ok_or_else(|| fault("what stands behind ± is no number".to_owned()))?;
            let scale = if other.is_empty() {
                found.scale
            } else {
                find_unit_in(other, dimension).map_err(|e| fault(e.to_string()))?.scale
            };
            Some((half * scale).abs())
        }
    };
    Ok((found.to_si(number), step * found.scale.abs(), half))
}

/// The number at the start of a text, the step of its last digit, and the rest.
fn leading(text: &str) -> Option<(f64, f64, &str)> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(text.len());
    let number: f64 = text[..end].parse().ok()?;
    let decimals = text[..end].split_once('.').map_or(0, |(_, d)| d.len());
    Some((number, 10.0_f64.powi(-(decimals as i32)), text[end..].trim()))
}

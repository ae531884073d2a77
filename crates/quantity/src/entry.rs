//! Reading what shop people type: "2.5 thou", "2 1/2 in", "18 inHg vac", "12.8:1 AFR on gasoline".
//!
//! A text with one reading becomes a quantity with the text kept and the step of its last digit.
//! A text with two readings is an error that names both. Nothing is guessed.

mod number;

use crate::kinds::private::Raw;
use crate::kinds::{AirFuelRatio, Fuel, Lambda, Quantity};
use crate::unit::{Dimension, Unit, UnitError, find_unit_in};
use number::Number;

/// A quantity as entered.
#[derive(Debug, Clone, PartialEq)]
pub struct Entered<T> {
    /// The quantity.
    pub value: T,
    /// The text as typed.
    pub text: String,
    /// Step of the last digit typed, SI: 0.1 thou for "2.5 thou".
    pub resolution_si: f64,
    /// What stands behind "±", SI, if anything does. What coverage it has is the person's to say.
    pub plus_minus_si: Option<f64>,
    /// The fuel named with an air–fuel ratio.
    pub fuel: Option<Fuel>,
}

/// Why a text is no quantity. The message says what to write instead.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ParseError {
    /// Nothing was typed.
    #[error("nothing is typed; {expected} is expected, in {offered}")]
    Empty {
        /// What was expected.
        expected: &'static str,
        /// Units that fit.
        offered: &'static str,
    },
    /// There is no number where one was expected.
    #[error("\"{text}\" does not begin with a number; {expected} is expected, in {offered}")]
    NoNumber {
        /// The text as typed.
        text: String,
        /// What was expected.
        expected: &'static str,
        /// Units that fit.
        offered: &'static str,
    },
    /// The number has two readings.
    #[error("the number in \"{text}\" can be read as {first} or as {second}; write the one that is meant")]
    NumberAmbiguous {
        /// The text as typed.
        text: String,
        /// One reading, written without doubt.
        first: String,
        /// The other.
        second: String,
    },
    /// The number is written in a way that has no reading.
    #[error("\"{found}\" in \"{text}\" is no number: {why}")]
    NumberUnreadable {
        /// The text as typed.
        text: String,
        /// The part at fault.
        found: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// The number has no unit and needs one.
    #[error("\"{text}\" has no unit; {expected} is expected, in {offered}")]
    UnitMissing {
        /// The text as typed.
        text: String,
        /// What was expected.
        expected: &'static str,
        /// Units that fit.
        offered: &'static str,
    },
    /// The unit is not known, has two readings, or measures something else.
    #[error("in \"{text}\", {error}")]
    Unit {
        /// The text as typed.
        text: String,
        /// What is the matter.
        error: UnitError,
    },
    /// The unit does not say enough for this quantity, or says the opposite of what is expected.
    #[error("\"{text}\" is not clear as {expected}: {why}")]
    UnitDoesNotFit {
        /// The text as typed.
        text: String,
        /// What was expected.
        expected: &'static str,
        /// What to write instead.
        why: &'static str,
    },
    /// An air–fuel ratio stands where lambda is expected, and its fuel is not named.
    #[error(
        "\"{text}\" is an air–fuel ratio, and lambda is expected; name the fuel ({}), or write lambda",
        fuels("AFR on")
    )]
    FuelMissing {
        /// The text as typed.
        text: String,
    },
    /// The fuel is not known here.
    #[error("the fuel \"{fuel}\" in \"{text}\" is not known here; known are {}", fuels(""))]
    FuelUnknown {
        /// The text as typed.
        text: String,
        /// The fuel as typed.
        fuel: String,
    },
    /// The value cannot be.
    #[error("\"{text}\" is not possible as {expected}: {why}")]
    NotPossible {
        /// The text as typed.
        text: String,
        /// What was expected.
        expected: &'static str,
        /// Why not.
        why: &'static str,
    },
}

/// The quantity that a text stands for.
///
/// Understood: decimal point or comma, thousands marks where they cannot be anything else, fractions
/// ("1/2", "2 1/2", "2-1/2", "½"), powers of ten ("1e-3"), a true minus, "±" with or without its own
/// unit, and the unit in any spelling of [`crate::find_unit`]. A number of the form `1,234` has two
/// readings and is refused, except for a rotational speed or a height above the sea, where 1.234
/// makes no sense. A single point is always a decimal point.
///
/// # Errors
/// [`ParseError`] with the text as typed and what to write instead.
pub fn parse<T: Quantity>(text: &str) -> Result<Entered<T>, ParseError> {
    let tidy = number::tidy(text);
    if tidy.is_empty() {
        return Err(ParseError::Empty { expected: T::NAME, offered: T::OFFERED });
    }
    if T::DIMENSION == Dimension::Lambda || T::DIMENSION == Dimension::AirFuelRatio {
        return mixture(text, &tidy);
    }
    let (number, unit_text, spread) = split::<T>(text, &tidy)?;
    finish(text, number, &unit_text, spread, None)
}

/// Number, unit text and what stands behind "±" (number and its own unit text).
type Split = (Number, String, Option<(Number, String)>);

fn split<T: Quantity>(text: &str, tidy: &str) -> Result<Split, ParseError> {
    let (main, spread) = match tidy.split_once('±') {
        Some((main, spread)) => (main.trim(), Some(spread.trim())),
        None => (tidy, None),
    };
    let (number, rest) = number::read::<T>(text, main)?;
    let unit_text = rest.trim();
    let Some(spread) = spread else {
        return Ok((number, unit_text.to_owned(), None));
    };
    if !spread.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')) {
        let why = "there is no number behind ±";
        return Err(ParseError::NumberUnreadable { text: text.to_owned(), found: spread.to_owned(), why });
    }
    let (spread, spread_rest) = number::read::<T>(text, spread)?;
    let spread_unit = spread_rest.trim();
    // "4.0302 ± 0.0002 in": the unit stands behind both.
    let unit_text = if unit_text.is_empty() { spread_unit } else { unit_text };
    let spread_unit = if spread_unit.is_empty() { unit_text } else { spread_unit };
    Ok((number, unit_text.to_owned(), Some((spread, spread_unit.to_owned()))))
}

fn finish<T: Quantity>(
    text: &str,
    number: Number,
    unit_text: &str,
    spread: Option<(Number, String)>,
    fuel: Option<Fuel>,
) -> Result<Entered<T>, ParseError> {
    let unit = unit_of::<T>(text, unit_text)?;
    let si = unit.to_si(number.value);
    let plus_minus_si = match spread {
        None => None,
        Some((spread, spread_unit)) => {
            let unit = unit_of::<T>(text, &spread_unit)?;
            if spread.value < 0.0 {
                let why = "what stands behind ± counts positive";
                return Err(ParseError::NotPossible { text: text.to_owned(), expected: T::NAME, why });
            }
            Some(spread.value * unit.scale.abs())
        }
    };
    if let Some(why) = T::impossible(si) {
        return Err(ParseError::NotPossible { text: text.to_owned(), expected: T::NAME, why });
    }
    Ok(Entered {
        value: T::from_si(si),
        text: text.to_owned(),
        resolution_si: number.step * unit.scale.abs(),
        plus_minus_si,
        fuel,
    })
}

fn unit_of<T: Quantity>(text: &str, unit_text: &str) -> Result<&'static Unit, ParseError> {
    let unit_text = match (unit_text, <T as Raw>::BARE) {
        ("", Some(bare)) => bare,
        ("", None) => {
            return Err(ParseError::UnitMissing { text: text.to_owned(), expected: T::NAME, offered: T::OFFERED });
        }
        (given, _) => given,
    };
    let unit =
        find_unit_in(unit_text, T::DIMENSION).map_err(|error| ParseError::Unit { text: text.to_owned(), error })?;
    match T::refuses(unit) {
        None => Ok(unit),
        Some(why) => Err(ParseError::UnitDoesNotFit { text: text.to_owned(), expected: T::NAME, why }),
    }
}

/// Lambda and air–fuel ratio, which may be typed in each other's place if the fuel is named.
fn mixture<T: Quantity>(text: &str, tidy: &str) -> Result<Entered<T>, ParseError> {
    // "λ 0.85", "lambda = 0.85"
    let lower = tidy.to_lowercase();
    let behind =
        ["lambda", "λ"].iter().find_map(|word| lower.starts_with(word).then(|| tidy.get(word.len()..)).flatten());
    let (body, said_lambda) = match behind {
        Some(rest) => (rest.trim_start_matches([' ', '=', ':']), true),
        None => (tidy, false),
    };
    let (body, fuel) = match body.to_ascii_lowercase().rsplit_once(" on ") {
        Some((front, named)) => {
            let named = body[body.len() - named.len()..].trim();
            let fuel = Fuel::from_name(named)
                .ok_or_else(|| ParseError::FuelUnknown { text: text.to_owned(), fuel: named.to_owned() })?;
            (&body[..front.len()], Some(fuel))
        }
        None => (body, None),
    };
    let (number, rest, spread) = split::<T>(text, body)?;
    let rest = rest.trim();
    let ratio = find_unit_in(rest, Dimension::AirFuelRatio).is_ok_and(|unit| unit.symbol == "A/F")
        || rest.starts_with(":1")
        || rest.starts_with(": 1");
    let as_ratio = T::DIMENSION == Dimension::AirFuelRatio;
    let stoichiometric = fuel.map(|fuel| fuel.stoichiometric().by_mass());
    let factor = match (as_ratio, ratio, said_lambda, stoichiometric) {
        (false, true, _, None) => return Err(ParseError::FuelMissing { text: text.to_owned() }),
        (false, true, _, Some(fuel)) => 1.0 / fuel,
        (true, false, true, Some(fuel)) => fuel,
        (true, false, true, None) => {
            let why =
                "this is lambda, and an air–fuel ratio is expected; name the fuel (on gasoline), or write the ratio";
            return Err(ParseError::UnitDoesNotFit { text: text.to_owned(), expected: T::NAME, why });
        }
        _ => return finish(text, number, rest, spread, fuel),
    };
    let scaled = |number: Number| Number { value: number.value * factor, step: number.step * factor };
    let own =
        if as_ratio { AirFuelRatio::OFFERED.split(' ').next().unwrap_or("AFR") } else { Lambda::BARE.unwrap_or("λ") };
    let spread = spread.map(|(number, _)| (scaled(number), own.to_owned()));
    finish(text, scaled(number), own, spread, fuel)
}

fn fuels(word: &str) -> String {
    let names: Vec<String> = Fuel::ALL.into_iter().map(|fuel| format!("{word}{}", fuel.name())).collect();
    match names.split_last() {
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
        None => String::new(),
    }
}

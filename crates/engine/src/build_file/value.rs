//! From the text of one value to an [`Input`].
//!
//! Compact form: `4.030 in ± 0.0003 in, measured by dial bore gauge, read by R. K., 2026-03-12`. The
//! part behind the first comma that is followed by one of the words measured, claimed, published or
//! assumed is the origin.

use crate::build::{CheckedAngle, Input, Kind, Origin};
use crate::cam::{CheckLift, LiftAt, Reference};
use quantity::{
    AbsolutePressure, Altitude, CamAngle, CrankAngle, Density, Dimension, Entered, Force, Fraction, GaugePressure,
    Inertia, Lambda, Length, Mass, MassFlow, Power, PressureReference, RotationalSpeed, SpecificFuel, Temperature,
    Volume, VolumeFlow, find_unit_in, parse,
};

/// Value and standard uncertainty without origin: the words are kept in `text`.
pub(crate) fn read(kind: Kind, text: &str) -> Result<Input, String> {
    let (figure, origin) = split_origin(text)?;
    let (si, step, plus_minus) = number(kind, figure)?;
    if let Some(why) = impossible(kind, si) {
        return Err(why.to_owned());
    }
    let u = match plus_minus {
        Some(half_width) => 0.5 * half_width,
        None if kind == Kind::Nominal => 0.0,
        None => step / 12.0_f64.sqrt(),
    };
    Ok(Input { si, u, text: figure.trim().to_owned(), origin })
}

fn number(kind: Kind, text: &str) -> Result<(f64, f64, Option<f64>), String> {
    macro_rules! typed {
        ($type:ty, $read:ident) => {{
            let entered: Entered<$type> = parse(text).map_err(|e| e.to_string())?;
            Ok((entered.value.$read(), entered.resolution_si, entered.plus_minus_si))
        }};
    }
    match kind {
        Kind::Length | Kind::Size => typed!(Length, metres),
        Kind::Height => typed!(Altitude, metres),
        Kind::Volume | Kind::SignedVolume => typed!(Volume, m3),
        Kind::Mass => typed!(Mass, kg),
        Kind::Force => typed!(Force, newtons),
        Kind::Inertia => typed!(Inertia, kg_m2),
        Kind::Power => typed!(Power, watts),
        Kind::Speed => typed!(RotationalSpeed, rad_s),
        Kind::CrankAngle => typed!(CrankAngle, radians),
        Kind::CamAngle => typed!(CamAngle, radians),
        Kind::Gauge | Kind::Absolute => {
            // A spread is a difference: "± 0.2 kPa" counts from nothing.
            if let Some((main, spread)) = text.split_once('±') {
                let (_, _, unit) = leading_number(spread.trim())?;
                if !unit.is_empty() && leading_number(main.trim()).is_ok_and(|m| !m.2.is_empty()) {
                    let scale = find_unit_in(unit, Dimension::Pressure).map_err(|e| e.to_string())?.scale.abs();
                    let half_width = leading_number(spread.trim())?.0 * scale;
                    if half_width < 0.0 {
                        return Err("what stands behind ± counts positive".to_owned());
                    }
                    let (si, step, _) = number(kind, main)?;
                    return Ok((si, step, Some(half_width)));
                }
            }
            if kind == Kind::Gauge { typed!(GaugePressure, pascals) } else { typed!(AbsolutePressure, pascals) }
        }
        Kind::Temperature => typed!(Temperature, kelvin),
        Kind::Share => typed!(Fraction, share),
        Kind::VolumeFlow => typed!(VolumeFlow, m3_s),
        Kind::MassFlow => typed!(MassFlow, kg_s),
        Kind::SpecificFuel => typed!(SpecificFuel, kg_j),
        Kind::Density => typed!(Density, kg_m3),
        Kind::Lambda => typed!(Lambda, value),
        Kind::Area | Kind::SpringRate | Kind::Drop | Kind::HeatingValue | Kind::Number | Kind::Nominal => {
            plain(kind, text)
        }
    }
}

/// Kinds without a type of their own at the edge: a number, a unit, and ± with its own unit or the same.
fn plain(kind: Kind, text: &str) -> Result<(f64, f64, Option<f64>), String> {
    let text = text.replace('−', "-").replace("+/-", "±");
    let (main, spread) = match text.split_once('±') {
        Some((main, spread)) => (main.trim(), Some(spread.trim())),
        None => (text.trim(), None),
    };
    let (value, step, main_unit) = leading_number(main)?;
    let spread = spread.map(leading_number).transpose()?;
    let spread_unit = spread.map_or("", |s| s.2);
    let unit_text = if main_unit.is_empty() { spread_unit } else { main_unit };
    let scale = |unit_text: &str| -> Result<f64, String> {
        if matches!(kind, Kind::Number | Kind::Nominal) {
            let unit_text = unit_text.trim_start_matches(":1").trim();
            return if unit_text.is_empty() {
                Ok(1.0)
            } else {
                Err(format!("`{unit_text}` stands behind it, and a plain number has no unit"))
            };
        }
        if unit_text.is_empty() {
            return Err("it has no unit".to_owned());
        }
        let unit = find_unit_in(unit_text, kind.dimension()).map_err(|e| e.to_string())?;
        if matches!(unit.reference, PressureReference::Absolute | PressureReference::Vacuum) {
            return Err(format!("`{}` is counted from a reference, and a difference is expected", unit.symbol));
        }
        Ok(unit.scale)
    };
    let factor = scale(unit_text)?;
    let half_width = match spread {
        None => None,
        Some((half, _, unit)) if half >= 0.0 => Some(half * if unit.is_empty() { factor } else { scale(unit)? }),
        Some(_) => return Err("what stands behind ± counts positive".to_owned()),
    };
    Ok((value * factor, step * factor, half_width))
}

/// Number, step of its last digit, and the text behind it.
fn leading_number(text: &str) -> Result<(f64, f64, &str), String> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(text.len());
    let digits = &text[..end];
    let value: f64 = digits.parse().map_err(|_| "it does not begin with a number".to_owned())?;
    let decimals = digits.split_once('.').map_or(0, |(_, d)| d.len());
    Ok((value, 10f64.powi(-(decimals as i32)), text[end..].trim()))
}

fn impossible(kind: Kind, si: f64) -> Option<&'static str> {
    let positive = matches!(
        kind,
        Kind::Size
            | Kind::Area
            | Kind::Mass
            | Kind::Force
            | Kind::SpringRate
            | Kind::Power
            | Kind::Speed
            | Kind::Number
            | Kind::Nominal
            | Kind::VolumeFlow
            | Kind::MassFlow
            | Kind::SpecificFuel
            | Kind::HeatingValue
    );
    if positive && si <= 0.0 {
        return Some("it is not above zero");
    }
    if matches!(kind, Kind::Volume | Kind::Share | Kind::Drop) && si < 0.0 {
        return Some("it is below zero");
    }
    None
}

const ORIGINS: [&str; 4] = ["measured", "claimed", "published", "assumed"];

/// The figure and its origin, which stands behind a comma.
fn split_origin(text: &str) -> Result<(&str, Origin), String> {
    let at = text.match_indices(',').find(|(at, _)| {
        let rest = text[at + 1..].trim_start();
        ORIGINS.iter().any(|word| rest.starts_with(word))
    });
    match at {
        None => match text.split_once(", ") {
            Some((_, behind)) => Err(format!(
                "`{behind}` stands behind the value; an origin begins with measured by, claimed by, published in or \
                 assumed because"
            )),
            None => Ok((text, Origin::NotStated)),
        },
        Some((at, _)) => Ok((&text[..at], origin(text[at + 1..].trim())?)),
    }
}

/// "measured by micrometer 7, read by R. K., 2026-03-12"; "claimed by the owner"; "published in …"; "assumed because …".
pub(crate) fn origin(text: &str) -> Result<Origin, String> {
    let (word, rest) = text.split_once(' ').map_or((text, ""), |(w, r)| (w, r.trim()));
    let behind = |lead: &str| {
        let said = rest.strip_prefix(lead).unwrap_or(rest).trim();
        if said.is_empty() {
            Err(format!("`{word}` does not say {}", what_is_missing(word)))
        } else {
            Ok(said.to_owned())
        }
    };
    match word.trim_end_matches(',') {
        "measured" => {
            let said = behind("by ")?;
            let mut parts = said.split(',').map(str::trim);
            let instrument = parts.next().unwrap_or_default().to_owned();
            let (mut by, mut when) = (None, None);
            for part in parts {
                match part.strip_prefix("read by ") {
                    Some(who) => by = Some(who.to_owned()),
                    None if part.starts_with(|c: char| c.is_ascii_digit()) => when = Some(part.to_owned()),
                    None => return Err(format!("`{part}` is neither \"read by …\" nor a date such as 2026-03-12")),
                }
            }
            Ok(Origin::Measured { instrument, by, when })
        }
        "claimed" => Ok(Origin::Claimed { by: behind("by ")? }),
        "published" => Ok(Origin::Published { source: behind("in ")? }),
        "assumed" => Ok(Origin::Assumed { why: behind("because ")? }),
        other => Err(format!("`{other}` is no origin; measured, claimed, published and assumed are")),
    }
}

fn what_is_missing(word: &str) -> &'static str {
    match word {
        "measured" => "with which instrument",
        "claimed" => "by whom",
        "published" => "where",
        _ => "why",
    }
}

/// "224 deg @ 0.050 in", "31 deg BTDC @ 0.050 in", "268 deg @ 1.0 mm valve".
pub(crate) fn checked(text: &str, event: bool) -> Result<CheckedAngle, String> {
    let (text, origin) = split_origin(text)?;
    let Some((angle, check)) = text.split_once('@') else {
        return Err("it names no check lift; write it behind @, as in \"224 deg @ 0.050 in\"".to_owned());
    };
    let mut angle = angle.trim();
    let mut reference = None;
    for (word, meant) in [
        ("BTDC", Reference::BeforeTop),
        ("ATDC", Reference::AfterTop),
        ("BBDC", Reference::BeforeBottom),
        ("ABDC", Reference::AfterBottom),
    ] {
        if let Some(front) = angle.strip_suffix(word) {
            (angle, reference) = (front.trim(), Some(meant));
        }
    }
    match (event, reference) {
        (true, None) => {
            return Err("it names no dead centre; write BTDC, ATDC, BBDC or ABDC behind the degrees".to_owned());
        }
        (false, Some(_)) => {
            return Err("a duration is counted from no dead centre; an event belongs in opens or closes".to_owned());
        }
        _ => {}
    }
    let (check, at) = match check.trim().strip_suffix("valve") {
        Some(front) => (front.trim(), LiftAt::Valve),
        None => (check.trim().strip_suffix("lifter").unwrap_or(check.trim()).trim(), LiftAt::Lifter),
    };
    let lift = read(Kind::Size, check).map_err(|e| format!("check lift: {e}"))?;
    let check = CheckLift::new(lift.si, at).map_err(|e| e.to_string())?;
    let mut angle = read(Kind::CrankAngle, angle)?;
    angle.origin = origin;
    angle.text = text.trim().to_owned();
    let possible = angle.si > 0.0 && angle.deg() < 720.0;
    if !(event || possible) {
        return Err("a duration lies between 0 and 720 crank degrees".to_owned());
    }
    Ok(CheckedAngle { angle, reference, check })
}

/// "0.100 0.200 0.300 in": several numbers, the unit at the end.
pub(crate) fn several(kind: Kind, text: &str) -> Result<Vec<Input>, String> {
    let words: Vec<&str> = text.split([' ', ',', ';']).filter(|w| !w.is_empty()).collect();
    let is_number = |w: &&&str| w.replace('−', "-").parse::<f64>().is_ok();
    let numbers = words.iter().take_while(is_number).count();
    if numbers == 0 {
        return Err("it does not begin with a number".to_owned());
    }
    let unit = words[numbers..].join(" ");
    words[..numbers].iter().map(|n| read(kind, &format!("{n} {unit}"))).collect()
}

/// A kind by its name in a table of assumptions.
pub(crate) fn kind_by_name(name: &str) -> Option<Kind> {
    (name == "number").then_some(Kind::Number)
}

/// Whether a unit text belongs to another dimension than the kind's, for a better message.
pub(crate) fn other_dimension(kind: Kind, text: &str) -> Option<Dimension> {
    let (figure, _) = split_origin(text).ok()?;
    let (_, _, unit) = leading_number(figure.trim()).ok()?;
    let unit = unit.split('±').next().unwrap_or(unit).trim();
    let found = quantity::find_unit(unit).ok()?;
    (found.dimension != kind.dimension()).then_some(found.dimension)
}

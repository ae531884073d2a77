//! Which unit fits the numbers of a column.
//!
//! Ranges are those between which a channel of an engine on a brake can stand at all (common practice,
//! no source). They serve to name the fitting unit in a question, never to choose it unasked.

use crate::role::{Kind, Role};
use quantity::{Dimension, PressureReference, Unit, UnitError, find_unit, find_unit_in};

/// The kind of unit a role is written in.
pub(crate) fn dimension(role: Role) -> Dimension {
    match role.kind() {
        Kind::Time => Dimension::Time,
        Kind::RotationalSpeed => Dimension::RotationalSpeed,
        Kind::Torque => Dimension::Torque,
        Kind::Force => Dimension::Force,
        Kind::Power => Dimension::Power,
        Kind::AbsolutePressure | Kind::GaugePressure => Dimension::Pressure,
        Kind::Lambda => Dimension::Lambda,
        Kind::AirFuelRatio => Dimension::AirFuelRatio,
        Kind::MassFlow => Dimension::MassFlow,
        Kind::VolumeFlow => Dimension::VolumeFlow,
        Kind::Temperature => Dimension::Temperature,
        Kind::Angle => Dimension::Angle,
        Kind::Fraction => Dimension::Fraction,
        Kind::Count => Dimension::Count,
        Kind::Voltage => Dimension::Voltage,
    }
}

/// Lowest and highest SI value that a role takes on a brake.
fn range(role: Role) -> (f64, f64) {
    match role {
        Role::Time => (-1e9, 1e9),
        Role::Speed => (0.0, 2500.0),
        Role::BlowerSpeed => (0.0, 30_000.0),
        Role::Torque => (-1500.0, 6000.0),
        Role::CellForce => (-5000.0, 20_000.0),
        Role::BrakePower => (-1e6, 4e6),
        Role::Barometer => (55e3, 110e3),
        Role::ManifoldPressure | Role::ManifoldTarget => (8e3, 600e3),
        Role::VapourPressure => (0.0, 12e3),
        Role::Boost | Role::ExhaustPressure => (-100e3, 500e3),
        Role::OilPressure => (-20e3, 1.5e6),
        Role::FuelPressure => (-50e3, 50e6),
        Role::CrankcasePressure => (-60e3, 60e3),
        Role::Lambda(_) | Role::LambdaTarget => (0.4, 10.0),
        Role::AirFuelRatio(_) => (4.0, 40.0),
        Role::FuelFlow => (0.0, 0.3),
        Role::FuelVolumeFlow => (0.0, 4e-4),
        Role::AirFlow => (0.0, 3.0),
        Role::AirVolumeFlow => (0.0, 3.0),
        Role::BlowBy => (0.0, 0.02),
        Role::IntakeAirTemperature => (233.0, 360.0),
        Role::ChargeTemperature => (233.0, 500.0),
        Role::FuelTemperature => (233.0, 380.0),
        Role::CoolantInTemperature | Role::CoolantTemperature | Role::AbsorberTemperature => (250.0, 410.0),
        Role::OilTemperature => (250.0, 450.0),
        Role::ExhaustTemperature(_) => (250.0, 1400.0),
        Role::SparkAdvance => (-0.7, 1.4),
        Role::KnockRetard => (-0.6, 0.6),
        Role::Throttle => (-0.05, 1.1),
        Role::Humidity => (0.0, 1.05),
        Role::Knock(_) => (f64::MIN, f64::MAX),
        Role::Voltage => (0.0, 60.0),
    }
}

/// The units offered for a kind, the commonest first.
fn offered(dimension: Dimension) -> &'static [&'static str] {
    match dimension {
        Dimension::Time => &["s", "ms", "min"],
        Dimension::RotationalSpeed => &["rpm", "rev/s", "rad/s"],
        Dimension::Torque => &["N·m", "lb-ft", "kgf·m"],
        Dimension::Force => &["N", "lbf", "kgf"],
        Dimension::Power => &["kW", "hp", "PS", "W"],
        Dimension::Pressure => &["kPa", "psi", "bar", "inHg", "hPa", "mmHg"],
        Dimension::Temperature => &["°C", "°F", "K"],
        Dimension::MassFlow => &["kg/h", "lb/h", "g/s"],
        Dimension::VolumeFlow => &["L/h", "US gal/h", "L/min", "cfm", "m³/h"],
        Dimension::Angle => &["°"],
        Dimension::Fraction => &["%", "1"],
        Dimension::Lambda => &["lambda"],
        Dimension::AirFuelRatio => &["AFR"],
        Dimension::Voltage => &["V", "mV"],
        Dimension::Count => &["count"],
        _ => &[],
    }
}

/// What a column's numbers look like: lowest, middle and highest of a sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spread {
    pub(crate) low: f64,
    pub(crate) middle: f64,
    pub(crate) high: f64,
}

/// Looks at about 400 values, evenly over the column; `None` if there is none.
///
/// The lowest and highest hundredth is left out, so that one spike does not decide.
pub(crate) fn spread(values: &[f64]) -> Option<Spread> {
    let step = (values.len() / 400).max(1);
    let mut sample: Vec<f64> = values.iter().copied().step_by(step).filter(|v| v.is_finite()).collect();
    if sample.is_empty() {
        sample = values.iter().copied().filter(|v| v.is_finite()).take(400).collect();
    }
    if sample.is_empty() {
        return None;
    }
    sample.sort_unstable_by(f64::total_cmp);
    let at = |share: f64| sample[((sample.len() - 1) as f64 * share).round() as usize];
    Some(Spread { low: at(0.01), middle: at(0.5), high: at(0.99) })
}

/// Whether numbers of this spread in this unit can be the role.
pub(crate) fn fits(role: Role, unit: &Unit, spread: Spread) -> bool {
    let (low, high) = range(role);
    let inside = |v: f64| (low..=high).contains(&unit.to_si(v));
    // A shut throttle, a cold start: the middle must fit, and the top.
    let enough = match role.kind() {
        // Told apart only by size: 0.99 of full throttle is no 0.99 %.
        Kind::Fraction => unit.to_si(spread.high) > 0.02,
        Kind::RotationalSpeed => unit.to_si(spread.high) > 30.0,
        _ => true,
    };
    inside(spread.middle) && inside(spread.high) && enough
}

/// The middle of the steps of a time column; `None` without a step forward.
fn step(values: &[f64]) -> Option<f64> {
    let mut steps: Vec<f64> = values.windows(2).take(2000).map(|w| w[1] - w[0]).filter(|d| *d > 0.0).collect();
    steps.sort_unstable_by(f64::total_cmp);
    steps.get(steps.len() / 2).copied()
}

/// The units that fit a time column: its rows come between 20 kHz and once in 5 s.
pub(crate) fn time_choices(values: &[f64]) -> Vec<(&'static str, &'static Unit, bool)> {
    let step = step(values);
    let mut out = choices(Role::Time, None);
    for choice in &mut out {
        choice.2 = step.is_some_and(|s| (5e-5..=5.0).contains(&choice.1.to_si(s)));
    }
    out.sort_by_key(|(_, _, fit)| !fit);
    out
}

/// The offered units of a role, those that fit the numbers first, with whether they fit.
pub(crate) fn choices(role: Role, spread: Option<Spread>) -> Vec<(&'static str, &'static Unit, bool)> {
    let wanted = dimension(role);
    let mut out: Vec<(&'static str, &'static Unit, bool)> = Vec::new();
    for text in offered(wanted) {
        let Ok(unit) = find_unit_in(text, wanted) else { continue };
        out.push((text, unit, spread.is_some_and(|s| fits(role, unit, s))));
    }
    out.sort_by_key(|(_, _, fit)| !fit);
    out
}

/// What a unit text means for a role.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum UnitFor {
    /// It is this unit.
    Is(&'static Unit),
    /// It has two readings, or a pressure has the wrong reference; the words say so.
    Open(String),
    /// It needs more than a factor to become SI; the words say what.
    Refused(String),
    /// It is a unit of something else.
    OtherKind(&'static Unit),
    /// Nothing is called that; the words say what is near.
    Unknown(String),
}

/// Looks a unit text up for a role.
pub(crate) fn unit_for(role: Role, text: &str) -> UnitFor {
    match find_unit_in(text, dimension(role)) {
        Ok(unit) => UnitFor::Is(unit),
        Err(UnitError::WrongKind { found, .. }) => match (role.kind(), found.dimension) {
            // Lambda, ratios and counts may stand under "-" or "1", speeds under "1/min".
            (
                Kind::Lambda | Kind::AirFuelRatio | Kind::Count | Kind::Fraction,
                Dimension::Count | Dimension::Fraction,
            ) if found.scale == 1.0 && found.symbol == "1" => UnitFor::Is(found),
            _ => UnitFor::OtherKind(found),
        },
        Err(error @ UnitError::Ambiguous { .. }) => UnitFor::Open(error.to_string()),
        Err(error @ UnitError::Refused { .. }) => UnitFor::Refused(error.to_string()),
        Err(error) => UnitFor::Unknown(error.to_string()),
    }
}

/// The kind of quantity of a unit text, if it has one reading.
pub(crate) fn known_dimension(text: &str) -> Option<Dimension> {
    match find_unit(text) {
        Ok(unit) => Some(unit.dimension),
        Err(UnitError::Ambiguous { choices, .. }) => {
            let first = choices.first()?.dimension;
            choices.iter().all(|u| u.dimension == first).then_some(first)
        }
        Err(_) => None,
    }
}

/// What a pressure unit counts from.
pub(crate) fn reference(unit: &Unit) -> Option<bool> {
    match unit.reference {
        PressureReference::Absolute => Some(true),
        PressureReference::Gauge | PressureReference::Vacuum => Some(false),
        PressureReference::Unstated => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fitting_unit_is_named_first() {
        let baro = Spread { low: 29.05, middle: 29.1, high: 29.15 };
        let fitting: Vec<&str> =
            choices(Role::Barometer, Some(baro)).into_iter().filter(|c| c.2).map(|c| c.0).collect();
        assert_eq!(fitting, ["inHg"]);
        let water = Spread { low: 170.0, middle: 180.0, high: 185.0 };
        let fitting: Vec<&str> =
            choices(Role::CoolantTemperature, Some(water)).into_iter().filter(|c| c.2).map(|c| c.0).collect();
        assert_eq!(fitting, ["°F"]);
    }
}

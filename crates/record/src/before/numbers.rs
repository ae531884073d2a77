//! Readings with their uncertainty, and numbers in words.

use super::table::Table;
use crate::{InstrumentUsed, Stated, StatedError};
use quantity::{Barometer, Dimension, Entered, UnitSystem, digits, digits_with_uncertainty, parse, thousands};

/// A value with its standard uncertainty, SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Est {
    pub(super) value: f64,
    pub(super) u: f64,
}

impl Est {
    pub(super) fn minus(self, other: Self) -> Self {
        Self { value: self.value - other.value, u: self.u.hypot(other.u) }
    }

    /// Ratio of two readings that are not tied to each other.
    pub(super) fn over(self, other: Self) -> Self {
        let value = self.value / other.value;
        let u = value.abs() * (self.u / self.value).hypot(other.u / other.value);
        // A reading of zero has no relative uncertainty: the absolute one over the other reading counts.
        Self { value, u: if self.value == 0.0 { self.u / other.value.abs() } else { u } }
    }

    /// Below by more than the guard, above by more than the guard.
    pub(super) fn clearly_below(self, limit: f64) -> bool {
        self.value + 2.0 * self.u < limit
    }

    pub(super) fn clearly_above(self, limit: f64) -> bool {
        self.value - 2.0 * self.u > limit
    }
}

/// What one instrument makes of its readings.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gauge<'a> {
    pub(super) instrument: Option<&'a InstrumentUsed>,
    /// Standard uncertainty of a repeat, as a share of the reading.
    pub(super) repeat_share: f64,
    /// Standard uncertainty of the scale as a share, where the register does not say.
    pub(super) usual_share: f64,
}

impl<'a> Gauge<'a> {
    pub(super) fn new(table: &Table, instrument: Option<&'a InstrumentUsed>, repeat: &str) -> Self {
        let usual_share = table.value("gauge.share");
        Self { instrument, repeat_share: table.value(repeat), usual_share }
    }

    /// Whether the register says how far the gauge may be off.
    pub(super) fn known(&self) -> bool {
        self.instrument.is_some_and(|i| i.u_si.is_some() || i.u_share.is_some())
    }

    /// For comparing readings of this gauge with each other: what it is off by in all of them alike cancels. Where the
    /// register does not part the two, all of it counts as noise; where nothing is known, the scale cancels and the
    /// repeat of the test counts.
    pub(super) fn own(&self, stated: &Stated) -> Est {
        self.with(stated, |i| i.u_repeat_si.or(i.u_si), |i| i.u_repeat_share.or(i.u_share), 0.0)
    }

    /// For comparing a reading with a limit: everything counts.
    pub(super) fn whole(&self, stated: &Stated) -> Est {
        self.with(stated, |i| i.u_si, |i| i.u_share, self.usual_share)
    }

    fn with(
        &self,
        stated: &Stated,
        fixed: fn(&InstrumentUsed) -> Option<f64>,
        share: fn(&InstrumentUsed) -> Option<f64>,
        unknown_share: f64,
    ) -> Est {
        // What the person wrote behind ± is all there is.
        if let Some(u) = stated.u_si {
            return Est { value: stated.si, u };
        }
        let (fixed, share) = match self.instrument.filter(|_| self.known()) {
            Some(i) => (fixed(i).unwrap_or(0.0), share(i).unwrap_or(0.0)),
            None => (0.0, unknown_share),
        };
        let parts = [stated.u_or_step(), fixed, share * stated.si, self.repeat_share * stated.si];
        Est { value: stated.si, u: parts.iter().map(|p| p * p).sum::<f64>().sqrt() }
    }

    /// A mean or median of readings, with the own uncertainty given, held against a limit: what the gauge is off by in
    /// all of them alike, as at the reading `of`, comes on top.
    pub(super) fn with_scale(&self, own: Est, of: &Stated) -> Est {
        let (whole, alone) = (self.whole(of).u, self.own(of).u);
        Est { u: own.u.hypot((whole * whole - alone * alone).max(0.0).sqrt()), ..own }
    }
}

/// The stated value, where it is of the kind asked for and can be.
pub(super) fn usable(stated: &Stated, dimension: Dimension) -> bool {
    stated.dimension == dimension
        && stated.si.is_finite()
        && stated.step_si.is_finite()
        && stated.step_si >= 0.0
        && stated.u_si.is_none_or(|u| u.is_finite() && u >= 0.0)
}

/// As [`usable`], of an optional field.
pub(super) fn maybe(stated: Option<&Stated>, dimension: Dimension) -> Option<&Stated> {
    stated.filter(|s| usable(s, dimension))
}

pub(super) fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    match n {
        0 => f64::NAN,
        _ if n % 2 == 1 => sorted[n / 2],
        _ => 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]),
    }
}

/// "120 psi (827 kPa)": US and metric beside each other. `u` is a standard uncertainty; "±" is twice that.
pub(super) fn show(dimension: Dimension, si: f64, u: Option<f64>) -> String {
    if dimension == Dimension::Pressure && si < 0.0 {
        let vac = |symbol: &str, pa: f64, place: i32| with_u(-si / pa, u.map(|u| u / pa), symbol, place);
        return format!("{} ({})", vac("inHg vac", 3386.389, 1), vac("kPa vac", 1e3, 1));
    }
    let place = |system: UnitSystem| match (dimension, system) {
        (Dimension::Fraction | Dimension::Angle | Dimension::VolumeFlow, _) => 1,
        (Dimension::Length, UnitSystem::UsCustomary) => 3,
        (Dimension::Length, UnitSystem::Metric) => 2,
        _ => 0,
    };
    let one = |system: UnitSystem| {
        let unit = system.unit(dimension);
        let u = u.map(|u| u / unit.scale.abs());
        with_u(unit.from_si(si), u, unit.symbol, place(system))
    };
    let (us, metric) = (one(UnitSystem::UsCustomary), one(UnitSystem::Metric));
    if us == metric { us } else { format!("{us} ({metric})") }
}

fn with_u(value: f64, u: Option<f64>, symbol: &str, place: i32) -> String {
    let gap = if symbol == "°" { "" } else { " " };
    let symbol = if symbol == "count" { "" } else { symbol };
    let text = match u.filter(|u| u.is_finite() && *u > 0.0) {
        Some(u) => {
            let (value, u) = digits_with_uncertainty(value, 2.0 * u);
            format!("{} ± {u}", thousands(&value))
        }
        None => thousands(&digits(value, place)),
    };
    format!("{text}{gap}{symbol}").trim_end().to_owned()
}

/// "3", "2 and 3", "1, 2 and 4".
pub(super) fn list(numbers: &[u32]) -> String {
    let words: Vec<String> = numbers.iter().map(u32::to_string).collect();
    and(&words)
}

/// "throttle", "throttle and filler", "a, b and c".
pub(super) fn and(words: &[String]) -> String {
    match words.split_last() {
        None => String::new(),
        Some((only, [])) => only.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// Reads a barometer: the pressure on the spot, counted from nothing. A bare number counts in `unit`, if there is one.
///
/// # Errors
/// [`StatedError`] with what to write instead.
pub fn barometer(text: &str, unit: Option<&str>) -> Result<Stated, StatedError> {
    let typed = text.trim();
    let bare = typed.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | ' '));
    let whole = match unit {
        Some(unit) if bare && !typed.is_empty() => format!("{typed} {unit}"),
        _ => typed.to_owned(),
    };
    let read: Entered<Barometer> = parse(&whole)?;
    Ok(Stated {
        dimension: Dimension::Pressure,
        si: read.value.pascals(),
        step_si: read.resolution_si,
        u_si: read.plus_minus_si.map(|half| 0.5 * half),
        text: whole,
    })
}

/// Reads a height above the sea: "5,300 ft", "1620 m".
///
/// # Errors
/// [`StatedError`] with what to write instead.
pub fn height(text: &str, unit: Option<&str>) -> Result<Stated, StatedError> {
    // A height has no decimals of a thousand: the comma can only part thousands.
    Stated::read(&text.replace(',', ""), Dimension::Length, unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_systems_stand_beside_each_other() {
        assert_eq!(show(Dimension::Pressure, 120.0 * 6894.757, None), "120 psi (827 kPa)");
        assert_eq!(show(Dimension::Pressure, -17.0 * 3386.389, None), "17.0 inHg vac (57.6 kPa vac)");
        assert_eq!(show(Dimension::Fraction, 0.706, Some(0.0105)), "71 ± 2 %");
        assert_eq!(list(&[1, 2, 4]), "1, 2 and 4");
    }

    #[test]
    fn a_barometer_is_read_as_one() {
        let b = barometer("29.92 inHg", None).expect("a barometer");
        assert!((b.si - 101_320.0).abs() < 10.0, "{}", b.si);
        assert!(barometer("12 psig", None).is_err());
        assert!((height("5,300 ft", None).expect("a height").si - 1615.44).abs() < 0.01);
    }

    #[test]
    fn medians() {
        assert_eq!(median(&[3.0, 1.0, 2.0]), 2.0);
        assert_eq!(median(&[4.0, 1.0, 2.0, 3.0]), 2.5);
        assert!(median(&[]).is_nan());
    }
}

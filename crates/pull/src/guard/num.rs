//! Numbers as the guards say them, metric; and the median.

use crate::role::Kind;

/// The middle value; `None` without finite values.
pub(super) fn median(mut values: Vec<f64>) -> Option<f64> {
    values.retain(|v| v.is_finite());
    if values.is_empty() {
        return None;
    }
    let middle = values.len() / 2;
    let (below, upper, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    let (lower, upper) = (below.iter().copied().fold(f64::NEG_INFINITY, f64::max), *upper);
    Some(if values.len().is_multiple_of(2) { (lower + upper) / 2.0 } else { upper })
}

/// A number with its unit: "0.03", "34 kPa", "121 °C", "4.2 %".
pub(super) fn say(kind: Kind, si: f64, difference: bool, share: bool) -> String {
    if share {
        return decimals(si * 100.0, " %");
    }
    match kind {
        Kind::Lambda => format!("{si:.2}"),
        Kind::AirFuelRatio => format!("{si:.1}"),
        Kind::Temperature if difference => format!("{si:.0} °C"),
        Kind::Temperature => format!("{} °C", grouped(si - 273.15)),
        Kind::AbsolutePressure | Kind::GaugePressure => decimals(si / 1e3, " kPa"),
        Kind::RotationalSpeed => format!("{} rpm", grouped(si * 30.0 / std::f64::consts::PI)),
        Kind::Angle => format!("{:.1}°", si.to_degrees()),
        Kind::Torque => decimals(si, " N·m"),
        Kind::Force => decimals(si, " N"),
        Kind::Power => decimals(si / 1e3, " kW"),
        Kind::Fraction => decimals(si * 100.0, " %"),
        Kind::Count => format!("{si:.0}"),
        Kind::Voltage => format!("{si:.1} V"),
        Kind::Time => format!("{si:.2} s"),
        Kind::MassFlow => decimals(si * 3600.0, " kg/h"),
        Kind::VolumeFlow => decimals(si * 60_000.0, " L/min"),
    }
}

/// A whole number in groups of three: "5,460".
pub(super) fn grouped(value: f64) -> String {
    let digits = format!("{:.0}", value.abs());
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    if value <= -0.5 { format!("−{out}") } else { out }
}

fn decimals(value: f64, unit: &str) -> String {
    if value.abs() < 9.95 {
        format!("{value:.1}{unit}").replace('-', "−")
    } else {
        format!("{}{unit}", grouped(value))
    }
}

/// The key of a kind, for faces that print in other units.
pub(super) fn kind_key(kind: Kind) -> &'static str {
    match kind {
        Kind::Time => "time",
        Kind::RotationalSpeed => "rotational_speed",
        Kind::Torque => "torque",
        Kind::Force => "force",
        Kind::Power => "power",
        Kind::AbsolutePressure => "absolute_pressure",
        Kind::GaugePressure => "gauge_pressure",
        Kind::Lambda => "lambda",
        Kind::AirFuelRatio => "air_fuel_ratio",
        Kind::MassFlow => "mass_flow",
        Kind::VolumeFlow => "volume_flow",
        Kind::Temperature => "temperature",
        Kind::Angle => "angle",
        Kind::Fraction => "fraction",
        Kind::Count => "count",
        Kind::Voltage => "voltage",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn medians() {
        assert_eq!(median(vec![3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(vec![4.0, 1.0, f64::NAN, 2.0, 3.0]), Some(2.5));
        assert_eq!(median(vec![5.0]), Some(5.0));
        assert_eq!(median(vec![f64::NAN]), None);
    }

    #[test]
    fn numbers_in_words() {
        assert_eq!(say(Kind::Temperature, 394.25, false, false), "121 °C");
        assert_eq!(say(Kind::Temperature, 55.6, true, false), "56 °C");
        assert_eq!(say(Kind::GaugePressure, 3_447.0, true, false), "3.4 kPa");
        assert_eq!(say(Kind::RotationalSpeed, 571.77, false, false), "5,460 rpm");
        assert_eq!(say(Kind::Torque, 0.0, false, true), "0.0 %");
        assert_eq!(grouped(-1_234.0), "−1,234");
    }
}

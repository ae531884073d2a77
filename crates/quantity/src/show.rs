//! Printing numbers: in the person's units, with the digits that the instrument supports.

use crate::unit::{Dimension, Unit, find_unit_in};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::sync::OnceLock;

/// A number ready for the page: digits with a true minus, and its unit apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// The digits; "–" where there is no value.
    pub number: String,
    /// The unit; empty for a plain number.
    pub unit: &'static str,
}

/// Number and unit as one text: a space before the unit, none before a degree of angle.
impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.unit {
            "" => f.write_str(&self.number),
            "°" => write!(f, "{}°", self.number),
            unit => write!(f, "{} {unit}", self.number),
        }
    }
}

/// The units in which a person thinks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// N·m, kW, kPa, °C, mm.
    Metric,
    /// lb-ft, hp, psi, °F, in.
    #[default]
    UsCustomary,
}

macro_rules! shown {
    ($($(#[$doc:meta])* $name:ident, $dimension:ident, $metric:literal $metric_decimals:literal,
       $us:literal $us_decimals:literal;)*) => {
        impl UnitSystem {
            $(
                $(#[$doc])*
                #[doc = concat!("\n\nMetric: ", $metric, ". US: ", $us, ". `decimals` of `None` means ",
                    stringify!($metric_decimals), " and ", stringify!($us_decimals), ".")]
                pub fn $name(self, si: f64, decimals: Option<u8>) -> Shown {
                    static KEPT: Kept = Kept::new();
                    let (symbol, usual) = match self {
                        Self::Metric => ($metric, $metric_decimals),
                        Self::UsCustomary => ($us, $us_decimals),
                    };
                    let unit = KEPT.get(self, || known(symbol, Dimension::$dimension));
                    Shown { number: digits(unit.from_si(si), i32::from(decimals.unwrap_or(usual))), unit: symbol }
                }
            )*
        }
    };
}

shown! {
    /// A torque given in N·m.
    torque, Torque, "N·m" 0, "lb-ft" 0;
    /// A power given in W.
    power, Power, "kW" 0, "hp" 0;
    /// An absolute pressure given in Pa; the unit says so.
    absolute_pressure, Pressure, "kPa abs" 1, "psia" 2;
    /// A pressure above ambient given in Pa; the unit says so.
    gauge_pressure, Pressure, "kPa gauge" 1, "psig" 2;
    /// How far a pressure is below the air around, given in Pa, above zero.
    vacuum, Pressure, "kPa" 0, "inHg" 1;
    /// A barometer given in Pa, absolute.
    barometer, Pressure, "kPa" 2, "inHg" 2;
    /// A mean effective pressure or a pressure difference given in Pa.
    mean_pressure, Pressure, "kPa" 0, "psi" 1;
    /// A temperature given in K.
    temperature, Temperature, "°C" 0, "°F" 0;
    /// A temperature difference given in K.
    temperature_difference, TemperatureDifference, "°C" 1, "°F" 1;
    /// A length given in m.
    length, Length, "mm" 3, "in" 4;
    /// A volume given in m³.
    volume, Volume, "cm³" 1, "in³" 2;
    /// The swept volume of an engine given in m³.
    engine_volume, Volume, "L" 3, "in³" 1;
    /// A mass given in kg.
    mass, Mass, "kg" 3, "lb" 3;
    /// A force given in N.
    force, Force, "N" 0, "lbf" 1;
    /// A mass flow given in kg/s.
    mass_flow, MassFlow, "kg/h" 1, "lb/h" 1;
    /// A volume flow given in m³/s; a gas needs its condition stated beside it.
    volume_flow, VolumeFlow, "L/min" 1, "cfm" 2;
    /// A specific fuel consumption given in kg/J.
    specific_fuel, SpecificFuel, "g/kWh" 0, "lb/hp-h" 3;
    /// A velocity given in m/s, as of a piston.
    velocity, Velocity, "m/s" 1, "ft/min" 0;
    /// A moment of inertia given in kg·m².
    inertia, Inertia, "kg·m²" 3, "lb-ft²" 2;
    /// A density given in kg/m³.
    density, Density, "kg/m³" 3, "lb/ft³" 4;
    /// An energy given in J.
    energy, Energy, "kJ" 1, "Btu" 1;
    /// An angle given in rad.
    angle, Angle, "°" 1, "°" 1;
    /// A share given as 0 … 1, shown in percent.
    fraction, Fraction, "%" 1, "%" 1;
    /// Lambda.
    lambda, Lambda, "λ" 3, "λ" 3;
    /// An air–fuel ratio by mass.
    air_fuel_ratio, AirFuelRatio, "A/F" 2, "A/F" 2;
    /// A time given in s.
    time, Time, "s" 2, "s" 2;
    /// A voltage given in V.
    voltage, Voltage, "V" 2, "V" 2;
}

impl UnitSystem {
    /// A speed given in rpm (not rad/s), with a comma between thousands. `None` means no decimals.
    pub fn speed_rpm(self, rpm: f64, decimals: Option<u8>) -> Shown {
        Shown { number: thousands(&digits(rpm, i32::from(decimals.unwrap_or(0)))), unit: "rpm" }
    }

    /// A rotational speed given in rad/s, shown in rpm as by [`UnitSystem::speed_rpm`].
    pub fn rotational_speed(self, rad_s: f64, decimals: Option<u8>) -> Shown {
        self.speed_rpm(crate::formula::rpm_from_rad_s(rad_s), decimals)
    }

    /// The unit in which this system shows a kind of quantity, with no pressure reference stated.
    pub fn unit(self, dimension: Dimension) -> &'static Unit {
        const KINDS: usize = Dimension::Count as usize + 1;
        static KEPT: [Kept; KINDS] = [const { Kept::new() }; KINDS];
        KEPT[dimension as usize].get(self, || known(self.symbol(dimension), dimension))
    }

    fn symbol(self, dimension: Dimension) -> &'static str {
        use Dimension as D;
        match (dimension, self) {
            (D::Length, Self::Metric) => "mm",
            (D::Length, Self::UsCustomary) => "in",
            (D::Area, Self::Metric) => "cm²",
            (D::Area, Self::UsCustomary) => "in²",
            (D::Volume, Self::Metric) => "cm³",
            (D::Volume, Self::UsCustomary) => "in³",
            (D::Mass, Self::Metric) => "kg",
            (D::Mass, Self::UsCustomary) => "lb",
            (D::Force, Self::Metric) => "N",
            (D::Force, Self::UsCustomary) => "lbf",
            (D::Torque, Self::Metric) => "N·m",
            (D::Torque, Self::UsCustomary) => "lb-ft",
            (D::Power, Self::Metric) => "kW",
            (D::Power, Self::UsCustomary) => "hp",
            (D::Energy, Self::Metric) => "kJ",
            (D::Energy, Self::UsCustomary) => "Btu",
            (D::SpecificEnergy, Self::Metric) => "MJ/kg",
            (D::SpecificEnergy, Self::UsCustomary) => "Btu/lb",
            (D::Pressure, Self::Metric) => "kPa",
            (D::Pressure, Self::UsCustomary) => "psi",
            (D::Temperature | D::TemperatureDifference, Self::Metric) => "°C",
            (D::Temperature | D::TemperatureDifference, Self::UsCustomary) => "°F",
            (D::Velocity, Self::Metric) => "m/s",
            (D::Velocity, Self::UsCustomary) => "ft/min",
            (D::Acceleration, Self::Metric) => "m/s²",
            (D::Acceleration, Self::UsCustomary) => "ft/s²",
            (D::Inertia, Self::Metric) => "kg·m²",
            (D::Inertia, Self::UsCustomary) => "lb-ft²",
            (D::MassFlow, Self::Metric) => "kg/h",
            (D::MassFlow, Self::UsCustomary) => "lb/h",
            (D::VolumeFlow, Self::Metric) => "L/min",
            (D::VolumeFlow, Self::UsCustomary) => "cfm",
            (D::Density, Self::Metric) => "kg/m³",
            (D::Density, Self::UsCustomary) => "lb/ft³",
            (D::SpecificFuel, Self::Metric) => "g/kWh",
            (D::SpecificFuel, Self::UsCustomary) => "lb/hp-h",
            (D::SpringRate, Self::Metric) => "N/mm",
            (D::SpringRate, Self::UsCustomary) => "lb/in",
            (D::Time, _) => "s",
            (D::RotationalSpeed, _) => "rpm",
            (D::AngularAcceleration, _) => "rpm/s",
            (D::Angle, _) => "°",
            (D::Fraction, _) => "%",
            (D::AirFuelRatio, _) => "A/F",
            (D::Lambda, _) => "λ",
            (D::Voltage, _) => "V",
            (D::Current, _) => "A",
            (D::Frequency, _) => "Hz",
            (D::Count, _) => "count",
        }
    }

    /// An SI value with its uncertainty (SI, of whatever coverage the caller names), in this
    /// system's unit, with the digits that [`digits_with_uncertainty`] gives: "512.3 ± 1.2".
    pub fn with_uncertainty(self, dimension: Dimension, si: f64, u_si: f64) -> Shown {
        let unit = self.unit(dimension);
        let number = format_with_uncertainty(unit.from_si(si), u_si / unit.scale.abs());
        Shown { number, unit: unit.symbol }
    }
}

/// Value and uncertainty as digits: two significant digits of the uncertainty when its leading
/// digit is 1, else one, and the value to the same place. An uncertainty of zero, below zero or
/// without a value gives six significant digits of the value and "–".
pub fn digits_with_uncertainty(value: f64, u: f64) -> (String, String) {
    if !u.is_finite() || u <= 0.0 {
        let place = if value == 0.0 || !value.is_finite() { 0 } else { 5 - exponent(value) };
        return (digits(value, place.min(12)), "–".to_owned());
    }
    let mut place = place_of(u);
    // Rounding may carry: 0.0096 becomes 0.010, whose leading digit is 1, so two digits are due.
    let rounded = round_to(u, place);
    if exponent(rounded) > exponent(u) {
        place = place_of(rounded);
    }
    (digits(value, place), digits(u, place))
}

/// "4.0302 ± 0.0002": [`digits_with_uncertainty`] as one text.
pub fn format_with_uncertainty(value: f64, u: f64) -> String {
    let (value, u) = digits_with_uncertainty(value, u);
    format!("{value} ± {u}")
}

/// Number of decimals that an uncertainty supports, 0 … 12, for [`UnitSystem`]'s functions.
/// `u` in the unit shown. `None` for zero or no value.
pub fn decimals_for(u: f64) -> Option<u8> {
    (u.is_finite() && u > 0.0).then(|| place_of(u).clamp(0, 12) as u8)
}

/// Digits of a number with a true minus. `place` counts decimals; a negative one rounds to tens,
/// hundreds and so on. "–" for what is no number. Never "−0".
pub fn digits(value: f64, place: i32) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    let text = if place < 0 { format!("{:.0}", round_to(value, place)) } else { format!("{value:.*}", place as usize) };
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().any(|b| (b'1'..=b'9').contains(&b)) => format!("−{rest}"),
        Some(rest) => rest.to_owned(),
        None => text,
    }
}

/// The same digits with a comma between thousands: "12,600".
pub fn thousands(number: &str) -> String {
    let (sign, rest) = number.strip_prefix('−').map_or(("", number), |rest| ("−", rest));
    let (whole, decimals) = rest.split_once('.').map_or((rest, None), |(whole, decimals)| (whole, Some(decimals)));
    if !whole.bytes().all(|b| b.is_ascii_digit()) {
        return number.to_owned();
    }
    let mut grouped = String::new();
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    match decimals {
        Some(decimals) => format!("{sign}{grouped}.{decimals}"),
        None => format!("{sign}{grouped}"),
    }
}

/// The unit of each system, looked up by its text once and then kept: a page prints hundreds of numbers.
struct Kept([OnceLock<&'static Unit>; 2]);

impl Kept {
    const fn new() -> Self {
        Self([const { OnceLock::new() }; 2])
    }

    fn get(&self, system: UnitSystem, look_up: impl FnOnce() -> &'static Unit) -> &'static Unit {
        self.0[system as usize].get_or_init(look_up)
    }
}

/// A unit of the table; the test `every_system_unit_exists` walks every caller.
fn known(symbol: &str, dimension: Dimension) -> &'static Unit {
    find_unit_in(symbol, dimension).unwrap_or_else(|error| panic!("the unit table lacks one of its own: {error}"))
}

/// Decimal exponent of a number that is not zero: 0 for 1 … 9.99.
fn exponent(value: f64) -> i32 {
    // The printed form is exact where log10 may round across a power of ten.
    let text = format!("{:e}", value.abs());
    text.split_once('e').and_then(|(_, exponent)| exponent.parse().ok()).unwrap_or(0)
}

fn place_of(u: f64) -> i32 {
    let leading = format!("{u:e}").as_bytes()[0];
    let place = -exponent(u) + i32::from(leading == b'1');
    place.min(300)
}

fn round_to(value: f64, place: i32) -> f64 {
    if place >= 0 {
        return format!("{value:.*}", place as usize).parse().unwrap_or(value);
    }
    let step = 10f64.powi(-place);
    (value / step).round() * step
}

//! The table of units.
//!
//! Exact definitions are written as products of the exact constants, so that the figures can be
//! checked by reading: inch 25.4 mm, avoirdupois pound 0.45359237 kg, standard gravity
//! 9.80665 m/s² (NIST SP 811, from memory; compared with the unit table in `validation/units`).
//! Columns of mercury and water are the conventional ones: 13 595.1 kg/m³ and 1000 kg/m³ at
//! standard gravity, unless the unit names a temperature.

use super::{Dimension as D, PressureReference as P, Shaft, Unit};
use std::f64::consts::PI;

pub(crate) const INCH_M: f64 = 0.0254;
pub(crate) const FOOT_M: f64 = 0.3048;
pub(crate) const MILE_M: f64 = 1609.344;
pub(crate) const POUND_KG: f64 = 0.453_592_37;
const OUNCE_KG: f64 = POUND_KG / 16.0;
pub(crate) const GRAVITY_M_S2: f64 = 9.806_65;
pub(crate) const POUND_N: f64 = POUND_KG * GRAVITY_M_S2;
pub(crate) const CUBIC_INCH_M3: f64 = INCH_M * INCH_M * INCH_M;
pub(crate) const CUBIC_FOOT_M3: f64 = FOOT_M * FOOT_M * FOOT_M;
const US_GALLON_M3: f64 = 231.0 * CUBIC_INCH_M3;
const IMPERIAL_GALLON_M3: f64 = 4.546_09e-3;
pub(crate) const HP_W: f64 = 550.0 * FOOT_M * POUND_N;
pub(crate) const METRIC_HP_W: f64 = 75.0 * GRAVITY_M_S2;
const BTU_J: f64 = 2326.0 * POUND_KG;
pub(crate) const PSI_PA: f64 = POUND_N / (INCH_M * INCH_M);
pub(crate) const INCH_HG_PA: f64 = 13_595.1 * GRAVITY_M_S2 * INCH_M;
const DEGREE_RAD: f64 = PI / 180.0;
pub(crate) const HOUR_S: f64 = 3600.0;

const fn unit(symbol: &'static str, dimension: D, scale: f64, aliases: &'static [&'static str]) -> Unit {
    Unit {
        symbol,
        dimension,
        scale,
        offset: 0.0,
        reference: P::Unstated,
        shaft: Shaft::Unstated,
        aliases,
        only_when_asked: false,
    }
}

const fn asked(unit: Unit) -> Unit {
    Unit { only_when_asked: true, ..unit }
}

const fn shifted(unit: Unit, offset: f64) -> Unit {
    Unit { offset, ..unit }
}

const fn on_shaft(unit: Unit, shaft: Shaft) -> Unit {
    Unit { shaft, ..unit }
}

const fn pressure(symbols: [&'static str; 4], scale: f64, aliases: &'static [&'static str]) -> [Unit; 4] {
    let plain = unit(symbols[0], D::Pressure, scale, aliases);
    [
        plain,
        Unit { symbol: symbols[1], reference: P::Gauge, ..plain },
        Unit { symbol: symbols[2], reference: P::Absolute, ..plain },
        Unit { symbol: symbols[3], reference: P::Vacuum, scale: -scale, ..plain },
    ]
}

/// Every unit that is known, kinds in order.
pub fn all_units() -> impl Iterator<Item = &'static Unit> {
    PRESSURES.iter().flatten().chain(UNITS.iter())
}

static PRESSURES: &[[Unit; 4]] = &[
    pressure(["kPa", "kPa gauge", "kPa abs", "kPa vac"], 1e3, &["kilopascal", "kilopascals"]),
    pressure(["psi", "psig", "psia", "psi vac"], PSI_PA, &["lb/in2", "lbf/in2", "lbs/in2"]),
    pressure(["bar", "barg", "bara", "bar vac"], 1e5, &["bars"]),
    pressure(["mbar", "mbarg", "mbara", "mbar vac"], 100.0, &["millibar", "millibars", "mb", "Mbar"]),
    pressure(["hPa", "hPa gauge", "hPa abs", "hPa vac"], 100.0, &["hectopascal"]),
    pressure(
        ["inHg", "inHg gauge", "inHg abs", "inHg vac"],
        INCH_HG_PA,
        &["\"Hg", "inches Hg", "inch Hg", "inches of mercury", "inches mercury", "Hg in"],
    ),
    pressure(["mmHg", "mmHg gauge", "mmHg abs", "mmHg vac"], 13.5951 * GRAVITY_M_S2, &["millimetres of mercury"]),
    pressure(["torr", "torr gauge", "torr abs", "torr vac"], 101_325.0 / 760.0, &[]),
    pressure(
        ["inH2O", "inH2O gauge", "inH2O abs", "inH2O vac"],
        1000.0 * GRAVITY_M_S2 * INCH_M,
        &["\"H2O", "inches H2O", "inch H2O", "inches of water", "inWC", "in w.c.", "inWG", "\"WC"],
    ),
    pressure(["mmH2O", "mmH2O gauge", "mmH2O abs", "mmH2O vac"], GRAVITY_M_S2, &["mmWC", "mmWS", "mm of water"]),
    pressure(["Pa", "Pa gauge", "Pa abs", "Pa vac"], 1.0, &["pascal", "pascals", "N/m2"]),
    pressure(["MPa", "MPa gauge", "MPa abs", "MPa vac"], 1e6, &["megapascal", "N/mm2"]),
    pressure(["atm", "atm gauge", "atm abs", "atm vac"], 101_325.0, &["atmosphere", "atmospheres"]),
    pressure(
        ["kgf/cm²", "kgf/cm² gauge", "kgf/cm² abs", "kgf/cm² vac"],
        GRAVITY_M_S2 * 1e4,
        &["kg/cm2", "kp/cm2", "technical atmosphere"],
    ),
    // The next three: columns at a named temperature, NIST SP 811 (from memory).
    pressure(
        ["inHg (60 °F)", "inHg (60 °F) gauge", "inHg (60 °F) abs", "inHg (60 °F) vac"],
        3376.85,
        &["inHg60F", "inHg at 60 °F", "inHg @60F"],
    ),
    pressure(
        ["inH2O (60 °F)", "inH2O (60 °F) gauge", "inH2O (60 °F) abs", "inH2O (60 °F) vac"],
        248.84,
        &["inH2O60F", "inH2O at 60 °F", "inH2O @60F"],
    ),
    pressure(
        ["inH2O (39.2 °F)", "inH2O (39.2 °F) gauge", "inH2O (39.2 °F) abs", "inH2O (39.2 °F) vac"],
        249.082,
        &["inH2O39.2F", "inH2O at 39.2 °F", "inH2O @39.2F"],
    ),
];

static UNITS: &[Unit] = &[
    // Length
    unit("mm", D::Length, 1e-3, &["millimetre", "millimetres", "millimeter", "millimeters", "mil"]),
    unit("in", D::Length, INCH_M, &["inch", "inches", "\"", "″", "”"]),
    unit("thou", D::Length, INCH_M * 1e-3, &["thousandths", "thousandth", "thousandths of an inch", "mil", "mils"]),
    unit("tenths", D::Length, INCH_M * 1e-4, &["tenth", "ten-thousandths", "tenths of a thou", "tenth of a thou"]),
    unit("cm", D::Length, 1e-2, &["centimetre", "centimetres", "centimeter", "centimeters"]),
    unit("m", D::Length, 1.0, &["metre", "metres", "meter", "meters"]),
    unit("µm", D::Length, 1e-6, &["micron", "microns", "micrometre", "micrometres"]),
    unit("ft", D::Length, FOOT_M, &["foot", "feet", "'", "′", "’"]),
    unit("km", D::Length, 1e3, &["kilometre", "kilometres", "kilometer", "kilometers"]),
    unit("mi", D::Length, MILE_M, &["mile", "miles"]),
    // Area
    unit("mm²", D::Area, 1e-6, &["sq mm"]),
    unit("cm²", D::Area, 1e-4, &["sq cm"]),
    unit("in²", D::Area, INCH_M * INCH_M, &["sq in", "square inch", "square inches"]),
    unit("m²", D::Area, 1.0, &["sq m"]),
    unit("ft²", D::Area, FOOT_M * FOOT_M, &["sq ft"]),
    // Volume
    unit("cm³", D::Volume, 1e-6, &["cc", "ccs", "ccm", "cu cm", "cubic centimetres", "cubic centimeters"]),
    unit("in³", D::Volume, CUBIC_INCH_M3, &["ci", "cid", "cu in", "cubic inch", "cubic inches", "cui"]),
    unit("L", D::Volume, 1e-3, &["l", "liter", "liters", "litre", "litres", "ltr", "dm3"]),
    unit("mL", D::Volume, 1e-6, &["ml", "millilitre", "milliliter", "millilitres", "milliliters"]),
    unit("m³", D::Volume, 1.0, &["cubic metres", "cubic meters"]),
    unit("mm³", D::Volume, 1e-9, &[]),
    unit("ft³", D::Volume, CUBIC_FOOT_M3, &["cu ft", "cubic feet"]),
    unit("US gal", D::Volume, US_GALLON_M3, &["gal", "gallon", "gallons", "gal US", "US gallon", "US gallons"]),
    unit(
        "imp gal",
        D::Volume,
        IMPERIAL_GALLON_M3,
        &["gal", "gallon", "gallons", "gal imp", "imperial gallon", "imperial gallons", "UK gal", "gal UK"],
    ),
    unit("US qt", D::Volume, US_GALLON_M3 / 4.0, &["qt", "qts", "quart", "quarts", "qt US", "US quart", "US quarts"]),
    unit(
        "imp qt",
        D::Volume,
        IMPERIAL_GALLON_M3 / 4.0,
        &["qt", "qts", "quart", "quarts", "qt imp", "imperial quart", "imperial quarts", "UK qt"],
    ),
    unit("US fl oz", D::Volume, US_GALLON_M3 / 128.0, &["fl oz", "floz", "oz", "fluid ounce", "fluid ounces"]),
    unit("imp fl oz", D::Volume, IMPERIAL_GALLON_M3 / 160.0, &["fl oz", "floz", "fluid ounce", "fluid ounces"]),
    // Mass
    unit("kg", D::Mass, 1.0, &["kgs", "kilogram", "kilograms", "kilo", "kilos"]),
    unit("lb", D::Mass, POUND_KG, &["lbs", "pound", "pounds", "lbm"]),
    unit("g", D::Mass, 1e-3, &["gram", "grams", "gr"]),
    unit("oz", D::Mass, OUNCE_KG, &["ounce", "ounces", "avoirdupois ounce"]),
    unit("mg", D::Mass, 1e-6, &["milligram", "milligrams"]),
    unit("t", D::Mass, 1e3, &["tonne", "tonnes", "metric ton", "metric tons", "ton", "tons"]),
    unit("short ton", D::Mass, 2000.0 * POUND_KG, &["ton", "tons", "US ton", "US tons", "short tons"]),
    unit("long ton", D::Mass, 2240.0 * POUND_KG, &["ton", "tons", "imperial ton", "long tons", "UK ton"]),
    unit("slug", D::Mass, POUND_N / FOOT_M, &["slugs"]),
    unit("grain", D::Mass, POUND_KG / 7000.0, &["grains", "gr"]),
    // Force
    unit("N", D::Force, 1.0, &["newton", "newtons"]),
    unit("kN", D::Force, 1e3, &["kilonewton", "kilonewtons"]),
    unit("daN", D::Force, 10.0, &[]),
    unit("lbf", D::Force, POUND_N, &["lb", "lbs", "pound", "pounds", "pounds force", "pound force", "lb force"]),
    unit("kgf", D::Force, GRAVITY_M_S2, &["kp", "kilogram force", "kg force"]),
    asked(unit("kgf", D::Force, GRAVITY_M_S2, &["kg", "kgs"])),
    asked(unit("gf", D::Force, GRAVITY_M_S2 * 1e-3, &["g", "gram force"])),
    unit("ozf", D::Force, OUNCE_KG * GRAVITY_M_S2, &["ounce force"]),
    asked(unit("ozf", D::Force, OUNCE_KG * GRAVITY_M_S2, &["oz"])),
    // Torque
    unit("N·m", D::Torque, 1.0, &["Nm", "newton metre", "newton metres", "newton meter", "newton meters"]),
    unit(
        "lb-ft",
        D::Torque,
        POUND_N * FOOT_M,
        &[
            "ft-lb",
            "lbf-ft",
            "ft-lbf",
            "lbs-ft",
            "ft-lbs",
            "foot pounds",
            "pound feet",
            "pound foot",
            "foot pound",
            "ft#",
        ],
    ),
    unit(
        "lb-in",
        D::Torque,
        POUND_N * INCH_M,
        &["in-lb", "lbf-in", "in-lbf", "in-lbs", "lbs-in", "inch pounds", "inch pound", "pound inches"],
    ),
    unit("oz-in", D::Torque, OUNCE_KG * GRAVITY_M_S2 * INCH_M, &["in-oz", "ozf-in", "in-ozf", "ounce inches"]),
    unit("kgf·m", D::Torque, GRAVITY_M_S2, &["kg·m", "m·kg", "m·kgf", "kp·m", "m·kp"]),
    unit("kgf·cm", D::Torque, GRAVITY_M_S2 * 1e-2, &["kg·cm", "cm·kg", "kp·cm"]),
    unit("N·cm", D::Torque, 1e-2, &[]),
    unit("daN·m", D::Torque, 10.0, &[]),
    unit("kN·m", D::Torque, 1e3, &[]),
    // Power
    unit("kW", D::Power, 1e3, &["kilowatt", "kilowatts"]),
    unit(
        "hp",
        D::Power,
        HP_W,
        &[
            "bhp",
            "horsepower",
            "brake horsepower",
            "brake hp",
            "hp(I)",
            "mechanical hp",
            "hp (mechanical)",
            "shp",
            "fwhp",
        ],
    ),
    unit(
        "PS",
        D::Power,
        METRIC_HP_W,
        &["cv", "ch", "pk", "hk", "metric hp", "hp metric", "hp(M)", "metric horsepower"],
    ),
    unit("W", D::Power, 1.0, &["watt", "watts"]),
    unit("MW", D::Power, 1e6, &[]),
    unit("hp (electric)", D::Power, 746.0, &["electric hp", "hp(E)", "electrical hp", "hp electrical"]),
    unit("Btu/min", D::Power, BTU_J / 60.0, &[]),
    unit("Btu/h", D::Power, BTU_J / HOUR_S, &["Btu/hr"]),
    // Energy
    unit("J", D::Energy, 1.0, &["joule", "joules"]),
    unit("kJ", D::Energy, 1e3, &[]),
    unit("MJ", D::Energy, 1e6, &[]),
    unit("kWh", D::Energy, 3.6e6, &[]),
    unit("Btu", D::Energy, BTU_J, &[]),
    asked(unit("ft-lb", D::Energy, POUND_N * FOOT_M, &["ft-lbf", "lb-ft", "lbf-ft", "foot pounds"])),
    asked(unit("N·m", D::Energy, 1.0, &["Nm"])),
    unit("MJ/kg", D::SpecificEnergy, 1e6, &[]),
    unit("kJ/kg", D::SpecificEnergy, 1e3, &[]),
    unit("J/kg", D::SpecificEnergy, 1.0, &[]),
    unit("Btu/lb", D::SpecificEnergy, 2326.0, &["Btu/lbm"]),
    // Temperature
    shifted(
        unit(
            "°C",
            D::Temperature,
            1.0,
            &["C", "degrees C", "C°", "celsius", "degrees celsius", "deg celsius", "centigrade"],
        ),
        273.15,
    ),
    shifted(
        unit(
            "°F",
            D::Temperature,
            5.0 / 9.0,
            &["F", "degrees F", "F°", "fahrenheit", "degrees fahrenheit", "deg fahrenheit"],
        ),
        459.67 * 5.0 / 9.0,
    ),
    unit("K", D::Temperature, 1.0, &["deg K", "kelvin", "degrees K"]),
    unit("°R", D::Temperature, 5.0 / 9.0, &["R", "rankine", "degrees R", "deg rankine"]),
    // A bare degree sign where a temperature is wanted has two readings.
    asked(shifted(unit("°C", D::Temperature, 1.0, &["deg", "degs", "degrees", "°"]), 273.15)),
    asked(shifted(unit("°F", D::Temperature, 5.0 / 9.0, &["deg", "degs", "degrees", "°"]), 459.67 * 5.0 / 9.0)),
    unit("Δ°C", D::TemperatureDifference, 1.0, &["delta °C", "C°", "ΔC", "ΔK", "delta K", "delta C"]),
    unit("Δ°F", D::TemperatureDifference, 5.0 / 9.0, &["delta °F", "F°", "ΔF", "delta F"]),
    asked(unit("K", D::TemperatureDifference, 1.0, &["kelvin", "deg K"])),
    asked(unit("°C", D::TemperatureDifference, 1.0, &["C", "celsius", "degrees C"])),
    asked(unit("°F", D::TemperatureDifference, 5.0 / 9.0, &["F", "fahrenheit", "degrees F"])),
    // Time
    unit("s", D::Time, 1.0, &["sec", "secs", "second", "seconds"]),
    unit("ms", D::Time, 1e-3, &["msec", "msecs", "millisecond", "milliseconds"]),
    unit("µs", D::Time, 1e-6, &["usec", "microsecond", "microseconds"]),
    unit("min", D::Time, 60.0, &["mins", "minute", "minutes"]),
    unit("h", D::Time, HOUR_S, &["hr", "hrs", "hour", "hours"]),
    // Rotational speed
    unit(
        "rpm",
        D::RotationalSpeed,
        PI / 30.0,
        &[
            "1/min",
            "r/min",
            "rev/min",
            "revs/min",
            "min^-1",
            "revolutions/minute",
            "revs",
            "U/min",
            "tr/min",
            "rpms",
            "rot/min",
        ],
    ),
    unit("rad/s", D::RotationalSpeed, 1.0, &["rad/sec", "rads/s"]),
    unit("rev/s", D::RotationalSpeed, 2.0 * PI, &["rps", "r/s", "revs/s", "rev/sec"]),
    unit(
        "krpm",
        D::RotationalSpeed,
        1000.0 * PI / 30.0,
        &["rpm x1000", "x1000 rpm", "1000 rpm", "rpm*1000", "1000/min"],
    ),
    unit("°/s", D::RotationalSpeed, DEGREE_RAD, &["deg/sec"]),
    asked(unit("Hz", D::RotationalSpeed, 2.0 * PI, &["1/s", "s^-1"])),
    unit("rpm/s", D::AngularAcceleration, PI / 30.0, &["rpm/sec", "r/min/s", "1/min/s"]),
    unit("rad/s²", D::AngularAcceleration, 1.0, &[]),
    // Velocity and acceleration
    unit("m/s", D::Velocity, 1.0, &["m/sec", "mps", "m·s⁻¹"]),
    unit("ft/min", D::Velocity, FOOT_M / 60.0, &["fpm", "feet/min", "feet/minute"]),
    unit("ft/s", D::Velocity, FOOT_M, &["fps", "ft/sec"]),
    unit("km/h", D::Velocity, 1.0 / 3.6, &["kph", "kmh", "kmph", "km/hr"]),
    unit("mph", D::Velocity, MILE_M / HOUR_S, &["mi/h", "miles/hour"]),
    unit("m/s²", D::Acceleration, 1.0, &["m/s/s"]),
    unit("ft/s²", D::Acceleration, FOOT_M, &[]),
    unit("g₀", D::Acceleration, GRAVITY_M_S2, &["G", "g", "gn", "g-force", "standard gravity"]),
    // Angle
    unit("°", D::Angle, DEGREE_RAD, &["deg", "degs", "degree", "degrees", "arc degrees"]),
    on_shaft(
        unit(
            "° crank",
            D::Angle,
            DEGREE_RAD,
            &["°CA", "deg CA", "CAD", "crank deg", "°crk", "°CRK", "degrees crank", "°BTDC", "°CA BTDC", "BTDC"],
        ),
        Shaft::Crank,
    ),
    on_shaft(unit("° cam", D::Angle, DEGREE_RAD, &["cam deg", "degrees cam", "camshaft degrees"]), Shaft::Cam),
    unit("rad", D::Angle, 1.0, &["radian", "radians"]),
    // Moment of inertia
    unit("kg·m²", D::Inertia, 1.0, &["kgm2"]),
    unit("lb-ft²", D::Inertia, POUND_KG * FOOT_M * FOOT_M, &["lbm-ft2", "lbs-ft2", "ft2-lb"]),
    unit("lb-in²", D::Inertia, POUND_KG * INCH_M * INCH_M, &["lbm-in2", "lbs-in2"]),
    unit("slug-ft²", D::Inertia, POUND_N * FOOT_M, &["slugs-ft2", "lb-ft-s²", "lbf-ft-s2", "ft-lb-s2", "ft-lbf-s2"]),
    unit("lb-in-s²", D::Inertia, POUND_N * INCH_M, &["lbf-in-s2", "in-lb-s2", "in-lbf-s2"]),
    unit("g·cm²", D::Inertia, 1e-7, &[]),
    // Mass flow
    unit("kg/h", D::MassFlow, 1.0 / HOUR_S, &["kg/hr", "kg/hour", "kgh"]),
    unit(
        "lb/h",
        D::MassFlow,
        POUND_KG / HOUR_S,
        &["lb/hr", "lbs/hr", "lbs/h", "lb/hour", "pph", "lbm/h", "lbm/hr", "#/hr"],
    ),
    unit("g/s", D::MassFlow, 1e-3, &["g/sec", "gps", "gram/s"]),
    unit("kg/s", D::MassFlow, 1.0, &["kg/sec"]),
    unit("g/min", D::MassFlow, 1e-3 / 60.0, &[]),
    unit("kg/min", D::MassFlow, 1.0 / 60.0, &[]),
    unit("lb/min", D::MassFlow, POUND_KG / 60.0, &["lbs/min", "lbm/min"]),
    unit("lb/s", D::MassFlow, POUND_KG, &["lbs/s", "lb/sec", "lbm/s"]),
    unit("mg/s", D::MassFlow, 1e-6, &[]),
    unit("g/h", D::MassFlow, 1e-3 / HOUR_S, &["g/hr"]),
    // Volume flow
    unit("L/min", D::VolumeFlow, 1e-3 / 60.0, &["lpm", "litres/min", "liters/min"]),
    unit("L/h", D::VolumeFlow, 1e-3 / HOUR_S, &["l/hr", "lph"]),
    unit("L/s", D::VolumeFlow, 1e-3, &["l/sec"]),
    unit("cm³/min", D::VolumeFlow, 1e-6 / 60.0, &["cc/min", "ccm/min", "ml/min"]),
    unit("cfm", D::VolumeFlow, CUBIC_FOOT_M3 / 60.0, &["ft3/min", "cu ft/min", "cubic feet/minute"]),
    unit("m³/h", D::VolumeFlow, 1.0 / HOUR_S, &["m3/hr", "cbm/h"]),
    unit("m³/min", D::VolumeFlow, 1.0 / 60.0, &[]),
    unit("m³/s", D::VolumeFlow, 1.0, &[]),
    unit("ft³/h", D::VolumeFlow, CUBIC_FOOT_M3 / HOUR_S, &["cfh", "ft3/hr"]),
    unit("US gal/h", D::VolumeFlow, US_GALLON_M3 / HOUR_S, &["gal/h", "gal/hr", "gph", "US gph", "US gal/hr"]),
    unit("imp gal/h", D::VolumeFlow, IMPERIAL_GALLON_M3 / HOUR_S, &["gal/h", "gal/hr", "gph", "imp gph", "imp gal/hr"]),
    unit("US gal/min", D::VolumeFlow, US_GALLON_M3 / 60.0, &["gal/min", "gpm", "US gpm"]),
    unit("imp gal/min", D::VolumeFlow, IMPERIAL_GALLON_M3 / 60.0, &["gal/min", "gpm", "imp gpm"]),
    // Density
    unit("kg/m³", D::Density, 1.0, &[]),
    unit("g/cm³", D::Density, 1e3, &["g/cc", "kg/L", "g/mL", "kg/dm3"]),
    unit("g/L", D::Density, 1.0, &[]),
    unit("lb/ft³", D::Density, POUND_KG / CUBIC_FOOT_M3, &["lbm/ft3", "lb/cu ft", "lbs/ft3"]),
    unit("lb/US gal", D::Density, POUND_KG / US_GALLON_M3, &["lb/gal", "lbs/gal"]),
    unit("lb/imp gal", D::Density, POUND_KG / IMPERIAL_GALLON_M3, &["lb/gal", "lbs/gal"]),
    // Specific fuel consumption
    unit("g/kWh", D::SpecificFuel, 1e-3 / 3.6e6, &["g/kW-h", "g/kW/h", "g/(kW·h)", "g/kW-hr"]),
    unit(
        "lb/hp-h",
        D::SpecificFuel,
        POUND_KG / (HP_W * HOUR_S),
        &[
            "lb/hp/h",
            "lb/hp-hr",
            "lb/(hp·h)",
            "lb/bhp-h",
            "lb/bhp-hr",
            "lbs/hp-hr",
            "lbs/hp-h",
            "lb/hp/hr",
            "lbs/hp/hr",
        ],
    ),
    unit("g/hp-h", D::SpecificFuel, 1e-3 / (HP_W * HOUR_S), &["g/bhp-h", "g/hp-hr"]),
    unit("g/PS-h", D::SpecificFuel, 1e-3 / (METRIC_HP_W * HOUR_S), &["g/PSh", "g/cv-h"]),
    unit("kg/kWh", D::SpecificFuel, 1.0 / 3.6e6, &[]),
    unit("g/MJ", D::SpecificFuel, 1e-9, &[]),
    unit("kg/J", D::SpecificFuel, 1.0, &[]),
    // Spring rate
    unit("N/mm", D::SpringRate, 1e3, &[]),
    unit("lb/in", D::SpringRate, POUND_N / INCH_M, &["lbf/in", "lbs/in", "lb/inch"]),
    unit("N/m", D::SpringRate, 1.0, &[]),
    unit("kgf/mm", D::SpringRate, GRAVITY_M_S2 * 1e3, &["kg/mm"]),
    // Without dimension
    unit("%", D::Fraction, 1e-2, &["percent", "pct", "per cent", "% RH", "%rh", "RH%", "RH %", "% rel", "%wot"]),
    unit("ppm", D::Fraction, 1e-6, &[]),
    unit("1", D::Fraction, 1.0, &["fraction", "ratio", "0-1", "0..1"]),
    unit("λ", D::Lambda, 1.0, &["lambda", "lam", "lambdas"]),
    unit("1", D::Lambda, 1.0, &["ratio"]),
    unit(
        "A/F",
        D::AirFuelRatio,
        1.0,
        &["AFR", "air fuel ratio", "air/fuel", "A:F", ":1 AFR", ":1 A/F", "kg/kg", "lb/lb"],
    ),
    unit("1", D::AirFuelRatio, 1.0, &["ratio", ":1"]),
    unit("V", D::Voltage, 1.0, &["volt", "volts", "VDC", "V DC"]),
    unit("mV", D::Voltage, 1e-3, &["millivolt", "millivolts"]),
    unit("A", D::Current, 1.0, &["amp", "amps", "ampere", "amperes"]),
    unit("mA", D::Current, 1e-3, &["milliamp", "milliamps"]),
    unit("Hz", D::Frequency, 1.0, &["1/s", "s^-1", "hertz", "cps"]),
    unit("kHz", D::Frequency, 1e3, &["kilohertz"]),
    unit("count", D::Count, 1.0, &["counts", "cts", "n", "number", "events", "pcs"]),
    unit("1", D::Count, 1.0, &[]),
];

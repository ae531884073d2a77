//! The invented cells: what they are and how they write.

use crate::style::{ColumnStyle, Encoding, Style, TimeStyle, UnitStyle};

/// An invented cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// Short name for files: `north`.
    pub key: String,
    /// Name: "North cell".
    pub name: String,
    /// Height above the sea, m.
    pub altitude_m: f64,
    /// Stated inertia between load cell and crank (engine, coupling, rotor), kg·m².
    pub inertia_kg_m2: f64,
    /// What the load cell shows for one N·m.
    pub gain: f64,
    /// What it shows for nothing, N·m.
    pub offset_nm: f64,
    /// When it was checked, and with how much torque at most, N·m; `None` if it never was.
    pub checked: Option<(String, f64)>,
    /// How it writes.
    pub style: Style,
}

impl Cell {
    /// The readings of the load-cell check: applied, shown going up, shown coming down, N·m.
    /// The hysteresis is 0.02 % of the highest point in the middle and nothing at the ends.
    pub fn check_points(&self) -> Vec<(f64, f64, f64)> {
        let Some((_, most)) = &self.checked else { return Vec::new() };
        (0..=6)
            .map(|i| {
                let share = f64::from(i) / 6.0;
                let shown = self.offset_nm + self.gain * share * most;
                let half = 0.5 * 0.0002 * most * 4.0 * share * (1.0 - share);
                (share * most, shown - half, shown + half)
            })
            .collect()
    }
}

/// Roles that a cell writes beside time, as (key, name, unit, decimals).
type Written = (&'static str, &'static str, &'static str, usize);

const US: &[Written] = &[
    ("speed", "Engine speed", "rpm", 0),
    ("torque", "Torque", "lb-ft", 1),
    ("brake_power", "Power", "hp", 1),
    ("throttle", "Throttle", "%", 1),
    ("manifold_pressure", "MAP", "kPa", 1),
    ("boost", "Boost", "psi", 2),
    ("blower_speed", "Blower speed", "rpm", 0),
    ("lambda_1", "Lambda left", "λ", 3),
    ("lambda_2", "Lambda right", "λ", 3),
    ("lambda_target", "Lambda aim", "λ", 3),
    ("fuel_flow", "Fuel flow", "lb/h", 1),
    ("fuel_pressure", "Fuel pressure", "psi", 1),
    ("oil_pressure", "Oil pressure", "psi", 1),
    ("oil_temperature", "Oil temp", "°F", 1),
    ("coolant_temperature", "Water out", "°F", 1),
    ("spark_advance", "Spark advance", "deg", 1),
    ("knock_0", "Knock count", "", 0),
    ("exhaust_temperature_1", "EGT 1", "°F", 0),
    ("exhaust_temperature_2", "EGT 2", "°F", 0),
    ("exhaust_temperature_3", "EGT 3", "°F", 0),
    ("exhaust_temperature_4", "EGT 4", "°F", 0),
    ("barometer", "Barometer", "inHg", 2),
    ("intake_air_temperature", "Inlet air temp", "°F", 1),
    ("humidity", "Humidity", "%", 0),
];

const METRIC: &[Written] = &[
    ("speed", "Speed", "1/min", 0),
    ("torque", "Torque", "Nm", 1),
    ("throttle", "Throttle", "%", 1),
    ("manifold_pressure", "Manifold pressure", "kPa abs", 1),
    ("manifold_target", "Manifold target", "kPa abs", 1),
    ("lambda_1", "Lambda", "λ", 3),
    ("lambda_target", "Lambda target", "λ", 3),
    ("fuel_flow", "Fuel flow", "kg/h", 2),
    ("fuel_pressure", "Fuel rail pressure", "kPa", 1),
    ("oil_pressure", "Oil pressure", "kPa", 1),
    ("oil_temperature", "Oil temperature", "°C", 1),
    ("coolant_temperature", "Coolant out", "°C", 1),
    ("spark_advance", "Spark advance", "°", 1),
    ("knock_0", "Knock", "", 0),
    ("exhaust_temperature_1", "Exhaust temperature 1", "°C", 0),
    ("exhaust_temperature_2", "Exhaust temperature 2", "°C", 0),
    ("exhaust_temperature_3", "Exhaust temperature 3", "°C", 0),
    ("exhaust_temperature_4", "Exhaust temperature 4", "°C", 0),
    ("barometer", "Barometer", "kPa", 2),
    ("intake_air_temperature", "Intake air", "°C", 1),
    ("humidity", "Relative humidity", "%", 1),
];

fn columns(written: &[Written]) -> Vec<ColumnStyle> {
    written
        .iter()
        .map(|(key, name, unit, decimals)| ColumnStyle {
            key: (*key).to_owned(),
            name: (*name).to_owned(),
            unit: (*unit).to_owned(),
            decimals: *decimals,
        })
        .collect()
}

/// "North cell": commas, units in brackets, time in seconds, American units.
pub fn north() -> Cell {
    Cell {
        key: "north".into(),
        name: "North cell".into(),
        altitude_m: 180.0,
        inertia_kg_m2: 0.35,
        gain: 1.0,
        offset_nm: 0.0,
        checked: Some(("2026-04-07 07:40".into(), 900.0)),
        style: Style {
            delimiter: ',',
            decimal: '.',
            units: UnitStyle::Brackets,
            time: TimeStyle::Seconds,
            time_name: "Time".into(),
            encoding: Encoding::Utf8,
            line_end: "\r\n",
            preamble: vec!["cell: North".into()],
            repeat_header: None,
            missing: "",
            trailing_delimiter: false,
            columns: columns(US),
        },
    }
}

/// "Yard cell": semicolons, decimal commas, units in a row of their own, Windows-1252, metric units; its load cell
/// reads 0.1 % low and the check is applied.
pub fn yard() -> Cell {
    Cell {
        key: "yard".into(),
        name: "Yard cell".into(),
        altitude_m: 290.0,
        inertia_kg_m2: 0.22,
        gain: 0.999,
        offset_nm: 0.15,
        checked: Some(("2026-04-08 07:50".into(), 400.0)),
        style: Style {
            delimiter: ';',
            decimal: ',',
            units: UnitStyle::OwnRow,
            time: TimeStyle::Seconds,
            time_name: "Time".into(),
            encoding: Encoding::Windows1252,
            line_end: "\r\n",
            preamble: vec!["cell: Yard".into()],
            repeat_header: None,
            missing: "-",
            trailing_delimiter: true,
            // Windows-1252 has no λ; this cell writes lambda without a unit.
            columns: columns(METRIC)
                .into_iter()
                .map(|c| if c.unit == "λ" { ColumnStyle { unit: String::new(), ..c } } else { c })
                .collect(),
        },
    }
}

/// "River cell": tabs, a preamble, time as h:m:s.f, American units with power; its load cell reads 0.3 % high and the
/// check is applied.
pub fn river() -> Cell {
    Cell {
        key: "river".into(),
        name: "River cell".into(),
        altitude_m: 150.0,
        inertia_kg_m2: 0.45,
        gain: 1.003,
        offset_nm: -0.4,
        checked: Some(("2026-03-30 16:10".into(), 1000.0)),
        style: Style {
            delimiter: '\t',
            decimal: '.',
            units: UnitStyle::Parentheses,
            time: TimeStyle::Clock,
            time_name: "Clock".into(),
            encoding: Encoding::Utf8,
            line_end: "\n",
            preamble: vec!["Cell\tRiver".into(), "Brake\twater".into(), String::new()],
            repeat_header: None,
            missing: "NaN",
            trailing_delimiter: false,
            columns: columns(US),
        },
    }
}

/// "Hill cell": UTF-16, commas, the header again every 2,000 rows, time in milliseconds; never checked with weights.
pub fn hill() -> Cell {
    Cell {
        key: "hill".into(),
        name: "Hill cell".into(),
        altitude_m: 210.0,
        inertia_kg_m2: 0.40,
        gain: 1.0,
        offset_nm: 0.0,
        checked: None,
        style: Style {
            delimiter: ',',
            decimal: '.',
            units: UnitStyle::Parentheses,
            time: TimeStyle::Milliseconds,
            time_name: "Elapsed".into(),
            encoding: Encoding::Utf16,
            line_end: "\r\n",
            preamble: Vec::new(),
            repeat_header: Some(2000),
            missing: "ERR",
            trailing_delimiter: false,
            columns: columns(US),
        },
    }
}

/// "High cell": the River cell's way of writing, at 5,300 ft.
pub fn high() -> Cell {
    Cell {
        key: "high".into(),
        name: "High cell".into(),
        altitude_m: 1615.0,
        inertia_kg_m2: 0.38,
        gain: 1.0,
        offset_nm: 0.0,
        checked: None,
        style: Style { preamble: vec!["Cell\tHigh".into()], ..river().style },
    }
}

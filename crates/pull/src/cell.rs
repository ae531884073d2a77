//! "How this cell writes": what is known of one dyno and of the logs it makes.
//!
//! Kept as a small TOML file per dyno (read and written in `cell_file`), so that a question about a
//! unit or a role is asked once.

use crate::role::Role;
use quantity::Origin;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A number that is known, how surely, and from where. SI.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Known {
    /// The value, SI.
    pub value: f64,
    /// Standard uncertainty, SI; `None` when the spread is not known.
    pub u: Option<f64>,
    /// The text as typed, for showing again.
    pub text: String,
    /// Where it comes from.
    pub origin: Origin,
}

/// What is known of a dyno and of how it writes its logs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct CellFile {
    /// Name of the dyno: "North cell".
    pub name: String,
    /// Height of the cell above the sea, m; the barometer is checked against it.
    pub altitude_m: Option<f64>,
    /// Moment of inertia between the load cell and the crank side (engine, coupling, rotor), kg·m².
    pub inertia: Option<Known>,
    /// Last check of the load cell against dead weights.
    pub load_cell: Option<LoadCellCheck>,
    /// Torque arm, m; needed when the log gives a force.
    pub arm: Option<Known>,
    /// Standard uncertainties of the cell's instruments.
    pub uncertainty: Uncertainties,
    /// What each column means, by name as written.
    pub channels: BTreeMap<String, ChannelNote>,
    /// Decimal mark if the logs leave it open ('.' or ',').
    pub decimal: Option<char>,
    /// Rows per second where a log has no time column, Hz.
    pub rate_hz: Option<f64>,
    /// Order of day and month in numeric dates, when it matters: "dmy", "mdy", "ymd".
    pub date_order: Option<String>,
}

/// What a column means.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct ChannelNote {
    /// What it stands for; `None` with `ignored` unset means "not settled".
    pub role: Option<Role>,
    /// The person said: this channel is of no interest.
    pub ignored: bool,
    /// Unit as typed.
    pub unit: Option<String>,
    /// Delay of the channel behind the engine, s, positive when the log shows it late.
    pub lag_s: Option<f64>,
}

/// A check of the load cell with dead weights on the arm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct LoadCellCheck {
    /// When, as written by the person ("2026-04-08 07:50").
    pub when: String,
    /// Applied against shown torque, N·m, in the order taken.
    pub points: Vec<LoadCellPoint>,
    /// Apply the straight line found (`true`), or only report it (`false`).
    pub apply: bool,
}

/// One point of a load-cell check.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LoadCellPoint {
    /// Torque applied by weight and arm, N·m.
    pub applied_nm: f64,
    /// Torque shown while the load was going up, N·m.
    pub up_nm: Option<f64>,
    /// Torque shown while the load was coming down, N·m.
    pub down_nm: Option<f64>,
}

/// Standard uncertainties (k = 1) of a cell's instruments. The defaults are half of the k = 2
/// figures of common practice (no source); the shop edits them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Uncertainties {
    /// Load cell and weights, relative to reading.
    pub torque_rel: f64,
    /// Zero of the load cell, N·m.
    pub torque_zero_nm: f64,
    /// Length of the torque arm, relative.
    pub arm_rel: f64,
    /// Engine speed, relative.
    pub speed_rel: f64,
    /// Barometer, Pa.
    pub pressure_pa: f64,
    /// Inlet air temperature, K.
    pub temperature_k: f64,
    /// Relative humidity, 0…1.
    pub humidity: f64,
    /// Moment of inertia, relative.
    pub inertia_rel: f64,
}

impl Default for Uncertainties {
    fn default() -> Self {
        Self {
            torque_rel: 0.0015,
            torque_zero_nm: 0.2,
            arm_rel: 0.001,
            speed_rel: 0.0005,
            pressure_pa: 50.0,
            temperature_k: 0.85,
            humidity: 0.05,
            inertia_rel: 0.05,
        }
    }
}

/// What a person answered to questions about one log, or gave as flags. Wins over the cell file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Answers {
    /// Unit by column name.
    pub units: BTreeMap<String, String>,
    /// Role key by column name; `none` for a channel of no interest.
    pub roles: BTreeMap<String, String>,
    /// Decimal mark.
    pub decimal: Option<char>,
    /// Rows per second where there is no time column, Hz.
    pub rate_hz: Option<f64>,
    /// Order of day and month in numeric dates: "dmy", "mdy", "ymd".
    #[serde(default)]
    pub date_order: Option<String>,
    /// Torque arm as typed, when the log gives a force: "0.35 m".
    #[serde(default)]
    pub arm: Option<String>,
    /// Go on without rows that cannot be read; they are counted and listed.
    pub leave_out_bad_rows: bool,
}

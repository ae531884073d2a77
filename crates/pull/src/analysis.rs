//! The result of reading a run: everything that a page, a sheet or a terminal shows, in SI (speeds in rpm).
//!
//! All fields are plain data, so that the faces need no physics. NaN in a curve means "not tested here".

use crate::budget::System;
use crate::guard::Flag;
use crate::log::Problem;
use crate::setup::{Band, Setup};
use gas::correction::Standard;
use serde::{Deserialize, Serialize};

/// A run, read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Analysis {
    /// File names of the logs, in order.
    pub logs: Vec<LogFacts>,
    /// What was stated.
    pub setup: Setup,
    /// The pulls found, used or left out, numbered from 1 in order.
    pub pulls: Vec<PullResult>,
    /// Stretches that are no pulls: warm-up, idling, aborted; with the reason.
    pub not_pulls: Vec<NotAPull>,
    /// Pooled torque curve of the pulls in use, corrected when a correction applies.
    pub curve: Curve,
    /// The same without correction.
    pub observed: Curve,
    /// Weather used.
    pub weather: Weather,
    /// Correction used, or why none was.
    pub correction: Correction,
    /// Load-cell check, if there is one.
    pub load_cell: Option<LoadCellResult>,
    /// Inertia torque: added or not, in words.
    pub inertia: InertiaUse,
    /// Lags applied.
    pub lags: Vec<LagUse>,
    /// Other channels over speed (lambda, manifold pressure, temperatures …).
    pub channels: Vec<ChannelCurve>,
    /// The band judged: the one stated, or the span all pulls cover.
    pub band: Band,
    /// Whether the band was stated by a person.
    pub band_stated: bool,
    /// Figures over the band and over the curve.
    pub figures: Figures,
    /// How well the pulls repeat.
    pub repeat: Repeat,
    /// Guard flags, in order of speed.
    pub flags: Vec<Flag>,
    /// Guard rules that could not be judged, and why.
    pub unjudged: Vec<String>,
    /// Which guard rules were used, and which of them are switched off, in words.
    #[serde(default)]
    pub guards: String,
    /// The uncertainty budget of the band-mean torque, part by part (k = 1).
    pub budget: Vec<BudgetLine>,
    /// Name of the dyno, empty if not stated.
    pub dyno: String,
    /// Everything the reader or the analysis found not as it should be.
    pub problems: Vec<Problem>,
    /// Plain sentences about how the run was read: what was assumed, what was not added.
    pub remarks: Vec<String>,
    /// Plain sentences about figures that could not be given over this band, and why.
    pub figure_remarks: Vec<String>,
    /// What instruments and weather add to the uncertainty.
    pub system: System,
}

/// One part of the uncertainty budget of the band-mean torque.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct BudgetLine {
    /// What it comes from: "load cell", "torque arm", "between pulls" …
    pub name: String,
    /// Standard uncertainty it brings to the band-mean torque, N·m.
    pub u_nm: f64,
    /// The input's own standard uncertainty in words: "0.15 % of reading".
    pub input: String,
    /// GUM evaluation type: 'A' from scatter, 'B' from other knowledge.
    pub kind: char,
}

/// What is told about one log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LogFacts {
    /// File name.
    pub name: String,
    /// What kind of file.
    pub dialect: String,
    /// Rows found.
    pub rows_found: usize,
    /// Rows kept.
    pub rows_kept: usize,
    /// Channels: name as written, unit, role key.
    pub channels: Vec<(String, String, Option<String>)>,
    /// Duration, s.
    pub duration_s: f64,
}

/// How a pull was run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PullKind {
    /// Speed ramped up.
    SweepUp,
    /// Speed ramped down.
    SweepDown,
    /// Speed held at several points.
    StepTest,
    /// Speed held at one point.
    Hold,
}

/// One pull.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PullResult {
    /// Number from 1 within the run.
    pub number: usize,
    /// Index into `logs`.
    pub log: usize,
    /// How it was run.
    pub kind: PullKind,
    /// Start in the log's time, s.
    pub from_s: f64,
    /// End in the log's time, s.
    pub to_s: f64,
    /// Lowest speed, rpm.
    pub from_rpm: f64,
    /// Highest speed, rpm.
    pub to_rpm: f64,
    /// Ramp rate, rpm/s (0 for holds).
    pub rate_rpm_s: f64,
    /// Correction factor at this pull's weather (1 when not corrected).
    pub factor: f64,
    /// Inlet air temperature during the pull, K.
    pub air_temperature_k: Option<f64>,
    /// Mean oil temperature, K.
    pub oil_temperature_k: Option<f64>,
    /// Torque curve of this pull, corrected, on the grid of [`Analysis::curve`].
    pub torque_nm: Vec<f64>,
    /// Standard deviation of the samples about the curve, N·m.
    pub noise_nm: f64,
    /// Mean corrected torque over the band, N·m; `None` if the pull does not cover it.
    pub band_mean_torque_nm: Option<f64>,
    /// Mean corrected power over the band, W.
    pub band_mean_power_w: Option<f64>,
    /// Standard uncertainty of `torque_nm` from noise within the pull, N·m.
    pub u_torque_nm: Vec<f64>,
    /// Observed torque of this pull on the same grid, N·m.
    pub observed_nm: Vec<f64>,
    /// Slope of power at the end, W per rpm, and its standard uncertainty.
    pub end_slope: Option<(f64, f64)>,
    /// Why it is left out (by a person or by rule); `None` if in use.
    pub left_out: Option<String>,
}

/// A stretch of a log that is no pull.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NotAPull {
    /// Index into `logs`.
    pub log: usize,
    /// Start, s.
    pub from_s: f64,
    /// End, s.
    pub to_s: f64,
    /// Lowest speed, rpm.
    pub from_rpm: f64,
    /// Highest speed, rpm.
    pub to_rpm: f64,
    /// `warm_up`, `idling`, `aborted`, `part_load`, `coast_down`.
    pub kind: String,
    /// The reason in words.
    pub reason: String,
}

/// A torque curve on a grid of speed, with its uncertainty kept apart and combined.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Curve {
    /// Grid, rpm, rising, even.
    pub rpm: Vec<f64>,
    /// Torque, N·m; NaN where not tested.
    pub torque_nm: Vec<f64>,
    /// Standard uncertainty from noise within pulls, N·m.
    pub u_within_nm: Vec<f64>,
    /// Standard uncertainty from scatter between pulls, N·m (NaN with one pull).
    pub u_between_nm: Vec<f64>,
    /// Standard uncertainty from instruments and weather, N·m.
    pub u_system_nm: Vec<f64>,
    /// All combined (k = 1), N·m.
    pub u_nm: Vec<f64>,
    /// Lowest pull, N·m.
    pub low_nm: Vec<f64>,
    /// Highest pull, N·m.
    pub high_nm: Vec<f64>,
    /// Pulls that reach each point.
    pub pulls: Vec<usize>,
    /// Half width of the local regression, rpm. 0 for holds (averages, joined by straight lines).
    pub half_width_rpm: f64,
}

/// Weather used and where each number is from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Weather {
    /// Station pressure, Pa.
    pub barometer_pa: Option<f64>,
    /// Inlet air temperature, K.
    pub air_temperature_k: Option<f64>,
    /// Vapour pressure, Pa.
    pub vapour_pressure_pa: Option<f64>,
    /// Relative humidity, 0…1.
    pub humidity: Option<f64>,
    /// Dry pressure, Pa.
    pub dry_pressure_pa: Option<f64>,
    /// Origins in words, in the order barometer, temperature, humidity.
    pub origins: Vec<String>,
    /// Questions about the weather, such as a barometer that does not fit the altitude.
    pub doubts: Vec<String>,
}

/// The correction, applied or not.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Correction {
    /// The form asked for.
    pub asked: Standard,
    /// The form applied; `Observed` if none was.
    pub applied: Standard,
    /// Wording for print: "corrected with the J1349 factor", "observed".
    pub words: String,
    /// Reference state in words: "99.0 kPa dry, 25 °C".
    pub reference: String,
    /// Mean factor over the pulls in use.
    pub factor: f64,
    /// Standard uncertainty of the factor.
    pub u_factor: f64,
    /// Validity range of the factor, if the standard gives one.
    pub range: Option<(f64, f64)>,
    /// Verdict on the range: `inside`, `outside`, `cannot_tell`.
    pub range_verdict: Option<String>,
    /// Why no correction was applied, or what must be said beside it.
    pub notes: Vec<String>,
    /// Factor of every form for this weather: (key, label, factor).
    pub all: Vec<(Standard, String, f64)>,
}

/// Outcome of a load-cell check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LoadCellResult {
    /// When the check was made, as written.
    pub when: String,
    /// Gain found: shown = offset + gain × applied.
    pub gain: f64,
    /// Offset found, N·m.
    pub offset_nm: f64,
    /// Largest departure from the straight line, N·m.
    pub linearity_nm: f64,
    /// Largest difference between up and down, N·m.
    pub hysteresis_nm: f64,
    /// As-found error at the highest point, relative to applied.
    pub as_found_rel: f64,
    /// Whether the line was applied to the torque.
    pub applied: bool,
    /// Number of readings.
    pub readings: usize,
}

/// What was done about inertia.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct InertiaUse {
    /// Moment of inertia used, kg·m².
    pub inertia_kg_m2: Option<f64>,
    /// Label for print: "inertia torque added, 0.42 kg·m²" or "inertia torque not added".
    pub label: String,
    /// Mean torque added over the pulls, N·m.
    pub mean_added_nm: f64,
}

/// A lag applied to a channel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LagUse {
    /// Role key.
    pub role: String,
    /// Delay, s.
    pub lag_s: f64,
    /// `stated` or `found` (by aligning up- and down-sweeps).
    pub how: String,
}

/// Another channel over speed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChannelCurve {
    /// Role key.
    pub role: String,
    /// Label in words.
    pub label: String,
    /// Mean of the pulls in use on the grid of [`Analysis::curve`], SI; NaN where there is none.
    pub mean: Vec<f64>,
    /// Lowest pull.
    pub low: Vec<f64>,
    /// Highest pull.
    pub high: Vec<f64>,
}

/// A figure with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, Default)]
pub struct Figure {
    /// Value, SI.
    pub value: f64,
    /// Expanded uncertainty, k = 2, SI.
    pub expanded: f64,
}

/// A peak.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Peak {
    /// Value, SI.
    pub value: f64,
    /// Expanded uncertainty, k = 2, SI.
    pub expanded: f64,
    /// Speed, rpm.
    pub rpm: f64,
    /// Speeds between which the curve cannot be told from its peak, rpm.
    pub rpm_from: f64,
    /// Upper end of that span, rpm.
    pub rpm_to: f64,
    /// The peak stands at the end of the data: print "at least".
    pub at_least: bool,
}

/// A plateau: the span around best torque within a share of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Plateau {
    /// Share of best torque (0.95).
    pub share: f64,
    /// From, rpm.
    pub from_rpm: f64,
    /// To, rpm.
    pub to_rpm: f64,
    /// The span runs into the start of the data.
    pub open_below: bool,
    /// The span runs into the end of the data.
    pub open_above: bool,
}

/// Beyond the data, on request only.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Extrapolated {
    /// Power at the peak, W.
    pub power_w: f64,
    /// Lower end of its 95 % interval, W.
    pub low_w: f64,
    /// Upper end, W.
    pub high_w: f64,
    /// Speed of the peak, rpm.
    pub rpm: f64,
    /// The peak was not reached within 300 rpm of the data: only the value at the limit is given.
    pub at_limit: bool,
}

/// Figures of a curve.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Figures {
    /// Mean torque over the band (area over width), N·m.
    pub mean_torque_nm: Option<Figure>,
    /// Mean power over the band, W.
    pub mean_power_w: Option<Figure>,
    /// Least torque in the band, N·m, and where.
    pub least_torque_nm: Option<Peak>,
    /// Plateau.
    pub plateau: Option<Plateau>,
    /// (max − min) / mean over the band.
    pub flatness: Option<f64>,
    /// Use-weighted mean torque, N·m, with the profile's key.
    pub use_weighted: Option<(String, Figure)>,
    /// Time to accelerate the stated inertia, s.
    pub accelerate_s: Option<Figure>,
    /// Peak torque.
    pub peak_torque: Option<Peak>,
    /// Peak power.
    pub peak_power: Option<Peak>,
    /// Speed from torque peak to power peak, rpm (not given when power was still climbing).
    pub peak_to_peak_rpm: Option<f64>,
    /// Slope of power at the last point, W per rpm, and its standard uncertainty.
    pub last_slope_w_per_rpm: Option<(f64, f64)>,
    /// `climbing`, `not_climbing`, `cannot_tell`.
    pub still_climbing: Option<String>,
    /// Beyond the data, on request.
    pub extrapolated: Option<Extrapolated>,
    /// Brake mean effective pressure at peak torque, Pa.
    pub peak_bmep_pa: Option<f64>,
    /// Mean over the band: brake specific fuel consumption from observed power, kg/J.
    pub bsfc_kg_j: Option<f64>,
    /// Mean over the band: volumetric efficiency on ambient density.
    pub volumetric_efficiency: Option<f64>,
    /// Mean air flow over the band, kg/s.
    pub air_flow_kg_s: Option<f64>,
    /// Mean piston speed at the highest speed run, m/s.
    pub piston_speed_m_s: Option<f64>,
    /// Observed peak power, W.
    pub observed_peak_power: Option<Peak>,
    /// Observed mean torque over the band, N·m.
    pub observed_mean_torque_nm: Option<Figure>,
}

/// How well pulls repeat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Repeat {
    /// Pulls in use.
    pub pulls: usize,
    /// Mean over the band of (max − min) / mean.
    pub mean_spread: Option<f64>,
    /// Worst of it in the band, and where, rpm.
    pub worst_spread: Option<(f64, f64)>,
    /// Standard deviation between pulls by speed on the curve's grid, N·m.
    pub sd_nm: Vec<f64>,
    /// Standard deviation of the pulls' band means, N·m.
    pub sd_band_mean_nm: Option<f64>,
    /// Drift of the band mean per pull, N·m per pull, with its standard uncertainty.
    pub drift_per_pull_nm: Option<(f64, f64)>,
    /// Drift against oil temperature, N·m per K.
    pub drift_per_oil_k: Option<f64>,
    /// Drift against intake temperature, N·m per K.
    pub drift_per_air_k: Option<f64>,
    /// `inside`, `outside` or `cannot_tell` against the shop's limit.
    pub verdict: Option<String>,
    /// Shop limit on the mean spread, relative.
    pub limit: f64,
}

/// Two runs compared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Comparison {
    /// Name of the run before.
    pub before: String,
    /// Its pooled curve.
    pub before_curve: Curve,
    /// Its figures over the same band.
    pub before_figures: Figures,
    /// Band in which both have data, rpm.
    pub band: Option<Band>,
    /// Difference of band-mean torque (now − before), N·m.
    pub difference_nm: Option<f64>,
    /// 95 % interval half width of it, N·m; `None` when one side has too few pulls to tell.
    pub interval_nm: Option<f64>,
    /// The same for mean power, W.
    pub difference_w: Option<f64>,
    /// 95 % interval half width, W.
    pub interval_w: Option<f64>,
    /// `gain`, `loss`, `no_gain_shown`, `cannot_tell`.
    pub verdict: String,
    /// Difference curve on the grid of the newer run, N·m; NaN where one is missing.
    pub curve_nm: Vec<f64>,
    /// Simultaneous 95 % half width of the difference curve, N·m.
    pub curve_half_nm: Vec<f64>,
    /// Second leg of an A-B-A test: drift A2 − A1 with its 95 % half width, N·m.
    pub aba_drift_nm: Option<(f64, Option<f64>)>,
    /// What makes the comparison doubtful: ramp rates, factors, fuel, standard, inertia.
    pub warnings: Vec<String>,
}

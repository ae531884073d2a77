//! What is true of an invented run, and how dirty its log is.

use crate::air::{Air, Form};

/// One pound-foot in N·m (exact by the definitions of the pound-force and the foot).
pub const NM_PER_LB_FT: f64 = 1.355_817_948_331_4;
/// One mechanical horsepower in W.
pub const W_PER_HP: f64 = 745.699_871_582_27;

/// An invented run: the truth, the weather, the running, the channels and the dirt.
#[derive(Debug, Clone, PartialEq)]
pub struct Story {
    /// Short name for files: `cruiser-before`.
    pub key: String,
    /// What the run was, in a few words.
    pub title: String,
    /// What is stated about the engine.
    pub engine: Engine,
    /// The truth: speed in rpm against corrected torque in N·m, joined by straight lines, drawn on at both ends.
    pub truth: Vec<(f64, f64)>,
    /// Places where one pull departs from the truth; `amount` is relative to the torque.
    pub torque_bumps: Vec<Bump>,
    /// The factor that the truth is stated in.
    pub form: Form,
    /// Weather halfway through the run.
    pub air: Air,
    /// Rise of the intake air from the first pull to the last, K.
    pub air_rise_k: f64,
    /// Band of use, rpm.
    pub band: (f64, f64),
    /// How it was run.
    pub running: Running,
    /// Channels beside speed, torque, throttle and weather.
    pub signals: Vec<Signal>,
    /// What is wrong with the log.
    pub dirt: Dirt,
    /// The cell it was run in.
    pub cell: crate::cell::Cell,
}

/// What is stated about the engine.
#[derive(Debug, Clone, PartialEq)]
pub struct Engine {
    /// Displacement as a person types it, with its unit: "355.1 in3".
    pub displacement: String,
    /// The same in m³.
    pub displacement_m3: f64,
    /// Stroke as typed; empty when it is not stated.
    pub stroke: String,
    /// Number of cylinders.
    pub cylinders: u32,
    /// Fuel in words.
    pub fuel: String,
    /// Manifold pressure is held to an absolute value by a control, so that no factor may be applied.
    pub held_absolute: bool,
    /// Marine use.
    pub marine: bool,
    /// Blower speed over crank speed.
    pub blower_ratio: Option<f64>,
}

/// A local departure over speed, in the shape of a bell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bump {
    /// Pull it belongs to, from 1; `None` for all.
    pub pull: Option<usize>,
    /// Middle, rpm.
    pub centre_rpm: f64,
    /// Standard width, rpm.
    pub sigma_rpm: f64,
    /// Height; relative for torque, in the unit of the signal otherwise.
    pub amount: f64,
}

impl Bump {
    /// Height at a speed during a pull (from 1).
    pub fn at(&self, pull: usize, rpm: f64) -> f64 {
        if self.pull.is_some_and(|p| p != pull) {
            return 0.0;
        }
        self.amount * (-0.5 * ((rpm - self.centre_rpm) / self.sigma_rpm).powi(2)).exp()
    }
}

/// How the engine was run.
#[derive(Debug, Clone, PartialEq)]
pub struct Running {
    /// Speed at which the throttle is opened, rpm.
    pub from_rpm: f64,
    /// Speed at which the pull ends, rpm.
    pub to_rpm: f64,
    /// Ramp rate, rpm/s.
    pub rate_rpm_s: f64,
    /// Number of pulls.
    pub pulls: usize,
    /// Torque of each pull over the truth; empty for random scatter of [`Dirt::scatter_rel`].
    pub scales: Vec<f64>,
    /// One log file for each pull instead of one for all.
    pub log_per_pull: bool,
    /// Speed at which an aborted pull before the good ones was shut down, rpm.
    pub aborted_at_rpm: Option<f64>,
    /// The log ends with the aborted pull.
    pub only_aborted: bool,
    /// Speed and seconds of a hold at full load after the pulls.
    pub hold: Option<(f64, f64)>,
    /// Rows per second.
    pub rate_hz: f64,
    /// Warm-up and idling before the first pull.
    pub warm_up: bool,
}

/// How a channel is late.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lag {
    /// Not late.
    None,
    /// A pure delay, s.
    Delay(f64),
    /// A first-order lag with this time constant, s; on a ramp it looks like a delay of as much.
    FirstOrder(f64),
}

/// A channel that is a function of speed and load, SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Signal {
    /// Role key: `lambda_1`, `oil_pressure`.
    pub key: String,
    /// Speed in rpm against value at full load, SI; held at both ends.
    pub full_load: Vec<(f64, f64)>,
    /// Speed in rpm against value off load, SI; held at both ends.
    pub off_load: Vec<(f64, f64)>,
    /// Local departures, in the channel's SI unit.
    pub bumps: Vec<Bump>,
    /// How late it is.
    pub lag: Lag,
    /// Standard deviation of its noise, SI.
    pub noise: f64,
    /// Drift over the run, SI, from half of it below to half of it above.
    pub drift: f64,
    /// The sensor reads this value from this share of the log on (an open thermocouple).
    pub broken: Option<(f64, f64)>,
}

/// Systematic errors of the instruments, as standard deviations of what is drawn once per run.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Systematic {
    /// Torque, relative (load cell, weights and arm together).
    pub torque_rel: f64,
    /// Zero of the load cell, N·m.
    pub torque_zero_nm: f64,
    /// Speed, relative.
    pub speed_rel: f64,
    /// Barometer, Pa.
    pub pressure_pa: f64,
    /// Inlet air temperature, K.
    pub temperature_k: f64,
    /// Relative humidity, 0…1.
    pub humidity: f64,
    /// True inertia against the stated one, relative.
    pub inertia_rel: f64,
}

/// What is wrong with a log.
#[derive(Debug, Clone, PartialEq)]
pub struct Dirt {
    /// White noise of the torque, relative to its largest value.
    pub noise_rel: f64,
    /// Amplitude of a torsional resonance between 1,800 and 2,800 rpm, relative to the largest torque.
    pub resonance_rel: f64,
    /// Amplitude of the slow wobble of the speed, rpm.
    pub wobble_rpm: f64,
    /// Depth of a short reversal of the speed in every second pull, rpm.
    pub reversal_rpm: f64,
    /// Drift of the load cell's zero over the run, N·m.
    pub zero_drift_nm: f64,
    /// Standard deviation of the pulls about the truth, relative.
    pub scatter_rel: f64,
    /// The scatter of the pulls adds to nothing, so that the mean of the run is the truth.
    pub scatter_centred: bool,
    /// Time constant of the torque filter, s.
    pub torque_filter_s: f64,
    /// Share of cells that carry no value.
    pub dropout_share: f64,
    /// Errors of the instruments that a run cannot see.
    pub systematic: Systematic,
}

impl Default for Dirt {
    fn default() -> Self {
        Self {
            noise_rel: 0.004,
            resonance_rel: 0.006,
            wobble_rpm: 4.0,
            reversal_rpm: 60.0,
            zero_drift_nm: 0.2,
            scatter_rel: 0.0015,
            scatter_centred: true,
            torque_filter_s: 0.05,
            dropout_share: 0.001,
            systematic: Systematic::default(),
        }
    }
}

impl Dirt {
    /// A log without noise, scatter, drift, filter or gaps.
    pub fn none() -> Self {
        Self {
            noise_rel: 0.0,
            resonance_rel: 0.0,
            wobble_rpm: 0.0,
            reversal_rpm: 0.0,
            zero_drift_nm: 0.0,
            scatter_rel: 0.0,
            scatter_centred: true,
            torque_filter_s: 0.0,
            dropout_share: 0.0,
            systematic: Systematic::default(),
        }
    }
}

/// Value on a line of points, joined by straight lines; drawn on with the end slopes, or held at the ends.
pub fn on_line(points: &[(f64, f64)], x: f64, draw_on: bool) -> f64 {
    match points {
        [] => f64::NAN,
        [only] => only.1,
        _ => {
            let (first, last) = (points[0], points[points.len() - 1]);
            let x = if draw_on { x } else { x.clamp(first.0, last.0) };
            let i = points.partition_point(|p| p.0 <= x).clamp(1, points.len() - 1);
            let (a, b) = (points[i - 1], points[i]);
            a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)
        }
    }
}

impl Story {
    /// Corrected torque in standard air at a speed, N·m, with the departures of one pull (0 for none).
    /// Far outside the points it is kept between 60 % of the first point and the largest one.
    pub fn corrected_torque_nm(&self, pull: usize, rpm: f64) -> f64 {
        let most = self.truth.iter().map(|p| p.1).fold(0.0, f64::max);
        let line = on_line(&self.truth, rpm, true).clamp(0.6 * self.truth[0].1.min(most), most);
        line * (1.0 + self.torque_bumps.iter().map(|b| b.at(pull, rpm)).sum::<f64>())
    }

    /// Mean of the true corrected torque over a band, N·m (area over width), mean of all pulls' departures included.
    pub fn band_mean_torque_nm(&self, from_rpm: f64, to_rpm: f64) -> f64 {
        self.band_mean(from_rpm, to_rpm, |torque, _| torque)
    }

    /// Mean of the true corrected power over a band, W.
    pub fn band_mean_power_w(&self, from_rpm: f64, to_rpm: f64) -> f64 {
        self.band_mean(from_rpm, to_rpm, |torque, rpm| torque * rpm * std::f64::consts::PI / 30.0)
    }

    fn band_mean(&self, from_rpm: f64, to_rpm: f64, value: impl Fn(f64, f64) -> f64) -> f64 {
        // Midpoint rule at 1 rpm or less: kinks and bells are far wider than a step.
        let steps = (to_rpm - from_rpm).ceil().max(1.0);
        let pulls = self.running.pulls.max(1);
        let mut sum = 0.0;
        for i in 0..steps as usize {
            let rpm = from_rpm + (to_rpm - from_rpm) * (i as f64 + 0.5) / steps;
            let torque = (1..=pulls).map(|p| self.corrected_torque_nm(p, rpm)).sum::<f64>() / pulls as f64;
            sum += value(torque, rpm);
        }
        sum / steps
    }
}

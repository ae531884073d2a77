//! From the truth to what the channels show.
//!
//! Corrected truth ÷ factor of the weather = torque at the crank; less J·dω/dt = torque at the brake; through the
//! filter, the gain, the offset and the drift of the load cell, plus noise = torque as logged.

use crate::noise::Noise;
use crate::story::{Lag, Signal, Story, on_line};
use crate::timeline::{STEP_S, Timeline, timelines};

/// One channel of an invented log, SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Role key: `speed` (rad/s), `torque` (N·m), `humidity` (0…1) …
    pub key: String,
    /// Values, SI; NaN where the log has a gap.
    pub si: Vec<f64>,
}

/// One invented log.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Time, s.
    pub time_s: Vec<f64>,
    /// The channels, all as long as `time_s`.
    pub columns: Vec<Column>,
}

impl Table {
    /// The values of a channel.
    pub fn values(&self, key: &str) -> Option<&[f64]> {
        self.columns.iter().find(|c| c.key == key).map(|c| c.si.as_slice())
    }
}

/// The logs of a story, one or one for each pull, with the noise of one seed.
pub fn logs(story: &Story, seed: u64) -> Vec<Table> {
    let errors = Errors::draw(story, seed);
    let scatter = Scatter::draw(story, seed);
    timelines(story, seed)
        .iter()
        .enumerate()
        .map(|(i, line)| one_log(story, seed.wrapping_add(1000 * i as u64), line, &errors, &scatter))
        .collect()
}

/// Systematic errors drawn once for a run.
#[derive(Debug, Clone, Copy, Default)]
struct Errors {
    torque_rel: f64,
    zero_nm: f64,
    speed_rel: f64,
    pressure_pa: f64,
    temperature_k: f64,
    humidity: f64,
    inertia_rel: f64,
}

impl Errors {
    fn draw(story: &Story, seed: u64) -> Self {
        let s = &story.dirt.systematic;
        let mut noise = Noise::new(seed, "systematic");
        Self {
            torque_rel: s.torque_rel * noise.normal(),
            zero_nm: s.torque_zero_nm * noise.normal(),
            speed_rel: s.speed_rel * noise.normal(),
            pressure_pa: s.pressure_pa * noise.normal(),
            temperature_k: s.temperature_k * noise.normal(),
            humidity: s.humidity * noise.normal(),
            inertia_rel: s.inertia_rel * noise.normal(),
        }
    }
}

/// How each pull lies about the truth: a factor, and a slow wave over speed a third as high.
#[derive(Debug, Clone, Default)]
struct Scatter {
    pulls: Vec<(f64, f64, f64)>,
}

impl Scatter {
    fn draw(story: &Story, seed: u64) -> Self {
        let n = story.running.pulls;
        if !story.running.scales.is_empty() {
            return Self { pulls: story.running.scales.iter().map(|s| (*s, 0.0, 0.0)).collect() };
        }
        let mut noise = Noise::new(seed, "scatter");
        let mut levels: Vec<f64> = (0..n).map(|_| story.dirt.scatter_rel * noise.normal()).collect();
        let start = noise.uniform() * std::f64::consts::TAU;
        if story.dirt.scatter_centred && n > 0 {
            let mean = levels.iter().sum::<f64>() / n as f64;
            levels.iter_mut().for_each(|v| *v -= mean);
        }
        // Phases spread evenly, so that the waves of two or more pulls add to nothing.
        let wave = if n > 1 { story.dirt.scatter_rel / 3.0 } else { 0.0 };
        let phase = |i: usize| start + std::f64::consts::TAU * i as f64 / n.max(1) as f64;
        Self { pulls: levels.iter().enumerate().map(|(i, v)| (1.0 + v, wave, phase(i))).collect() }
    }

    fn at(&self, pull: usize, rpm: f64) -> f64 {
        match pull.checked_sub(1).and_then(|i| self.pulls.get(i)) {
            Some((level, wave, phase)) => level + wave * (std::f64::consts::TAU * rpm / 1500.0 + phase).sin(),
            None => 1.0,
        }
    }
}

fn one_log(story: &Story, seed: u64, line: &Timeline, errors: &Errors, scatter: &Scatter) -> Table {
    let steps = line.rpm.len();
    let stride = ((1.0 / story.running.rate_hz) / STEP_S).round().max(1.0) as usize;
    let rows: Vec<usize> = (0..steps).step_by(stride).collect();
    let brake = filtered(&brake_torque(story, line, errors, scatter), story.dirt.torque_filter_s);
    let most = story.truth.iter().map(|p| p.1).fold(0.0, f64::max);

    let mut table = Table { time_s: rows.iter().map(|i| *i as f64 * STEP_S).collect(), columns: Vec::new() };
    let mut push = |key: &str, si: Vec<f64>| table.columns.push(Column { key: key.to_owned(), si });

    let mut noise = Noise::new(seed, "speed");
    let speed_noise = if story.dirt.noise_rel > 0.0 { 1.0 } else { 0.0 };
    let rpm: Vec<f64> = rows
        .iter()
        .map(|i| (line.rpm[*i] * (1.0 + errors.speed_rel) + speed_noise * noise.normal()).max(0.0))
        .collect();
    push("speed", rpm.iter().map(|v| v * std::f64::consts::PI / 30.0).collect());

    let mut noise = Noise::new(seed, "torque");
    let torque: Vec<f64> = rows
        .iter()
        .map(|i| {
            let t = *i as f64 * STEP_S;
            let inside =
                ((line.rpm[*i] - 1800.0) / 150.0).clamp(0.0, 1.0) * ((2800.0 - line.rpm[*i]) / 150.0).clamp(0.0, 1.0);
            let ringing = story.dirt.resonance_rel * most * inside * line.load[*i].max(0.0);
            let shown = brake[*i] * (1.0 + errors.torque_rel)
                + errors.zero_nm
                + story.dirt.zero_drift_nm * (line.progress[*i] + 0.5)
                + ringing * (std::f64::consts::TAU * 9.0 * t).sin()
                + story.dirt.noise_rel * most * noise.normal();
            story.cell.offset_nm + story.cell.gain * shown
        })
        .collect();
    if story.cell.style.writes("brake_power") {
        push("brake_power", torque.iter().zip(&rpm).map(|(t, n)| t * n * std::f64::consts::PI / 30.0).collect());
    }
    push("torque", torque);
    push("throttle", rows.iter().map(|i| (0.12 + 0.88 * line.load[*i]).clamp(0.0, 1.0)).collect());

    for signal in &story.signals {
        let mut values = signal_values(signal, line, &rows, seed);
        if signal.key.starts_with("knock_") {
            // A counter: whole events, never taken back.
            let mut most = 0.0_f64;
            for value in &mut values {
                most = most.max(value.floor());
                *value = most;
            }
        }
        push(&signal.key, values);
    }
    push("barometer", vec![story.air.pressure_pa + errors.pressure_pa; rows.len()]);
    push(
        "intake_air_temperature",
        rows.iter()
            .map(|i| story.air.temperature_k + story.air_rise_k * line.progress[*i] + errors.temperature_k)
            .collect(),
    );
    push("humidity", vec![(story.air.humidity + errors.humidity).clamp(0.0, 1.0); rows.len()]);

    if story.dirt.dropout_share > 0.0 {
        for column in &mut table.columns {
            let mut noise = Noise::new(seed, &format!("gaps {}", column.key));
            for value in &mut column.si {
                if noise.uniform() < story.dirt.dropout_share {
                    *value = f64::NAN;
                }
            }
        }
    }
    table
}

/// Torque that the brake feels on the inner time base, N·m.
fn brake_torque(story: &Story, line: &Timeline, errors: &Errors, scatter: &Scatter) -> Vec<f64> {
    let inertia = story.cell.inertia_kg_m2 * (1.0 + errors.inertia_rel);
    let last = line.rpm.len().saturating_sub(1);
    (0..line.rpm.len())
        .map(|i| {
            let (rpm, pull) = (line.rpm[i], line.pull[i]);
            let mut air = story.air;
            air.temperature_k += story.air_rise_k * line.progress[i];
            let full = story.corrected_torque_nm(pull, rpm) * scatter.at(pull, rpm) / air.factor(story.form);
            let (before, after) = (i.saturating_sub(1), (i + 1).min(last));
            let span_s = (after - before).max(1) as f64 * STEP_S;
            let acceleration = (line.rpm[after] - line.rpm[before]) * std::f64::consts::PI / 30.0 / span_s;
            full * line.load[i] - inertia * acceleration
        })
        .collect()
}

/// First-order lag on the inner time base.
fn filtered(values: &[f64], time_constant_s: f64) -> Vec<f64> {
    if time_constant_s <= 0.0 {
        return values.to_vec();
    }
    let share = 1.0 - (-STEP_S / time_constant_s).exp();
    let mut state = values.first().copied().unwrap_or(0.0);
    values
        .iter()
        .map(|v| {
            state += share * (v - state);
            state
        })
        .collect()
}

fn signal_values(signal: &Signal, line: &Timeline, rows: &[usize], seed: u64) -> Vec<f64> {
    let true_values: Vec<f64> = (0..line.rpm.len())
        .map(|i| {
            let load = line.load[i].clamp(0.0, 1.0);
            let full = on_line(&signal.full_load, line.rpm[i], false)
                + signal.bumps.iter().map(|b| b.at(line.pull[i], line.rpm[i])).sum::<f64>();
            let off_load = on_line(&signal.off_load, line.rpm[i], false);
            off_load + (full - off_load) * load + signal.drift * line.progress[i]
        })
        .collect();
    let late = match signal.lag {
        Lag::FirstOrder(tau) => filtered(&true_values, tau),
        _ => true_values,
    };
    let shift = if let Lag::Delay(delay) = signal.lag { (delay / STEP_S).round() as usize } else { 0 };
    let mut noise = Noise::new(seed, &signal.key);
    rows.iter()
        .map(|i| {
            let value = late[i.saturating_sub(shift)] + signal.noise * noise.normal();
            match signal.broken {
                Some((share, reading)) if *i as f64 >= share * line.rpm.len() as f64 => reading,
                _ => value,
            }
        })
        .collect()
}

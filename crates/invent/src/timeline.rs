//! What the operator and the brake do: speed and load over time.

use crate::noise::Noise;
use crate::story::Story;

/// Step of the inner time base, s. Short against every lag and every wobble.
pub const STEP_S: f64 = 0.002;

/// Speed and load on the inner time base.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Timeline {
    /// Engine speed, rpm.
    pub rpm: Vec<f64>,
    /// Share of full-load torque; negative when the engine is motored.
    pub load: Vec<f64>,
    /// Pull under way or last under way, from 1; 0 before the first.
    pub pull: Vec<usize>,
    /// Progress of the run from −0.5 at the middle of the first pull to +0.5 at the middle of the last.
    pub progress: Vec<f64>,
}

/// A point that speed and load pass, joined by straight lines.
#[derive(Debug, Clone, Copy)]
struct Key {
    at_s: f64,
    rpm: f64,
    load: f64,
    pull: usize,
}

/// The timelines of a story's logs: one, or one for each pull.
pub fn timelines(story: &Story, seed: u64) -> Vec<Timeline> {
    let run = &story.running;
    let numbers: Vec<usize> = (1..=run.pulls).collect();
    if run.log_per_pull {
        numbers.iter().map(|n| one_log(story, seed, std::slice::from_ref(n), *n == 1)).collect()
    } else {
        vec![one_log(story, seed, &numbers, true)]
    }
}

fn one_log(story: &Story, seed: u64, pulls: &[usize], first: bool) -> Timeline {
    let run = &story.running;
    let mut keys = vec![Key { at_s: 0.0, rpm: 850.0, load: 0.03, pull: 0 }];
    let mut go = |seconds: f64, rpm: f64, load: f64, pull: usize| {
        let at_s = keys.last().map_or(0.0, |k: &Key| k.at_s) + seconds;
        keys.push(Key { at_s, rpm, load, pull });
    };
    go(1.5, 850.0, 0.03, 0);
    if run.warm_up && first {
        go(2.0, 2000.0_f64.min(run.from_rpm), 0.15, 0);
        go(5.0, 2100.0_f64.min(run.from_rpm + 50.0), 0.18, 0);
        go(2.0, 1100.0, 0.04, 0);
        go(2.0, 900.0, 0.03, 0);
    }
    if let Some(stop) = run.aborted_at_rpm.filter(|_| first) {
        go(1.5, run.from_rpm, 0.3, 0);
        go(0.5, run.from_rpm, 1.0, 0);
        go(0.4, run.from_rpm, 1.0, 0);
        go((stop - run.from_rpm) / run.rate_rpm_s, stop, 1.0, 0);
        go(0.25, stop + 40.0, -0.12, 0);
        go(2.0, 1400.0_f64.min(run.from_rpm), -0.12, 0);
        go(2.0, 1100.0, 0.05, 0);
    }
    if !run.only_aborted {
        for &n in pulls {
            go(1.5, run.from_rpm, 0.3, n);
            go(0.5, run.from_rpm, 1.0, n);
            go(0.4, run.from_rpm, 1.0, n);
            let seconds = (run.to_rpm - run.from_rpm) / run.rate_rpm_s;
            go(seconds, run.to_rpm, 1.0, n);
            // The brake holds the last speed for a moment before the throttle shuts.
            go(0.3, run.to_rpm, 1.0, n);
            go(0.3, run.to_rpm - 60.0, -0.12, n);
            go(2.5, 1500.0_f64.min(run.from_rpm), -0.12, n);
            go(2.0, 1100.0, 0.05, n);
            go(1.0, 900.0, 0.03, n);
        }
        if let Some((rpm, seconds)) = run.hold.filter(|_| !run.log_per_pull || pulls.contains(&run.pulls)) {
            let n = *pulls.last().unwrap_or(&1);
            go(2.0, rpm, 0.4, n);
            go(1.0, rpm, 1.0, n);
            go(seconds, rpm, 1.0, n);
            go(1.0, rpm - 100.0, 0.0, n);
            go(2.0, 1200.0, 0.03, n);
        }
    }
    sample(story, seed, &keys, pulls)
}

fn sample(story: &Story, seed: u64, keys: &[Key], pulls: &[usize]) -> Timeline {
    let end = keys.last().map_or(0.0, |k| k.at_s);
    let steps = (end / STEP_S) as usize;
    let mut line = Timeline::default();
    let rpm_points: Vec<(f64, f64)> = keys.iter().map(|k| (k.at_s, k.rpm)).collect();
    let load_points: Vec<(f64, f64)> = keys.iter().map(|k| (k.at_s, k.load)).collect();
    let value = |points: &[(f64, f64)], t: f64| crate::story::on_line(points, t, false);
    let mut noise = Noise::new(seed, &format!("wobble {}", pulls.first().unwrap_or(&0)));
    let (phase_a, phase_b) = (noise.uniform() * std::f64::consts::TAU, noise.uniform() * std::f64::consts::TAU);
    let middles: Vec<(f64, f64)> = middles(keys, pulls, story.running.pulls);
    let dips: Vec<f64> = pulls.iter().filter(|n| *n % 2 == 0).filter_map(|n| middle(keys, *n)).collect();
    let mut key = 0;
    for i in 0..steps {
        let t = i as f64 * STEP_S;
        while key + 1 < keys.len() && keys[key + 1].at_s <= t {
            key += 1;
        }
        // A brake does not turn a corner in no time: the set speed is averaged over 0.16 s.
        let mut rpm = (-4..=4).map(|j| value(&rpm_points, t + f64::from(j) * 0.02)).sum::<f64>() / 9.0;
        let load = value(&load_points, t);
        let under_load = ((load - 0.8) / 0.2).clamp(0.0, 1.0);
        let wobble =
            (std::f64::consts::TAU * 2.3 * t + phase_a).sin() + 0.5 * (std::f64::consts::TAU * 5.1 * t + phase_b).sin();
        rpm += story.dirt.wobble_rpm * under_load * wobble;
        for dip in &dips {
            rpm -= story.dirt.reversal_rpm * (-0.5 * ((t - dip) / 0.1).powi(2)).exp();
        }
        line.rpm.push(rpm.max(0.0));
        line.load.push(load);
        line.pull.push(keys[(key + 1).min(keys.len() - 1)].pull);
        line.progress.push(if middles.is_empty() { 0.0 } else { value(&middles, t) });
    }
    line
}

/// Middle of the ramp of a pull, s.
fn middle(keys: &[Key], pull: usize) -> Option<f64> {
    let first = keys.iter().position(|k| k.pull == pull && k.load >= 1.0)?;
    // Keys of a pull: throttle open, hold, end of the ramp.
    Some(0.5 * (keys.get(first + 1)?.at_s + keys.get(first + 2)?.at_s))
}

fn middles(keys: &[Key], pulls: &[usize], all: usize) -> Vec<(f64, f64)> {
    let share = |n: usize| if all < 2 { 0.0 } else { (n as f64 - 1.0) / (all as f64 - 1.0) - 0.5 };
    pulls.iter().filter_map(|n| Some((middle(keys, *n)?, share(*n)))).collect()
}

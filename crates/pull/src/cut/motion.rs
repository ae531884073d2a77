//! Speed over time: smoothed for finding pulls only (never for the curve), holds, legs.

use super::{HOLD_BAND_RPM, HOLD_TIME_S};
use std::collections::VecDeque;
use std::f64::consts::PI;

/// Half width of the moving mean by which speed is calmed before turning points are looked for, s.
const CALM_S: f64 = 0.15;

/// Speed over time of one log.
pub(super) struct Motion<'a> {
    time_s: &'a [f64],
    calm_rpm: Vec<f64>,
}

impl<'a> Motion<'a> {
    /// Speeds in rad/s; missing speeds take the last one that was present.
    pub(super) fn new(time_s: &'a [f64], speed_rad_s: &[f64]) -> Self {
        let n = time_s.len();
        let mut raw = Vec::with_capacity(n);
        let mut last = speed_rad_s.iter().copied().find(|v| v.is_finite()).unwrap_or(0.0);
        for &v in speed_rad_s {
            if v.is_finite() {
                last = v;
            }
            raw.push(last * 30.0 / PI);
        }
        // Moving mean over the rows within ±CALM_S, with a running sum.
        let mut calm_rpm = Vec::with_capacity(n);
        let (mut a, mut b, mut sum) = (0, 0, 0.0);
        for i in 0..n {
            while b < n && time_s[b] <= time_s[i] + CALM_S {
                sum += raw[b];
                b += 1;
            }
            while time_s[a] < time_s[i] - CALM_S {
                sum -= raw[a];
                a += 1;
            }
            calm_rpm.push(sum / (b - a) as f64);
        }
        Self { time_s, calm_rpm }
    }

    pub(super) fn rows(&self) -> usize {
        self.time_s.len()
    }

    pub(super) fn time(&self, i: usize) -> f64 {
        self.time_s[i]
    }

    pub(super) fn times(&self, a: usize, b: usize) -> &[f64] {
        &self.time_s[a..b]
    }

    pub(super) fn rpm(&self, i: usize) -> f64 {
        self.calm_rpm[i.min(self.calm_rpm.len() - 1)]
    }

    pub(super) fn mean_rpm(&self, a: usize, b: usize) -> f64 {
        self.calm_rpm[a..b].iter().sum::<f64>() / (b - a) as f64
    }

    /// Lowest and highest calmed speed between two rows, rpm.
    pub(super) fn span(&self, a: usize, b: usize) -> (f64, f64) {
        self.calm_rpm[a..b].iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(*v), hi.max(*v)))
    }

    /// Stretches between two rows where speed stays inside ±[`HOLD_BAND_RPM`] for [`HOLD_TIME_S`] or longer.
    pub(super) fn holds(&self, a: usize, b: usize) -> Vec<(usize, usize)> {
        let mut out = Vec::new();
        let (mut low, mut high): (VecDeque<usize>, VecDeque<usize>) = (VecDeque::new(), VecDeque::new());
        let mut start = a;
        let mut i = a;
        while i < b {
            let v = self.calm_rpm[i];
            while low.back().is_some_and(|&k| self.calm_rpm[k] >= v) {
                low.pop_back();
            }
            low.push_back(i);
            while high.back().is_some_and(|&k| self.calm_rpm[k] <= v) {
                high.pop_back();
            }
            high.push_back(i);
            if self.calm_rpm[high[0]] - self.calm_rpm[low[0]] > 2.0 * HOLD_BAND_RPM {
                if self.time_s[i - 1] - self.time_s[start] >= HOLD_TIME_S {
                    out.push((start, i));
                    start = i;
                    low.clear();
                    high.clear();
                    continue;
                }
                start += 1;
                while low.front().is_some_and(|&k| k < start) {
                    low.pop_front();
                }
                while high.front().is_some_and(|&k| k < start) {
                    high.pop_front();
                }
                while start < i && self.calm_rpm[high[0]] - self.calm_rpm[low[0]] > 2.0 * HOLD_BAND_RPM {
                    start += 1;
                    while low.front().is_some_and(|&k| k < start) {
                        low.pop_front();
                    }
                    while high.front().is_some_and(|&k| k < start) {
                        high.pop_front();
                    }
                }
            }
            i += 1;
        }
        if start < b && self.time_s[b - 1] - self.time_s[start] >= HOLD_TIME_S {
            out.push((start, b));
        }
        out
    }

    /// Legs of rising (`true`) and falling speed between two rows. A leg ends at its extreme once speed
    /// has turned back by more than `turn_rpm`.
    pub(super) fn legs(&self, a: usize, b: usize, turn_rpm: f64) -> Vec<(usize, usize, bool)> {
        let mut out = Vec::new();
        if b <= a + 1 {
            return out;
        }
        let (mut lowest, mut highest) = (a, a);
        let mut start = a;
        let mut rising: Option<bool> = None;
        for i in a..b {
            let v = self.calm_rpm[i];
            if v < self.calm_rpm[lowest] {
                lowest = i;
            }
            if v > self.calm_rpm[highest] {
                highest = i;
            }
            match rising {
                None if v - self.calm_rpm[lowest] > turn_rpm => {
                    start = lowest;
                    highest = i;
                    rising = Some(true);
                }
                None if self.calm_rpm[highest] - v > turn_rpm => {
                    start = highest;
                    lowest = i;
                    rising = Some(false);
                }
                Some(true) if self.calm_rpm[highest] - v > turn_rpm => {
                    out.push((start, highest + 1, true));
                    start = highest;
                    lowest = i;
                    rising = Some(false);
                }
                Some(false) if v - self.calm_rpm[lowest] > turn_rpm => {
                    out.push((start, lowest + 1, false));
                    start = lowest;
                    highest = i;
                    rising = Some(true);
                }
                _ => {}
            }
        }
        match rising {
            Some(true) => out.push((start, highest + 1, true)),
            Some(false) => out.push((start, lowest + 1, false)),
            None => {}
        }
        out
    }
}

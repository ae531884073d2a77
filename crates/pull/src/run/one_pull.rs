//! One pull: from rows of a log to an observed torque curve and the other channels on the grid.

use super::Ready;
use crate::analysis::{PullKind, PullResult, Weather};
use crate::bins::{Bins, Grid};
use crate::brake::{angular_acceleration_rad_s2, inertia_torque_nm, lag::earlier};
use crate::curve::{HeldPoint, PullCurve, held_curve, held_point, sweep_curve};
use crate::cut::Cut;
use crate::figures::mean_of;
use crate::role::Role;
use crate::setup::Setup;
use crate::stats::slope;
use std::collections::BTreeMap;

/// One pull on the grid, before correction.
pub(super) struct OnePull {
    pub(super) log: usize,
    pub(super) kind: PullKind,
    pub(super) span_s: (f64, f64),
    pub(super) span_rpm: (f64, f64),
    pub(super) rate_rpm_s: f64,
    pub(super) aborted: Option<String>,
    pub(super) observed: PullCurve,
    pub(super) inertia_mean_nm: f64,
    pub(super) weather: Weather,
    pub(super) oil_temperature_k: Option<f64>,
    /// Other channels on the grid, by role.
    pub(super) channels: Vec<(Role, Vec<f64>)>,
}

/// Roles that are not drawn as curves over speed.
fn is_drawn(role: Role) -> bool {
    !matches!(role, Role::Time | Role::Speed | Role::Torque | Role::CellForce | Role::BrakePower)
}

pub(super) fn read(
    log: usize,
    c: &Cut,
    ready: &Ready<'_>,
    grid: Grid,
    setup: &Setup,
    lags: &BTreeMap<Role, f64>,
    inertia_kg_m2: Option<f64>,
) -> OnePull {
    let (a, b) = (c.from_row, c.to_row);
    let time = &ready.table.time_s;
    let swept = matches!(c.kind, PullKind::SweepUp | PullKind::SweepDown);
    let rate = if swept { ramp_rate(&time[a..b], &ready.rpm[a..b]) } else { 0.0 };
    let lag = |role: Role| lags.get(&role).copied().unwrap_or(0.0);

    let torque_lag = lag(Role::Torque);
    let rpm = earlier(time, &ready.rpm, a, b, torque_lag);
    let mut torque = ready.brake_nm[a..b].to_vec();
    let mut inertia_mean_nm = 0.0;
    if let (Some(j), true) = (inertia_kg_m2, swept) {
        // The width in time that corresponds to the smoothing width in speed, at most 0.08 s (a wider one would carry
        // the ramp's acceleration into the corners at its ends) and never less than five rows.
        let row_s = (time[b - 1] - time[a]) / (b - a - 1).max(1) as f64;
        let half_s = (setup.half_width_rpm / rate.abs().max(1.0)).min(0.08).max(2.5 * row_s);
        // Rows under load beyond the ends of the ramp are used too: a window cut off there would lag behind the corner.
        let from = a - time[c.loaded.0..a].iter().rev().take_while(|t| time[a] - **t <= half_s).count();
        let to = b + time[b..c.loaded.1].iter().take_while(|t| **t - time[b - 1] <= half_s).count();
        let around = earlier(time, &ready.rpm, from, to, torque_lag);
        let alpha = angular_acceleration_rad_s2(&time[from..to], &around, half_s);
        let alpha = &alpha[a - from..b - from];
        let added: Vec<f64> = alpha.iter().map(|x| inertia_torque_nm(j, *x)).collect();
        inertia_mean_nm = mean_of(&added).unwrap_or(0.0);
        for (t, x) in torque.iter_mut().zip(&added) {
            *t += x;
        }
    }
    let observed = match c.kind {
        PullKind::SweepUp | PullKind::SweepDown => sweep_curve(&rpm, &torque, grid, setup.half_width_rpm),
        PullKind::StepTest | PullKind::Hold => {
            let points: Vec<HeldPoint> = c
                .holds
                .iter()
                .filter_map(|&(s, e)| held_point(&time[s..e], &ready.rpm[s..e], &ready.brake_nm[s..e]))
                .collect();
            held_curve(&points, grid)
        }
    };
    // The span that the curve covers; the speeds of finding the pull are calmed and reach a little further.
    let tested: Vec<f64> =
        (0..grid.points).filter(|i| observed.torque_nm[*i].is_finite()).map(|i| grid.rpm(i)).collect();
    let span_rpm = match (tested.first(), tested.last()) {
        (Some(lo), Some(hi)) => (*lo, *hi),
        _ => (c.from_rpm, c.to_rpm),
    };
    let mean_role = |role: Role| ready.table.values(role).and_then(|v| mean_of(&v[a..b]));
    // Speeds set back by each lag that occurs; most channels share one.
    let bins = Bins::new(grid, setup.half_width_rpm);
    let mut set_back: Vec<(f64, Vec<u32>)> = Vec::new();
    let drawn: Vec<_> =
        ready.table.channels.iter().filter_map(|ch| ch.role.filter(|r| is_drawn(*r)).map(|r| (r, ch))).collect();
    for (role, _) in &drawn {
        let l = lag(*role);
        if !set_back.iter().any(|(have, _)| *have == l) {
            set_back.push((l, bins.indices(&earlier(time, &ready.rpm, a, b, l))));
        }
    }
    let channels = drawn
        .into_iter()
        .map(|(role, ch)| {
            let l = lag(role);
            let places = set_back.iter().find(|(have, _)| *have == l).map_or(&[][..], |(_, s)| s.as_slice());
            (role, bins.lines(places, &ch.si[a..b], grid, setup.half_width_rpm))
        })
        .collect();
    OnePull {
        log,
        kind: c.kind,
        span_s: (time[a], time[b - 1]),
        span_rpm,
        rate_rpm_s: rate.abs(),
        aborted: c.aborted.clone(),
        observed,
        inertia_mean_nm,
        weather: Weather::default(),
        oil_temperature_k: mean_role(Role::OilTemperature),
        channels,
    }
}

/// Slope of speed over time of a whole sweep, rpm/s.
fn ramp_rate(time_s: &[f64], rpm: &[f64]) -> f64 {
    let step = time_s.len() / 2_000 + 1;
    let rows = || (0..time_s.len()).step_by(step).filter(|&i| rpm[i].is_finite());
    let t: Vec<f64> = rows().map(|i| time_s[i]).collect();
    let n: Vec<f64> = rows().map(|i| rpm[i]).collect();
    slope(&t, &n).map_or(0.0, |s| s.0)
}

impl OnePull {
    pub(super) fn result(self, number: usize, c: &PullCurve, factor: f64, left_out: Option<String>) -> PullResult {
        PullResult {
            number,
            log: self.log,
            kind: self.kind,
            from_s: self.span_s.0,
            to_s: self.span_s.1,
            from_rpm: self.span_rpm.0,
            to_rpm: self.span_rpm.1,
            rate_rpm_s: self.rate_rpm_s,
            factor,
            air_temperature_k: self.weather.air_temperature_k,
            oil_temperature_k: self.oil_temperature_k,
            torque_nm: c.torque_nm.clone(),
            u_torque_nm: c.u_nm.clone(),
            observed_nm: self.observed.torque_nm,
            end_slope: c.end_slope,
            noise_nm: c.noise_nm,
            band_mean_torque_nm: None,
            band_mean_power_w: None,
            left_out,
        }
    }
}

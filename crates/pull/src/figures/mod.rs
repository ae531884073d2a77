//! Figures of a run: the whole curve first, peaks last.
//!
//! Everything here works on curves on a grid, in N·m over rpm; power follows as torque × speed.
//! Figures over a band need data over the whole band: a band that leaves the data gives no figure and a
//! sentence that says what was tested.

mod climb;
mod fuel_air;

pub use climb::{EXTRAPOLATE_LIMIT_RPM, extrapolate, still_climbing};
pub use fuel_air::{Flows, flows};
pub use quantity::formula::{bmep_pa, mean_piston_speed_m_s, power_w};

use crate::analysis::{Curve, Figure, Figures, Peak, Plateau};
use crate::bins::Grid;
use crate::budget::System;
use crate::curve::{PullCurve, interpolate};
use crate::setup::{Band, Setup};
use crate::stats::{few_pulls_factor, mean, sample_sd};
use std::f64::consts::PI;

/// The grid of a curve.
pub fn grid_of(curve: &Curve) -> Grid {
    let step = if curve.rpm.len() > 1 { curve.rpm[1] - curve.rpm[0] } else { 25.0 };
    Grid { first_rpm: curve.rpm.first().copied().unwrap_or(0.0), step_rpm: step, points: curve.rpm.len() }
}

/// Area under a grid curve over a band divided by its width, `f` applied to (rpm, value). Ends between
/// grid points by straight lines. `None` if a value is missing inside the band.
pub fn band_mean(grid: Grid, values: &[f64], band: Band, f: impl Fn(f64, f64) -> f64) -> Option<f64> {
    let width = band.to_rpm - band.from_rpm;
    if !(width > 0.0) {
        return None;
    }
    let mut speeds = vec![band.from_rpm];
    speeds.extend((0..grid.points).map(|i| grid.rpm(i)).filter(|n| *n > band.from_rpm && *n < band.to_rpm));
    speeds.push(band.to_rpm);
    let mut area = 0.0;
    let mut last: Option<(f64, f64)> = None;
    for n in speeds {
        let v = interpolate(grid, values, n);
        if !v.is_finite() {
            return None;
        }
        let y = f(n, v);
        if let Some((n0, y0)) = last {
            area += 0.5 * (y + y0) * (n - n0);
        }
        last = Some((n, y));
    }
    Some(area / width)
}

/// Span in which a curve has values without a gap: the longest one.
pub fn tested_span(curve: &Curve) -> Option<Band> {
    let mut best: Option<(usize, usize)> = None;
    let mut start = None;
    for i in 0..=curve.rpm.len() {
        let there = i < curve.rpm.len() && curve.torque_nm[i].is_finite();
        match (there, start) {
            (true, None) => start = Some(i),
            (false, Some(s)) => {
                if best.is_none_or(|(a, b)| i - s > b - a) {
                    best = Some((s, i));
                }
                start = None;
            }
            _ => {}
        }
    }
    best.map(|(a, b)| Band { from_rpm: curve.rpm[a], to_rpm: curve.rpm[b - 1] })
}

/// What the figures need beside the curves.
pub struct Inputs<'a> {
    /// Pooled curve, corrected.
    pub curve: &'a Curve,
    /// Pooled curve, observed.
    pub observed: &'a Curve,
    /// Curves of the pulls in use, corrected.
    pub pulls: &'a [&'a PullCurve],
    /// Band to judge.
    pub band: Band,
    /// Instruments and weather.
    pub system: &'a System,
    /// What was stated.
    pub setup: &'a Setup,
    /// Fuel and air over speed, if measured.
    pub flows: Flows<'a>,
    /// Highest speed run, rpm.
    pub top_rpm: f64,
}

/// All figures of a run, and sentences for what could not be given.
pub fn figures(x: &Inputs<'_>) -> (Figures, Vec<String>) {
    let mut remarks = Vec::new();
    let grid = grid_of(x.curve);
    let tested = tested_span(x.curve);
    let mut f = Figures::default();

    let torque = band_mean(grid, &x.curve.torque_nm, x.band, |_, t| t);
    match (torque, tested) {
        (None, Some(span)) => remarks.push(format!(
            "The band of {:.0} to {:.0} rpm goes beyond what was tested ({:.0} to {:.0} rpm without a gap): no averages are given.",
            x.band.from_rpm, x.band.to_rpm, span.from_rpm, span.to_rpm
        )),
        (None, None) => remarks.push("No speed was tested: there is no curve.".to_owned()),
        _ => {}
    }
    if let Some(t) = torque {
        let scatter = band_scatter(x, |_, t| t);
        f.mean_torque_nm = Some(Figure { value: t, expanded: 2.0 * scatter.hypot(x.system.torque_nm(t)) });
        let p = band_mean(grid, &x.curve.torque_nm, x.band, |n, t| power_w(t, n)).unwrap_or(f64::NAN);
        let scatter_p = band_scatter(x, |n, t| power_w(t, n));
        f.mean_power_w = Some(Figure { value: p, expanded: 2.0 * scatter_p.hypot(p * x.system.power_rel(t)) });
        f.least_torque_nm = extreme(x.curve, x.band, true);
        let inside: Vec<f64> = (0..grid.points)
            .filter(|&i| grid.rpm(i) >= x.band.from_rpm && grid.rpm(i) <= x.band.to_rpm)
            .map(|i| x.curve.torque_nm[i])
            .collect();
        let (lo, hi) = inside.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(*v), b.max(*v)));
        f.flatness = (hi >= lo).then(|| (hi - lo) / t);
    }
    if let Some(t) = band_mean(grid_of(x.observed), &x.observed.torque_nm, x.band, |_, t| t) {
        let scatter = band_scatter(x, |_, t| t);
        f.observed_mean_torque_nm = Some(Figure { value: t, expanded: 2.0 * scatter.hypot(x.system.torque_nm(t)) });
    }
    let whole = Band { from_rpm: f64::NEG_INFINITY, to_rpm: f64::INFINITY };
    f.peak_torque = extreme(x.curve, whole, false);
    f.plateau = f.peak_torque.and_then(|peak| plateau(x.curve, peak.rpm, x.setup.plateau_share));
    f.peak_power = power_peak(x.curve, x.system);
    f.observed_peak_power = power_peak(x.observed, x.system);
    if let (Some(c), Some(peak)) = (still_climbing(x.pulls), f.peak_power.as_mut()) {
        f.last_slope_w_per_rpm = Some((c.slope_w_per_rpm, c.u));
        f.still_climbing = Some(c.verdict.to_owned());
        let at_end = tested.is_some_and(|s| peak.rpm >= s.to_rpm - grid.step_rpm);
        peak.at_least = c.verdict == "climbing" || (c.verdict == "cannot_tell" && at_end);
        if let Some(o) = f.observed_peak_power.as_mut() {
            o.at_least = peak.at_least;
        }
        if peak.at_least && x.setup.extrapolate {
            f.extrapolated = extrapolate(x.curve, x.system);
            remarks.push(format!(
                "The power peak beyond the data is an extrapolation of at most {EXTRAPOLATE_LIMIT_RPM:.0} rpm: nothing was run there. Spring, piston speed and clearances, not this curve, say how far the engine may be turned."
            ));
        }
    }
    if let (Some(t), Some(p)) = (f.peak_torque, f.peak_power) {
        f.peak_to_peak_rpm = (!p.at_least).then_some(p.rpm - t.rpm);
    }
    if let (Some(peak), Some(v)) = (f.peak_torque, &x.setup.displacement_m3) {
        f.peak_bmep_pa = Some(bmep_pa(peak.value, v.value, x.setup.four_stroke));
    }
    f.piston_speed_m_s = x.setup.stroke_m.as_ref().map(|s| mean_piston_speed_m_s(s.value, x.top_rpm));
    if let Some(key) = &x.setup.use_profile {
        match use_weighted(x, key) {
            Ok(v) => f.use_weighted = Some(v),
            Err(why) => remarks.push(why),
        }
    }
    if let Some(a) = &x.setup.accelerate {
        f.accelerate_s = accelerate(x, a.inertia_kg_m2.value, a.inertia_kg_m2.u, a.from_rpm, a.to_rpm);
        if f.accelerate_s.is_none() {
            remarks.push(format!(
                "The time from {:.0} to {:.0} rpm is not given: not all of it was tested.",
                a.from_rpm, a.to_rpm
            ));
        }
    }
    let fa = fuel_air::figures(x, grid);
    f.bsfc_kg_j = fa.bsfc_kg_j;
    f.volumetric_efficiency = fa.volumetric_efficiency;
    f.air_flow_kg_s = fa.air_flow_kg_s;
    (f, remarks)
}

/// Standard uncertainty of a band mean from scatter: between pulls (with Student's share) when there are
/// two or more, from the noise within one pull otherwise.
fn band_scatter(x: &Inputs<'_>, f: impl Fn(f64, f64) -> f64 + Copy) -> f64 {
    let grid = grid_of(x.curve);
    let means: Vec<f64> = x.pulls.iter().filter_map(|p| band_mean(grid, &p.torque_nm, x.band, f)).collect();
    if let (Some(k), Some(sd)) = (few_pulls_factor(means.len()), sample_sd(&means)) {
        return k * sd / (means.len() as f64).sqrt();
    }
    // One pull: independent stretches of the smoothing width average out over the band.
    let Some(u) = band_mean(grid, &x.curve.u_within_nm, x.band, f) else { return 0.0 };
    let stretches = ((x.band.to_rpm - x.band.from_rpm) / (2.0 * x.setup.half_width_rpm)).max(1.0);
    u / stretches.sqrt()
}

/// Lowest or highest torque of a curve inside a band, with the speeds between which it cannot be told
/// from the extreme within its scatter.
fn extreme(curve: &Curve, band: Band, least: bool) -> Option<Peak> {
    let sign = if least { -1.0 } else { 1.0 };
    let rows: Vec<usize> = (0..curve.rpm.len())
        .filter(|&i| curve.torque_nm[i].is_finite() && curve.rpm[i] >= band.from_rpm && curve.rpm[i] <= band.to_rpm)
        .collect();
    let best = *rows.iter().max_by(|a, b| (sign * curve.torque_nm[**a]).total_cmp(&(sign * curve.torque_nm[**b])))?;
    let value = curve.torque_nm[best];
    let scatter = if curve.u_between_nm[best].is_finite() { curve.u_between_nm[best] } else { curve.u_within_nm[best] };
    let like = |i: &usize| sign * curve.torque_nm[*i] >= sign * value - 2.0 * curve.u_within_nm[best].min(scatter);
    let at = rows.iter().position(|i| *i == best)?;
    let first = rows[..=at].iter().rev().take_while(|i| like(i)).last().copied().unwrap_or(best);
    let last = rows[at..].iter().take_while(|i| like(i)).last().copied().unwrap_or(best);
    Some(Peak {
        value,
        expanded: 2.0 * curve.u_nm[best],
        rpm: curve.rpm[best],
        rpm_from: curve.rpm[first],
        rpm_to: curve.rpm[last],
        at_least: !least && (best == rows[rows.len() - 1] || best == rows[0]),
    })
}

/// Highest power of a torque curve.
fn power_peak(curve: &Curve, system: &System) -> Option<Peak> {
    let mut power = curve.clone();
    for i in 0..curve.rpm.len() {
        let w = curve.rpm[i] * PI / 30.0;
        power.torque_nm[i] *= w;
        power.u_within_nm[i] *= w;
        power.u_between_nm[i] *= w;
        power.u_nm[i] = (curve.u_nm[i] * w).hypot(power.torque_nm[i] * system.cell.speed_rel);
    }
    let whole = Band { from_rpm: f64::NEG_INFINITY, to_rpm: f64::INFINITY };
    extreme(&power, whole, false).map(|p| Peak { at_least: false, ..p })
}

/// Span around the best torque in which torque stays above `share` of it; ends by straight lines.
fn plateau(curve: &Curve, peak_rpm: f64, share: f64) -> Option<Plateau> {
    let at = curve.rpm.iter().position(|n| *n == peak_rpm)?;
    let limit = share * curve.torque_nm[at];
    let walk = |step: isize| -> (f64, bool) {
        let mut i = at as isize;
        loop {
            let next = i + step;
            let there = next >= 0 && (next as usize) < curve.rpm.len() && curve.torque_nm[next as usize].is_finite();
            if !there {
                return (curve.rpm[i as usize], true);
            }
            let (a, b) = (curve.torque_nm[i as usize], curve.torque_nm[next as usize]);
            if b < limit {
                let s = (a - limit) / (a - b);
                return (curve.rpm[i as usize] + s * (curve.rpm[next as usize] - curve.rpm[i as usize]), false);
            }
            i = next;
        }
    };
    let ((from_rpm, open_below), (to_rpm, open_above)) = (walk(-1), walk(1));
    Some(Plateau { share, from_rpm, to_rpm, open_below, open_above })
}

/// Mean torque weighted by the share of time the use spends at each speed.
fn use_weighted(x: &Inputs<'_>, key: &str) -> Result<(String, Figure), String> {
    let profile = crate::use_profile::shipped()
        .into_iter()
        .find(|p| p.key == key)
        .ok_or_else(|| format!("There is no use profile `{key}`; the use-weighted mean is not given."))?;
    let grid = grid_of(x.curve);
    let share = |n: f64| {
        let k = profile.points.partition_point(|p| p.0 <= n);
        match (k.checked_sub(1).map(|j| profile.points[j]), profile.points.get(k)) {
            (Some(a), Some(b)) => a.1 + (n - a.0) / (b.0 - a.0) * (b.1 - a.1),
            _ => 0.0,
        }
    };
    let (mut weight, mut covered, mut area) = (0.0, 0.0, 0.0);
    let (from, to) = (profile.points.first().map_or(0.0, |p| p.0), profile.points.last().map_or(0.0, |p| p.0));
    let step = grid.step_rpm.max(1.0);
    let mut n = from;
    while n <= to {
        let (w, t) = (share(n), interpolate(grid, &x.curve.torque_nm, n));
        weight += w;
        if t.is_finite() {
            covered += w;
            area += w * t;
        }
        n += step;
    }
    if !(weight > 0.0) || covered < 0.95 * weight {
        return Err(format!(
            "The use profile `{key}` spends {:.0} % of its time where nothing was tested: no use-weighted mean is given.",
            100.0 * (1.0 - covered / weight.max(1e-12))
        ));
    }
    let t = area / covered;
    let scatter = band_scatter(x, |_, t| t);
    Ok((profile.key.clone(), Figure { value: t, expanded: 2.0 * scatter.hypot(x.system.torque_nm(t)) }))
}

/// Time to accelerate an inertia from one speed to another with the corrected torque, s: ∫ J dω / T.
fn accelerate(x: &Inputs<'_>, inertia: f64, u_inertia: Option<f64>, from_rpm: f64, to_rpm: f64) -> Option<Figure> {
    let grid = grid_of(x.curve);
    let band = Band { from_rpm, to_rpm };
    let inverse = band_mean(grid, &x.curve.torque_nm, band, |_, t| 1.0 / t)?;
    let mean_torque = band_mean(grid, &x.curve.torque_nm, band, |_, t| t)?;
    let time = inertia * inverse * (to_rpm - from_rpm) * PI / 30.0;
    let here = Inputs { band, flows: Flows::default(), ..*x };
    let torque_rel = band_scatter(&here, |_, t| t).hypot(x.system.torque_nm(mean_torque)) / mean_torque;
    let inertia_rel = u_inertia.unwrap_or(0.0) / inertia;
    Some(Figure { value: time, expanded: 2.0 * time * torque_rel.hypot(inertia_rel) })
}

/// Mean of present values, `None` if there is none.
pub(crate) fn mean_of(values: &[f64]) -> Option<f64> {
    let kept: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
    (!kept.is_empty()).then(|| mean(&kept))
}

#[cfg(test)]
mod tests;

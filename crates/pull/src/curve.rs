//! The torque curve of one pull, and the pooled curve of several, with their uncertainty.
//!
//! A sweep is turned into a curve by local regression of a stated half width ([`crate::bins`]). A step
//! test gives one point a hold (mean of the settled part), joined by straight lines; nothing is drawn
//! outside the first and last hold.
//!
//! Pooling: torque of pull p at speed n is taken as μ(n) + a_p, a constant a pull: where not every pull
//! reaches, the others are set off by their constants, so that the mean makes no step where a pull ends.
//! Uncertainty is kept in three parts: noise within pulls (sample scatter about the fit, enlarged for
//! samples that follow each other, divided by what the fit averages), scatter between pulls, and
//! instruments and weather (given by the caller). Scatter between pulls already holds the noise within,
//! so the larger of the two is combined with the third. With few pulls the scatter counts for more
//! ([`few_pulls_factor`]), so that twice the combined figure covers about 95 %.

use crate::analysis::Curve;
use crate::bins::{Bins, Grid};
use crate::stats::{few_pulls_factor, mean, quantile, sample_sd};
use std::f64::consts::PI;

/// Width of speed at the end of a pull over which the slope of power is taken, rpm.
pub const END_SLOPE_RPM: f64 = 200.0;
/// Half width over which the variance between pulls is averaged, rpm: a standard deviation of three
/// values at one speed is hardly known.
const SCATTER_WIDTH_RPM: f64 = 200.0;

/// One pull on the grid.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PullCurve {
    /// Torque, N·m; NaN where not tested.
    pub torque_nm: Vec<f64>,
    /// Standard uncertainty of it from noise within the pull, N·m.
    pub u_nm: Vec<f64>,
    /// Standard deviation of the samples about the curve, N·m.
    pub noise_nm: f64,
    /// Slope of power over the last [`END_SLOPE_RPM`], W per rpm, and its standard uncertainty.
    pub end_slope: Option<(f64, f64)>,
}

/// One hold: settled mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeldPoint {
    /// Mean speed, rpm.
    pub rpm: f64,
    /// Mean torque, N·m.
    pub torque_nm: f64,
    /// Standard uncertainty of the mean, N·m.
    pub u_nm: f64,
    /// Standard deviation of the samples, N·m.
    pub sd_nm: f64,
}

/// Curve of a sweep from its samples (speed in rpm, torque in N·m, in order of time).
pub fn sweep_curve(rpm: &[f64], torque_nm: &[f64], grid: Grid, half_width_rpm: f64) -> PullCurve {
    let mut bins = Bins::new(grid, half_width_rpm);
    for (n, t) in rpm.iter().zip(torque_nm) {
        bins.add(*n, *t);
    }
    let fits: Vec<_> = (0..grid.points).map(|i| bins.fit(grid.rpm(i), half_width_rpm, grid.step_rpm, 2)).collect();
    let curve: Vec<f64> = fits.iter().map(|f| f.map_or(f64::NAN, |f| f.value)).collect();
    let on = |n: f64| interpolate(grid, &curve, n);
    // Scatter about the curve and the likeness of neighbours in time (lag-one autocorrelation).
    let (mut ss, mut cross, mut count) = (0.0, 0.0, 0.0);
    let mut last = f64::NAN;
    for (n, t) in rpm.iter().zip(torque_nm) {
        let r = t - on(*n);
        if r.is_finite() {
            ss += r * r;
            count += 1.0;
            if last.is_finite() {
                cross += r * last;
            }
        }
        last = r;
    }
    let used: f64 = 3.0 * (grid.step_rpm * grid.points as f64 / (2.0 * half_width_rpm)).max(1.0);
    let noise_nm = if count > used + 1.0 { (ss / (count - used)).sqrt() } else { f64::NAN };
    let likeness = if ss > 0.0 { (cross / ss).clamp(0.0, 0.99) } else { 0.0 };
    let spread = noise_nm * ((1.0 + likeness) / (1.0 - likeness)).sqrt();
    let u_nm = fits.iter().map(|f| f.map_or(f64::NAN, |f| spread * f.leverage.sqrt())).collect();
    let end_slope = end_slope(rpm, torque_nm, likeness);
    PullCurve { torque_nm: curve, u_nm, noise_nm, end_slope }
}

/// Mean of a hold's settled part: the first third (at most 2 s) is left out.
pub fn held_point(time_s: &[f64], rpm: &[f64], torque_nm: &[f64]) -> Option<HeldPoint> {
    let (first, last) = (*time_s.first()?, *time_s.last()?);
    let settled = first + ((last - first) / 3.0).min(2.0);
    let rows: Vec<usize> =
        (0..time_s.len()).filter(|&i| time_s[i] >= settled && rpm[i].is_finite() && torque_nm[i].is_finite()).collect();
    if rows.len() < 3 {
        return None;
    }
    let t: Vec<f64> = rows.iter().map(|&i| torque_nm[i]).collect();
    let n: Vec<f64> = rows.iter().map(|&i| rpm[i]).collect();
    let (m, sd) = (mean(&t), sample_sd(&t)?);
    let cross: f64 = t.windows(2).map(|w| (w[0] - m) * (w[1] - m)).sum();
    let ss: f64 = t.iter().map(|v| (v - m).powi(2)).sum();
    let likeness = if ss > 0.0 { (cross / ss).clamp(0.0, 0.99) } else { 0.0 };
    let u_nm = sd / (t.len() as f64).sqrt() * ((1.0 + likeness) / (1.0 - likeness)).sqrt();
    Some(HeldPoint { rpm: mean(&n), torque_nm: m, u_nm, sd_nm: sd })
}

/// Curve through holds, joined by straight lines; NaN outside the first and last.
pub fn held_curve(points: &[HeldPoint], grid: Grid) -> PullCurve {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.rpm.total_cmp(&b.rpm));
    let mut out = PullCurve { noise_nm: f64::NAN, ..PullCurve::default() };
    for i in 0..grid.points {
        let n = grid.rpm(i);
        let k = sorted.partition_point(|p| p.rpm <= n);
        let pair = match (k.checked_sub(1).and_then(|j| sorted.get(j)), sorted.get(k)) {
            (Some(a), Some(b)) => {
                let s = (n - a.rpm) / (b.rpm - a.rpm);
                Some((a.torque_nm + s * (b.torque_nm - a.torque_nm), (1.0 - s) * a.u_nm + s * b.u_nm))
            }
            // A grid point within half a step of the outermost hold takes its value.
            (Some(a), None) if n - a.rpm <= grid.step_rpm / 2.0 => Some((a.torque_nm, a.u_nm)),
            (None, Some(b)) if b.rpm - n <= grid.step_rpm / 2.0 => Some((b.torque_nm, b.u_nm)),
            _ => None,
        };
        let (t, u) = pair.unwrap_or((f64::NAN, f64::NAN));
        out.torque_nm.push(t);
        out.u_nm.push(u);
    }
    if !sorted.is_empty() {
        out.noise_nm = mean(&sorted.iter().map(|p| p.sd_nm).collect::<Vec<_>>());
    }
    if let [.., a, b] = sorted.as_slice() {
        let p = |h: &HeldPoint| h.torque_nm * h.rpm * PI / 30.0;
        let up = |h: &HeldPoint| h.u_nm * h.rpm * PI / 30.0;
        let dn = b.rpm - a.rpm;
        if dn > 0.0 {
            out.end_slope = Some(((p(b) - p(a)) / dn, up(a).hypot(up(b)) / dn));
        }
    }
    out
}

/// Slope of power against speed over the last [`END_SLOPE_RPM`] of a pull's samples, W per rpm, with its
/// standard error enlarged for samples that follow each other. `None` with fewer than eight samples.
fn end_slope(rpm: &[f64], torque_nm: &[f64], likeness: f64) -> Option<(f64, f64)> {
    // Not the very highest sample: one glitch of the speed signal must not move the window.
    let top = quantile(rpm, 0.998)?;
    let (mut n, mut sx, mut sy, mut sxx, mut sxy, mut syy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for (x, t) in rpm.iter().zip(torque_nm) {
        if x.is_finite() && t.is_finite() && *x >= top - END_SLOPE_RPM {
            let (dx, p) = (x - top, t * x * PI / 30.0);
            n += 1.0;
            sx += dx;
            sy += p;
            sxx += dx * dx;
            sxy += dx * p;
            syy += p * p;
        }
    }
    let vx = sxx - sx * sx / n;
    if n < 8.0 || vx <= 0.0 {
        return None;
    }
    let b = (sxy - sx * sy / n) / vx;
    let rss = (syy - sy * sy / n - b * b * vx).max(0.0);
    let inflate = ((1.0 + likeness) / (1.0 - likeness)).sqrt();
    Some((b, (rss / (n - 2.0) / vx).sqrt() * inflate))
}

/// Value of a grid curve between its points, by a straight line; NaN outside or beside a gap.
pub fn interpolate(grid: Grid, curve: &[f64], rpm: f64) -> f64 {
    let at = (rpm - grid.first_rpm) / grid.step_rpm;
    if !(at >= 0.0) || grid.points == 0 || at > (grid.points - 1) as f64 {
        return f64::NAN;
    }
    let i = at as usize;
    let s = at - i as f64;
    if s == 0.0 { curve[i] } else { curve[i] + s * (curve[i + 1] - curve[i]) }
}

/// Pools pulls on one grid. `system_nm(i, torque)` gives the standard uncertainty from instruments and
/// weather at grid point `i`, N·m.
pub fn pool(pulls: &[&PullCurve], grid: Grid, half_width_rpm: f64, system_nm: impl Fn(usize, f64) -> f64) -> Curve {
    let set_off = pull_constants(pulls, grid);
    let total = pulls.len();
    let mut c = Curve { rpm: grid.speeds(), half_width_rpm, ..Curve::default() };
    let mut variance = vec![(f64::NAN, 0usize); grid.points];
    for i in 0..grid.points {
        let there: Vec<(f64, f64, f64)> = pulls
            .iter()
            .zip(&set_off)
            .map(|(p, a)| (p.torque_nm[i], *a, p.u_nm[i]))
            .filter(|v| v.0.is_finite())
            .collect();
        // A point that fewer than half of the pulls reach is not the run's curve.
        let enough = there.len() * 2 >= total && !there.is_empty();
        let torque = if enough { there.iter().map(|v| v.0 - v.1).sum::<f64>() / there.len() as f64 } else { f64::NAN };
        let within = there.iter().map(|v| v.2 * v.2).sum::<f64>().sqrt() / there.len() as f64;
        if let Some(sd) = sample_sd(&there.iter().map(|v| v.0).collect::<Vec<_>>()) {
            variance[i] = (sd * sd, there.len());
        }
        c.torque_nm.push(torque);
        c.u_within_nm.push(if enough { within } else { f64::NAN });
        c.low_nm.push(if enough { there.iter().map(|v| v.0).fold(f64::INFINITY, f64::min) } else { f64::NAN });
        c.high_nm.push(if enough { there.iter().map(|v| v.0).fold(f64::NEG_INFINITY, f64::max) } else { f64::NAN });
        c.pulls.push(there.len());
    }
    let reach = (SCATTER_WIDTH_RPM / grid.step_rpm).round() as usize;
    for i in 0..grid.points {
        let t = c.torque_nm[i];
        let near: Vec<f64> = (i.saturating_sub(reach)..(i + reach + 1).min(grid.points))
            .filter(|&k| variance[k].1 == variance[i].1)
            .map(|k| variance[k].0)
            .filter(|v| v.is_finite())
            .collect();
        let n = variance[i].1;
        let between = match few_pulls_factor(n) {
            Some(k) if t.is_finite() && !near.is_empty() => k * (mean(&near) / n as f64).sqrt(),
            _ => f64::NAN,
        };
        let system = if t.is_finite() { system_nm(i, t) } else { f64::NAN };
        let scatter = if between.is_finite() { between.max(c.u_within_nm[i]) } else { c.u_within_nm[i] };
        c.u_between_nm.push(between);
        c.u_system_nm.push(system);
        c.u_nm.push(scatter.hypot(system));
    }
    c
}

/// The constant a_p of every pull, mean zero, from the points that all pulls reach; zeros when there are
/// none.
fn pull_constants(pulls: &[&PullCurve], grid: Grid) -> Vec<f64> {
    let mut sums = vec![0.0; pulls.len()];
    let mut n = 0.0;
    for i in 0..grid.points {
        if pulls.iter().all(|p| p.torque_nm[i].is_finite()) {
            n += 1.0;
            for (s, p) in sums.iter_mut().zip(pulls) {
                *s += p.torque_nm[i];
            }
        }
    }
    if n == 0.0 {
        return vec![0.0; pulls.len()];
    }
    let all = sums.iter().sum::<f64>() / sums.len().max(1) as f64;
    sums.iter().map(|s| (s - all) / n).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid() -> Grid {
        Grid::covering(2000.0, 6500.0, 25.0)
    }

    /// Torque of a made-up engine, N·m.
    fn truth(n: f64) -> f64 {
        300.0 - ((n - 4600.0) / 300.0).powi(2)
    }

    fn sweep(offset: f64, top: f64, noise: f64) -> PullCurve {
        // A fixed pattern in place of random noise: ±noise by turns has no trend and a known spread.
        let rpm: Vec<f64> = (0..).map(|i| 2000.0 + 6.0 * f64::from(i)).take_while(|n| *n <= top).collect();
        let torque: Vec<f64> =
            rpm.iter().enumerate().map(|(i, n)| truth(*n) + offset + noise * [1.0, -1.0, -1.0, 1.0][i % 4]).collect();
        sweep_curve(&rpm, &torque, grid(), 75.0)
    }

    #[test]
    fn noise_is_measured_and_the_fit_averages_it() {
        let p = sweep(0.0, 6500.0, 2.0);
        // The pattern has no slow part, so the fit takes none of it; the divisor still allows for the
        // 3 · 4525/150 = 90.5 numbers fitted among 751 samples: 2 / √(1 − 90.5/751) = 2.132.
        assert!((p.noise_nm - 2.132).abs() < 0.01, "{}", p.noise_nm);
        let i = 100;
        assert!((p.torque_nm[i] - truth(grid().rpm(i))).abs() < 1.0);
        // 25 samples inside ±75 rpm; a tricube quadratic keeps about 2.9/25 of the variance: 2 · 0.34.
        assert!(p.u_nm[i] > 0.3 && p.u_nm[i] < 1.2, "{}", p.u_nm[i]);
    }

    #[test]
    fn a_pull_that_ends_early_makes_no_step_in_the_mean() {
        let (a, b, c) = (sweep(0.0, 6500.0, 0.0), sweep(3.0, 5000.0, 0.0), sweep(-3.0, 6500.0, 0.0));
        let curve = pool(&[&a, &b, &c], grid(), 75.0, |_, t| 0.003 * t);
        let at = |n: f64| interpolate(grid(), &curve.torque_nm, n);
        for n in [4950.0, 5000.0, 5025.0, 6000.0] {
            assert!((at(n) - truth(n)).abs() < 0.05, "{n}: {} against {}", at(n), truth(n));
        }
        let i = grid().speeds().iter().position(|n| *n == 4000.0).unwrap();
        // sd of (0, 3, −3) is 3; over √3, times Student's factor for three pulls over 2.
        let expected = 3.0 / 3.0f64.sqrt() * few_pulls_factor(3).unwrap();
        assert!((curve.u_between_nm[i] - expected).abs() < 0.01, "{}", curve.u_between_nm[i]);
        assert!((curve.u_nm[i] - expected.hypot(0.003 * truth(4000.0))).abs() < 0.01);
    }

    #[test]
    fn holds_are_joined_by_straight_lines_and_end_at_the_last() {
        let p = |rpm, torque_nm| HeldPoint { rpm, torque_nm, u_nm: 0.5, sd_nm: 1.0 };
        let c = held_curve(&[p(3000.0, 200.0), p(4000.0, 240.0), p(5000.0, 220.0)], grid());
        let at = |n: f64| interpolate(grid(), &c.torque_nm, n);
        assert_eq!(at(3500.0), 220.0);
        assert!(at(2900.0).is_nan() && at(5100.0).is_nan());
    }

    #[test]
    fn the_end_slope_of_power_is_that_of_the_samples() {
        let p = sweep(0.0, 6500.0, 0.0);
        let power = |n: f64| truth(n) * n * PI / 30.0;
        // Samples from 200 rpm below the 99.8 % quantile of the speeds (6,494) to the last (6,500).
        let expected = (power(6500.0) - power(6294.0)) / 206.0;
        let (slope, _) = p.end_slope.unwrap();
        assert!((slope - expected).abs() < 0.02, "{slope} against {expected}");
    }
}

//! Was power still climbing at the last point, and what would lie beyond.

use super::power_w;
use crate::analysis::{Curve, Extrapolated};
use crate::budget::System;
use crate::curve::PullCurve;
use crate::stats::{few_pulls_factor, mean, sample_sd};

/// Furthest that is ever extrapolated past the data, rpm.
pub const EXTRAPOLATE_LIMIT_RPM: f64 = 300.0;
/// Width of curve from which the extrapolation is made, rpm.
const BASE_RPM: f64 = 1000.0;

/// Slope of power at the end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Climb {
    /// Slope, W per rpm.
    pub slope_w_per_rpm: f64,
    /// Standard uncertainty, W per rpm.
    pub u: f64,
    /// `climbing`, `not_climbing` or `cannot_tell`: beyond twice the uncertainty or not.
    pub verdict: &'static str,
}

/// Slope of power over the last 200 rpm of the pulls in use: mean of the pulls' slopes, with the larger of
/// their scatter and their own uncertainties. `None` if no pull has enough samples there.
pub fn still_climbing(pulls: &[&PullCurve]) -> Option<Climb> {
    let ends: Vec<(f64, f64)> = pulls.iter().filter_map(|p| p.end_slope).collect();
    if ends.is_empty() {
        return None;
    }
    let slopes: Vec<f64> = ends.iter().map(|e| e.0).collect();
    let n = ends.len() as f64;
    let own = ends.iter().map(|e| e.1 * e.1).sum::<f64>().sqrt() / n;
    let scatter = match (few_pulls_factor(ends.len()), sample_sd(&slopes)) {
        (Some(k), Some(sd)) => k * sd / n.sqrt(),
        _ => 0.0,
    };
    let (slope, u) = (mean(&slopes), own.max(scatter));
    let verdict = if slope - 2.0 * u > 0.0 {
        "climbing"
    } else if slope + 2.0 * u < 0.0 {
        "not_climbing"
    } else {
        "cannot_tell"
    };
    Some(Climb { slope_w_per_rpm: slope, u, verdict })
}

/// Power peak beyond the data: a parabola through the torque of the last [`BASE_RPM`], followed for at most
/// [`EXTRAPOLATE_LIMIT_RPM`]. The interval (95 %) is the curve's own uncertainty enlarged with the square
/// of the distance from the middle of the base, as for a least-squares parabola. `None` with less than half
/// the base tested.
pub fn extrapolate(curve: &Curve, system: &System) -> Option<Extrapolated> {
    let last = (0..curve.rpm.len()).rev().find(|&i| curve.torque_nm[i].is_finite())?;
    let end = curve.rpm[last];
    let rows: Vec<usize> =
        (0..=last).filter(|&i| curve.rpm[i] >= end - BASE_RPM && curve.torque_nm[i].is_finite()).collect();
    if curve.rpm[last] - curve.rpm[*rows.first()?] < BASE_RPM / 2.0 {
        return None;
    }
    // Parabola in x = (rpm − end) / BASE, by normal equations on the even grid.
    let xs: Vec<f64> = rows.iter().map(|&i| (curve.rpm[i] - end) / BASE_RPM).collect();
    let ys: Vec<f64> = rows.iter().map(|&i| curve.torque_nm[i]).collect();
    let s = |p: i32| xs.iter().map(|x| x.powi(p)).sum::<f64>();
    let sy = |p: i32| xs.iter().zip(&ys).map(|(x, y)| x.powi(p) * y).sum::<f64>();
    let m = [[s(0), s(1), s(2)], [s(1), s(2), s(3)], [s(2), s(3), s(4)]];
    let b = solve3(m, [sy(0), sy(1), sy(2)])?;
    let torque = |n: f64| {
        let x = (n - end) / BASE_RPM;
        b[0] + b[1] * x + b[2] * x * x
    };
    let mut best = (end, power_w(torque(end), end));
    let mut n = end;
    while n < end + EXTRAPOLATE_LIMIT_RPM {
        n += 5.0;
        let p = power_w(torque(n), n);
        if p > best.1 {
            best = (n, p);
        }
    }
    let residual = (xs.iter().zip(&ys).map(|(x, y)| (y - b[0] - b[1] * x - b[2] * x * x).powi(2)).sum::<f64>()
        / (xs.len() as f64 - 3.0).max(1.0))
    .sqrt();
    let reach = 1.0 + ((best.0 - end) / (BASE_RPM / 2.0) + 1.0).powi(2);
    let scatter = curve.u_within_nm[last].max(residual) * reach;
    let u_torque = scatter.hypot(system.torque_nm(torque(best.0)));
    let half = 2.0 * power_w(u_torque, best.0);
    Some(Extrapolated {
        power_w: best.1,
        low_w: best.1 - half,
        high_w: best.1 + half,
        rpm: best.0,
        at_limit: best.0 >= end + EXTRAPOLATE_LIMIT_RPM,
    })
}

/// Solves three linear equations by Cramer's rule; `None` when they are singular.
fn solve3(m: [[f64; 3]; 3], r: [f64; 3]) -> Option<[f64; 3]> {
    let det = |a: [[f64; 3]; 3]| {
        a[0][0] * (a[1][1] * a[2][2] - a[1][2] * a[2][1]) - a[0][1] * (a[1][0] * a[2][2] - a[1][2] * a[2][0])
            + a[0][2] * (a[1][0] * a[2][1] - a[1][1] * a[2][0])
    };
    let d = det(m);
    if d.abs() < 1e-12 {
        return None;
    }
    let mut out = [0.0; 3];
    for (k, o) in out.iter_mut().enumerate() {
        let mut a = m;
        for (row, value) in a.iter_mut().zip(r) {
            row[k] = value;
        }
        *o = det(a) / d;
    }
    Some(out)
}

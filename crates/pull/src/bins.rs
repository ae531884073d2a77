//! Samples of a pull gathered in narrow speed bins, and local regression over them.
//!
//! A pull wobbles, stalls and turns back, and a fast logger gives far more samples than a curve
//! needs. Samples are therefore first added up in bins a fifth of the grid distance wide (5 rpm on a
//! grid of 25), each bin keeping the mean speed of its own samples, and a weighted quadratic is fitted
//! about every grid point (tricube weight that ends at the stated half width). Nothing outside that
//! width touches a point; a point with no samples near it on both sides stays empty.
//!
//! Method: local regression after Cleveland and Devlin (1988), from memory; the covariance of the
//! fitted value is the sandwich form of weighted least squares.

/// Sums of the samples that fell in one speed bin.
#[derive(Debug, Clone, Copy, Default)]
struct Bin {
    n: f64,
    x: f64,
    y: f64,
}

/// Samples of one channel of one pull, added up by speed.
#[derive(Debug, Clone)]
pub struct Bins {
    first_rpm: f64,
    width_rpm: f64,
    bins: Vec<Bin>,
}

/// The even grid of speeds on which curves are given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    /// First point, rpm.
    pub first_rpm: f64,
    /// Distance, rpm.
    pub step_rpm: f64,
    /// Number of points.
    pub points: usize,
}

impl Grid {
    /// The grid of whole multiples of `step_rpm` inside a span; empty if none lies in it.
    pub fn covering(from_rpm: f64, to_rpm: f64, step_rpm: f64) -> Self {
        let first = (from_rpm / step_rpm - 1e-9).ceil();
        let last = (to_rpm / step_rpm + 1e-9).floor();
        let points = if last >= first { (last - first) as usize + 1 } else { 0 };
        Self { first_rpm: first * step_rpm, step_rpm, points }
    }

    /// Speed of a point, rpm.
    pub fn rpm(&self, i: usize) -> f64 {
        self.first_rpm + i as f64 * self.step_rpm
    }

    /// All speeds, rpm.
    pub fn speeds(&self) -> Vec<f64> {
        (0..self.points).map(|i| self.rpm(i)).collect()
    }
}

/// Value of a local fit at one grid point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LocalFit {
    /// Fitted value.
    pub value: f64,
    /// Slope, per rpm.
    pub slope: f64,
    /// Variance of the value, in units of the variance of one sample.
    pub leverage: f64,
}

/// A point with samples on one side only, or on the other side within less than this share of the half
/// width, is an end of the data.
const END_SHARE: f64 = 0.5;
/// Stands for "in no bin".
pub const NO_BIN: u32 = u32::MAX;
/// Bins per grid step.
const BINS_PER_STEP: f64 = 5.0;

impl Bins {
    /// Empty bins that cover a grid and one half width on either side.
    pub fn new(grid: Grid, half_width_rpm: f64) -> Self {
        let width_rpm = grid.step_rpm / BINS_PER_STEP;
        let reach = half_width_rpm + grid.step_rpm;
        let first_rpm = grid.first_rpm - reach;
        let span = grid.step_rpm * grid.points.saturating_sub(1) as f64 + 2.0 * reach;
        Self { first_rpm, width_rpm, bins: vec![Bin::default(); (span / width_rpm).ceil() as usize + 1] }
    }

    /// Index of the bin of a speed, `None` outside or for a missing speed.
    #[inline]
    pub fn index(&self, rpm: f64) -> Option<usize> {
        let at = (rpm - self.first_rpm) / self.width_rpm;
        (at >= 0.0 && at < self.bins.len() as f64).then_some(at as usize)
    }

    /// Adds one sample; missing values and speeds outside are passed over.
    #[inline]
    pub fn add(&mut self, rpm: f64, value: f64) {
        if !value.is_finite() {
            return;
        }
        if let Some(i) = self.index(rpm) {
            let bin = &mut self.bins[i];
            bin.n += 1.0;
            bin.x += rpm;
            bin.y += value;
        }
    }

    /// Bin of every speed of a pull, to be shared by its channels; [`NO_BIN`] outside or for a missing speed.
    pub fn indices(&self, rpm: &[f64]) -> Vec<u32> {
        rpm.iter().map(|n| self.index(*n).map_or(NO_BIN, |i| i as u32)).collect()
    }

    /// Means of a channel about every grid point, by a local straight line over the bins of one half
    /// width (tricube weight). The speed of a bin is its middle: half a bin, 2.5 rpm on a grid of 25, is
    /// nothing to a channel that is drawn over speed, and the weights are then the same at every point.
    /// NaN under the conditions of [`Bins::fit`].
    pub fn lines(&self, indices: &[u32], values: &[f64], grid: Grid, half_width_rpm: f64) -> Vec<f64> {
        let mut sums = vec![(0.0f64, 0.0f64); self.bins.len()];
        for (i, v) in indices.iter().zip(values) {
            if *i != NO_BIN && v.is_finite() {
                let bin = &mut sums[*i as usize];
                bin.0 += 1.0;
                bin.1 += v;
            }
        }
        let at = |i: usize| (grid.rpm(i) - self.first_rpm) / self.width_rpm;
        let reach = half_width_rpm / self.width_rpm;
        // Distance of a bin's middle from the grid point is the same pattern at every point.
        let start = |i: usize| (at(i) - reach).floor().max(0.0) as usize;
        let slack = 0.5 * grid.step_rpm / half_width_rpm;
        let weights: Vec<(f64, f64)> = (0..=(2.0 * reach).ceil() as usize + 1)
            .map(|k| ((start(0) + k) as f64 + 0.5 - at(0)) / reach)
            .map(|x| (x, if x.abs() < 1.0 { (1.0 - x.abs().powi(3)).powi(3) } else { 0.0 }))
            .collect();
        (0..grid.points)
            .map(|i| {
                let (mut m0, mut m1, mut m2, mut r0, mut r1) = (0.0, 0.0, 0.0, 0.0, 0.0);
                let (mut n, mut below, mut above, mut places) = (0.0, false, false, 0);
                for ((x, w), (count, sum)) in weights.iter().zip(&sums[start(i).min(sums.len())..]) {
                    if *count == 0.0 || *w == 0.0 {
                        continue;
                    }
                    n += count;
                    places += 1;
                    below |= *x <= slack;
                    above |= *x >= -slack;
                    let (wn, ws) = (w * count, w * sum);
                    m0 += wn;
                    m1 += wn * x;
                    m2 += wn * x * x;
                    r0 += ws;
                    r1 += ws * x;
                }
                if n < 3.0 || !(below && above) {
                    return f64::NAN;
                }
                let det = m0 * m2 - m1 * m1;
                if places >= 3 && det > 1e-6 * m0 * m0 { (m2 * r0 - m1 * r1) / det } else { r0 / m0 }
            })
            .collect()
    }

    /// Local regression about one speed. `degree` 2 for torque, 1 for slow channels, lower where the
    /// samples do not carry it. `None` where fewer than three samples lie inside the half width or none
    /// lies on one of the two sides within it (half a grid step of slack at the ends).
    pub fn fit(&self, at_rpm: f64, half_width_rpm: f64, step_rpm: f64, degree: usize) -> Option<LocalFit> {
        let lo = self.index(at_rpm - half_width_rpm).unwrap_or(0);
        let hi = self.index(at_rpm + half_width_rpm).unwrap_or(self.bins.len() - 1);
        // Moments of the weights (m) and of the squared weights (q), and of weight times value (r).
        let (mut m, mut q, mut r) = ([0.0f64; 5], [0.0f64; 5], [0.0f64; 3]);
        let (mut n, mut below, mut above) = (0.0, false, false);
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut places = 0usize;
        for bin in &self.bins[lo..=hi] {
            if bin.n == 0.0 {
                continue;
            }
            let x = (bin.x / bin.n - at_rpm) / half_width_rpm;
            if x.abs() >= 1.0 {
                continue;
            }
            let cube = 1.0 - x.abs().powi(3);
            let w = cube * cube * cube;
            let slack = 0.5 * step_rpm / half_width_rpm;
            below |= x <= slack;
            above |= x >= -slack;
            n += bin.n;
            places += 1;
            least = least.min(x);
            most = most.max(x);
            let mut p = 1.0;
            for k in 0..5 {
                m[k] += w * bin.n * p;
                q[k] += w * w * bin.n * p;
                if k < 3 {
                    r[k] += w * bin.y * p;
                }
                p *= x;
            }
        }
        if n < 3.0 || !(below && above) {
            return None;
        }
        // At the ends samples lie on one side only: a parabola there follows the last few samples' noise, a
        // straight line does not (what it leaves is the curve's own bend over less than the half width).
        let degree = if (-least).min(most) < END_SHARE { degree.min(1) } else { degree };
        for d in (0..=degree.min(places.saturating_sub(2))).rev() {
            if let Some((value, slope, leverage)) = solve(&m, &q, &r, d) {
                return Some(LocalFit { value, slope: slope / half_width_rpm, leverage });
            }
        }
        None
    }
}

/// Solves the weighted normal equations of degree `d` for the value and slope at x = 0 and the
/// leverage e₁ᵀ M⁻¹ Q M⁻¹ e₁. `None` where the equations are close to singular.
fn solve(m: &[f64; 5], q: &[f64; 5], r: &[f64; 3], d: usize) -> Option<(f64, f64, f64)> {
    let a = invert(m, d)?;
    let mut beta = [0.0; 3];
    for i in 0..=d {
        for j in 0..=d {
            beta[i] += a[i][j] * r[j];
        }
    }
    let mut leverage = 0.0;
    for i in 0..=d {
        for j in 0..=d {
            leverage += a[0][i] * q[i + j] * a[0][j];
        }
    }
    Some((beta[0], beta[1], leverage))
}

/// Inverse of the (d+1)×(d+1) moment matrix m[i+j].
fn invert(m: &[f64; 5], d: usize) -> Option<[[f64; 3]; 3]> {
    let mut a = [[0.0; 3]; 3];
    match d {
        0 => {
            if m[0] <= 0.0 {
                return None;
            }
            a[0][0] = 1.0 / m[0];
        }
        1 => {
            let det = m[0] * m[2] - m[1] * m[1];
            if det <= 1e-6 * m[0] * m[0] {
                return None;
            }
            a = [[m[2] / det, -m[1] / det, 0.0], [-m[1] / det, m[0] / det, 0.0], [0.0; 3]];
        }
        _ => {
            let c00 = m[2] * m[4] - m[3] * m[3];
            let c01 = m[2] * m[3] - m[1] * m[4];
            let c02 = m[1] * m[3] - m[2] * m[2];
            let det = m[0] * c00 + m[1] * c01 + m[2] * c02;
            if det <= 1e-7 * m[0].powi(3) {
                return None;
            }
            let c11 = m[0] * m[4] - m[2] * m[2];
            let c12 = m[1] * m[2] - m[0] * m[3];
            let c22 = m[0] * m[2] - m[1] * m[1];
            a = [
                [c00 / det, c01 / det, c02 / det],
                [c01 / det, c11 / det, c12 / det],
                [c02 / det, c12 / det, c22 / det],
            ];
        }
    }
    Some(a)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parabola_is_reproduced_and_nothing_is_said_beyond_the_samples() {
        let grid = Grid::covering(1000.0, 3000.0, 25.0);
        let mut bins = Bins::new(grid, 75.0);
        let truth = |n: f64| 300.0 - ((n - 2200.0) / 100.0).powi(2);
        let mut n = 1500.0;
        while n <= 2500.0 {
            bins.add(n, truth(n));
            n += 2.9;
        }
        for i in 0..grid.points {
            let at = grid.rpm(i);
            match bins.fit(at, 75.0, 25.0, 2) {
                // A bin is represented by the means of speed and value; a parabola bends by at most
                // (2.5 rpm / 100 rpm)² = 0.0006 N·m inside a bin 5 rpm wide.
                // Within half a half width of the ends a straight line is fitted: it leaves less than the bend
                // over the half width, (75/100)² = 0.56 N·m.
                Some(f) => {
                    let end = !(1540.0..=2460.0).contains(&at);
                    let slack = if end { 0.56 } else { 0.002 };
                    assert!((f.value - truth(at)).abs() < slack, "{at}: {} {}", f.value, truth(at));
                }
                None => assert!(!(1500.0..=2495.0).contains(&at), "{at} is inside the data"),
            }
            if !(1475.0..=2525.0).contains(&at) {
                assert_eq!(bins.fit(at, 75.0, 25.0, 2), None, "{at}");
            }
        }
    }

    #[test]
    fn lines_of_a_channel_follow_a_straight_line_and_end_with_the_samples() {
        let grid = Grid::covering(1000.0, 3000.0, 25.0);
        for half_width in [40.0, 75.0, 110.0] {
            let bins = Bins::new(grid, half_width);
            let rpm: Vec<f64> = (0..=1000).map(|k| 1500.0 + f64::from(k)).collect();
            let values: Vec<f64> = rpm.iter().map(|n| 0.9 - n * 1e-5).collect();
            let line = bins.lines(&bins.indices(&rpm), &values, grid, half_width);
            for i in 0..grid.points {
                let n = grid.rpm(i);
                if (1500.0..=2500.0).contains(&n) {
                    // Half a bin of 5 rpm on a slope of 1e-5 per rpm.
                    assert!((line[i] - (0.9 - n * 1e-5)).abs() < 2.6e-5, "{half_width}: {n}");
                } else if !(1475.0..=2525.0).contains(&n) {
                    assert!(line[i].is_nan(), "{n}");
                }
            }
        }
    }

    #[test]
    fn leverage_is_the_variance_of_the_fitted_value() {
        // Ten samples at one place on each side and many in the middle: the leverage of a local mean of
        // n equal weights is 1/n; the tricube fit of an even spread must lie between that and 1.
        let grid = Grid::covering(1900.0, 2100.0, 25.0);
        let mut bins = Bins::new(grid, 75.0);
        for k in 0..61 {
            bins.add(1925.0 + 2.5 * k as f64, 1.0);
        }
        let f = bins.fit(2000.0, 75.0, 25.0, 2).unwrap();
        assert!(f.leverage > 1.0 / 61.0 && f.leverage < 0.2, "{}", f.leverage);
    }
}

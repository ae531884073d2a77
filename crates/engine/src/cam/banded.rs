//! Symmetric positive systems whose entries lie near the diagonal, with the corners of a whole turn.
//!
//! Cholesky of the band; for a whole turn the last unknowns are a border with a small dense system
//! of its own (Schur complement). Textbook linear algebra.

use super::spline::DEGREE;

/// Unknowns that couple: a spline function meets its five neighbours on either side.
const BAND: usize = DEGREE;

/// A symmetric matrix: entry `d` of row `i` couples `i` with `i + d`, around the turn when periodic.
#[derive(Debug, Clone)]
pub(super) struct Banded {
    pub(super) rows: Vec<[f64; BAND + 1]>,
    pub(super) periodic: bool,
}

impl Banded {
    pub(super) fn zero(n: usize, periodic: bool) -> Self {
        Self { rows: vec![[0.0; BAND + 1]; n], periodic }
    }

    fn entry(&self, i: usize, j: usize) -> f64 {
        let n = self.rows.len();
        let (low, high) = (i.min(j), i.max(j));
        if high - low <= BAND {
            return self.rows[low][high - low];
        }
        if self.periodic && n - (high - low) <= BAND {
            return self.rows[high][n - (high - low)];
        }
        0.0
    }

    pub(super) fn factor(&self) -> Option<Factor> {
        let n = self.rows.len();
        let inner = if self.periodic { n - BAND } else { n };
        let mut lower = vec![[0.0; BAND + 1]; inner];
        for i in 0..inner {
            let first = i.saturating_sub(BAND);
            for j in first..=i {
                // lower[i][d] couples i with i − d.
                let mut sum = self.entry(i, j);
                for k in first.max(j.saturating_sub(BAND))..j {
                    sum -= lower[i][i - k] * lower[j][j - k];
                }
                if i == j {
                    if !(sum > 0.0) {
                        return None;
                    }
                    lower[i][0] = sum.sqrt();
                } else {
                    lower[i][i - j] = sum / lower[j][0];
                }
            }
        }
        let mut factor = Factor { lower, border: Vec::new(), corner: Vec::new() };
        for c in inner..n {
            let mut column: Vec<f64> = (0..inner).map(|i| self.entry(i, c)).collect();
            factor.forward(&mut column);
            factor.border.push(column);
        }
        for a in 0..n - inner {
            let mut row = vec![0.0; a + 1];
            for b in 0..=a {
                let met: f64 = factor.border[a].iter().zip(&factor.border[b]).map(|(x, y)| x * y).sum();
                let done: f64 = (0..b).map(|k| row[k] * if a == b { row[k] } else { factor.corner[b][k] }).sum();
                let sum = self.entry(inner + a, inner + b) - met - done;
                if a == b {
                    if !(sum > 0.0) {
                        return None;
                    }
                    row[b] = sum.sqrt();
                } else {
                    row[b] = sum / factor.corner[b][b];
                }
            }
            factor.corner.push(row);
        }
        Some(factor)
    }
}

/// The factor of a [`Banded`] matrix.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Factor {
    lower: Vec<[f64; BAND + 1]>,
    border: Vec<Vec<f64>>,
    corner: Vec<Vec<f64>>,
}

impl Factor {
    /// Natural logarithm of the matrix's determinant.
    pub(super) fn log_determinant(&self) -> f64 {
        let band: f64 = self.lower.iter().map(|row| row[0].ln()).sum();
        let corner: f64 = self.corner.iter().filter_map(|row| row.last()).map(|d| d.ln()).sum();
        2.0 * (band + corner)
    }

    fn forward(&self, x: &mut [f64]) {
        for i in 0..self.lower.len() {
            let mut sum = x[i];
            for d in 1..=BAND.min(i) {
                sum -= self.lower[i][d] * x[i - d];
            }
            x[i] = sum / self.lower[i][0];
        }
    }

    fn backward(&self, x: &mut [f64]) {
        for i in (0..self.lower.len()).rev() {
            x[i] /= self.lower[i][0];
            let value = x[i];
            for d in 1..=BAND.min(i) {
                x[i - d] -= self.lower[i][d] * value;
            }
        }
    }

    /// The solution for one right-hand side.
    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let inner = self.lower.len();
        let mut x = right.to_vec();
        self.forward(&mut x[..inner]);
        let m = self.border.len();
        for a in 0..m {
            let met: f64 = self.border[a].iter().zip(&x[..inner]).map(|(b, x)| b * x).sum();
            let done: f64 = (0..a).map(|k| self.corner[a][k] * x[inner + k]).sum();
            x[inner + a] = (x[inner + a] - met - done) / self.corner[a][a];
        }
        for a in (0..m).rev() {
            let done: f64 = (a + 1..m).map(|k| self.corner[k][a] * x[inner + k]).sum();
            x[inner + a] = (x[inner + a] - done) / self.corner[a][a];
        }
        for a in 0..m {
            let value = x[inner + a];
            for (target, b) in x[..inner].iter_mut().zip(&self.border[a]) {
                *target -= b * value;
            }
        }
        self.backward(&mut x[..inner]);
        x
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solutions_give_back_the_right_hand_side() {
        for periodic in [false, true] {
            let n = 23;
            let mut matrix = Banded::zero(n, periodic);
            for i in 0..n {
                for d in 0..=BAND {
                    let inside = periodic || i + d < n;
                    if inside {
                        matrix.rows[i][d] = if d == 0 { 9.0 } else { ((i * 7 + d * 3) % 5) as f64 / 5.0 - 0.3 };
                    }
                }
            }
            let right: Vec<f64> = (0..n).map(|k| (k as f64).cos()).collect();
            let factor = matrix.factor().expect("positive");
            // Twice the matrix has 2ⁿ times the determinant.
            let mut twice = matrix.clone();
            twice.rows.iter_mut().flatten().for_each(|entry| *entry *= 2.0);
            let apart = twice.factor().expect("positive").log_determinant() - factor.log_determinant();
            assert!((apart - n as f64 * 2.0_f64.ln()).abs() < 1e-12);
            let x = factor.solve(&right);
            for i in 0..n {
                let got: f64 = (0..n).map(|j| matrix.entry(i, j) * x[j]).sum();
                assert!((got - right[i]).abs() < 1e-13, "{periodic} row {i}");
            }
        }
    }
}

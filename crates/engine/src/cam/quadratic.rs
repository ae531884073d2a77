//! The least of a quadratic form under linear equations and inequalities.
//!
//! Model: minimise ½ xᵀHx, H positive definite, with aᵢ·x = bᵢ for the first rows and aᵢ·x ≥ bᵢ for
//! the rest. Dual active-set method: start from the free minimum, add the most violated row, drop
//! rows whose multiplier would turn negative. It ends after finitely many steps and says when no
//! point satisfies all rows.
//!
//! # Source
//! D. Goldfarb, A. Idnani, "A numerically stable dual method for solving strictly convex quadratic
//! programs", Mathematical Programming 27 (1983) 1–33 (from memory; here with dense solves instead
//! of updated factors, which is enough for a few dozen unknowns).

/// One row: weights and right-hand side.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub(super) weights: Vec<f64>,
    pub(super) value: f64,
}

/// The minimiser, or `None` when the rows exclude each other. `slack` is what a row may miss.
pub(super) fn minimise(hessian: &[Vec<f64>], equal: &[Row], at_least: &[Row], slack: f64) -> Option<Vec<f64>> {
    let n = hessian.len();
    let factor = Cholesky::of(hessian)?;
    let rows: Vec<&Row> = equal.iter().chain(at_least).collect();
    let mut x = vec![0.0; n];
    let mut active: Vec<Active> = Vec::new();
    let mut next_equal = 0;
    for _ in 0..20 * (n + rows.len()) {
        let wanted = if next_equal < equal.len() {
            Some(next_equal)
        } else {
            (equal.len()..rows.len())
                .filter(|row| active.iter().all(|a| a.row != *row))
                .map(|row| (row, dot(&rows[row].weights, &x) - rows[row].value))
                .filter(|(_, miss)| *miss < -slack)
                .min_by(|a, b| a.1.total_cmp(&b.1))
                .map(|(row, _)| row)
        };
        let Some(row) = wanted else { return Some(x) };
        let miss = dot(&rows[row].weights, &x) - rows[row].value;
        // An equation may have to be approached from either side; turned so that it is always from below.
        let sign = if miss > 0.0 && row < equal.len() { -1.0 } else { 1.0 };
        let normal: Vec<f64> = rows[row].weights.iter().map(|w| sign * w).collect();
        if !add(&factor, &mut x, &mut active, row, &normal, sign * rows[row].value, equal.len())? {
            return None;
        }
        if row < equal.len() {
            next_equal += 1;
        }
    }
    None
}

struct Active {
    row: usize,
    normal: Vec<f64>,
    /// H⁻¹ times the normal.
    pulled: Vec<f64>,
    multiplier: f64,
}

/// Brings one row to its value, dropping others on the way. `Some(false)`: the rows exclude each other.
fn add(
    factor: &Cholesky,
    x: &mut [f64],
    active: &mut Vec<Active>,
    row: usize,
    normal: &[f64],
    value: f64,
    equations: usize,
) -> Option<bool> {
    let pulled = factor.solve(normal);
    let own = dot(normal, &pulled);
    let mut multiplier = 0.0;
    loop {
        // Move along H⁻¹n less what the active rows forbid.
        let m = active.len();
        let gram: Vec<Vec<f64>> =
            active.iter().map(|a| active.iter().map(|b| dot(&a.normal, &b.pulled)).collect()).collect();
        let against: Vec<f64> = active.iter().map(|a| dot(&a.normal, &pulled)).collect();
        let share = if m == 0 { Vec::new() } else { Cholesky::of(&gram)?.solve(&against) };
        let mut step = pulled.clone();
        for (a, s) in active.iter().zip(&share) {
            for (target, p) in step.iter_mut().zip(&a.pulled) {
                *target -= s * p;
            }
        }
        let gain = dot(&step, normal);
        let can_move = gain > 1e-12 * own;
        // The first multiplier to reach zero.
        let mut dual = f64::INFINITY;
        let mut leaving = None;
        for (k, (a, s)) in active.iter().zip(&share).enumerate() {
            if a.row >= equations && *s > 1e-14 && a.multiplier / s < dual {
                dual = a.multiplier / s;
                leaving = Some(k);
            }
        }
        let primal = if can_move { (value - dot(normal, x)) / gain } else { f64::INFINITY };
        let length = dual.min(primal);
        if !length.is_finite() {
            // An equation already met that depends on others needs no place of its own.
            return Some(row < equations && (value - dot(normal, x)).abs() < 1e-12);
        }
        if can_move {
            for (target, s) in x.iter_mut().zip(&step) {
                *target += length * s;
            }
        }
        for (a, s) in active.iter_mut().zip(&share) {
            a.multiplier -= length * s;
        }
        multiplier += length;
        if length == primal {
            active.push(Active { row, normal: normal.to_vec(), pulled, multiplier });
            return Some(true);
        }
        active.remove(leaving?);
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

struct Cholesky(Vec<Vec<f64>>);

impl Cholesky {
    fn of(matrix: &[Vec<f64>]) -> Option<Self> {
        let n = matrix.len();
        let mut lower = vec![vec![0.0; n]; n];
        for i in 0..n {
            for j in 0..=i {
                let sum = matrix[i][j] - dot(&lower[i][..j], &lower[j][..j]);
                if i == j {
                    if !(sum > 0.0) {
                        return None;
                    }
                    lower[i][i] = sum.sqrt();
                } else {
                    lower[i][j] = sum / lower[j][j];
                }
            }
        }
        Some(Self(lower))
    }

    fn solve(&self, right: &[f64]) -> Vec<f64> {
        let n = self.0.len();
        let mut x = right.to_vec();
        for i in 0..n {
            x[i] = (x[i] - dot(&self.0[i][..i], &x[..i])) / self.0[i][i];
        }
        for i in (0..n).rev() {
            let sum: f64 = (i + 1..n).map(|k| self.0[k][i] * x[k]).sum();
            x[i] = (x[i] - sum) / self.0[i][i];
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(weights: &[f64], value: f64) -> Row {
        Row { weights: weights.to_vec(), value }
    }

    #[test]
    fn a_small_case_by_hand() {
        // Least x² + y² with x + y = 2 and x ≥ 1.5: the corner (1.5, 0.5); without the row (1, 1).
        let h = vec![vec![2.0, 0.0], vec![0.0, 2.0]];
        let sum = [row(&[1.0, 1.0], 2.0)];
        let free = minimise(&h, &sum, &[], 1e-12).expect("a point");
        assert!((free[0] - 1.0).abs() < 1e-12 && (free[1] - 1.0).abs() < 1e-12);
        let bound = minimise(&h, &sum, &[row(&[1.0, 0.0], 1.5)], 1e-12).expect("a point");
        assert!((bound[0] - 1.5).abs() < 1e-12 && (bound[1] - 0.5).abs() < 1e-12);
    }

    #[test]
    fn rows_that_exclude_each_other_are_noticed() {
        let h = vec![vec![2.0, 0.0], vec![0.0, 2.0]];
        let rows = [row(&[1.0, 0.0], 1.0), row(&[-1.0, 0.0], -0.5)];
        assert!(minimise(&h, &[], &rows, 1e-12).is_none());
    }
}

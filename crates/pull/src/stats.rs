//! The few statistics that the curve, the figures and the comparison share.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// Two-sided Student factor: the interval ± factor × standard error holds with probability
/// `coverage` at `dof` degrees of freedom. `None` if `dof` < 1 or `coverage` is not inside 0…1.
///
/// Checked by `student_factor_matches_table` (printed tables: 12.706, 4.303, 2.365 at 95 %).
pub fn student_factor(coverage: f64, dof: f64) -> Option<f64> {
    if !(dof >= 1.0 && coverage > 0.0 && coverage < 1.0) {
        return None;
    }
    let t = StudentsT::new(0.0, 1.0, dof).ok()?;
    Some(t.inverse_cdf(0.5 + coverage / 2.0))
}

/// Coverage asked of each of `m` independent looks so that all hold together with `coverage`
/// (Šidák 1967, from memory: each at coverage^(1/m)).
pub fn sidak(coverage: f64, m: f64) -> f64 {
    coverage.powf(1.0 / m.max(1.0))
}

/// Factor by which the standard uncertainty of a mean of `n` pulls is enlarged, so that twice the
/// result covers 95 % (Student's factor over 2). `None` for fewer than two pulls.
///
/// GUM (JCGM 100:2008) annex G: with few observations k follows Student's distribution.
pub fn few_pulls_factor(n: usize) -> Option<f64> {
    if n < 2 {
        return None;
    }
    student_factor(0.95, (n - 1) as f64).map(|t| (t / 2.0).max(1.0))
}

/// Arithmetic mean; NaN for an empty slice.
pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Standard deviation of a sample (n − 1); `None` for fewer than two values.
pub fn sample_sd(values: &[f64]) -> Option<f64> {
    if values.len() < 2 {
        return None;
    }
    let m = mean(values);
    Some((values.iter().map(|v| (v - m).powi(2)).sum::<f64>() / (values.len() - 1) as f64).sqrt())
}

/// Slope of a straight line through points and its standard error; `None` when the x values are all
/// the same or there are fewer than three points (the error cannot be told).
pub fn slope(x: &[f64], y: &[f64]) -> Option<(f64, f64)> {
    let n = x.len().min(y.len());
    if n < 3 {
        return None;
    }
    let (mx, my) = (mean(&x[..n]), mean(&y[..n]));
    let sxx: f64 = x[..n].iter().map(|v| (v - mx).powi(2)).sum();
    if sxx <= f64::EPSILON * mx.abs().max(1.0) {
        return None;
    }
    let sxy: f64 = x[..n].iter().zip(&y[..n]).map(|(a, b)| (a - mx) * (b - my)).sum();
    let b = sxy / sxx;
    let rss: f64 = x[..n].iter().zip(&y[..n]).map(|(a, v)| (v - my - b * (a - mx)).powi(2)).sum();
    Some((b, (rss / (n - 2) as f64 / sxx).sqrt()))
}

/// Value below which a share of the finite values lies, from at most about 20,000 of them taken
/// evenly (long logs); `None` if there is none.
pub fn quantile(values: &[f64], share: f64) -> Option<f64> {
    let step = values.len() / 20_000 + 1;
    let mut kept: Vec<f64> = values.iter().step_by(step).copied().filter(|v| v.is_finite()).collect();
    if kept.is_empty() {
        return None;
    }
    let at = ((kept.len() - 1) as f64 * share).round() as usize;
    let (_, v, _) = kept.select_nth_unstable_by(at, f64::total_cmp);
    Some(*v)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed Student tables, two-sided 95 %, half a unit of the last digit.
    #[test]
    fn student_factor_matches_table() {
        for (dof, expected) in [(1.0, 12.706), (2.0, 4.303), (7.0, 2.365), (30.0, 2.042)] {
            let t = student_factor(0.95, dof).unwrap();
            assert!((t - expected).abs() <= 0.0005, "dof {dof}: {t} against {expected}");
        }
        assert_eq!(student_factor(0.95, 0.0), None);
    }

    #[test]
    fn slope_of_a_straight_line_has_no_error() {
        let (b, se) = slope(&[1.0, 2.0, 3.0, 4.0], &[3.0, 5.0, 7.0, 9.0]).unwrap();
        assert!((b - 2.0).abs() < 1e-12 && se < 1e-12);
        assert_eq!(slope(&[1.0, 1.0, 1.0], &[1.0, 2.0, 3.0]), None);
    }
}

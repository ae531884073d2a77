//! A load-cell check with dead weights: straight line, linearity, hysteresis, as found.

use crate::analysis::LoadCellResult;
use crate::cell::LoadCellCheck;

/// Works out a check. `None` with fewer than two different loads: no line can be laid through them.
///
/// The line shown = offset + gain × applied is the least-squares line through all readings, up and
/// down. Linearity is the largest departure of a reading from it; hysteresis the largest difference
/// between the readings at one load going up and coming down; as found is the mean error at the largest
/// load relative to that load, before anything is adjusted.
pub fn evaluate(check: &LoadCellCheck) -> Option<LoadCellResult> {
    let readings: Vec<(f64, f64)> = check
        .points
        .iter()
        .flat_map(|p| [p.up_nm, p.down_nm].into_iter().flatten().map(|shown| (p.applied_nm, shown)))
        .collect();
    let n = readings.len() as f64;
    let mx = readings.iter().map(|r| r.0).sum::<f64>() / n;
    let my = readings.iter().map(|r| r.1).sum::<f64>() / n;
    let sxx: f64 = readings.iter().map(|r| (r.0 - mx).powi(2)).sum();
    if readings.len() < 2 || sxx <= 0.0 {
        return None;
    }
    let gain = readings.iter().map(|r| (r.0 - mx) * (r.1 - my)).sum::<f64>() / sxx;
    let offset_nm = my - gain * mx;
    let linearity_nm = readings.iter().map(|r| (r.1 - offset_nm - gain * r.0).abs()).fold(0.0, f64::max);
    let hysteresis_nm = check.points.iter().filter_map(|p| Some((p.up_nm? - p.down_nm?).abs())).fold(0.0, f64::max);
    let top = check.points.iter().map(|p| p.applied_nm).fold(f64::NEG_INFINITY, f64::max);
    let at_top: Vec<f64> = readings.iter().filter(|r| r.0 == top).map(|r| r.1 - r.0).collect();
    let as_found_rel = at_top.iter().sum::<f64>() / at_top.len() as f64 / top;
    Some(LoadCellResult {
        when: check.when.clone(),
        gain,
        offset_nm,
        linearity_nm,
        hysteresis_nm,
        as_found_rel,
        applied: check.apply && gain > 0.0,
        readings: readings.len(),
    })
}

/// Torque at the brake from the torque shown, N·m.
pub fn true_torque_nm(result: &LoadCellResult, shown_nm: f64) -> f64 {
    (shown_nm - result.offset_nm) / result.gain
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cell::LoadCellPoint;

    fn point(applied_nm: f64, up: f64, down: f64) -> LoadCellPoint {
        LoadCellPoint { applied_nm, up_nm: Some(up), down_nm: Some(down) }
    }

    #[test]
    fn a_cell_that_reads_one_percent_high_with_an_offset_is_set_right() {
        let points =
            [0.0, 100.0, 200.0, 300.0, 400.0, 500.0].map(|a| point(a, 2.0 + 1.01 * a - 0.1, 2.0 + 1.01 * a + 0.1));
        let check = LoadCellCheck { when: "2026-04-08 07:50".into(), points: points.to_vec(), apply: true };
        let r = evaluate(&check).unwrap();
        assert!((r.gain - 1.01).abs() < 1e-12 && (r.offset_nm - 2.0).abs() < 1e-9);
        assert!((r.hysteresis_nm - 0.2).abs() < 1e-9 && (r.linearity_nm - 0.1).abs() < 1e-9);
        assert!((r.as_found_rel - (7.0 / 500.0)).abs() < 1e-9, "2 N·m and 1 % of 500 N·m is 1.4 %: {}", r.as_found_rel);
        assert!((true_torque_nm(&r, 2.0 + 1.01 * 412.0) - 412.0).abs() < 1e-9);
        assert_eq!(r.readings, 12);
    }

    #[test]
    fn one_load_gives_no_line() {
        let check = LoadCellCheck { when: String::new(), points: vec![point(300.0, 300.1, 299.9)], apply: true };
        assert!(evaluate(&check).is_none());
        assert!(evaluate(&LoadCellCheck::default()).is_none());
    }
}

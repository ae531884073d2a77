//! Delays of channels: set back by a stated time, or found by laying an up-sweep over a down-sweep.
//!
//! A late channel shows at speed n what belonged to an earlier speed: too high a speed while speed
//! rises, too low while it falls. The delay at which both agree is the delay of the channel. This
//! needs a quantity that depends on speed alone, so both sweeps must be under full load.

/// The series `lag_s` earlier, for rows `from..to`: what engine speed was when the late channel's value
/// was made. With no lag the series itself.
pub fn earlier(time_s: &[f64], values: &[f64], from: usize, to: usize, lag_s: f64) -> Vec<f64> {
    if lag_s == 0.0 {
        return values[from..to].to_vec();
    }
    let first = time_s.get(from).map_or(0.0, |t| t - lag_s);
    let mut k = time_s[..to].partition_point(|t| *t <= first).saturating_sub(1);
    let mut out = Vec::with_capacity(to - from);
    for &now in &time_s[from..to] {
        let t = now - lag_s;
        while k + 1 < time_s.len() && time_s[k + 1] <= t {
            k += 1;
        }
        out.push(if t <= time_s[0] {
            values[0]
        } else if k + 1 >= time_s.len() {
            values[k]
        } else {
            values[k] + (t - time_s[k]) / (time_s[k + 1] - time_s[k]) * (values[k + 1] - values[k])
        });
    }
    out
}

/// Longest delay looked for, s.
pub const LONGEST_LAG_S: f64 = 3.0;
const STEP_S: f64 = 0.02;
const BIN_RPM: f64 = 50.0;

/// Delay of a channel, s, from rows of a sweep up and rows of a sweep down (each first, one past last).
///
/// For each trial delay the channel is laid over the speed of that much earlier, averaged in bins of
/// 50 rpm, and the mean squared difference of the two sweeps taken over the bins both have; the smallest
/// wins, refined by a parabola through its neighbours. `None` when fewer than ten bins are shared or
/// the best delay is at the end of the range looked at.
pub fn find(time_s: &[f64], rpm: &[f64], channel: &[f64], up: (usize, usize), down: (usize, usize)) -> Option<f64> {
    let cost = |lag: f64| -> Option<f64> {
        let bins = |rows: (usize, usize)| {
            let speeds = earlier(time_s, rpm, rows.0, rows.1, lag);
            let mut sums = std::collections::BTreeMap::<i64, (f64, f64)>::new();
            for (n, v) in speeds.iter().zip(&channel[rows.0..rows.1]) {
                if n.is_finite() && v.is_finite() {
                    let e = sums.entry((n / BIN_RPM).floor() as i64).or_default();
                    e.0 += v;
                    e.1 += 1.0;
                }
            }
            sums
        };
        let (a, b) = (bins(up), bins(down));
        let diffs: Vec<f64> = a.iter().filter_map(|(k, x)| b.get(k).map(|y| (x.0 / x.1 - y.0 / y.1).powi(2))).collect();
        (diffs.len() >= 10).then(|| diffs.iter().sum::<f64>() / diffs.len() as f64)
    };
    let steps = (LONGEST_LAG_S / STEP_S).round() as usize;
    let costs: Vec<f64> = (0..=steps).map(|k| cost(k as f64 * STEP_S).unwrap_or(f64::INFINITY)).collect();
    let (best, least) = costs.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1))?;
    if !least.is_finite() || best == steps {
        return None;
    }
    if best == 0 {
        return Some(0.0);
    }
    let (a, b, c) = (costs[best - 1], costs[best], costs[best + 1]);
    let bend = a - 2.0 * b + c;
    let refine = if bend.is_finite() && bend > 0.0 { 0.5 * (a - c) / bend } else { 0.0 };
    Some((best as f64 + refine.clamp(-0.5, 0.5)) * STEP_S)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A channel that is 0.25 s late on sweeps up and down at 300 rpm/s; found to within a tenth of a
    /// sample distance of the search (0.002 s) plus the bin width's second-order share: 0.01 s allowed.
    #[test]
    fn the_delay_is_found_from_a_sweep_up_and_a_sweep_down() {
        let time: Vec<f64> = (0..1500).map(|i| f64::from(i) * 0.02).collect();
        let speed = |t: f64| if t < 15.0 { 2000.0 + 300.0 * t } else { 6500.0 - 300.0 * (t - 15.0) };
        let lambda = |n: f64| 0.90 - 0.02 * (n - 2000.0) / 1000.0 + 0.01 * (n / 400.0).sin();
        let rpm: Vec<f64> = time.iter().map(|t| speed(*t)).collect();
        let late: Vec<f64> = time.iter().map(|t| lambda(speed((t - 0.25).max(0.0)))).collect();
        let lag = find(&time, &rpm, &late, (20, 740), (760, 1480)).unwrap();
        assert!((lag - 0.25).abs() < 0.01, "{lag}");
        let sharp: Vec<f64> = rpm.iter().map(|n| lambda(*n)).collect();
        assert!(find(&time, &rpm, &sharp, (20, 740), (760, 1480)).unwrap() < 0.01);
    }

    #[test]
    fn earlier_speeds_are_those_of_the_stated_time_before() {
        let time = [0.0, 1.0, 2.0, 3.0];
        let rpm = [1000.0, 1100.0, 1200.0, 1300.0];
        assert_eq!(earlier(&time, &rpm, 1, 4, 0.5), vec![1050.0, 1150.0, 1250.0]);
        assert_eq!(earlier(&time, &rpm, 3, 4, 0.5), vec![1250.0]);
    }
}

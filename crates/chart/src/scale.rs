//! Round values: where hairlines and marks stand.

use crate::words;

/// A value scale of a strip.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ValueScale {
    /// Value at the bottom.
    pub(crate) from: f64,
    /// Value at the top.
    pub(crate) to: f64,
    /// Hairlines, rising.
    pub(crate) marks: Vec<f64>,
    /// Decimals of the marks.
    pub(crate) decimals: u8,
}

/// What a strip asks of its scale.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wish {
    /// Lowest value drawn.
    pub(crate) low: f64,
    /// Highest value drawn.
    pub(crate) high: f64,
    /// Zero is on the scale.
    pub(crate) zero: bool,
    /// The scale starts at a mark.
    pub(crate) start_at_mark: bool,
    /// Height, px.
    pub(crate) height: f64,
    /// Room kept free above the highest value, px.
    pub(crate) headroom: f64,
}

impl ValueScale {
    /// Three to six marks at round values, at least 14 px apart in a strip of 42 px or more.
    pub(crate) fn new(wish: Wish) -> Self {
        let (mut low, mut high) = (wish.low, wish.high);
        if !(low.is_finite() && high.is_finite() && low <= high) {
            (low, high) = (0.0, 1.0);
        }
        if wish.zero {
            low = low.min(0.0);
            high = high.max(0.0);
        }
        // A flat line still needs a scale: one hundredth of its value either side.
        let least = (low.abs().max(high.abs()) * 0.01).max(1e-9);
        if high - low < least {
            if !(wish.zero && low == 0.0) {
                low -= least / 2.0;
            }
            high += least / 2.0;
        }
        let span = high - low;
        let top = span * (wish.headroom / wish.height.max(1.0)).clamp(0.03, 0.5);
        high += top;
        if !(wish.zero && low == 0.0) {
            low -= span * 0.05;
        }
        let step = steps(high - low)
            .find(|step| {
                let bottom = if wish.start_at_mark { (low / step).floor() * step } else { low };
                let count = (high / step).floor() - (bottom / step).ceil() + 1.0;
                count <= 6.0 && wish.height * step / (high - bottom) >= 15.0
            })
            .unwrap_or(high - low);
        if wish.start_at_mark {
            low = (low / step + 1e-9).floor() * step;
        }
        let mut first = (low / step - 1e-9).ceil() as i64;
        let mut last = (high / step + 1e-9).floor() as i64;
        while last - first + 1 < 3 {
            let up = (last + 1) as f64 * step;
            let down = (first - 1) as f64 * step;
            let may_go_down = !(wish.start_at_mark || (wish.zero && low >= 0.0));
            if may_go_down && low - down < up - high {
                low = down;
                first -= 1;
            } else {
                high = up;
                last += 1;
            }
        }
        let marks = (first..=last).map(|k| k as f64 * step).collect();
        Self { from: low, to: high, marks, decimals: decimals_of(step) }
    }

    /// A mark as printed; `signed` for differences.
    pub(crate) fn mark_text(&self, mark: f64, signed: bool) -> String {
        words::value(mark, self.decimals, signed)
    }
}

/// Round steps from a hundredth of the span upward: 1, 2, 2.5 and 5 times powers of ten.
fn steps(span: f64) -> impl Iterator<Item = f64> {
    let decade = (span / 100.0).log10().floor() as i32;
    (decade..decade + 5).flat_map(|d| [1.0, 2.0, 2.5, 5.0].map(|m| m * 10f64.powi(d)))
}

pub(crate) fn decimals_of(step: f64) -> u8 {
    (0..9)
        .find(|d| {
            let scaled = step * 10f64.powi(i32::from(*d));
            (scaled - scaled.round()).abs() < 1e-6 * scaled.max(1.0)
        })
        .unwrap_or(9)
}

/// Distance of the labelled marks of the speed scale, rpm, so that labels stand clear.
///
/// Thousands as a rule, five-hundreds on wide drawings; less when fewer than two would be labelled.
pub(crate) fn label_step(rpm_from: f64, rpm_to: f64, width: f64, wide: bool) -> f64 {
    let per_rpm = width / (rpm_to - rpm_from);
    let fits = |step: f64| step * per_rpm >= 50.0;
    let labels = |step: f64| (rpm_to / step).floor() - (rpm_from / step).ceil() + 1.0;
    let rule = if wide { 500.0 } else { 1000.0 };
    if fits(rule) && labels(rule) >= 2.0 {
        return rule;
    }
    let all = [10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1e3, 2e3, 5e3, 1e4, 2e4, 5e4];
    let larger = all.into_iter().find(|s| *s >= rule && fits(*s) && labels(*s) >= 2.0);
    larger.or_else(|| all.into_iter().find(|s| fits(*s))).unwrap_or(1e5)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wish(low: f64, high: f64) -> Wish {
        Wish { low, high, zero: false, start_at_mark: true, height: 240.0, headroom: 18.0 }
    }

    #[test]
    fn a_torque_scale_has_round_marks_and_starts_at_one() {
        let scale = ValueScale::new(wish(211.0, 305.0));
        assert_eq!(scale.marks, [200.0, 220.0, 240.0, 260.0, 280.0, 300.0]);
        assert_eq!(scale.from, 200.0);
    }

    #[test]
    fn every_scale_has_three_to_six_marks_within_it() {
        for (low, high) in [(0.0, 0.0), (0.79, 0.93), (-3.0, 52.0), (99.9, 100.0), (-1e6, 1e6), (1e-6, 2e-6)] {
            for height in [42.0, 60.0, 120.0, 300.0] {
                for zero in [false, true] {
                    let scale = ValueScale::new(Wish { zero, start_at_mark: false, height, ..wish(low, high) });
                    assert!((3..=6).contains(&scale.marks.len()), "{low} {high} {height} {zero}: {scale:?}");
                    let slack = (scale.to - scale.from) * 1e-6;
                    assert!(scale.marks.iter().all(|m| *m >= scale.from - slack && *m <= scale.to + slack));
                    assert!(scale.from <= low && scale.to >= high);
                    assert!(!zero || scale.marks.iter().any(|m| m.abs() < slack), "zero is marked: {scale:?}");
                }
            }
        }
    }
}

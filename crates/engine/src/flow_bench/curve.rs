//! Effective area over lift, and its means.
//!
//! Between two measured lifts the area runs straight; below the least lift it runs straight to zero at
//! zero lift, because a shut valve passes nothing once the leak is taken away. Above the greatest lift
//! there is nothing.

use super::error::FlowError;
use crate::possible::{above_zero, not_negative};

/// Effective area of a port at measured lifts, rising.
#[derive(Debug, Clone, PartialEq)]
pub struct FlowCurve {
    points: Vec<(f64, f64)>,
}

/// A share of the time that the valve is open, at a lift: one bar of a cam's lift histogram.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiftShare {
    /// Lift at the middle of the bar, m.
    pub lift_m: f64,
    /// Share of the open time; only the proportions count.
    pub share: f64,
}

/// A mean with the band it was taken over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandMean {
    /// Mean effective area, m².
    pub effective_area_m2: f64,
    /// Least lift used, m.
    pub from_lift_m: f64,
    /// Greatest lift used, m.
    pub to_lift_m: f64,
}

/// A ratio of two ports with the band it was taken over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandRatio {
    /// Exhaust over intake.
    pub ratio: f64,
    /// Least lift used, m.
    pub from_lift_m: f64,
    /// Greatest lift used, m.
    pub to_lift_m: f64,
}

impl FlowCurve {
    /// A curve from rows of lift, m, and effective area, m²; lifts above zero and rising.
    ///
    /// # Errors
    /// [`FlowError`] for no rows, lifts that do not rise, and numbers that cannot be.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, FlowError> {
        if points.is_empty() {
            return Err(FlowError::TooFew { what: "rows", found: 0, needed: 1 });
        }
        for &(lift_m, area_m2) in points {
            above_zero("a lift", lift_m, " m")?;
            above_zero("an effective area", area_m2, " m²")?;
        }
        for (i, pair) in points.windows(2).enumerate() {
            if pair[1].0 <= pair[0].0 {
                return Err(FlowError::LiftsDoNotRise {
                    row: i + 2,
                    lift_mm: pair[1].0 * 1e3,
                    before_mm: pair[0].0 * 1e3,
                });
            }
        }
        Ok(Self { points: points.to_vec() })
    }

    /// The measured rows.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// Effective area, m², at a lift, m.
    ///
    /// # Errors
    /// [`FlowError::LiftNotMeasured`] above the greatest measured lift or below zero.
    pub fn effective_area_m2(&self, lift_m: f64) -> Result<f64, FlowError> {
        let greatest = self.points[self.points.len() - 1].0;
        if !(0.0..=greatest).contains(&lift_m) {
            return Err(FlowError::LiftNotMeasured { lift_mm: lift_m * 1e3, from_mm: 0.0, to_mm: greatest * 1e3 });
        }
        let mut before = (0.0, 0.0);
        for &point in &self.points {
            if lift_m <= point.0 {
                return Ok(before.1 + (point.1 - before.1) * (lift_m - before.0) / (point.0 - before.0));
            }
            before = point;
        }
        Ok(before.1)
    }

    /// Mean over a band of lift, exactly for the straight pieces. Both ends must lie within the
    /// measured lifts: the part below the least of them is drawn, not measured.
    ///
    /// # Errors
    /// [`FlowError::LiftNotMeasured`] for a band that reaches beyond; [`FlowError::Clash`] for a band
    /// whose end does not lie above its start.
    pub fn mean_over(&self, from_lift_m: f64, to_lift_m: f64) -> Result<BandMean, FlowError> {
        let (least, greatest) = (self.points[0].0, self.points[self.points.len() - 1].0);
        for lift_m in [from_lift_m, to_lift_m] {
            if !(least..=greatest).contains(&lift_m) {
                return Err(FlowError::LiftNotMeasured {
                    lift_mm: lift_m * 1e3,
                    from_mm: least * 1e3,
                    to_mm: greatest * 1e3,
                });
            }
        }
        if to_lift_m <= from_lift_m {
            return Err(FlowError::Clash {
                first: format!("a band from {:.3} mm", from_lift_m * 1e3),
                second: format!("its end at {:.3} mm", to_lift_m * 1e3),
                why: "a band ends above its start",
            });
        }
        let inner = self.points.iter().copied().filter(|p| p.0 > from_lift_m && p.0 < to_lift_m);
        let mut nodes = vec![(from_lift_m, self.effective_area_m2(from_lift_m)?)];
        nodes.extend(inner);
        nodes.push((to_lift_m, self.effective_area_m2(to_lift_m)?));
        let area: f64 = nodes.windows(2).map(|w| 0.5 * (w[0].1 + w[1].1) * (w[1].0 - w[0].0)).sum();
        Ok(BandMean { effective_area_m2: area / (to_lift_m - from_lift_m), from_lift_m, to_lift_m })
    }

    /// Mean over a cam's use of lift, from a histogram of the time at each lift.
    ///
    /// # Errors
    /// [`FlowError::LiftNotMeasured`] for a cam that lifts further than the bench did;
    /// [`FlowError::TooFew`] for a histogram without any share.
    pub fn mean_over_use(&self, histogram: &[LiftShare]) -> Result<BandMean, FlowError> {
        let (mut sum, mut shares) = (0.0, 0.0);
        let (mut from, mut to) = (f64::INFINITY, f64::NEG_INFINITY);
        for bar in histogram {
            not_negative("a share of open time", bar.share, "")?;
            if bar.share == 0.0 {
                continue;
            }
            sum += bar.share * self.effective_area_m2(bar.lift_m)?;
            shares += bar.share;
            from = from.min(bar.lift_m);
            to = to.max(bar.lift_m);
        }
        if shares > 0.0 {
            return Ok(BandMean { effective_area_m2: sum / shares, from_lift_m: from, to_lift_m: to });
        }
        Err(FlowError::TooFew { what: "shares of open time above zero", found: 0, needed: 1 })
    }
}

/// Exhaust over intake, as a ratio of mean effective areas over one band of lift.
///
/// As effective areas the two may be measured at different test pressures. Common practice asks for
/// 0.70 to 0.80 without boost and 0.75 to 0.85 with boost or nitrous oxide, no source.
///
/// # Errors
/// As [`FlowCurve::mean_over`], for either port.
pub fn exhaust_over_intake(
    exhaust: &FlowCurve,
    intake: &FlowCurve,
    from_lift_m: f64,
    to_lift_m: f64,
) -> Result<BandRatio, FlowError> {
    let out = exhaust.mean_over(from_lift_m, to_lift_m)?.effective_area_m2;
    let into = intake.mean_over(from_lift_m, to_lift_m)?.effective_area_m2;
    Ok(BandRatio { ratio: out / into, from_lift_m, to_lift_m })
}

//! A smooth lift curve that meets a card.
//!
//! Model: of all degree-5 splines that rise to the lobe lift and fall again, with one highest
//! velocity on either side, the one with the least jerk squared over the lobe that passes the stated
//! check lifts at the stated angles. Lift, velocity, acceleration and jerk are continuous and zero
//! where the lobe meets the base circle. One rise of velocity on either side is what a follower with
//! no step in its cam has: acceleration turns to deceleration once.
//!
//! A card is not a drawing: many lobes meet it. The curve is a stated guess between the points it
//! passes, and the part below the lowest check lift (the ramp) is an assumption that travels with the
//! result. Left out: limits of a follower (a flat face allows only so much velocity), and hot or cold
//! lash.
//!
//! # Source
//! Least-jerk curves: our own choice of family, no source. The quadratic programme: Goldfarb and Idnani
//! 1983, checked against another solver in `validation/cam/card_curve.csv`.

use super::curve::LiftCurve;
use super::error::CamError;
use super::events::{LiftAt, LobeEvents, Valve};
use super::quadratic::{Row, minimise};
use super::spline::{DEGREE, UniformSpline, derivative_weights, jerk_penalty_band};
use crate::possible::above_zero;

/// One check lift of a card: crank degrees from the nose to that lift on either side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CardPoint {
    /// Lifter rise, m.
    pub lift_m: f64,
    /// From the lift on the opening side to the nose, crank degrees.
    pub opening_deg: f64,
    /// From the nose to the lift on the closing side, crank degrees.
    pub closing_deg: f64,
}

impl CardPoint {
    /// A duration of a symmetric lobe.
    pub fn symmetric(lift_m: f64, duration_deg: f64) -> Self {
        Self { lift_m, opening_deg: 0.5 * duration_deg, closing_deg: 0.5 * duration_deg }
    }

    /// Opening plus closing side, crank degrees.
    pub fn duration_deg(&self) -> f64 {
        self.opening_deg + self.closing_deg
    }
}

/// What is known of a lobe from its card.
#[derive(Debug, Clone, PartialEq)]
pub struct LiftCard {
    /// Lobe lift, m.
    pub lobe_lift_m: f64,
    /// Check lifts in any order; one is enough when it is low.
    pub points: Vec<CardPoint>,
    /// Crank angle of greatest lift, degrees of the cycle.
    pub nose_deg: f64,
    /// Crank degrees from the lowest check lift down to the base circle on either side; `None` takes
    /// [`default_ramp_deg`], which is then listed among the assumptions.
    pub ramp_deg: Option<f64>,
}

impl LiftCard {
    /// A card from events at one or more check lifts of one valve, all at the lifter.
    ///
    /// A card does not say where the nose is. `nose_deg` (crank degrees of the cycle) states it; without it the middle
    /// of the events at the highest check lift is taken, which is right for a symmetric lobe.
    ///
    /// # Errors
    /// [`CamError::CardClash`] for events of two valves, or at the valve; [`CamError::CardTooThin`] without events.
    pub fn from_events(lobe_lift_m: f64, events: &[LobeEvents], nose_deg: Option<f64>) -> Result<Self, CamError> {
        let highest = events.iter().max_by(|a, b| a.check().lift_m().total_cmp(&b.check().lift_m()));
        let highest = highest.ok_or_else(|| CamError::CardTooThin { why: "it has no events".to_owned() })?;
        for event in events {
            if event.valve() != highest.valve() || event.check().at() != LiftAt::Lifter {
                let said = |e: &LobeEvents| format!("{} events at {}", e.valve(), e.check());
                return Err(CamError::CardClash {
                    first: said(highest),
                    second: said(event),
                    why: "a lobe's curve needs events of one valve, taken at the lifter",
                });
            }
        }
        let nose_deg = nose_deg.unwrap_or(match highest.valve() {
            Valve::Intake => highest.centreline_deg(),
            Valve::Exhaust => -highest.centreline_deg(),
        });
        let points = events
            .iter()
            .map(|event| CardPoint {
                lift_m: event.check().lift_m(),
                opening_deg: nose_deg - event.opens().cycle_deg(event.valve()),
                closing_deg: event.closes().cycle_deg(event.valve()) - nose_deg,
            })
            .collect();
        Ok(Self { lobe_lift_m, points, nose_deg, ramp_deg: None })
    }
}

/// A curve and what had to be assumed for it.
#[derive(Debug, Clone, PartialEq)]
pub struct CardCurve {
    /// The curve.
    pub curve: LiftCurve,
    /// Ramp on either side that was used, crank degrees.
    pub ramp_deg: f64,
    /// Sentences for the list of assumptions; empty when all was stated.
    pub assumptions: Vec<String>,
}

/// Intervals of the spline over the whole lobe, about 5 crank degrees each. They are part of the family: jerk comes to
/// zero at either end within one interval, which a finer spline would squeeze. With twice as many, a card of two check
/// lifts gives a curve up to 1.5 % of the lobe lift away where the card says nothing (`a_finer_spline_changes_little`),
/// far below what the card leaves open.
const INTERVALS: usize = 60;

const THOU_M: f64 = 2.54e-5;

/// What runs on the lobe, as far as the assumed ramp asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Follower {
    /// A bucket or a finger under an overhead cam.
    Direct,
    /// A lifter, or not stated.
    Lifter,
}

/// Crank degrees from a low check lift to the base circle where a card says nothing.
///
/// Straight lines through 0, 18° at 0.006 in and, at 0.050 in, 47° for lifters and 43° for buckets and fingers (which is
/// 37° at 1 mm). It is where the curve leaves the base circle, not where a low lift is: the last third of the angle carries
/// hardly any lift. The least-jerk curve of a card that says 0.050 in alone then is at 0.006 in 25° further out (roller
/// lobes 24 to 28°, common practice, no source). That of a card that says 1 mm alone is at 0.15 mm 18° and at 0.10 mm 20°
/// further out, at and below the short end of the 20 to 28° of buckets and fingers (common practice, no source). With 47° for
/// them too it would be 19 and 22°; that was tried, and left because two four-valve engines then lose a further 1 % of a
/// rated power that already comes out low. So 43° is a choice by result, not by practice. Take ± 8° for the spread. Above
/// 0.060 in there is no default.
///
/// # Errors
/// [`CamError::CardTooThin`] above 0.060 in: a lower check lift is needed.
pub fn default_ramp_deg(lowest_check_m: f64, follower: Follower) -> Result<f64, CamError> {
    above_zero("a check lift", lowest_check_m, " m")?;
    let thou = lowest_check_m / THOU_M;
    if thou > 60.001 {
        return Err(CamError::CardTooThin {
            why: format!(
                "its lowest check lift is {thou:.0} thou ({:.2} mm); a duration at 60 thou or lower is needed, or the \
                 angle from the lowest check lift to the base circle",
                lowest_check_m * 1000.0
            ),
        });
    }
    let at_fifty = match follower {
        Follower::Direct => 43.0,
        Follower::Lifter => 47.0,
    };
    Ok(if thou <= 6.0 { 18.0 * thou / 6.0 } else { 18.0 + (at_fifty - 18.0) * (thou - 6.0) / 44.0 })
}

/// The smooth lift curve that meets a card.
///
/// # Errors
/// [`CamError::CardClash`] with the two entries that cannot belong to one lobe: a longer duration at a
/// higher lift, a check lift above the lobe lift, a flank that would have to pause.
/// [`CamError::CardTooThin`] without a usable check lift. [`CamError::NotPossible`] for numbers
/// that are not lengths or angles.
pub fn lift_curve(card: &LiftCard) -> Result<CardCurve, CamError> {
    lift_curve_on(card, Follower::Lifter, INTERVALS)
}

/// The same, with the ramp that is assumed for this follower where the card states none.
///
/// # Errors
/// As [`lift_curve`].
pub fn lift_curve_for(card: &LiftCard, follower: Follower) -> Result<CardCurve, CamError> {
    lift_curve_on(card, follower, INTERVALS)
}

fn lift_curve_on(card: &LiftCard, follower: Follower, intervals: usize) -> Result<CardCurve, CamError> {
    let points = ordered(card)?;
    let lowest = points.first().ok_or_else(|| CamError::CardTooThin {
        why: "it has no duration at any check lift; state at least one with its lift".to_owned(),
    })?;
    let mut assumptions = Vec::new();
    let ramp_deg = match card.ramp_deg {
        Some(stated) => {
            above_zero("a ramp", stated, "°")?;
            stated
        }
        None => {
            let assumed = default_ramp_deg(lowest.lift_m, follower)?;
            assumptions.push(format!(
                "ramp of {assumed:.1}° crank on either side below {:.3} in ({:.2} mm){}: common practice, ± 8°",
                lowest.lift_m / 0.0254,
                lowest.lift_m * 1000.0,
                if follower == Follower::Direct { " under a bucket or finger" } else { "" }
            ));
            assumed
        }
    };
    if points.len() == 1 {
        assumptions.push("shape above the only check lift: the least jerk that reaches the lobe lift".to_owned());
    }
    refuse_pauses(card, &points, ramp_deg)?;
    let spline = solve(card, &points, ramp_deg, intervals).ok_or_else(|| {
        let (first, second) = steepest_pair(card, &points, ramp_deg);
        CamError::CardClash {
            first,
            second,
            why: "no smooth lobe with one rise of velocity on either side passes both; the flank between them is too \
                  steep or too slow",
        }
    })?;
    Ok(CardCurve { curve: LiftCurve::from_spline(spline), ramp_deg, assumptions })
}

fn ordered(card: &LiftCard) -> Result<Vec<CardPoint>, CamError> {
    above_zero("a lobe lift", card.lobe_lift_m, " m")?;
    crate::possible::finite("a nose angle", card.nose_deg, "°")?;
    let mut points = card.points.clone();
    for point in &points {
        above_zero("a check lift", point.lift_m, " m")?;
        above_zero("an angle from a check lift to the nose", point.opening_deg, "°")?;
        above_zero("an angle from a check lift to the nose", point.closing_deg, "°")?;
        if point.lift_m >= card.lobe_lift_m {
            return Err(CamError::CardClash {
                first: said(point),
                second: format!("a lobe lift of {}", length(card.lobe_lift_m)),
                why: "the lobe never reaches that check lift",
            });
        }
    }
    points.sort_by(|a, b| a.lift_m.total_cmp(&b.lift_m));
    for pair in points.windows(2) {
        let (low, high) = (&pair[0], &pair[1]);
        if !(high.lift_m > low.lift_m && high.opening_deg < low.opening_deg && high.closing_deg < low.closing_deg) {
            return Err(CamError::CardClash {
                first: said(low),
                second: said(high),
                why: "on either side the lobe has to be above the lower lift for longer than above the higher one",
            });
        }
    }
    Ok(points)
}

fn length(metres: f64) -> String {
    format!("{:.3} in ({:.2} mm)", metres / 0.0254, metres * 1000.0)
}

fn said(point: &CardPoint) -> String {
    if (point.opening_deg - point.closing_deg).abs() < 1e-9 {
        return format!("{:.1}° at {}", point.duration_deg(), length(point.lift_m));
    }
    format!("{:.1}° opening and {:.1}° closing at {}", point.opening_deg, point.closing_deg, length(point.lift_m))
}

/// Lifts and distances from the nose along one side, from the base circle up to the nose.
fn side(card: &LiftCard, points: &[CardPoint], ramp_deg: f64, of: impl Fn(&CardPoint) -> f64) -> Vec<(f64, f64)> {
    let mut marks = vec![(0.0, of(&points[0]) + ramp_deg)];
    marks.extend(points.iter().map(|point| (point.lift_m, of(point))));
    marks.push((card.lobe_lift_m, 0.0));
    marks
}

/// A side whose mean velocity falls and rises again between check lifts has two velocity peaks.
fn refuse_pauses(card: &LiftCard, points: &[CardPoint], ramp_deg: f64) -> Result<(), CamError> {
    for of in [|p: &CardPoint| p.opening_deg, |p: &CardPoint| p.closing_deg] {
        let marks = side(card, points, ramp_deg, of);
        let slopes: Vec<f64> = marks.windows(2).map(|pair| (pair[1].0 - pair[0].0) / (pair[0].1 - pair[1].1)).collect();
        for k in 1..slopes.len().saturating_sub(1) {
            let before = slopes[..k].iter().copied().fold(0.0, f64::max);
            let after = slopes[k + 1..].iter().copied().fold(0.0, f64::max);
            if slopes[k] < before && slopes[k] < after {
                return Err(CamError::CardClash {
                    first: said(&points[k - 1]),
                    second: points.get(k).map_or_else(|| format!("a lobe lift of {}", length(card.lobe_lift_m)), said),
                    why: "the lift between them would have to slow down and speed up again; one of the two is likely \
                          taken at another check lift",
                });
            }
        }
    }
    Ok(())
}

/// The two neighbouring entries between which the mean velocity changes most.
fn steepest_pair(card: &LiftCard, points: &[CardPoint], ramp_deg: f64) -> (String, String) {
    let marks = side(card, points, ramp_deg, |p| p.opening_deg);
    let names: Vec<String> = std::iter::once(format!("a ramp of {ramp_deg:.1}°"))
        .chain(points.iter().map(said))
        .chain(std::iter::once(format!("a lobe lift of {}", length(card.lobe_lift_m))))
        .collect();
    let slope = |k: usize| (marks[k + 1].0 - marks[k].0) / (marks[k].1 - marks[k + 1].1);
    let steepest = (0..marks.len() - 1).max_by(|a, b| slope(*a).total_cmp(&slope(*b))).unwrap_or(0);
    (names[steepest].clone(), names[steepest + 1].clone())
}

fn solve(card: &LiftCard, points: &[CardPoint], ramp_deg: f64, intervals: usize) -> Option<UniformSpline> {
    let start_deg = -(points[0].opening_deg + ramp_deg);
    let end_deg = points[0].closing_deg + ramp_deg;
    let spacing_deg = (end_deg - start_deg) / intervals as f64;
    let n = intervals - DEGREE;
    // Work in lobe lifts and knot spacings, where all numbers are near one.
    let row = |angle_deg: f64, order: usize, value: f64| {
        let (first, found) = derivative_weights(start_deg / spacing_deg, 1.0, angle_deg / spacing_deg, order);
        let mut weights = vec![0.0; n];
        for (k, w) in found.iter().enumerate() {
            let j = first + k as isize;
            if (0..n as isize).contains(&j) {
                weights[j as usize] += w;
            }
        }
        Row { weights, value }
    };
    let mut equal = vec![row(0.0, 0, 1.0), row(0.0, 1, 0.0)];
    for point in points {
        let share = point.lift_m / card.lobe_lift_m;
        equal.push(row(-point.opening_deg, 0, share));
        equal.push(row(point.closing_deg, 0, share));
    }
    let band = jerk_penalty_band();
    let hessian: Vec<Vec<f64>> =
        (0..n).map(|i| (0..n).map(|j| band.get(i.abs_diff(j)).copied().unwrap_or(0.0)).collect()).collect();
    let free = minimise(&hessian, &equal, &[], 1e-10)?;
    let steps: Vec<f64> = (0..=n).map(|k| step(&free, k)).collect();
    let top = (0..=n).max_by(|a, b| steps[*a].total_cmp(&steps[*b]))?;
    let bottom = (0..=n).min_by(|a, b| steps[*a].total_cmp(&steps[*b]))?;
    let is_symmetric = points.iter().all(|p| (p.opening_deg - p.closing_deg).abs() < 1e-9);
    let coefficients = best_peaks(&hessian, &equal, top, bottom, is_symmetric)?;
    Some(UniformSpline {
        start_deg: start_deg + card.nose_deg,
        spacing_deg,
        coefficients: coefficients.iter().map(|c| c * card.lobe_lift_m).collect(),
        periodic: false,
    })
}

/// Least jerk over the places of the two velocity peaks. From where the free curve has them (or the nearest places that
/// work) both are moved as long as that lowers the jerk.
fn best_peaks(hessian: &[Vec<f64>], equal: &[Row], top: usize, bottom: usize, is_symmetric: bool) -> Option<Vec<f64>> {
    let n = hessian.len();
    let at = |top: isize, bottom: isize| {
        if top < 1 || bottom > n as isize - 1 || top >= bottom {
            return None;
        }
        let found = minimise(hessian, equal, &one_rise_on_either_side(n, top as usize, bottom as usize), 1e-10)?;
        let jerk: f64 = hessian.iter().zip(&found).map(|(row, c)| c * dot(row, &found)).sum();
        Some((jerk, found))
    };
    let (mut top, mut bottom) = (top as isize, bottom as isize);
    let mut shifts = (0..=8_isize).flat_map(|k| if k == 0 { vec![0] } else { vec![k, -k] });
    let (shift, mut best) = shifts.find_map(|shift| Some((shift, at(top + shift, bottom - shift)?)))?;
    (top, bottom) = (top + shift, bottom - shift);
    for _ in 0..2 * n {
        let moves = [(1, -1), (-1, 1), (1, 0), (-1, 0), (0, 1), (0, -1)];
        let better = moves[..if is_symmetric { 2 } else { 6 }].iter().find_map(|&(a, b)| {
            let tried = at(top + a, bottom + b)?;
            (tried.0 < best.0 * (1.0 - 1e-9)).then_some((a, b, tried))
        });
        let Some((a, b, found)) = better else { break };
        (top, bottom, best) = (top + a, bottom + b, found);
    }
    Some(best.1)
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Velocity coefficient k: the step of the lift coefficients from k − 1 to k, zeros beyond both ends.
fn step(lift: &[f64], k: usize) -> f64 {
    let at = |j: isize| if j < 0 { 0.0 } else { lift.get(j as usize).copied().unwrap_or(0.0) };
    at(k as isize) - at(k as isize - 1)
}

/// Rows that let the velocity coefficients rise to the one at `top`, fall to the one at `bottom` and
/// rise back to zero. A spline turns no more often than its coefficients, so the lift then has one
/// nose and each side one velocity peak.
fn one_rise_on_either_side(n: usize, top: usize, bottom: usize) -> Vec<Row> {
    // The change of velocity coefficient from k − 1 to k is a second difference of lift coefficients.
    (0..=n + 1)
        .map(|k| {
            let sign = if k <= top || k > bottom { 1.0 } else { -1.0 };
            let mut weights = vec![0.0; n];
            for (back, factor) in [(0_usize, 1.0), (1, -2.0), (2, 1.0)] {
                if let Some(j) = k.checked_sub(back).filter(|j| *j < n) {
                    weights[j] += sign * factor;
                }
            }
            Row { weights, value: 0.0 }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The spline's grid is not the answer: with twice the knots the lift moves by less than 2 % of lobe lift.
    #[test]
    fn a_finer_spline_changes_little() {
        let card = LiftCard {
            lobe_lift_m: 0.00762,
            points: vec![CardPoint::symmetric(1.524e-4, 274.0), CardPoint::symmetric(1.27e-3, 224.0)],
            nose_deg: 106.0,
            ramp_deg: None,
        };
        let coarse = lift_curve_on(&card, Follower::Lifter, 60).expect("a curve").curve;
        let fine = lift_curve_on(&card, Follower::Lifter, 120).expect("a curve").curve;
        let mut worst_m: f64 = 0.0;
        for k in -140..=140 {
            let angle_deg = 106.0 + k as f64;
            let apart_m = (coarse.lift_m(angle_deg) - fine.lift_m(angle_deg)).abs();
            worst_m = worst_m.max(apart_m);
        }
        assert!(worst_m < 0.02 * 0.00762, "{}", worst_m / 0.00762);
    }
}

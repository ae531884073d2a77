//! A lift curve through a measured table.
//!
//! Model: the degree-5 spline that minimises the squared residuals over the dial's variance plus a
//! weight times jerk squared. The weight is the one under which the readings are most likely, given the
//! stated uncertainty of a reading. The spline either repeats after a whole turn, or ends on the base
//! circle. Readings that stand out against their four neighbours by more than five uncertainties are
//! left out of the fit and listed; more than one in twenty of them, and the table is refused.
//! Uncertainties are those of the smoothing prior (they include what the smoothing may hide) and hold
//! the stated one to be independent from row to row; `stated_uncertainties_cover_the_truth` counts how
//! often they are right.
//!
//! Left out: what all rows share, that is a wrong scale of the dial, an indicator that stands at an
//! angle, a dead centre found wrongly (it moves every angle alike), and a follower of another shape
//! than the one the cam will run with.
//!
//! # Source
//! Penalised B-splines; the weight by marginal likelihood (Wahba, Ann. Statist. 13 (1985)); the prior's
//! uncertainty (Wahba, J. R. Statist. Soc. B 45 (1983)); both from memory. Checked against another
//! quintic smoothing spline in `validation/cam`.

use super::banded::{Banded, Factor};
use super::curve::LiftCurve;
use super::error::CamError;
use super::spline::{DEGREE, UniformSpline, derivative_weights, jerk_penalty_band};
use crate::possible::{above_zero, finite};

/// What lies beyond the first and the last row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ends {
    /// The table is a whole turn of the cam, 720 crank degrees; the first angle follows the last.
    WholeTurn,
    /// The lobe is on the base circle before the first row and after the last one.
    BaseCircle,
}

/// A table as measured: crank angle (degrees, increasing; cam degrees times two) and lift (m, zero on
/// the base circle), with the standard uncertainty of one lift reading.
#[derive(Debug, Clone, PartialEq)]
pub struct LiftTable {
    /// Rows of crank angle, degrees, and lift, m.
    pub rows: Vec<(f64, f64)>,
    /// Standard uncertainty of one lift reading, m: repeatability and reading of the dial.
    pub u_lift_m: f64,
    /// What lies beyond the table.
    pub ends: Ends,
}

/// A fitted table.
#[derive(Debug, Clone, PartialEq)]
pub struct TableFit {
    /// The curve.
    pub curve: LiftCurve,
    /// Table less curve, m, row by row.
    pub residuals_m: Vec<f64>,
    /// Stated standard uncertainty of one reading, m.
    pub stated_u_m: f64,
    /// Root of Σr² / (rows − effective parameters), m: the uncertainty of a reading that the table itself shows. Well
    /// below the stated one, the table is smoother than stated.
    pub found_u_m: f64,
    /// How many free numbers the smoothed curve is worth.
    pub effective_parameters: f64,
    /// Rows left out because they stand out against their neighbours (counted from zero): readings to repeat.
    pub doubtful_rows: Vec<usize>,
    factor: Factor,
    start_deg: f64,
    spacing_deg: f64,
}

/// A value read off a fitted curve with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WithU {
    /// The value.
    pub value: f64,
    /// Standard uncertainty, same unit.
    pub u: f64,
}

/// Fits a measured table.
///
/// # Errors
/// [`CamError::Table`] for fewer than 12 rows, angles that do not increase, gaps above 12 crank
/// degrees off the base circle, a table that does not reach the base circle or is not a whole turn;
/// [`CamError::ScatterAboveStated`] when rows scatter more than twice the stated uncertainty.
pub fn fit(table: &LiftTable) -> Result<TableFit, CamError> {
    check(table)?;
    let problem = Problem::of(table, slipped(table)?);
    let unusable = || CamError::Table { why: "its angles do not determine a curve".to_owned() };
    // The weight is sought in decades about the balance of the two terms: whole decades first, then closely.
    let unlikely = |decades: f64| problem.solve(decades).map_or(f64::INFINITY, |found| found.unlikely);
    let middle = (-8..=10).map(f64::from).min_by(|a, b| unlikely(*a).total_cmp(&unlikely(*b))).unwrap_or(0.0);
    let trial = problem.solve(least(middle - 1.0, middle + 1.0, unlikely)).ok_or_else(unusable)?;
    let effective_parameters = problem.leverage(&trial.factor);
    let kept = trial.residuals_m.iter().enumerate().filter(|(k, _)| !problem.doubtful_rows.contains(k));
    let squares: f64 = kept.map(|(_, r)| r * r).sum();
    let spare = (table.rows.len() - problem.doubtful_rows.len()) as f64 - effective_parameters;
    let Problem { doubtful_rows, start_deg, spacing_deg, periodic, .. } = problem;
    let spline = UniformSpline { start_deg, spacing_deg, coefficients: trial.coefficients, periodic };
    Ok(TableFit {
        curve: LiftCurve::from_spline(spline),
        residuals_m: trial.residuals_m,
        stated_u_m: table.u_lift_m,
        found_u_m: (squares / spare).sqrt(),
        effective_parameters,
        doubtful_rows,
        factor: trial.factor,
        start_deg,
        spacing_deg,
    })
}

/// The least-squares problem of a table, ready for any weight of smoothing.
struct Problem<'a> {
    table: &'a LiftTable,
    doubtful_rows: Vec<usize>,
    start_deg: f64,
    spacing_deg: f64,
    periodic: bool,
    /// Spline weights of every row.
    design: Vec<Vec<(usize, f64)>>,
    normal: Banded,
    right: Vec<f64>,
    /// One over the variance of a reading.
    weight: f64,
}

/// The solution for one weight of smoothing.
struct Trial {
    factor: Factor,
    coefficients: Vec<f64>,
    residuals_m: Vec<f64>,
    /// Minus twice the logarithm of the readings' likelihood, less what does not depend on the weight.
    unlikely: f64,
}

impl<'a> Problem<'a> {
    fn of(table: &'a LiftTable, doubtful_rows: Vec<usize>) -> Self {
        let (start_deg, spacing_deg, count) = grid(table);
        let periodic = table.ends == Ends::WholeTurn;
        let weight = 1.0 / (table.u_lift_m * table.u_lift_m);
        let mut normal = Banded::zero(count, periodic);
        let mut right = vec![0.0; count];
        let design: Vec<Vec<(usize, f64)>> =
            table.rows.iter().map(|row| weights_at(start_deg, spacing_deg, count, periodic, row.0, 0)).collect();
        for (k, (row, found)) in table.rows.iter().zip(&design).enumerate() {
            if doubtful_rows.contains(&k) {
                continue;
            }
            for (a, wa) in found {
                right[*a] += weight * wa * row.1;
                for (b, wb) in found {
                    if let Some(d) = apart(*a, *b, count, periodic) {
                        normal.rows[*a][d] += weight * wa * wb;
                    }
                }
            }
        }
        Self { table, doubtful_rows, start_deg, spacing_deg, periodic, design, normal, right, weight }
    }

    /// Solves with a smoothing weight given in decades above the balance of data and jerk.
    fn solve(&self, decades: f64) -> Option<Trial> {
        let count = self.right.len();
        let band = jerk_penalty_band();
        let balance = self.normal.rows.iter().map(|row| row[0]).sum::<f64>() / (count as f64 * band[0]);
        let penalty = balance * 10.0_f64.powf(decades);
        let mut matrix = self.normal.clone();
        for (i, row) in matrix.rows.iter_mut().enumerate() {
            for (d, entry) in row.iter_mut().enumerate() {
                if self.periodic || i + d < count {
                    *entry += penalty * band[d];
                }
            }
        }
        let factor = matrix.factor()?;
        let coefficients = factor.solve(&self.right);
        let mut squares = 0.0;
        let mut residuals_m = Vec::with_capacity(self.design.len());
        for (k, (row, found)) in self.table.rows.iter().zip(&self.design).enumerate() {
            let residual_m = row.1 - found.iter().map(|(a, w)| w * coefficients[*a]).sum::<f64>();
            residuals_m.push(residual_m);
            if !self.doubtful_rows.contains(&k) {
                squares += self.weight * residual_m * residual_m;
            }
        }
        let jerk: f64 = (0..count)
            .flat_map(|i| (0..=DEGREE).map(move |d| (i, d)))
            .filter(|(i, d)| self.periodic || i + d < count)
            .map(|(i, d)| {
                let twice = if d == 0 { 1.0 } else { 2.0 };
                twice * band[d] * coefficients[i] * coefficients[(i + d) % count]
            })
            .sum();
        // A whole turn may stand at any height without jerk: one coefficient is free.
        let held = if self.periodic { count - 1 } else { count } as f64;
        let unlikely = squares + penalty * jerk + factor.log_determinant() - held * penalty.ln();
        Some(Trial { factor, coefficients, residuals_m, unlikely })
    }

    /// How many free numbers the smoothed curve is worth.
    fn leverage(&self, factor: &Factor) -> f64 {
        let kept = self.design.iter().enumerate().filter(|(k, _)| !self.doubtful_rows.contains(k));
        kept.map(|(_, found)| self.weight * variance(factor, found, self.right.len())).sum()
    }
}

/// The place of the least value between two places, for one dip (golden section, to 1e-3).
fn least(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let share = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut a, mut b) = (from, to);
    while b - a > 1e-3 {
        let (c, d) = (b - share * (b - a), a + share * (b - a));
        if f(c) < f(d) { b = d } else { a = c }
    }
    0.5 * (a + b)
}

/// Weights times the inverse matrix times weights: the variance of that combination of coefficients.
fn variance(factor: &Factor, weights: &[(usize, f64)], count: usize) -> f64 {
    let mut unit = vec![0.0; count];
    for (a, w) in weights {
        unit[*a] += w;
    }
    let pulled = factor.solve(&unit);
    weights.iter().map(|(a, w)| w * pulled[*a]).sum()
}

impl TableFit {
    /// Standard uncertainty of a derivative of the curve at a crank angle: order 0 is lift (m), 1
    /// velocity (m/deg), 2 acceleration (m/deg²), 3 jerk (m/deg³). `None` for a higher order. That of jerk is
    /// generous: the smoothing takes jerk for noise without memory.
    pub fn u_of_derivative(&self, angle_deg: f64, order: usize) -> Option<f64> {
        if order > 3 {
            return None;
        }
        let count = self.coefficient_count();
        let found = weights_at(self.start_deg, self.spacing_deg, count, self.curve.is_whole_turn(), angle_deg, order);
        Some(variance(&self.factor, &found, count).max(0.0).sqrt())
    }

    /// Duration above a lift, crank degrees, with the uncertainty that the readings give it.
    ///
    /// # Errors
    /// As [`LiftCurve::crossings_deg`].
    pub fn duration_deg(&self, lift_m: f64) -> Result<WithU, CamError> {
        let (opens, closes) = self.curve.crossings_deg(lift_m)?;
        Ok(WithU { value: closes - opens, u: self.u_of_angle(opens).hypot(self.u_of_angle(closes)) })
    }

    /// Centreline by equal-lift points, crank degrees: see [`LiftCurve::centreline_by_equal_lift_deg`].
    ///
    /// # Errors
    /// As [`LiftCurve::crossings_deg`].
    pub fn centreline_by_equal_lift_deg(&self, below_m: f64) -> Result<WithU, CamError> {
        let value = self.curve.centreline_by_equal_lift_deg(below_m)?;
        let (opens, closes) = self.curve.crossings_deg(self.curve.lobe_lift_m() - below_m)?;
        Ok(WithU { value, u: 0.5 * self.u_of_angle(opens).hypot(self.u_of_angle(closes)) })
    }

    /// Greatest lift, m.
    pub fn lobe_lift_m(&self) -> WithU {
        let u = self.u_of_derivative(self.curve.nose_deg(), 0).unwrap_or(0.0);
        WithU { value: self.curve.lobe_lift_m(), u }
    }

    /// Uncertainty of an angle at which a lift is passed: that of the lift over the velocity.
    fn u_of_angle(&self, angle_deg: f64) -> f64 {
        let u_lift_m = self.u_of_derivative(angle_deg, 0).unwrap_or(0.0);
        u_lift_m / self.curve.at(angle_deg).velocity_m_deg.abs()
    }

    fn coefficient_count(&self) -> usize {
        self.curve.coefficient_count()
    }
}

const ROWS_LEAST: usize = 12;
const GAP_DEG: f64 = 12.0;

fn check(table: &LiftTable) -> Result<(), CamError> {
    above_zero("the uncertainty of a lift reading", table.u_lift_m, " m")?;
    let rows = &table.rows;
    let bad = |why: String| Err(CamError::Table { why });
    if rows.len() < ROWS_LEAST {
        return bad(format!("it has {} rows and at least {ROWS_LEAST} are needed", rows.len()));
    }
    for (k, row) in rows.iter().enumerate() {
        finite("a crank angle in the lift table", row.0, "°")?;
        finite("a lift in the lift table", row.1, " m")?;
        if row.1.abs() > 0.05 {
            return bad(format!("row {} has a lift of {} m; lifts are in metres and below 0.05", k + 1, row.1));
        }
    }
    let off_base = |lift_m: f64| lift_m.abs() > 4.0 * table.u_lift_m + END_M;
    for (k, pair) in rows.windows(2).enumerate() {
        let gap_deg = pair[1].0 - pair[0].0;
        if !(gap_deg > 0.0) {
            return bad(format!(
                "row {} is at {}° after {}°; angles have to increase, turning the crank one way only",
                k + 2,
                pair[1].0,
                pair[0].0
            ));
        }
        if gap_deg > GAP_DEG && (off_base(pair[0].1) || off_base(pair[1].1)) {
            return bad(format!(
                "between rows {} and {} lie {gap_deg:.1} crank degrees off the base circle; {GAP_DEG}° at most \
                 are bridged, so measure between {}° and {}°",
                k + 1,
                k + 2,
                pair[0].0,
                pair[1].0
            ));
        }
    }
    let (first, last) = (rows[0], rows[rows.len() - 1]);
    match table.ends {
        Ends::WholeTurn => {
            let open_deg = 720.0 - (last.0 - first.0);
            if !(0.0 < open_deg && open_deg <= 30.0) {
                return bad(format!(
                    "it runs from {}° to {}° and a whole turn is 720 crank degrees (360 cam degrees, times two)",
                    first.0, last.0
                ));
            }
        }
        Ends::BaseCircle => {
            for (name, row) in [("starts", first), ("ends", last)] {
                if off_base(row.1) {
                    return bad(format!(
                        "it {name} at {}° with a lift of {:.3} mm, which is not the base circle; measure on until the \
                         dial rests, or give a whole turn",
                        row.0,
                        row.1 * 1000.0
                    ));
                }
            }
        }
    }
    Ok(())
}

/// What a dial's zero may be off at either end before it counts as lift.
const END_M: f64 = 2.5e-5;

/// Rows that stand out against the cubic through two neighbours on either side (the middle of five), the worst first
/// and each judged without those before it. A smooth lobe leaves near nothing there.
fn slipped(table: &LiftTable) -> Result<Vec<usize>, CamError> {
    let mut kept: Vec<usize> = (0..table.rows.len()).collect();
    let mut found: Vec<usize> = Vec::new();
    loop {
        let mut off: Vec<(f64, usize)> =
            kept.windows(5).map(|five| (scatter_m(five.iter().map(|k| table.rows[*k])), five[2])).collect();
        off.sort_by(|a, b| a.0.total_cmp(&b.0));
        // The median of the absolute value of a normal number is 0.6745 of its standard deviation.
        let found_m = off[off.len() / 2].0 / 0.6745;
        let (worst_m, worst) = off[off.len() - 1];
        if found_m > 2.0 * table.u_lift_m || found.len() * 20 > table.rows.len() {
            return Err(CamError::ScatterAboveStated {
                found_um: found_m * 1e6,
                stated_um: table.u_lift_m * 1e6,
                worst_deg: table.rows[worst].0,
                worst_um: worst_m * 1e6,
            });
        }
        if worst_m <= 5.0 * table.u_lift_m {
            found.sort_unstable();
            return Ok(found);
        }
        kept.retain(|k| *k != worst);
        found.push(worst);
    }
}

/// The fourth divided difference of five rows, scaled so that it scatters as one reading does, m.
fn scatter_m(rows: impl Iterator<Item = (f64, f64)>) -> f64 {
    let five: Vec<(f64, f64)> = rows.collect();
    let weights: Vec<f64> = (0..five.len())
        .map(|k| (0..five.len()).filter(|j| *j != k).map(|j| 1.0 / (five[k].0 - five[j].0)).product())
        .collect();
    let norm = weights.iter().map(|w: &f64| w * w).sum::<f64>().sqrt();
    weights.iter().zip(&five).map(|(w, row)| w * row.1).sum::<f64>().abs() / norm
}

/// First knot, knot spacing and number of coefficients. Knots are as dense as the rows, but not
/// closer than 2 crank degrees, where the smoothing rules anyway.
fn grid(table: &LiftTable) -> (f64, f64, usize) {
    let rows = &table.rows;
    let mut gaps: Vec<f64> = rows.windows(2).map(|pair| pair[1].0 - pair[0].0).collect();
    gaps.sort_by(f64::total_cmp);
    let wanted_deg = gaps[gaps.len() / 2].max(2.0);
    let (first, last) = (rows[0].0, rows[rows.len() - 1].0);
    match table.ends {
        Ends::WholeTurn => {
            let count = (720.0 / wanted_deg).round().clamp(24.0, 360.0);
            (first, 720.0 / count, count as usize)
        }
        Ends::BaseCircle => {
            // Room beyond both ends in which the curve comes to rest on the base circle.
            let intervals = ((last - first) / wanted_deg).ceil().max(12.0);
            let spacing_deg = (last - first) / intervals;
            let room = DEGREE as f64;
            (first - room * spacing_deg, spacing_deg, intervals as usize + 2 * DEGREE - DEGREE)
        }
    }
}

fn weights_at(
    start_deg: f64,
    spacing_deg: f64,
    count: usize,
    periodic: bool,
    angle_deg: f64,
    order: usize,
) -> Vec<(usize, f64)> {
    let (first, weights) = derivative_weights(start_deg, spacing_deg, angle_deg, order);
    let n = count as isize;
    weights
        .iter()
        .enumerate()
        .filter_map(|(k, w)| {
            let j = first + k as isize;
            if periodic {
                Some((j.rem_euclid(n) as usize, *w))
            } else {
                (0..n).contains(&j).then_some((j as usize, *w))
            }
        })
        .collect()
}

/// How far `b` lies after `a`, when it does so within the band.
fn apart(a: usize, b: usize, count: usize, periodic: bool) -> Option<usize> {
    let d = if b >= a {
        b - a
    } else if periodic {
        b + count - a
    } else {
        return None;
    };
    (d <= DEGREE).then_some(d)
}

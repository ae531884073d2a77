//! A lift curve and everything read off it.
//!
//! Model: a degree-5 spline, so lift, velocity, acceleration and jerk are continuous. Left out: the
//! follower (a curve measured on a flat tappet is not that of a roller), and the valve side
//! ([`crate::valve_train`]).

use super::error::CamError;
use super::events::{CheckLift, LiftAt, LobeEvents, Valve, ValveEvent};
use super::spline::UniformSpline;
use crate::possible::{above_zero, finite};

/// The motion at one crank angle, per crank degree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiftState {
    /// Lift, m.
    pub lift_m: f64,
    /// Velocity, m per crank degree.
    pub velocity_m_deg: f64,
    /// Acceleration, m per crank degree squared.
    pub acceleration_m_deg2: f64,
    /// Jerk, m per crank degree cubed.
    pub jerk_m_deg3: f64,
}

/// The motion at one crank angle and engine speed, per second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiftStatePerSecond {
    /// Lift, m.
    pub lift_m: f64,
    /// Velocity, m/s.
    pub velocity_m_s: f64,
    /// Acceleration, m/s².
    pub acceleration_m_s2: f64,
    /// Jerk, m/s³.
    pub jerk_m_s3: f64,
}

impl LiftState {
    /// The same motion in time at an engine speed: a crank degree lasts 1 / (6 rpm) seconds.
    pub fn at_speed(self, engine_rpm: f64) -> LiftStatePerSecond {
        let deg_s = 6.0 * engine_rpm;
        LiftStatePerSecond {
            lift_m: self.lift_m,
            velocity_m_s: self.velocity_m_deg * deg_s,
            acceleration_m_s2: self.acceleration_m_deg2 * deg_s * deg_s,
            jerk_m_s3: self.jerk_m_deg3 * deg_s * deg_s * deg_s,
        }
    }
}

/// Lift of one lobe over crank angle. Zero on the base circle.
#[derive(Debug, Clone, PartialEq)]
pub struct LiftCurve {
    spline: UniformSpline,
    nose_deg: f64,
    lobe_lift_m: f64,
}

/// Steps in which a spline interval is searched; a curve of degree 5 turns too rarely to hide between them.
const STEPS: usize = 8;

impl LiftCurve {
    pub(super) fn from_spline(spline: UniformSpline) -> Self {
        let mut curve = Self { spline, nose_deg: 0.0, lobe_lift_m: 0.0 };
        let (start_deg, step_deg, steps) = curve.grid();
        let highest = (0..=steps)
            .map(|k| start_deg + step_deg * k as f64)
            .max_by(|a, b| curve.lift_m(*a).total_cmp(&curve.lift_m(*b)))
            .unwrap_or(start_deg);
        let velocity = |angle_deg: f64| curve.spline.derivative(angle_deg, 1);
        let nose_deg = bisect(highest - step_deg, highest + step_deg, velocity).unwrap_or(highest);
        curve.nose_deg = nose_deg;
        curve.lobe_lift_m = curve.lift_m(nose_deg);
        curve
    }

    fn grid(&self) -> (f64, f64, usize) {
        let step_deg = self.spline.spacing_deg / STEPS as f64;
        let steps = ((self.spline.end_deg() - self.spline.start_deg) / step_deg).round() as usize;
        (self.spline.start_deg, step_deg, steps)
    }

    /// Crank angle where the curve leaves the base circle (for a whole turn: where it was cut), degrees.
    pub fn start_deg(&self) -> f64 {
        self.spline.start_deg
    }

    /// Crank angle where the curve is back on the base circle, degrees.
    pub fn end_deg(&self) -> f64 {
        self.spline.end_deg()
    }

    /// Whether the curve was taken over a whole turn of the cam and repeats after it.
    pub fn is_whole_turn(&self) -> bool {
        self.spline.periodic
    }

    pub(super) fn coefficient_count(&self) -> usize {
        self.spline.coefficients.len()
    }

    /// Crank angle of greatest lift, degrees.
    pub fn nose_deg(&self) -> f64 {
        self.nose_deg
    }

    /// Greatest lift, m.
    pub fn lobe_lift_m(&self) -> f64 {
        self.lobe_lift_m
    }

    /// Lift at a crank angle, m.
    pub fn lift_m(&self, angle_deg: f64) -> f64 {
        self.spline.derivative(angle_deg, 0)
    }

    /// Lift, velocity, acceleration and jerk at a crank angle, per crank degree.
    pub fn at(&self, angle_deg: f64) -> LiftState {
        LiftState {
            lift_m: self.lift_m(angle_deg),
            velocity_m_deg: self.spline.derivative(angle_deg, 1),
            acceleration_m_deg2: self.spline.derivative(angle_deg, 2),
            jerk_m_deg3: self.spline.derivative(angle_deg, 3),
        }
    }

    /// Crank angles at which the lobe passes a lift, going out from the nose: opening, closing.
    ///
    /// # Errors
    /// [`CamError::LiftNotReached`] when the lobe stays above or below it.
    pub fn crossings_deg(&self, lift_m: f64) -> Result<(f64, f64), CamError> {
        let not_reached = || CamError::LiftNotReached {
            lift_mm: lift_m * 1000.0,
            floor_mm: self.lift_m(self.start_deg()) * 1000.0,
            lobe_mm: self.lobe_lift_m * 1000.0,
        };
        if !(lift_m < self.lobe_lift_m) {
            return Err(not_reached());
        }
        let (_, step_deg, steps) = self.grid();
        let above = |angle_deg: f64| self.lift_m(angle_deg) - lift_m;
        let out = |direction: f64| {
            (1..=steps).find_map(|k| {
                let outer = self.nose_deg + direction * step_deg * k as f64;
                let inner = self.nose_deg + direction * step_deg * (k - 1) as f64;
                let inside = outer >= self.start_deg() - step_deg && outer <= self.end_deg() + step_deg;
                let passed = (inside || self.spline.periodic) && above(outer) <= 0.0;
                passed.then(|| bisect(inner, outer, above)).flatten()
            })
        };
        match (out(-1.0), out(1.0)) {
            (Some(opens), Some(closes)) => Ok((opens, closes)),
            _ => Err(not_reached()),
        }
    }

    /// Opening and closing at a lifter rise, written as a card does.
    ///
    /// # Errors
    /// [`CamError::CardClash`] for a check lift at the valve, which needs ratio and lash; otherwise as
    /// [`LiftCurve::crossings_deg`].
    pub fn events(&self, valve: Valve, check: CheckLift) -> Result<LobeEvents, CamError> {
        if check.at() != LiftAt::Lifter {
            return Err(CamError::CardClash {
                first: check.to_string(),
                second: "a lift curve of the lobe".to_owned(),
                why: "events of a lobe are taken at a lifter rise",
            });
        }
        let (opens_deg, closes_deg) = self.crossings_deg(check.lift_m())?;
        let opens = ValveEvent::from_cycle_deg(valve, opens_deg)?;
        let closes = ValveEvent::from_cycle_deg(valve, closes_deg)?;
        LobeEvents::new(valve, opens, closes, check)
    }

    /// Duration above a lift, crank degrees.
    ///
    /// # Errors
    /// As [`LiftCurve::crossings_deg`].
    pub fn duration_deg(&self, lift_m: f64) -> Result<f64, CamError> {
        self.crossings_deg(lift_m).map(|(opens, closes)| closes - opens)
    }

    /// Centreline by equal-lift points: the middle between the two angles that lie `below_m` under
    /// the greatest lift. Common practice takes 0.050 in (1.27 mm).
    ///
    /// # Errors
    /// As [`LiftCurve::crossings_deg`].
    pub fn centreline_by_equal_lift_deg(&self, below_m: f64) -> Result<f64, CamError> {
        above_zero("a distance below the greatest lift", below_m, " m")?;
        let (opens, closes) = self.crossings_deg(self.lobe_lift_m - below_m)?;
        Ok(0.5 * (opens + closes))
    }

    /// Centreline by area: the angle with as much area of lift above a check lift before it as after it.
    ///
    /// # Errors
    /// As [`LiftCurve::crossings_deg`].
    pub fn centreline_by_area_deg(&self, check_m: f64) -> Result<f64, CamError> {
        let (opens, closes) = self.crossings_deg(check_m)?;
        let area = |to_deg: f64| self.area_m_deg(opens, to_deg) - check_m * (to_deg - opens);
        let half = 0.5 * area(closes);
        Ok(bisect(opens, closes, |angle_deg| area(angle_deg) - half).unwrap_or(self.nose_deg))
    }

    /// Area under the lift between two crank angles, m·deg. Exact for the spline.
    pub fn area_m_deg(&self, from_deg: f64, to_deg: f64) -> f64 {
        if to_deg < from_deg {
            return -self.area_m_deg(to_deg, from_deg);
        }
        let spacing = self.spline.spacing_deg;
        let first = ((from_deg - self.spline.start_deg) / spacing).floor() as i64;
        let last = ((to_deg - self.spline.start_deg) / spacing).ceil() as i64;
        (first..last)
            .map(|k| {
                let low = (self.spline.start_deg + spacing * k as f64).max(from_deg);
                let high = (self.spline.start_deg + spacing * (k + 1) as f64).min(to_deg);
                gauss_3(low, high, |angle_deg| self.lift_m(angle_deg))
            })
            .sum()
    }

    /// The curve turned later by crank degrees (negative: earlier).
    ///
    /// # Errors
    /// [`CamError::NotPossible`] for an angle that is not a number.
    pub fn shifted(&self, later_deg: f64) -> Result<Self, CamError> {
        finite("a shift", later_deg, "°")?;
        let mut shifted = self.clone();
        shifted.spline.start_deg += later_deg;
        shifted.nose_deg += later_deg;
        Ok(shifted)
    }

    /// The curve with opening and closing sides exchanged, about crank angle zero.
    pub fn mirrored(&self) -> Self {
        let mut spline = self.spline.clone();
        spline.coefficients.reverse();
        // Function j runs from knot j to knot j + 6, also where the coefficients repeat.
        let knots = spline.coefficients.len() + super::spline::DEGREE;
        spline.start_deg = -(self.spline.start_deg + self.spline.spacing_deg * knots as f64);
        Self { spline, nose_deg: -self.nose_deg, lobe_lift_m: self.lobe_lift_m }
    }

    /// How far from its middle a flat follower is touched, m: the greatest slope of lift over cam angle in radians. A
    /// flat face of less than this radius is left by the lobe's edge; common practice wants some more (no source).
    ///
    /// # Source
    /// Geometry of a flat face square to its travel.
    pub fn flat_face_reach_m(&self) -> f64 {
        let found = self.extremes();
        // One radian of cam is 360/π crank degrees.
        found.velocity_max_m_deg.0.max(-found.velocity_min_m_deg.0) * 360.0 / std::f64::consts::PI
    }

    /// The greatest and least velocity, acceleration and jerk with their angles: see [`Extremes`].
    /// Sampled at an eighth of the knot spacing.
    pub fn extremes(&self) -> Extremes {
        let (start_deg, step_deg, steps) = self.grid();
        let mut found = Extremes::default();
        for k in 0..=steps {
            let angle_deg = start_deg + step_deg * k as f64;
            let state = self.at(angle_deg);
            let take = |side: &mut (f64, f64), value: f64, greater: bool| {
                if (greater && value > side.0) || (!greater && value < side.0) {
                    *side = (value, angle_deg);
                }
            };
            take(&mut found.velocity_max_m_deg, state.velocity_m_deg, true);
            take(&mut found.velocity_min_m_deg, state.velocity_m_deg, false);
            take(&mut found.acceleration_max_m_deg2, state.acceleration_m_deg2, true);
            take(&mut found.acceleration_min_m_deg2, state.acceleration_m_deg2, false);
            take(&mut found.jerk_max_m_deg3, state.jerk_m_deg3, true);
            take(&mut found.jerk_min_m_deg3, state.jerk_m_deg3, false);
        }
        found
    }
}

/// Extreme values of a lift curve, each with its crank angle in degrees.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Extremes {
    /// Fastest opening, m per crank degree, and its angle.
    pub velocity_max_m_deg: (f64, f64),
    /// Fastest closing (negative), m per crank degree, and its angle.
    pub velocity_min_m_deg: (f64, f64),
    /// Greatest acceleration, m/deg², and its angle.
    pub acceleration_max_m_deg2: (f64, f64),
    /// Greatest deceleration (negative), m/deg², and its angle.
    pub acceleration_min_m_deg2: (f64, f64),
    /// Greatest jerk, m/deg³, and its angle.
    pub jerk_max_m_deg3: (f64, f64),
    /// Least jerk, m/deg³, and its angle.
    pub jerk_min_m_deg3: (f64, f64),
}

/// The place between `a` and `b` where `f` changes sign, to the last bits.
pub(super) fn bisect(a: f64, b: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    let (mut a, mut b) = (a, b);
    let sign_a = f(a);
    if sign_a == 0.0 {
        return Some(a);
    }
    let sign_b = f(b);
    if sign_b == 0.0 {
        return Some(b);
    }
    if !(sign_a * sign_b < 0.0) {
        return None;
    }
    for _ in 0..80 {
        let middle = 0.5 * (a + b);
        if (f(middle) > 0.0) == (sign_a > 0.0) {
            a = middle;
        } else {
            b = middle;
        }
    }
    Some(0.5 * (a + b))
}

/// Gauss–Legendre with three points: exact up to degree 5.
fn gauss_3(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
    let reach = half * 0.6_f64.sqrt();
    half * (5.0 * (f(middle - reach) + f(middle + reach)) + 8.0 * f(middle)) / 9.0
}

//! How far the ports of a head stand apart, and what that is like.
//!
//! Statistic: greatest less least flow over the mean, at one lift. What it is like is a comparison with
//! common practice (machined to 2 %, a skilled hand to 5 %, home work from 8 %, no source), with the
//! bench's repeatability as guard band, and no proof of who did it. Between 5 and 8 % nothing is said.
//!
//! Model: the reading of every port carries the same independent bench error. The statistic's standard
//! uncertainty is √2 times that of one reading. Left out: that the greatest and least of equal ports
//! are picked after the event, which makes a small spread read larger (two standard deviations of the
//! bench on average for four equal ports); a spread within three times the bench's repeatability is
//! therefore called not real.

use crate::flow_bench::FlowError;
use crate::possible::{NotPossible, above_zero};
use quantity::{Limits, Verdict, verdict};

/// Repeatability of a bench: the reading of one port comes back within ± this share of itself, 95 %.
/// Common practice is ±0.005, no source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeat(f64);

impl Repeat {
    /// From the half-width as a share: 0.005 for ±0.5 %. Range above 0 to 0.2.
    ///
    /// # Errors
    /// [`FlowError::NotPossible`] outside the range.
    pub fn within(share: f64) -> Result<Self, FlowError> {
        if share > 0.0 && share <= 0.2 {
            return Ok(Self(share));
        }
        Err(NotPossible {
            what: "a repeatability",
            value: share * 100.0,
            unit: " %",
            expected: "a share above 0 and up to 20 %, as the half-width that holds 95 % of the readings",
        }
        .into())
    }

    /// The half-width.
    pub fn share(self) -> f64 {
        self.0
    }

    /// Relative standard uncertainty of one reading: half the half-width.
    pub fn standard(self) -> f64 {
        0.5 * self.0
    }
}

/// Spread of the ports at one lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Number of ports.
    pub ports: usize,
    /// Mean flow, in the unit given.
    pub mean: f64,
    /// Least flow.
    pub least: f64,
    /// Greatest flow.
    pub greatest: f64,
    /// Greatest less least over the mean.
    pub spread: f64,
    /// Standard uncertainty of the spread, from the bench alone.
    pub u_spread: f64,
    /// Repeatability used.
    pub repeat: Repeat,
}

/// What a spread is like. Likeness, no proof.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Likeness {
    /// At most 2 %, with the guard band.
    MachinedLike,
    /// Between 2 and 5 %, with the guard band.
    SkilledHandLike,
    /// 8 % or more, with the guard band.
    HomeLike,
    /// An edge lies within the guard band, or the spread lies between 5 and 8 %.
    CannotTell,
}

/// Greatest spread that is like machine work.
pub const MACHINED_TO: f64 = 0.02;
/// Greatest spread that is like a skilled hand's.
pub const SKILLED_TO: f64 = 0.05;
/// Least spread that is like home work.
pub const HOME_FROM: f64 = 0.08;

/// Spread of the flows of all ports at one lift and one test pressure, in any one unit.
///
/// # Errors
/// [`FlowError`] for fewer than two ports and flows that are not above zero.
pub fn spread(flows: &[f64], repeat: Repeat) -> Result<Spread, FlowError> {
    if flows.len() < 2 {
        return Err(FlowError::TooFew { what: "ports", found: flows.len(), needed: 2 });
    }
    for &flow in flows {
        above_zero("a flow", flow, "")?;
    }
    let mean = flows.iter().sum::<f64>() / flows.len() as f64;
    let least = flows.iter().copied().fold(f64::INFINITY, f64::min);
    let greatest = flows.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Ok(Spread {
        ports: flows.len(),
        mean,
        least,
        greatest,
        spread: (greatest - least) / mean,
        u_spread: std::f64::consts::SQRT_2 * repeat.standard(),
        repeat,
    })
}

impl Spread {
    /// Whether the spread is more than three times the bench's repeatability (common practice).
    pub fn is_real(&self) -> bool {
        self.spread > 3.0 * self.repeat.share()
    }

    /// What the spread is like.
    pub fn likeness(&self) -> Likeness {
        likeness(self.spread, self.u_spread)
    }
}

/// Mean spread over several lifts with its standard uncertainty, and what it is like.
///
/// The bench's error is taken as independent from lift to lift.
///
/// # Errors
/// [`FlowError::TooFew`] for none; [`FlowError::Clash`] for different numbers of ports.
pub fn over_lifts(spreads: &[Spread]) -> Result<(f64, f64, Likeness), FlowError> {
    let Some(first) = spreads.first() else {
        return Err(FlowError::TooFew { what: "lifts", found: 0, needed: 1 });
    };
    if let Some(other) = spreads.iter().find(|s| s.ports != first.ports) {
        return Err(FlowError::Clash {
            first: format!("{} ports at one lift", first.ports),
            second: format!("{} ports at another", other.ports),
            why: "the spread of more ports is greater by itself",
        });
    }
    let count = spreads.len() as f64;
    let mean = spreads.iter().map(|s| s.spread).sum::<f64>() / count;
    let u = spreads.iter().map(|s| s.u_spread.powi(2)).sum::<f64>().sqrt() / count;
    Ok((mean, u, likeness(mean, u)))
}

fn likeness(spread: f64, u: f64) -> Likeness {
    let inside = |limits| verdict(spread, u, limits) == Verdict::Inside;
    if inside(Limits::at_most(MACHINED_TO)) {
        Likeness::MachinedLike
    } else if inside(Limits::between(MACHINED_TO, SKILLED_TO)) {
        Likeness::SkilledHandLike
    } else if inside(Limits::at_least(HOME_FROM)) {
        Likeness::HomeLike
    } else {
        Likeness::CannotTell
    }
}

/// Whether ports differ by their place or by chance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// The spread lies within three times the bench's repeatability: there is nothing to explain.
    NotReal,
    /// The end ports stand apart from the middle ones: casting, core shift, the angle of the tool.
    ByPosition,
    /// Ports at like places differ among themselves by more than three times the bench's repeatability,
    /// and the places as such do not show: each port is its own. A lesser effect of place may be hidden.
    Scattered,
    /// The spread is real, and neither place nor scatter shows.
    CannotTell,
}

/// End ports against middle ports.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// Mean of the end ports less mean of the middle ports, over the mean of all.
    pub ends_less_middles: f64,
    /// Greatest spread within one of the two groups, over the mean of all.
    pub within: f64,
    /// Half-width of the 95 % interval of the difference, as a share: Student's t with ports less two degrees of freedom.
    pub half_width: f64,
    /// Student's t of the difference.
    pub t: f64,
    /// Value of t beyond which 5 % lie by chance, both sides.
    pub t_critical: f64,
    /// What follows.
    pub pattern: Pattern,
}

/// Compares the two end ports of a row with those between them.
///
/// The scatter is pooled within both groups and never taken below the bench's own, so that two ports
/// that agree by luck prove nothing. Flows stand in the order of the ports along one head, 4 to 12.
///
/// # Errors
/// [`FlowError`] for fewer than four ports, more than twelve, and flows that are not above zero.
pub fn by_position(flows: &[f64], repeat: Repeat) -> Result<Position, FlowError> {
    let all = spread(flows, repeat)?;
    let count = flows.len();
    if count < 4 {
        return Err(FlowError::TooFew { what: "ports in a row", found: count, needed: 4 });
    }
    let Some(&t_critical) = T_95.get(count - 3) else {
        return Err(NotPossible {
            what: "a row",
            value: count as f64,
            unit: " ports",
            expected: "4 to 12 ports in the order along one head",
        }
        .into());
    };
    let ends = [flows[0], flows[count - 1]];
    let middles = &flows[1..count - 1];
    let (end_mean, end_squares) = mean_and_squares(&ends);
    let (middle_mean, middle_squares) = mean_and_squares(middles);
    let pooled = (end_squares + middle_squares) / (count - 2) as f64;
    let bench = (repeat.standard() * all.mean).powi(2);
    let error = (pooled.max(bench) * (0.5 + 1.0 / middles.len() as f64)).sqrt();
    let difference = end_mean - middle_mean;
    let t = difference / error;
    let (share, half_width) = (difference / all.mean, t_critical * error / all.mean);
    let within = range(&ends).max(range(middles)) / all.mean;
    let pattern = if !all.is_real() {
        Pattern::NotReal
    } else if t.abs() > t_critical && share.abs() > 3.0 * repeat.share() {
        Pattern::ByPosition
    } else if within > 3.0 * repeat.share() {
        Pattern::Scattered
    } else {
        Pattern::CannotTell
    };
    Ok(Position { ends_less_middles: share, within, half_width, t, t_critical, pattern })
}

fn range(values: &[f64]) -> f64 {
    let greatest = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    greatest - values.iter().copied().fold(f64::INFINITY, f64::min)
}

fn mean_and_squares(values: &[f64]) -> (f64, f64) {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    (mean, values.iter().map(|v| (v - mean).powi(2)).sum())
}

/// Student's t, 95 % both sides, 1 to 10 degrees of freedom (checked against `validation/statistics`).
pub const T_95: [f64; 10] =
    [12.706_2, 4.302_65, 3.182_45, 2.776_45, 2.570_58, 2.446_91, 2.364_62, 2.306, 2.262_16, 2.228_14];

//! A gauge study: parts, persons and trials, and how much of a tolerance the gauge and its hands take up.
//!
//! Two ways: average and range, which a person can follow with a pencil, and the analysis of variance, which
//! also sees whether persons and parts go together. All spreads are one standard deviation.
//! Left out: studies with gaps, destructive tests, bias and linearity.
//!
//! # Source
//! The worked example of `validation/gauge_study`. Bounds of 10 and 30 % of the tolerance are those of the
//! automotive industry's manual, as quoted in a journal.

use engine::possible::NotPossible;
use engine::refused::Refused;

/// Readings of every part by every person in every trial, in any one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct GaugeStudy {
    /// Readings as part, person, trial.
    readings: Vec<Vec<Vec<f64>>>,
}

/// Spreads, one standard deviation each, in the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spreads {
    /// From trial to trial: the gauge.
    pub repeat: f64,
    /// From person to person, with what persons and parts have together. 0 where none shows beside the gauge.
    pub persons: f64,
    /// Both: the gauge in its hands.
    pub gauge: f64,
    /// From part to part.
    pub parts: f64,
    /// All of it.
    pub total: f64,
}

/// A study by average and range.
#[derive(Debug, Clone, PartialEq)]
pub struct RangeStudy {
    /// Its spreads.
    pub spreads: Spreads,
    /// Mean of the ranges.
    pub mean_range: f64,
    /// Greatest less least mean of a person.
    pub persons_apart: f64,
    /// Greatest less least mean of a part.
    pub parts_apart: f64,
    /// Part and person, from 0, whose range is wider than chance explains: read those again.
    pub wide: Vec<(usize, usize)>,
}

/// A row of an analysis of variance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AnovaRow {
    /// Degrees of freedom.
    pub degrees: usize,
    /// Sum of squares.
    pub squares: f64,
    /// Mean square.
    pub mean_square: f64,
}

/// A study by analysis of variance.
#[derive(Debug, Clone, PartialEq)]
pub struct AnovaStudy {
    /// Parts.
    pub parts: AnovaRow,
    /// Persons.
    pub persons: AnovaRow,
    /// Persons with parts together.
    pub together: AnovaRow,
    /// Trials.
    pub repeat: AnovaRow,
    /// Chance that what persons and parts have together is noise.
    pub chance_together: f64,
    /// Whether it counts as noise: at a chance above 0.25.
    pub pooled: bool,
    /// Its spreads.
    pub spreads: Spreads,
}

/// What a gauge is good for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fitness {
    /// Below 10 % of the tolerance.
    Good,
    /// 10 to 30 %: where nothing better is at hand.
    Conditional,
    /// Above 30 %.
    NotFit,
}

impl GaugeStudy {
    /// A study of at least two parts, persons and trials, as part, person, trial.
    ///
    /// # Errors
    /// [`Refused`] for fewer, for gaps, and for readings that are not finite.
    pub fn new(readings: Vec<Vec<Vec<f64>>>) -> Result<Self, Refused> {
        let persons = readings.first().map_or(0, Vec::len);
        let trials = readings.first().and_then(|p| p.first()).map_or(0, Vec::len);
        let few =
            [("a number of parts", readings.len()), ("a number of persons", persons), ("a number of trials", trials)];
        if let Some((what, found)) = few.into_iter().find(|(_, found)| *found < 2) {
            return Err(
                NotPossible { what, value: found as f64, unit: "", expected: "two or more for a gauge study" }.into()
            );
        }
        if readings.iter().any(|p| p.len() != persons || p.iter().any(|t| t.len() != trials)) {
            return Err(Refused::Clash {
                first: format!("{persons} persons and {trials} trials of the first part"),
                second: "another number elsewhere".to_owned(),
                why: "every person reads every part in every trial".to_owned(),
            });
        }
        if let Some(value) = readings.iter().flatten().flatten().find(|r| !r.is_finite()) {
            let (what, expected) = ("a reading", "a finite number");
            return Err(NotPossible { what, value: *value, unit: "", expected }.into());
        }
        Ok(Self { readings })
    }

    fn counts(&self) -> (f64, f64, f64) {
        (self.readings.len() as f64, self.readings[0].len() as f64, self.readings[0][0].len() as f64)
    }

    /// By average and range.
    ///
    /// # Source
    /// Spread of trials is the mean range over d2; spreads of persons and parts are their ranges over d2* of one
    /// subgroup. The noise of the trials that is left in the means of the persons is taken off. A range above
    /// the mean range by three of its standard deviations is wide (D4).
    pub fn by_range(&self) -> RangeStudy {
        let (parts, _, trials) = self.counts();
        let ranges: Vec<Vec<f64>> = self.readings.iter().map(|p| p.iter().map(|t| range(t)).collect()).collect();
        let mean_range = mean(&ranges.concat());
        let persons_means: Vec<f64> = (0..self.readings[0].len())
            .map(|w| mean(&self.readings.iter().flat_map(|p| p[w].clone()).collect::<Vec<_>>()))
            .collect();
        let part_means: Vec<f64> = self.readings.iter().map(|p| mean(&p.concat())).collect();
        let (persons_apart, parts_apart) = (range(&persons_means), range(&part_means));
        let of_trials = range_moments(self.readings[0][0].len());
        let repeat = mean_range / of_trials.0;
        let one = |count: usize| range_moments(count).1;
        let raw = (persons_apart / one(persons_means.len())).powi(2) - repeat * repeat / (parts * trials);
        let persons = if raw > 0.0 { raw.sqrt() } else { 0.0 };
        let deviation = (of_trials.1 * of_trials.1 - of_trials.0 * of_trials.0).sqrt();
        let bound = mean_range * (1.0 + 3.0 * deviation / of_trials.0);
        let mut wide = Vec::new();
        for (p, of_part) in ranges.iter().enumerate() {
            wide.extend(of_part.iter().enumerate().filter(|(_, r)| **r > bound).map(|(w, _)| (p, w)));
        }
        let spreads = spreads(repeat, persons, parts_apart / one(part_means.len()));
        RangeStudy { spreads, mean_range, persons_apart, parts_apart, wide }
    }

    /// By analysis of variance, both effects random.
    ///
    /// What persons and parts have together counts as noise where chance explains it well enough (above 0.25,
    /// common practice of such studies, from memory). A spread whose variance comes out below zero is 0: none shows.
    pub fn by_variance(&self) -> AnovaStudy {
        let (p, w, t) = self.counts();
        let all: Vec<f64> = self.readings.iter().flatten().flatten().copied().collect();
        let grand = mean(&all);
        let squares = |means: &[f64], weight: f64| weight * means.iter().map(|m| (m - grand).powi(2)).sum::<f64>();
        let part_means: Vec<f64> = self.readings.iter().map(|p| mean(&p.concat())).collect();
        let person_means: Vec<f64> = (0..self.readings[0].len())
            .map(|w| mean(&self.readings.iter().flat_map(|p| p[w].clone()).collect::<Vec<_>>()))
            .collect();
        let cell_means: Vec<f64> = self.readings.iter().flatten().map(|t| mean(t)).collect();
        let (of_parts, of_persons) = (squares(&part_means, w * t), squares(&person_means, p * t));
        let of_cells = squares(&cell_means, t);
        let total: f64 = all.iter().map(|r| (r - grand).powi(2)).sum();
        let row = |degrees: f64, squares: f64| AnovaRow {
            degrees: degrees as usize,
            squares,
            mean_square: squares / degrees,
        };
        let parts = row(p - 1.0, of_parts);
        let persons = row(w - 1.0, of_persons);
        // Rounding may leave a hair below zero.
        let together = row((p - 1.0) * (w - 1.0), (of_cells - of_parts - of_persons).max(0.0));
        let repeat = row(p * w * (t - 1.0), (total - of_cells).max(0.0));
        let f = together.mean_square / repeat.mean_square;
        let chance_together = if f.is_finite() { f_tail(f, together.degrees, repeat.degrees) } else { 0.0 };
        let pooled = chance_together > 0.25;
        let variance = |v: f64| if v > 0.0 { v } else { 0.0 };
        let spreads = if pooled {
            let noise = (together.squares + repeat.squares) / (together.degrees + repeat.degrees) as f64;
            spreads(
                noise.sqrt(),
                variance((persons.mean_square - noise) / (p * t)).sqrt(),
                variance((parts.mean_square - noise) / (w * t)).sqrt(),
            )
        } else {
            let both = variance((together.mean_square - repeat.mean_square) / t);
            let person = variance((persons.mean_square - together.mean_square) / (p * t));
            spreads(
                repeat.mean_square.sqrt(),
                (person + both).sqrt(),
                variance((parts.mean_square - together.mean_square) / (w * t)).sqrt(),
            )
        };
        AnovaStudy { parts, persons, together, repeat, chance_together, pooled, spreads }
    }
}

fn spreads(repeat: f64, persons: f64, parts: f64) -> Spreads {
    let gauge = repeat.hypot(persons);
    Spreads { repeat, persons, gauge, parts, total: gauge.hypot(parts) }
}

impl Spreads {
    /// What the gauge takes of a tolerance: six standard deviations over the width between the limits.
    ///
    /// # Errors
    /// [`Refused::NotPossible`] for a width that is not above zero.
    pub fn of_tolerance(&self, width: f64) -> Result<f64, Refused> {
        if width.is_finite() && width > 0.0 {
            return Ok(6.0 * self.gauge / width);
        }
        let (what, expected) = ("a tolerance", "a finite number above zero");
        Err(NotPossible { what, value: width, unit: "", expected }.into())
    }

    /// What the gauge takes of all the spread that was seen.
    pub fn of_total(&self) -> f64 {
        self.gauge / self.total
    }

    /// How many classes of parts the gauge can tell apart: 1.41 × parts over gauge, the whole part of it. None for a
    /// gauge without any spread.
    pub fn categories(&self) -> Option<u32> {
        let classes = 1.41 * self.parts / self.gauge;
        classes.is_finite().then_some(classes as u32)
    }
}

impl Fitness {
    /// From the share that a gauge takes of a tolerance.
    pub fn of_share(share: f64) -> Self {
        match share {
            s if s < 0.10 => Self::Good,
            s if s <= 0.30 => Self::Conditional,
            _ => Self::NotFit,
        }
    }

    /// From the width of a tolerance over the expanded uncertainty (k = 2) of a reading: 10 or more is good, 4 is the
    /// least (common practice, no source).
    pub fn of_ratio(width_over_uncertainty: f64) -> Self {
        match width_over_uncertainty {
            r if r >= 10.0 => Self::Good,
            r if r >= 4.0 => Self::Conditional,
            _ => Self::NotFit,
        }
    }

    /// What a person reads.
    pub fn words(self) -> &'static str {
        match self {
            Self::Good => "good for this tolerance",
            Self::Conditional => "usable where nothing finer is at hand",
            Self::NotFit => "too coarse for this tolerance",
        }
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn range(values: &[f64]) -> f64 {
    let greatest = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    greatest - values.iter().copied().fold(f64::INFINITY, f64::min)
}

/// Mean and root mean square of the range of `n` standard normal numbers: d2, and d2* of one subgroup.
///
/// The chance that the range stays below q is n ∫ φ(z) [Φ(z) − Φ(z − q)]^(n−1) dz, the textbook integral; sums over
/// an even grid, which converges fast on a smooth bell.
fn range_moments(n: usize) -> (f64, f64) {
    const STEP: f64 = 0.05;
    let grid: Vec<f64> = (-180..=180).map(|i| STEP * f64::from(i)).collect();
    let normal: Vec<f64> = grid.iter().map(|z| below(*z)).collect();
    let density: Vec<f64> = grid.iter().map(|z| (-0.5 * z * z).exp() / std::f64::consts::TAU.sqrt()).collect();
    let chance = |k: usize| -> f64 {
        let at = |i: usize| if i >= k { normal[i - k] } else { 0.0 };
        let sum: f64 = (0..grid.len()).map(|i| density[i] * (normal[i] - at(i)).powi(n as i32 - 1)).sum();
        n as f64 * STEP * sum
    };
    let (mut first, mut second) = (0.0, 0.0);
    // Simpson over 0 … 14.
    let steps = 280;
    for k in 0..=steps {
        let ends = if k == 0 || k == steps { 1.0 } else { 2.0 };
        let weight = if k % 2 == 1 { 4.0 } else { ends } * STEP / 3.0;
        let above = 1.0 - chance(k);
        first += weight * above;
        second += weight * 2.0 * STEP * k as f64 * above;
    }
    (first, second.sqrt())
}

/// Standard normal distribution, by the series φ(z) Σ z^(2k+1) / (1·3·…·(2k+1)).
fn below(z: f64) -> f64 {
    if z < 0.0 {
        return 1.0 - below(-z);
    }
    if z > 8.0 {
        return 1.0;
    }
    let (mut term, mut sum, mut odd) = (z, z, 1.0);
    while term > 1e-17 * sum {
        odd += 2.0;
        term *= z * z / odd;
        sum += term;
    }
    0.5 + (-0.5 * z * z).exp() / std::f64::consts::TAU.sqrt() * sum
}

/// Chance that an F ratio of `over` and `under` degrees of freedom exceeds `f`, through the incomplete beta
/// function by its continued fraction (textbook form).
fn f_tail(f: f64, over: usize, under: usize) -> f64 {
    let (a, b) = (0.5 * under as f64, 0.5 * over as f64);
    let x = under as f64 / (under as f64 + over as f64 * f);
    incomplete_beta(x, a, b)
}

fn incomplete_beta(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return x.clamp(0.0, 1.0);
    }
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta(1.0 - x, b, a);
    }
    let front = (ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * (1.0 - x).ln()).exp() / a;
    let guard = |v: f64| if v.abs() < 1e-300 { 1e-300 } else { v };
    let (mut c, mut d) = (1.0, 1.0 / guard(1.0 - (a + b) * x / (a + 1.0)));
    let mut value = d;
    for m in 1..500 {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        for term in [even, odd] {
            d = 1.0 / guard(1.0 + term * d);
            c = guard(1.0 + term / c);
            value *= c * d;
        }
        if (c * d - 1.0).abs() < 1e-15 {
            break;
        }
    }
    front * value
}

/// ln Γ of half-integers and integers above zero, by the recurrence from Γ(1/2) or Γ(1).
fn ln_gamma(x: f64) -> f64 {
    let (mut at, mut sum) = if x.fract() == 0.0 { (1.0, 0.0) } else { (0.5, 0.5 * std::f64::consts::PI.ln()) };
    while at < x - 0.25 {
        sum += f64::ln(at);
        at += 1.0;
    }
    sum
}

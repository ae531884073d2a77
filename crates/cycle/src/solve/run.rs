//! Runs engines of one layout until each repeats itself, as many side by side as there are lanes.

use super::engine::Engines;
use super::halves::Halves;
use super::layout::{Layout, Sizes};
use super::totals::CycleTotals;
use crate::cylinder::{CycleSummary, HeatModel};
use crate::lane::Lane;
use std::sync::Arc;

/// When a cycle counts as settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settle {
    /// Greatest change of work and of air from one cycle to the next, share; also enough is that what is still to come is
    /// below three tenths of it, where cycles come nearer at a steady rate.
    pub change: f64,
    /// Fewest cycles.
    pub least: usize,
    /// Most cycles.
    pub most: usize,
}

impl Settle {
    /// Within a tenth of a percent, at most fourteen cycles.
    pub const USUAL: Self = Self { change: 1e-3, least: 4, most: 14 };

    /// The same for a layout: a turbine's shaft is balanced from cycle to cycle and takes its time.
    pub(super) fn with(self, layout: &Layout) -> Self {
        match layout.turbine {
            Some(_) => Self { least: self.least + 4, most: 4 * self.most, ..self },
            None => self,
        }
    }

    /// Within half a percent: for a slider, and for many designs.
    pub const QUICK: Self = Self { change: 5e-3, least: 3, most: 14 };
}

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Settled {
    /// Each cycle is as the one before.
    Same,
    /// Every other cycle is the same: the mean of two is given.
    Pairs,
    /// Not within the cycles allowed.
    No,
    /// A number was lost; there is no result.
    Lost,
}

/// The last cycle of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Ran {
    /// Sums, of the last cycle or the mean of the last two.
    pub totals: CycleTotals,
    /// What each cylinder did.
    pub cylinders: Vec<Option<CycleSummary>>,
    /// How it ended.
    pub settled: Settled,
    /// Change of work and air from the cycle before, share; where cycles came nearer at a steady rate, what is still to
    /// come.
    pub change: f64,
    /// Cycles run.
    pub cycles: usize,
    /// Steps run.
    pub steps: f64,
    /// Simulated time of all cycles, s.
    pub simulated_s: f64,
    /// Steps times cells.
    pub cell_steps: f64,
}

/// What a lane, or a pair of them, is at.
struct Slot {
    /// Series, and which of its points.
    at: Option<(usize, usize)>,
    history: Vec<CycleTotals>,
    steps: f64,
    simulated_s: f64,
}

impl Slot {
    fn new(at: Option<(usize, usize)>) -> Self {
        Self { at, history: Vec::new(), steps: 0.0, simulated_s: 0.0 }
    }
}

/// Steps on until at least one lane has come to the end of its cycle.
pub fn step_until_one<L: Lane>(engines: &mut Engines<L>, done: &mut [bool]) {
    done.iter_mut().for_each(|d| *d = false);
    while !done.iter().any(|d| *d) {
        engines.step(done);
    }
}

/// Runs series of operating points; results are in their order. The points of a series run one after the other in the
/// same lane, each from where the one before has settled. Results do not depend on which series share lanes.
///
/// `halves` is how the engines fall into halves, where each is to take two lanes.
pub fn run<L: Lane>(
    layout: &Arc<Layout>,
    halves: Option<&Halves>,
    series: &[Vec<Arc<Sizes>>],
    heat: HeatModel,
    settle: &Settle,
) -> Vec<Vec<Ran>> {
    let mut results: Vec<Vec<Ran>> = vec![Vec::new(); series.len()];
    let mut waiting = (0..series.len()).filter(|&s| !series[s].is_empty());
    let Some(first) = series.iter().find_map(|s| s.first()) else { return results };
    let settle = &settle.with(layout);
    let halves = halves.filter(|_| L::WIDTH > 1);
    let takes = if halves.is_some() { 2 } else { 1 };
    let mut engines = match halves {
        None => Engines::<L>::new(layout, first, heat),
        Some(halves) => Engines::<L>::new(&halves.layout, &halves.sizes(first)[0], heat),
    };
    let put = |engines: &mut Engines<L>, lane: usize, sizes: &Arc<Sizes>, on: bool| {
        let mut one = |lane: usize, sizes: &Arc<Sizes>| {
            if on { engines.change(lane, sizes) } else { engines.load(lane, sizes) }
        };
        match halves {
            None => one(lane, sizes),
            Some(halves) => {
                for (n, half) in halves.sizes(sizes).into_iter().enumerate() {
                    one(lane + n, &Arc::new(half));
                }
            }
        }
    };
    let mut slots: Vec<Slot> = Vec::new();
    for lane in (0..L::WIDTH).step_by(takes) {
        let at = waiting.next().map(|s| (s, 0));
        put(&mut engines, lane, at.map_or(first, |(s, _)| &series[s][0]), false);
        slots.push(Slot::new(at));
    }
    let mut done = vec![false; L::WIDTH];
    while slots.iter().any(|s| s.at.is_some()) {
        step_until_one(&mut engines, &mut done);
        for (n, slot) in slots.iter_mut().enumerate() {
            let lane = n * takes;
            if !done[lane] {
                continue;
            }
            let totals = match halves {
                None => engines.take_totals(lane),
                Some(halves) => halves.join(&[engines.take_totals(lane), engines.take_totals(lane + 1)]),
            };
            let Some((s, point)) = slot.at else { continue };
            slot.steps += totals.steps;
            slot.simulated_s += totals.time_s;
            slot.history.push(totals);
            let on = point > 0;
            let Some((settled, change, totals)) = judge(&slot.history, settle, on) else { continue };
            results[s].push(Ran {
                totals,
                cylinders: summaries(&engines, halves, lane),
                settled,
                change,
                cycles: slot.history.len(),
                steps: slot.steps,
                simulated_s: slot.simulated_s,
                cell_steps: slot.steps * layout.cells() as f64,
            });
            if let Some(next) = series[s].get(point + 1) {
                // from a lost number nothing can go on
                put(&mut engines, lane, next, settled != Settled::Lost);
                *slot = Slot::new(Some((s, point + 1)));
                continue;
            }
            *slot = Slot::new(waiting.next().map(|s| (s, 0)));
            // a lane without a series goes on with a sound engine: what it gives is not looked at
            put(&mut engines, lane, &series[slot.at.map_or(s, |(s, _)| s)][0], false);
        }
    }
    results
}

/// What each cylinder of the engine in a lane did, or of that in this one and the next.
fn summaries<L: Lane>(engines: &Engines<L>, halves: Option<&Halves>, lane: usize) -> Vec<Option<CycleSummary>> {
    let of = |lane: usize| engines.cylinders.iter().map(move |c| c.summary(lane).copied());
    let Some(halves) = halves else { return of(lane).collect() };
    let mut all: Vec<(usize, Option<CycleSummary>)> = Vec::new();
    for (n, places) in halves.cylinders().into_iter().enumerate() {
        all.extend(places.iter().copied().zip(of(lane + n)));
    }
    all.sort_by_key(|c| c.0);
    all.into_iter().map(|c| c.1).collect()
}

/// Work and air of a cycle, and the greatest difference of one cylinder's share.
fn change(a: &CycleTotals, b: &CycleTotals) -> f64 {
    let sum =
        |t: &CycleTotals, f: &dyn Fn(&super::totals::CylinderTotals) -> f64| t.cylinders.iter().map(f).sum::<f64>();
    let scale = sum(b, &|c| c.released_j.max(c.work_j.abs())).max(1e-9) * 0.35;
    let work = (sum(a, &|c| c.work_j) - sum(b, &|c| c.work_j)).abs() / scale;
    let air = (sum(a, &|c| c.air_kg) - sum(b, &|c| c.air_kg)).abs() / sum(b, &|c| c.air_kg).abs().max(1e-12);
    work.max(air)
}

/// Whether the last of these cycles is the result, and how far it is off the one before. `on` where they began from a
/// neighbouring point that had settled: one cycle less is enough.
pub(super) fn judge(history: &[CycleTotals], settle: &Settle, on: bool) -> Option<(Settled, f64, CycleTotals)> {
    let fewer = usize::from(on);
    let n = history.len();
    let last = &history[n - 1];
    let finite = |t: &CycleTotals| t.cylinders.iter().all(|c| c.work_j.is_finite() && c.air_kg.is_finite());
    if !finite(last) {
        return Some((Settled::Lost, f64::NAN, last.clone()));
    }
    if n < (settle.least - fewer).max(2) {
        return None;
    }
    let now = change(&history[n - 2], last);
    if now < settle.change {
        return Some((Settled::Same, now, last.clone()));
    }
    if n >= 4 - fewer {
        // Each cycle comes nearer by about the same share: what is still to come is a geometric series.
        let nearer = now / change(&history[n - 3], &history[n - 2]);
        let to_come = now * nearer / (1.0 - nearer);
        if nearer < 0.3 && to_come < 0.3 * settle.change {
            return Some((Settled::Same, to_come, last.clone()));
        }
    }
    if n >= 6 {
        let two = change(&history[n - 3], last);
        let before = change(&history[n - 4], &history[n - 2]);
        if two.max(before) < settle.change && now > 2.0 * two {
            return Some((Settled::Pairs, two, last.mean(&history[n - 2])));
        }
    }
    (n >= settle.most).then(|| (Settled::No, now, last.mean(&history[n - 2])))
}

/// How many engines run side by side, and how exactly.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lanes {
    /// One in double precision: the reference.
    Double,
    /// Four in double precision.
    FourDouble,
    /// Eight in single precision.
    Eight,
    /// Sixteen in single precision, where the machine has instructions of that width; else eight.
    Sixteen,
}

/// [`run`] with the lanes named; on a machine without wide instructions it is double precision, one by one.
pub fn run_on(
    layout: &Arc<Layout>,
    halves: Option<&Halves>,
    series: &[Vec<Arc<Sizes>>],
    heat: HeatModel,
    settle: &Settle,
    lanes: Lanes,
) -> Vec<Vec<Ran>> {
    use crate::lane::{F32x8, F32x16, F64x4, has_256, has_512};
    match lanes {
        Lanes::Sixteen if has_512() => run::<F32x16>(layout, halves, series, heat, settle),
        Lanes::Eight | Lanes::Sixteen if has_256() => run::<F32x8>(layout, halves, series, heat, settle),
        Lanes::FourDouble if has_256() => run::<F64x4>(layout, halves, series, heat, settle),
        _ => run::<f64>(layout, halves, series, heat, settle),
    }
}

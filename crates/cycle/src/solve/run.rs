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
    /// Change of work from the cycle before, share.
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

struct Slot {
    job: Option<usize>,
    history: Vec<CycleTotals>,
    steps: f64,
    simulated_s: f64,
}

/// Steps on until at least one lane has come to the end of its cycle.
pub fn step_until_one<L: Lane>(engines: &mut Engines<L>, done: &mut [bool]) {
    done.iter_mut().for_each(|d| *d = false);
    while !done.iter().any(|d| *d) {
        engines.step(done);
    }
}

/// Runs all jobs; results are in their order. They do not depend on which share lanes, unless `lockstep` gives all lanes
/// the step of the slowest: then all valves of engines at one speed open together, and much is saved.
///
/// `halves` is how the engines fall into halves, where each is to take two lanes.
pub fn run<L: Lane>(
    layout: &Arc<Layout>,
    halves: Option<&Halves>,
    jobs: &[Arc<Sizes>],
    heat: HeatModel,
    settle: &Settle,
    lockstep: bool,
) -> Vec<Ran> {
    let mut results: Vec<Option<Ran>> = vec![None; jobs.len()];
    let Some(first) = jobs.first() else { return Vec::new() };
    let settle = &settle.with(layout);
    let halves = halves.filter(|_| L::WIDTH > 1);
    let takes = if halves.is_some() { 2 } else { 1 };
    let mut engines = match halves {
        None => Engines::<L>::new(layout, first, heat),
        Some(halves) => Engines::<L>::new(&halves.layout, &halves.sizes(first)[0], heat),
    };
    engines.lockstep = lockstep;
    let load = |engines: &mut Engines<L>, lane: usize, job: usize| match halves {
        None => engines.load(lane, &jobs[job]),
        Some(halves) => {
            for (n, half) in halves.sizes(&jobs[job]).into_iter().enumerate() {
                engines.load(lane + n, &Arc::new(half));
            }
        }
    };
    let mut next = 0;
    let mut slots: Vec<Slot> = Vec::new();
    for lane in (0..L::WIDTH).step_by(takes) {
        let job = (next < jobs.len()).then_some(next);
        next += 1;
        load(&mut engines, lane, job.unwrap_or(0));
        slots.push(Slot { job, history: Vec::new(), steps: 0.0, simulated_s: 0.0 });
    }
    let mut done = vec![false; L::WIDTH];
    while slots.iter().any(|s| s.job.is_some()) {
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
            let Some(job) = slot.job else { continue };
            slot.steps += totals.steps;
            slot.simulated_s += totals.time_s;
            slot.history.push(totals);
            let Some((settled, change, totals)) = judge(&slot.history, settle) else { continue };
            results[job] = Some(Ran {
                totals,
                cylinders: summaries(&engines, halves, lane),
                settled,
                change,
                cycles: slot.history.len(),
                steps: slot.steps,
                simulated_s: slot.simulated_s,
                cell_steps: slot.steps * layout.cells() as f64,
            });
            let fresh = (next < jobs.len()).then_some(next);
            next += 1;
            *slot = Slot { job: fresh, history: Vec::new(), steps: 0.0, simulated_s: 0.0 };
            // a lane without a job goes on with a sound engine: what it gives is not looked at
            load(&mut engines, lane, fresh.unwrap_or(job));
        }
    }
    results.into_iter().flatten().collect()
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

pub(super) fn judge(history: &[CycleTotals], settle: &Settle) -> Option<(Settled, f64, CycleTotals)> {
    let n = history.len();
    let last = &history[n - 1];
    let finite = |t: &CycleTotals| t.cylinders.iter().all(|c| c.work_j.is_finite() && c.air_kg.is_finite());
    if !finite(last) {
        return Some((Settled::Lost, f64::NAN, last.clone()));
    }
    if n < settle.least.max(2) {
        return None;
    }
    let now = change(&history[n - 2], last);
    if now < settle.change {
        return Some((Settled::Same, now, last.clone()));
    }
    if n >= 4 {
        // Each cycle comes nearer by about the same share: what is still to come is a geometric series.
        let nearer = now / change(&history[n - 3], &history[n - 2]);
        if nearer < 0.3 && now * nearer / (1.0 - nearer) < 0.3 * settle.change {
            return Some((Settled::Same, now, last.clone()));
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
    /// Eight in single precision.
    Eight,
    /// Sixteen in single precision, where the machine has instructions of that width; else eight.
    Sixteen,
}

/// [`run`] with the lanes named.
pub fn run_on(
    layout: &Arc<Layout>,
    halves: Option<&Halves>,
    jobs: &[Arc<Sizes>],
    heat: HeatModel,
    settle: &Settle,
    lanes: Lanes,
    lockstep: bool,
) -> Vec<Ran> {
    use crate::lane::{F32x8, F32x16, has_256, has_512};
    match lanes {
        Lanes::Sixteen if has_512() => run::<F32x16>(layout, halves, jobs, heat, settle, lockstep),
        Lanes::Eight | Lanes::Sixteen if has_256() => run::<F32x8>(layout, halves, jobs, heat, settle, lockstep),
        Lanes::Double | Lanes::Eight | Lanes::Sixteen => run::<f64>(layout, halves, jobs, heat, settle, lockstep),
    }
}

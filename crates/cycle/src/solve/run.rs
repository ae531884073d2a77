//! Runs engines of one layout until each repeats itself, as many side by side as there are lanes.

use super::engine::Engines;
use super::layout::{Layout, Sizes};
use super::totals::CycleTotals;
use crate::cylinder::{CycleSummary, HeatModel};
use crate::lane::Lane;
use std::sync::Arc;

/// When a cycle counts as settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settle {
    /// Greatest change of work and of air from one cycle to the next, share.
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
pub fn run<L: Lane>(
    layout: &Arc<Layout>,
    jobs: &[Arc<Sizes>],
    heat: HeatModel,
    settle: &Settle,
    lockstep: bool,
) -> Vec<Ran> {
    let mut results: Vec<Option<Ran>> = vec![None; jobs.len()];
    let Some(first) = jobs.first() else { return Vec::new() };
    let settle = &settle.with(layout);
    let mut engines = Engines::<L>::new(layout, first, heat);
    engines.lockstep = lockstep;
    let mut next = 0;
    let mut slots: Vec<Slot> = Vec::new();
    for lane in 0..L::WIDTH {
        let job = (next < jobs.len()).then_some(next);
        next += 1;
        engines.load(lane, &jobs[job.unwrap_or(0)]);
        slots.push(Slot { job, history: Vec::new(), steps: 0.0, simulated_s: 0.0 });
    }
    let mut done = vec![false; L::WIDTH];
    while slots.iter().any(|s| s.job.is_some()) {
        step_until_one(&mut engines, &mut done);
        for lane in 0..L::WIDTH {
            if !done[lane] {
                continue;
            }
            let totals = engines.take_totals(lane);
            let slot = &mut slots[lane];
            let Some(job) = slot.job else { continue };
            slot.steps += totals.steps;
            slot.simulated_s += totals.time_s;
            slot.history.push(totals);
            let Some((settled, change, totals)) = judge(&slot.history, settle) else { continue };
            results[job] = Some(Ran {
                totals,
                cylinders: engines.cylinders.iter().map(|c| c.summary(lane).copied()).collect(),
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
            engines.load(lane, &jobs[fresh.unwrap_or(job)]);
        }
    }
    results.into_iter().flatten().collect()
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
pub fn run_lanes(
    layout: &Arc<Layout>,
    jobs: &[Arc<Sizes>],
    heat: HeatModel,
    settle: &Settle,
    lanes: Lanes,
) -> Vec<Ran> {
    run_on(layout, jobs, heat, settle, lanes, false)
}

/// [`run`] with the lanes named, in step with each other or not.
pub fn run_on(
    layout: &Arc<Layout>,
    jobs: &[Arc<Sizes>],
    heat: HeatModel,
    settle: &Settle,
    lanes: Lanes,
    lockstep: bool,
) -> Vec<Ran> {
    use crate::lane::{F32x8, F32x16, has_256, has_512};
    match lanes {
        Lanes::Sixteen if has_512() => run::<F32x16>(layout, jobs, heat, settle, lockstep),
        Lanes::Eight | Lanes::Sixteen if has_256() => run::<F32x8>(layout, jobs, heat, settle, lockstep),
        Lanes::Double | Lanes::Eight | Lanes::Sixteen => run::<f64>(layout, jobs, heat, settle, lockstep),
    }
}

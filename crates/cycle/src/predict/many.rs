//! Many operating points, and many engines, at once.
//!
//! Points of one layout share lanes, and batches of lanes share cores. Lanes do not mix, so that a point's result is
//! the same whichever others run beside it and on however many cores. Many designs may be run in step instead
//! ([`run_batch`]): their results then depend on the list, still not on the cores.

use crate::cylinder::HeatModel;
use crate::model::Assembled;
use crate::solve::halves::Halves;
use crate::solve::layout::{Layout, Sizes};
use crate::solve::run::{Lanes, Ran, Settle, run_on};
use rayon::prelude::*;
use std::sync::Arc;

/// Arithmetic of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Precision {
    /// Single precision, eight or sixteen side by side: within a few tenths of a percent of double.
    #[default]
    Quick,
    /// Double precision, one by one.
    Double,
}

/// Engines of one layout that share lanes.
struct Batch {
    layout: Arc<Layout>,
    halves: Option<Arc<Halves>>,
    members: Vec<usize>,
    lanes: Lanes,
    lockstep: bool,
}

/// Indices by layout, each group by rising speed: engines of like speed take like steps.
fn groups(made: &[Assembled]) -> Vec<(Arc<Layout>, Vec<usize>)> {
    let mut groups: Vec<(Arc<Layout>, Vec<usize>)> = Vec::new();
    for (i, one) in made.iter().enumerate() {
        match groups.iter_mut().find(|(layout, _)| **layout == one.layout) {
            Some((_, members)) => members.push(i),
            None => groups.push((Arc::new(one.layout.clone()), vec![i])),
        }
    }
    for (_, members) in &mut groups {
        members.sort_by(|a, b| made[*a].sizes.speed_rad_s.total_cmp(&made[*b].sizes.speed_rad_s));
    }
    groups
}

fn run_batches(made: &[Assembled], heat: HeatModel, settle: &Settle, batches: Vec<Batch>) -> Vec<Ran> {
    let done: Vec<(Vec<usize>, Vec<Ran>)> = batches
        .into_par_iter()
        .with_max_len(1)
        .map(|batch| {
            let jobs: Vec<Arc<Sizes>> = batch.members.iter().map(|&i| Arc::new(made[i].sizes.clone())).collect();
            let ran = run_on(&batch.layout, batch.halves.as_deref(), &jobs, heat, settle, batch.lanes, batch.lockstep);
            (batch.members, ran)
        })
        .collect();
    let mut results: Vec<Option<Ran>> = vec![None; made.len()];
    for (members, ran) in done {
        for (i, r) in members.into_iter().zip(ran) {
            results[i] = Some(r);
        }
    }
    results.into_iter().flatten().collect()
}

/// Runs all; results are in their order.
pub fn run_many(made: &[Assembled], heat: HeatModel, settle: &Settle, precision: Precision) -> Vec<Ran> {
    let groups = groups(made);
    let cores = rayon::current_num_threads().max(1);
    let mut batches = Vec::new();
    for (layout, members) in &groups {
        // Engines that fall into halves take two lanes each: what is waited for is the slowest of them.
        let halves = if precision == Precision::Quick { Halves::of(layout).map(Arc::new) } else { None };
        let wide = if halves.is_some() { 8 } else { 16 };
        // Slow engines take the most steps: they go first and together. A group alone is shared out among the cores.
        let queues = match precision {
            Precision::Double => members.len(),
            Precision::Quick => members.len().div_ceil(wide).max(if groups.len() == 1 { cores } else { 1 }),
        };
        let size = members.len().div_ceil(queues.clamp(1, members.len()));
        for chunk in members.chunks(size) {
            let lanes = match precision {
                Precision::Double => Lanes::Double,
                Precision::Quick if 2 * chunk.len() <= wide => Lanes::Eight,
                Precision::Quick => Lanes::Sixteen,
            };
            let (layout, halves, members) = (layout.clone(), halves.clone(), chunk.to_vec());
            batches.push(Batch { layout, halves, members, lanes, lockstep: false });
        }
    }
    run_batches(made, heat, settle, batches)
}

/// Runs many designs: those of one layout and one speed in step with each other, sixteen at a time.
pub fn run_batch(made: &[Assembled], heat: HeatModel, settle: &Settle) -> Vec<Ran> {
    let mut batches = Vec::new();
    for (layout, members) in groups(made) {
        let same = |a: &usize, b: &usize| (made[*a].sizes.speed_rad_s - made[*b].sizes.speed_rad_s).abs() < 1e-9;
        for alike in members.chunk_by(same) {
            for chunk in alike.chunks(16) {
                let lanes = if chunk.len() <= 8 { Lanes::Eight } else { Lanes::Sixteen };
                let (layout, members) = (layout.clone(), chunk.to_vec());
                batches.push(Batch { layout, halves: None, members, lanes, lockstep: true });
            }
        }
    }
    run_batches(made, heat, settle, batches)
}

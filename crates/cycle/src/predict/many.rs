//! Many operating points at once.
//!
//! Points of one layout share lanes, and batches of lanes share cores. Lanes do not mix, so that a point's result is
//! the same whichever others run beside it and on however many cores.

use crate::cylinder::HeatModel;
use crate::lane::{F32x8, F64x4};
use crate::model::Assembled;
use crate::solve::layout::{Layout, Sizes};
use crate::solve::run::{Ran, Settle, run};
use rayon::prelude::*;
use std::sync::Arc;

/// Arithmetic of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Precision {
    /// Single precision, eight side by side: within a few tenths of a percent of double.
    #[default]
    Quick,
    /// Double precision, four side by side.
    Double,
}

/// Runs all; results are in their order.
pub fn run_many(made: &[Assembled], heat: HeatModel, settle: &Settle, precision: Precision) -> Vec<Ran> {
    let mut groups: Vec<(Arc<Layout>, Vec<usize>)> = Vec::new();
    for (i, one) in made.iter().enumerate() {
        match groups.iter_mut().find(|(layout, _)| **layout == one.layout) {
            Some((_, members)) => members.push(i),
            None => groups.push((Arc::new(one.layout.clone()), vec![i])),
        }
    }
    let width = match precision {
        Precision::Quick => 8,
        Precision::Double => 4,
    };
    // Batches as even as they can be, each a queue of its own.
    let cores = rayon::current_num_threads().max(1);
    let mut batches: Vec<(Arc<Layout>, Vec<usize>)> = Vec::new();
    for (layout, members) in groups {
        let queues = members.len().div_ceil(width).max(1);
        let queues = if queues == 1 { 1 } else { queues.min(cores.max(queues.min(cores))) };
        let size = members.len().div_ceil(queues);
        for chunk in members.chunks(size) {
            batches.push((layout.clone(), chunk.to_vec()));
        }
    }
    let done: Vec<(Vec<usize>, Vec<Ran>)> = batches
        .into_par_iter()
        .map(|(layout, members)| {
            let jobs: Vec<Arc<Sizes>> = members.iter().map(|&i| Arc::new(made[i].sizes.clone())).collect();
            let ran = match precision {
                Precision::Quick => run::<F32x8>(&layout, &jobs, heat, settle),
                Precision::Double => run::<F64x4>(&layout, &jobs, heat, settle),
            };
            (members, ran)
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

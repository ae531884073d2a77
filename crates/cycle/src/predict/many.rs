//! Many operating points, and many engines, at once.
//!
//! Points of one layout share lanes, and batches of lanes share cores. Lanes do not mix, so that a point's result is
//! the same whichever others run beside it and on however many cores. Of many designs each has a lane of its own, in which
//! its speeds follow each other ([`run_designs`]).

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

/// For each series the indices of its points.
type Series = Vec<Vec<usize>>;

/// Series of one layout that share lanes.
struct Batch {
    layout: Arc<Layout>,
    halves: Option<Arc<Halves>>,
    series: Series,
    lanes: Lanes,
}

/// Indices of series by layout, in the order in which they are met.
fn groups(made: &[&Assembled], series: Series) -> Vec<(Arc<Layout>, Series)> {
    let mut groups: Vec<(Arc<Layout>, Series)> = Vec::new();
    for one in series {
        let Some(&first) = one.first() else { continue };
        match groups.iter_mut().find(|(layout, _)| **layout == made[first].layout) {
            Some((_, members)) => members.push(one),
            None => groups.push((Arc::new(made[first].layout.clone()), vec![one])),
        }
    }
    groups
}

fn run_batches(made: &[&Assembled], heat: HeatModel, settle: &Settle, batches: Vec<Batch>) -> Vec<Ran> {
    let done: Vec<(Series, Vec<Vec<Ran>>)> = batches
        .into_par_iter()
        .with_max_len(1)
        .map(|batch| {
            let sizes = |series: &Vec<usize>| series.iter().map(|&i| Arc::new(made[i].sizes.clone())).collect();
            let jobs: Vec<Vec<Arc<Sizes>>> = batch.series.iter().map(sizes).collect();
            let ran = run_on(&batch.layout, batch.halves.as_deref(), &jobs, heat, settle, batch.lanes);
            (batch.series, ran)
        })
        .collect();
    let mut results: Vec<Option<Ran>> = vec![None; made.len()];
    for (series, ran) in done {
        for (i, r) in series.into_iter().flatten().zip(ran.into_iter().flatten()) {
            results[i] = Some(r);
        }
    }
    results.into_iter().flatten().collect()
}

/// Runs all, each from nothing; results are in their order.
pub fn run_many(made: &[Assembled], heat: HeatModel, settle: &Settle, precision: Precision) -> Vec<Ran> {
    let made: Vec<&Assembled> = made.iter().collect();
    // Engines of like speed take like steps; slow ones take the most: they go first and together.
    let mut order: Vec<usize> = (0..made.len()).collect();
    order.sort_by(|a, b| made[*a].sizes.speed_rad_s.total_cmp(&made[*b].sizes.speed_rad_s));
    let groups = groups(&made, order.into_iter().map(|i| vec![i]).collect());
    let cores = rayon::current_num_threads().max(1);
    let mut batches = Vec::new();
    for (layout, members) in &groups {
        // Engines that fall into halves take two lanes each: what is waited for is the slowest of them.
        let halves = if precision == Precision::Quick { Halves::of(layout).map(Arc::new) } else { None };
        let wide = if halves.is_some() { 8 } else { 16 };
        // A group alone is shared out among the cores.
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
            batches.push(Batch { layout: layout.clone(), halves: halves.clone(), series: chunk.to_vec(), lanes });
        }
    }
    run_batches(&made, heat, settle, batches)
}

/// Runs many designs, each at several operating points; results are in their order. A design's fastest point starts from
/// nothing, each slower one from where the one before has settled.
pub fn run_designs(
    designs: &[Vec<Assembled>],
    heat: HeatModel,
    settle: &Settle,
    precision: Precision,
) -> Vec<Vec<Ran>> {
    let made: Vec<&Assembled> = designs.iter().flatten().collect();
    let mut series = Series::new();
    let mut start = 0;
    for design in designs {
        let mut own: Vec<usize> = (start..start + design.len()).collect();
        start += design.len();
        own.sort_by(|a, b| made[*b].sizes.speed_rad_s.total_cmp(&made[*a].sizes.speed_rad_s));
        // another layout begins a new series
        series.extend(own.chunk_by(|a, b| made[*a].layout == made[*b].layout).map(<[usize]>::to_vec));
    }
    let lanes = match precision {
        Precision::Double => Lanes::FourDouble,
        Precision::Quick => Lanes::Sixteen,
    };
    let cores = rayon::current_num_threads().max(1);
    let mut batches = Vec::new();
    for (layout, members) in groups(&made, series) {
        // neighbours in the list take about as long: they are dealt out among the cores, to and fro
        let queues = cores.min(members.len().div_ceil(16)).max(1);
        let mut dealt = vec![Series::new(); queues];
        for (n, one) in members.into_iter().enumerate() {
            let k = n % (2 * queues);
            dealt[if k < queues { k } else { 2 * queues - 1 - k }].push(one);
        }
        for series in dealt {
            batches.push(Batch { layout: layout.clone(), halves: None, series, lanes });
        }
    }
    let mut ran = run_batches(&made, heat, settle, batches).into_iter();
    designs.iter().map(|d| ran.by_ref().take(d.len()).collect()).collect()
}

//! An engine as two halves side by side.
//!
//! The banks of a vee or of opposed cylinders meet only before the runners and in the open air. Where both are built alike, an
//! engine can take two lanes, a half in each: half as many pipes and cylinders in a step, and the slowest engine of a
//! curve, which everything waits for, is done in half the time. What the halves share stands in both lanes with the same
//! numbers: its gains are added up over the two. The arithmetic of a half is the one of the whole.

use super::layout::{Layout, PipeLayout, Side, Sizes, ValveLayout};
use super::network::{At, Behind};
use super::totals::CycleTotals;
use std::sync::Arc;

/// How a layout falls into halves.
#[derive(Debug, Clone, PartialEq)]
pub struct Halves {
    /// Layout of a half.
    pub layout: Arc<Layout>,
    own: [Own; 2],
    openings: usize,
}

/// What of the whole is in a half, by index in the whole.
#[derive(Debug, Clone, PartialEq, Default)]
struct Own {
    pipes: Vec<usize>,
    cylinders: Vec<usize>,
    volumes: Vec<usize>,
    openings: Vec<usize>,
    valves: Vec<usize>,
}

/// Sets that grow together.
struct Sets(Vec<usize>);

impl Sets {
    fn root(&self, mut i: usize) -> usize {
        while self.0[i] != i {
            i = self.0[i];
        }
        i
    }
    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
    }
}

/// A layout as what hangs together: pipes first, then junctions, cylinders and volumes of its own.
struct Graph<'a> {
    whole: &'a Layout,
    junctions: usize,
    sets: Sets,
    /// One of each piece that has cylinders, by the first of them.
    pieces: Vec<usize>,
}

impl<'a> Graph<'a> {
    /// `None` where something of its own leads into what is shared without a pipe.
    fn new(whole: &'a Layout) -> Option<Self> {
        let junctions = whole.pipes.iter().flat_map(|p| [p.first, p.last]).fold(0, |most, b| match b {
            Behind::Junction(j) => most.max(j + 1),
            Behind::Closed | Behind::Vessel(_) => most,
        });
        let all = whole.pipes.len() + junctions + whole.cylinders + whole.volumes;
        let mut graph = Self { whole, junctions, sets: Sets((0..all).collect()), pieces: Vec::new() };
        for (i, pipe) in whole.pipes.iter().enumerate() {
            for behind in [pipe.first, pipe.last] {
                let other = match behind {
                    Behind::Junction(j) => Some(whole.pipes.len() + j),
                    Behind::Vessel(at) => graph.place(at),
                    Behind::Closed => None,
                };
                if let Some(other) = other {
                    graph.sets.join(i, other);
                }
            }
        }
        for (a, b) in &whole.openings {
            match (graph.place(*a), graph.place(*b)) {
                (Some(a), Some(b)) => graph.sets.join(a, b),
                (Some(_), None) if matches!(b, At::Volume(_)) => return None,
                (None, Some(_)) if matches!(a, At::Volume(_)) => return None,
                _ => {}
            }
        }
        for c in 0..whole.cylinders {
            let root = graph.sets.root(graph.cylinder(c));
            if !graph.pieces.contains(&root) {
                graph.pieces.push(root);
            }
        }
        Some(graph)
    }

    /// Whether a volume is shared: what is before the runners.
    fn in_common(&self, v: usize) -> bool {
        let at = At::Volume(v);
        let behind = |p: &PipeLayout| p.first == Behind::Vessel(at) || p.last == Behind::Vessel(at);
        self.whole.charger.is_some_and(|(a, b)| a == at || b == at)
            || self.whole.pipes.iter().any(|p| p.side == Side::Intake && behind(p))
    }

    fn cylinder(&self, c: usize) -> usize {
        self.whole.pipes.len() + self.junctions + c
    }

    fn volume(&self, v: usize) -> usize {
        self.cylinder(self.whole.cylinders) + v
    }

    /// Where a vessel stands; `None` for what is shared.
    fn place(&self, at: At) -> Option<usize> {
        match at {
            At::Outside(c) => Some(self.cylinder(c)),
            At::Volume(v) if !self.in_common(v) => Some(self.volume(v)),
            At::Volume(_) | At::Reservoir(_) => None,
        }
    }

    /// The half that something is in: the first half of the pieces, or the second. `None` for a piece without cylinders.
    fn half(&self, i: usize) -> Option<usize> {
        let root = self.sets.root(i);
        self.pieces.iter().position(|p| *p == root).map(|p| 2 * p / self.pieces.len())
    }

    fn is_shared_pipe(&self, pipe: &PipeLayout) -> bool {
        let held = |behind: Behind| matches!(behind, Behind::Vessel(at) if self.place(at).is_none());
        held(pipe.first) && held(pipe.last)
    }

    /// What is in each half; what is shared is in both.
    fn deal(&self) -> Option<[Own; 2]> {
        let whole = self.whole;
        let mut own = [Own::default(), Own::default()];
        for c in 0..whole.cylinders {
            own[self.half(self.cylinder(c))?].cylinders.push(c);
        }
        for (i, pipe) in whole.pipes.iter().enumerate() {
            if self.is_shared_pipe(pipe) {
                own.iter_mut().for_each(|o| o.pipes.push(i));
            } else {
                own[self.half(i)?].pipes.push(i);
            }
        }
        for v in 0..whole.volumes {
            if self.in_common(v) {
                own.iter_mut().for_each(|o| o.volumes.push(v));
            } else {
                own[self.half(self.volume(v))?].volumes.push(v);
            }
        }
        for (i, (a, b)) in whole.openings.iter().enumerate() {
            match self.place(*a).or(self.place(*b)) {
                Some(at) => own[self.half(at)?].openings.push(i),
                None => own.iter_mut().for_each(|o| o.openings.push(i)),
            }
        }
        own.iter_mut().for_each(|half| half.sort(whole));
        Some(own)
    }
}

impl Halves {
    /// Halves of a layout; `None` where it does not fall into two that are alike, and with a turbine, whose shaft is
    /// balanced on the whole.
    pub fn of(whole: &Layout) -> Option<Self> {
        if whole.turbine.is_some() || whole.half {
            return None;
        }
        let graph = Graph::new(whole)?;
        if graph.pieces.len() < 2 || !graph.pieces.len().is_multiple_of(2) {
            return None;
        }
        let own = graph.deal()?;
        let (layout, other) = (own[0].layout(&graph)?, own[1].layout(&graph)?);
        (layout == other).then(|| Self { layout: Arc::new(layout), own, openings: whole.openings.len() })
    }

    /// Sizes of both halves.
    pub fn sizes(&self, whole: &Sizes) -> [Sizes; 2] {
        self.own.each_ref().map(|own| Sizes {
            pipes: own.pipes.iter().map(|&i| whole.pipes[i].clone()).collect(),
            shares: own.pipes.iter().map(|&i| whole.shares[i]).collect(),
            fill: own.pipes.iter().map(|&i| whole.fill[i]).collect(),
            volumes: own.volumes.iter().map(|&i| whole.volumes[i]).collect(),
            openings: own.openings.iter().map(|&i| whole.openings[i]).collect(),
            cylinders: own.cylinders.iter().map(|&i| whole.cylinders[i].clone()).collect(),
            phases_rad: own.cylinders.iter().map(|&i| whole.phases_rad[i]).collect(),
            valves: own.valves.iter().map(|&i| whole.valves[i].clone()).collect(),
            reverse: own.valves.iter().map(|&i| whole.reverse[i]).collect(),
            reservoirs: whole.reservoirs.clone(),
            charge: whole.charge.clone(),
            charger: whole.charger.clone(),
            ..*whole
        })
    }

    /// Where each half's cylinders stand in the whole.
    pub fn cylinders(&self) -> [&[usize]; 2] {
        self.own.each_ref().map(|own| own.cylinders.as_slice())
    }

    /// Sums of the whole from those of its halves.
    pub fn join(&self, halves: &[CycleTotals; 2]) -> CycleTotals {
        let [a, b] = halves;
        let mut cylinders = Vec::new();
        let mut openings_kg = vec![0.0; self.openings];
        for (own, half) in self.own.iter().zip(halves) {
            cylinders.extend(own.cylinders.iter().copied().zip(half.cylinders.iter().copied()));
            for (&i, kg) in own.openings.iter().zip(&half.openings_kg) {
                openings_kg[i] = *kg;
            }
        }
        cylinders.sort_by_key(|c| c.0);
        CycleTotals {
            cylinders: cylinders.into_iter().map(|c| c.1).collect(),
            openings_kg,
            reservoirs: a
                .reservoirs
                .iter()
                .zip(&b.reservoirs)
                .map(|(a, b)| std::array::from_fn(|i| a[i] + b[i]))
                .collect(),
            pipe_heat_j: [a.pipe_heat_j[0] + b.pipe_heat_j[0], a.pipe_heat_j[1] + b.pipe_heat_j[1]],
            back_pa: 0.5 * (a.back_pa + b.back_pa),
            ..a.clone()
        }
    }
}

impl Own {
    /// Cylinders of one plenum together, and all else in their order, so that both halves list theirs alike.
    fn sort(&mut self, whole: &Layout) {
        let from = |c: usize| {
            let runner = whole.valves.iter().find(|v| v.cylinder == c && v.side == Side::Intake);
            runner.map(|v| match whole.pipes[v.pipe].first {
                Behind::Vessel(At::Volume(v)) => v,
                _ => 0,
            })
        };
        self.cylinders.sort_by_key(|&c| (from(c), c));
        let rank = |c: usize| self.cylinders.iter().position(|x| *x == c);
        self.pipes.sort_by_key(|&p| match whole.valves.iter().find(|v| v.pipe == p) {
            Some(v) => (0, v.side == Side::Exhaust, rank(v.cylinder), p),
            None => (1, false, None, p),
        });
        let of = |c: &usize| (0..whole.valves.len()).filter(|&v| whole.valves[v].cylinder == *c).collect::<Vec<_>>();
        self.valves = self.cylinders.iter().flat_map(of).collect();
    }

    fn layout(&self, graph: &Graph<'_>) -> Option<Layout> {
        let whole = graph.whole;
        let find = |list: &[usize], i: usize| list.iter().position(|x| *x == i);
        let at = |at: At| match at {
            At::Reservoir(_) => Some(at),
            At::Volume(v) => find(&self.volumes, v).map(At::Volume),
            At::Outside(c) => find(&self.cylinders, c).map(At::Outside),
        };
        let mut junctions: Vec<usize> = Vec::new();
        let mut behind = |behind: Behind| match behind {
            Behind::Closed => Some(behind),
            Behind::Vessel(v) => at(v).map(Behind::Vessel),
            Behind::Junction(j) => {
                if !junctions.contains(&j) {
                    junctions.push(j);
                }
                find(&junctions, j).map(Behind::Junction)
            }
        };
        let mut pipes = Vec::new();
        for &i in &self.pipes {
            let pipe = &whole.pipes[i];
            pipes.push(PipeLayout { first: behind(pipe.first)?, last: behind(pipe.last)?, ..*pipe });
        }
        let mut openings = Vec::new();
        for &i in &self.openings {
            let (a, b) = whole.openings[i];
            openings.push((at(a)?, at(b)?));
        }
        let mut valves = Vec::new();
        for &i in &self.valves {
            let valve = &whole.valves[i];
            let (cylinder, pipe) = (find(&self.cylinders, valve.cylinder)?, find(&self.pipes, valve.pipe)?);
            valves.push(ValveLayout { cylinder, pipe, ..*valve });
        }
        let both = |(a, b): (At, At)| Some((at(a)?, at(b)?));
        let collectors = whole.collectors.iter();
        Some(Layout {
            pipes,
            volumes: self.volumes.len(),
            reservoirs: whole.reservoirs.clone(),
            openings,
            cylinders: self.cylinders.len(),
            valves,
            charger: match whole.charger {
                Some(charger) => Some(both(charger)?),
                None => None,
            },
            turbine: None,
            manifold: whole.manifold.and_then(|v| find(&self.volumes, v)),
            collectors: collectors.filter_map(|(p, which)| find(&self.pipes, *p).map(|p| (p, *which))).collect(),
            half: true,
            shared_volumes: self.volumes.iter().map(|&v| graph.in_common(v)).collect(),
            shared_pipes: self.pipes.iter().map(|&p| graph.is_shared_pipe(&whole.pipes[p])).collect(),
        })
    }
}

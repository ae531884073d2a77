//! Nanoseconds for a step of a cell, by kind of lane.

use cycle::duct::{Cell, DuctShape, DuctSpec, EndFlux, Flux, Gas, Point, end_points, sweep};
use cycle::lane::{Kernel, F32x8, F32x16, F64x4, Lane};
use std::time::Instant;

struct Run<'a, L: Lane> {
    gas: &'a Gas<L>,
    cells: &'a mut [Cell<L>],
    shapes: &'a [cycle::duct::CellShape<L>],
    duct: &'a DuctShape<L>,
    ends: [&'a EndFlux<L>; 2],
    dt: L,
    steps: usize,
}
impl<L: Lane> Kernel for Run<'_, L> {
    type Output = L;
    #[inline(always)]
    fn run(self) -> L {
        let mut rate = L::zero();
        let mut ends = [*self.ends[0], *self.ends[1]];
        for _ in 0..self.steps {
            let points =
                end_points(self.gas, self.cells, self.shapes, self.duct, [&ends[0].face, &ends[1].face], self.dt);
            for (i, sign) in [(0, -1.0), (1, 1.0)] {
                let end = &points[i];
                let p = end.at.p + L::splat(sign) * end.rho * end.c * end.at.u;
                ends[i] = EndFlux { flux: Flux::wall(p), face: Point { p, u: L::zero(), ..end.at } };
            }
            rate = rate.max(sweep(self.gas, self.cells, self.shapes, self.duct, [&ends[0], &ends[1]], self.dt).rate);
        }
        rate
    }
}

fn one<L: Lane>(name: &str, dispatch: bool) {
    let n = 100;
    let spec = DuctSpec { friction_factor: 1.0, heat_factor: 1.0, ..DuctSpec::straight(3.0, 0.05, n) };
    let mut duct = DuctShape::blank();
    let mut shapes = vec![cycle::duct::CellShape::blank(); n];
    for i in 0..L::WIDTH {
        spec.put(i, &mut duct, &mut shapes);
    }
    let gas = Gas::<L>::constant(287.0, 1.4);
    let mut cells: Vec<Cell<L>> = (0..n)
        .map(|i| {
            let p = 1e5 * (1.0 + 0.2 * (i as f64 * 0.2).sin());
            let at = Point { p: L::splat(p), u: L::zero(), t: L::splat(300.0), yb: L::splat(0.1), yf: L::splat(0.01) };
            Cell::from_point(&gas, &at)
        })
        .collect();
    let p = L::splat(1e5);
    let end = EndFlux { flux: Flux::wall(p), face: Point::at_rest(p, L::splat(300.0), L::splat(0.1), L::splat(0.0)) };
    let steps = 4000;
    let dt = L::splat(4e-5);
    let mut best = f64::MAX;
    for _ in 0..3 {
        let run = Run { gas: &gas, cells: &mut cells, shapes: &shapes, duct: &duct, ends: [&end, &end], dt, steps };
        let start = Instant::now();
        let rate =
            if dispatch { L::widest(run) } else { run.run() };
        let ns = start.elapsed().as_secs_f64() * 1e9;
        assert!(rate.get(0).is_finite());
        best = best.min(ns / (steps * n * L::WIDTH) as f64);
    }
    println!("{name:>10} dispatch {dispatch}: {best:.2} ns a cell-step a lane");
}

fn main() {
    one::<f64>("f64", false);
    one::<F64x4>("f64x4", true);
    one::<F32x8>("f32x8", true);
    one::<F32x8>("f32x8", false);
    if cycle::lane::has_512() {
        one::<F32x16>("f32x16", true);
    }
}

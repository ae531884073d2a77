//! Nanoseconds for a step of a cell, by kind of lane.

use cycle::duct::state::Full;
use cycle::duct::{Cell, DuctShape, DuctSpec, EndFlux, Flux, Gas, Point, Room, end_points, sweep};
use cycle::end::Which;
use cycle::end::junction::{Arm, Branch, Leaving, junction};
use cycle::end::orifice::orifice;
use cycle::end::volume::reservoir;
use cycle::lane::{F32x8, F32x16, F64x4, Kernel, Lane};

/// Time on the processor of this thread, ns: others on the machine do not count. Falls back to the clock.
fn cpu_ns() -> f64 {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|s| s.split(' ').next().and_then(|x| x.parse().ok()))
        .unwrap_or_else(|| {
            std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).map_or(0.0, |d| d.as_secs_f64() * 1e9)
        })
}

struct Ends<'a, L: Lane> {
    full: &'a Full<L>,
    pressures: &'a [L],
    gas: &'a Gas<L>,
    meet: bool,
}

impl<L: Lane> Kernel for Ends<'_, L> {
    type Output = L;
    #[inline(always)]
    fn run(self) -> L {
        let mut sum = L::zero();
        for p in self.pressures {
            if self.meet {
                let mut full = *self.full;
                full.at.p = *p;
                let other = self.full;
                let area = L::splat(1e-3);
                let b = |end, which| Branch { end, which, area: &area };
                let branches = [
                    b(&full, Which::Last),
                    b(other, Which::Last),
                    b(other, Which::Last),
                    b(other, Which::Last),
                    b(other, Which::First),
                ];
                let zero = L::zero();
                let face = cycle::end::Face { mass: zero, h0: zero, p: zero, v: zero, t: zero, yb: zero, yf: zero };
                let mut faces = [face; 5];
                let mut leaving = Leaving::at_rest(L::splat(300.0));
                junction(self.gas, &branches, &mut leaving, &mut [Arm::idle(); 5], &mut faces);
                sum += faces[0].mass;
            } else {
                let vessel = reservoir(self.gas, *p, L::splat(320.0), L::zero(), L::zero());
                let share = L::splat(0.4);
                sum += orifice(self.full, self.full.at.u, &vessel, share, share).mass;
            }
        }
        sum
    }
}

fn ends<L: Lane>(name: &str) {
    let gas = Gas::<L>::constant(287.0, 1.4);
    let s = L::splat;
    let cell = Cell::from_point(&gas, &Point { p: s(1e5), u: s(30.0), t: s(300.0), yb: s(0.1), yf: s(0.0) });
    let full = Full::of(&gas, &cell);
    // half of the lanes flow one way, half the other, as engines at different angles do
    let pressures: Vec<L> =
        (0..2000).map(|i| L::from_fn(|l| 1e5 * (1.0 + 0.3 * ((i as f64) * 0.37 + l as f64).sin()))).collect();
    for meet in [false, true] {
        let mut best = f64::MAX;
        for _ in 0..2 {
            let start = cpu_ns();
            for _ in 0..100 {
                let sum = L::widest(Ends { full: &full, pressures: &pressures, gas: &gas, meet });
                assert!(sum.get(0).is_finite());
            }
            best = best.min((cpu_ns() - start) / (100 * pressures.len()) as f64);
        }
        let what = if meet { "junction of five" } else { "orifice" };
        println!("{name:>10} {what}: {best:.0} ns for all lanes");
    }
}

struct Run<'a, L: Lane> {
    gas: &'a Gas<L>,
    cells: &'a mut [Cell<L>],
    shapes: &'a [cycle::duct::CellShape<L>],
    duct: &'a DuctShape<L>,
    ends: [&'a EndFlux<L>; 2],
    dt: L,
    steps: usize,
    room: &'a mut Room<L>,
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
            let ends = [&ends[0], &ends[1]];
            let swept = sweep(self.gas, self.cells, self.shapes, self.duct, ends, self.dt, self.room);
            rate = rate.max(swept.rate);
        }
        rate
    }
}

fn one<L: Lane>(name: &str, dispatch: bool) {
    // as long as a primary pipe
    let n = 12;
    let spec = DuctSpec { friction_factor: 1.0, heat_factor: 1.0, ..DuctSpec::straight(0.36, 0.05, n) };
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
    let steps = 30_000;
    let mut room = Room::new(&gas, n);
    let dt = L::splat(4e-5);
    let mut best = f64::MAX;
    for _ in 0..3 {
        let run = Run {
            gas: &gas,
            cells: &mut cells,
            shapes: &shapes,
            duct: &duct,
            ends: [&end, &end],
            dt,
            steps,
            room: &mut room,
        };
        let start = cpu_ns();
        let rate = if dispatch { L::widest(run) } else { run.run() };
        let ns = cpu_ns() - start;
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
    ends::<f64>("f64");
    ends::<F32x8>("f32x8");
    if cycle::lane::has_512() {
        ends::<F32x16>("f32x16");
    }
}

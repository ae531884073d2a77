//! A curve and a batch of curves: time, what it is worth, and how near the machine's limit it is.

use cycle::constants::Constants;
use cycle::cylinder::{CylinderPoint, HeatModel, Phasing, closed};
use cycle::gas_state::{Charge, Fuel};
use cycle::lane::{F32x8, F32x16, Kernel, Lane, has_512};
use cycle::model::{Assembled, Mesh, Operating, assemble_all};
use cycle::parts::EngineParts;
use cycle::predict::many::{Precision, run_designs, run_many};
use cycle::solve::run::{Ran, Settle};
use engine::build_file::BuildFile;
use engine::kinematics::SliderCrank;
use rayon::prelude::*;
use std::sync::Arc;
use std::time::Instant;

const V8: &str = include_str!("../../../examples/builds/pushrod-v8.toml");
const POINTS: usize = 13;

fn speeds() -> Vec<f64> {
    (0..POINTS).map(|i| 1500.0 + 5000.0 * i as f64 / (POINTS - 1) as f64).collect()
}

/// The V8 with what a builder would try: 64 of lobes, separation and primaries, and these with four runners.
fn design(i: usize) -> EngineParts {
    let pick = |n: usize, from: [f64; 4]| from[(i / n) % from.len()];
    let lsa = pick(1, [106.0, 109.0, 112.0, 115.0]);
    let primary = pick(4, [28.0, 32.0, 36.0, 40.0]);
    let duration = pick(16, [216.0, 224.0, 232.0, 240.0]);
    let runner = pick(64, [14.0, 11.0, 12.5, 15.5]);
    let text = V8
        .replace("lobe_separation = \"110 deg", &format!("lobe_separation = \"{lsa} deg"))
        .replace("primary_length = \"34 in\"", &format!("primary_length = \"{primary} in\""))
        .replace(
            "manifold = \"dual plane\"",
            &format!(
                "manifold = \"dual plane\"
runner_length = \"{runner} in\""
            ),
        )
        .replace("\"272 deg @ 0.006 in", &format!("\"{} deg @ 0.006 in", duration + 48.0))
        .replace("\"224 deg @ 0.050 in", &format!("\"{duration} deg @ 0.050 in"));
    parts(&text)
}

fn parts(text: &str) -> EngineParts {
    let file = BuildFile::parse(text).unwrap_or_else(|e| panic!("{e}"));
    EngineParts::from_build(file.build()).unwrap_or_else(|e| panic!("{e}"))
}

/// How finely.
#[derive(Clone, Copy)]
struct Plan {
    mesh: Mesh,
    settle: Settle,
}

impl Plan {
    fn quick() -> Self {
        Self { mesh: Mesh::QUICK, settle: Settle::QUICK }
    }
    fn close() -> Self {
        Self { mesh: Mesh::CLOSE, settle: Settle::QUICK }
    }
    fn fine() -> Self {
        Self { mesh: Mesh::USUAL.times(0.4), settle: Settle { change: 2e-4, least: 5, most: 25 } }
    }
}

fn assembled(parts: &EngineParts, plan: &Plan) -> Vec<Assembled> {
    let operating: Vec<Operating> = speeds().iter().map(|r| Operating::full_load(*r)).collect();
    assemble_all(parts, &operating, &plan.mesh, Constants::shipped()).unwrap_or_else(|e| panic!("{e}"))
}

fn work(ran: &Ran) -> f64 {
    ran.totals.cylinders.iter().map(|c| c.work_j).sum()
}

/// Processor time of the whole process, s, where the system tells it.
fn cpu_s() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after = text.rsplit(") ").next().unwrap_or_default().to_owned();
    let fields: Vec<&str> = after.split(' ').collect();
    let ticks = |n: usize| fields.get(n).and_then(|x| x.parse::<f64>().ok()).unwrap_or(f64::NAN);
    (ticks(11) + ticks(12)) / 100.0
}

/// Products and sums a second that one core does in single precision: what no solver can beat.
struct Limit<L> {
    x: [L; 8],
    rounds: usize,
}

impl<L: Lane> Kernel for Limit<L> {
    type Output = L;
    #[inline(always)]
    fn run(self) -> L {
        let (a, b) = (L::splat(0.999_99), L::splat(1e-6));
        let [mut x0, mut x1, mut x2, mut x3, mut x4, mut x5, mut x6, mut x7] = self.x;
        for _ in 0..self.rounds {
            x0 = x0 * a + b;
            x1 = x1 * a + b;
            x2 = x2 * a + b;
            x3 = x3 * a + b;
            x4 = x4 * a + b;
            x5 = x5 * a + b;
            x6 = x6 * a + b;
            x7 = x7 * a + b;
        }
        x0 + x1 + x2 + x3 + x4 + x5 + x6 + x7
    }
}

fn limit_flops() -> f64 {
    fn of<L: Lane>() -> f64 {
        let rounds = 20_000_000;
        let mut best: f64 = 0.0;
        for _ in 0..2 {
            let start = cpu_s();
            let sum = L::widest(Limit { x: [L::one(); 8], rounds });
            assert!(sum.get(0).is_finite());
            best = best.max((rounds * 8 * 2 * L::WIDTH) as f64 / (cpu_s() - start));
        }
        best
    }
    if has_512() { of::<F32x16>() } else { of::<F32x8>() }
}

/// Arithmetic of a cell in a step, counted in the source: primitives 35, slopes and half step 75, both sides of a
/// face 50, flux 60, update with friction, heat and temperature 90; a root or a quotient counts as one.
const CELL_FLOPS: f64 = 310.0;

fn one_curve(parts: &EngineParts, flops: f64, reference: &[f64], plan: &Plan, name: &str, aim_ms: f64) {
    let mut best = f64::MAX;
    let mut last = Vec::new();
    let mut cells = 0;
    let cpu = cpu_s();
    let rounds = 7;
    for _ in 0..rounds {
        let start = Instant::now();
        let made = assembled(parts, plan);
        cells = made.iter().map(|m| m.layout.cells()).max().unwrap_or(0);
        last = run_many(&made, HeatModel::Woschni, &plan.settle, Precision::Quick);
        best = best.min(start.elapsed().as_secs_f64());
    }
    let cpu = (cpu_s() - cpu) / f64::from(rounds);
    let worst = last.iter().zip(reference).map(|(r, f)| (work(r) / f - 1.0).abs()).fold(0.0, f64::max);
    let rms =
        (last.iter().zip(reference).map(|(r, f)| (work(r) / f - 1.0).powi(2)).sum::<f64>() / POINTS as f64).sqrt();
    let simulated: f64 = last.iter().map(|r| r.simulated_s).sum();
    let cell_steps: f64 = last.iter().map(|r| r.cell_steps).sum();
    println!(
        "{name}: {:.0} ms wall ({:.0} ms of processor), aim {aim_ms:.0} ms; at most {cells} cells; off the fine mesh by {:.2} % at worst, {:.2} % rms",
        best * 1e3,
        cpu * 1e3,
        1e2 * worst,
        1e2 * rms
    );
    println!(
        "    {:.1} simulated seconds a second of one core, {:.2} ns a cell-step; arithmetic alone at this core's {:.0} Gflop/s: {:.0} ms of processor, 1/{:.1} of what it took",
        simulated / cpu,
        cpu * 1e9 / cell_steps,
        flops / 1e9,
        cell_steps * CELL_FLOPS / flops * 1e3,
        cpu / (cell_steps * CELL_FLOPS / flops)
    );
}

/// Spearman's rank correlation.
fn rank_correlation(a: &[f64], b: &[f64]) -> f64 {
    let ranks = |x: &[f64]| {
        let mut order: Vec<usize> = (0..x.len()).collect();
        order.sort_by(|i, j| x[*i].total_cmp(&x[*j]));
        let mut rank = vec![0.0; x.len()];
        for (r, i) in order.into_iter().enumerate() {
            rank[i] = r as f64;
        }
        rank
    };
    let (a, b) = (ranks(a), ranks(b));
    let n = a.len() as f64;
    let d2: f64 = a.iter().zip(&b).map(|(a, b)| (a - b).powi(2)).sum();
    1.0 - 6.0 * d2 / (n * (n * n - 1.0))
}

/// How many curves of different designs a minute, and whether they come in the right order: `checked` of them against
/// a fine mesh in double precision.
fn batch(designs: usize, checked: usize) {
    let made_of: Vec<EngineParts> = (0..designs).map(design).collect();
    let curves = |parts: &[EngineParts], plan: &Plan, precision: Precision| -> (Vec<Vec<Ran>>, f64) {
        let start = Instant::now();
        let made: Vec<Vec<Assembled>> = parts.par_iter().map(|p| assembled(p, plan)).collect();
        let ran = run_designs(&made, HeatModel::Woschni, &plan.settle, precision);
        (ran, start.elapsed().as_secs_f64())
    };
    let cpu = cpu_s();
    let (mut quick, wall) = curves(&made_of, &Plan::quick(), Precision::Quick);
    let cpu = cpu_s() - cpu;
    let cores = rayon::current_num_threads();
    println!(
        "batch of {designs} designs, {POINTS} points each: {:.0} curves a minute wall, {:.0} a minute by processor time on {cores} cores, aim 4000",
        60.0 * designs as f64 / wall,
        60.0 * designs as f64 / (cpu / cores as f64),
    );
    quick.truncate(checked);
    let (fine, fine_s) = curves(&made_of[..checked], &Plan::fine(), Precision::Double);
    let mean = |ran: &[Vec<Ran>]| ran.iter().map(|c| c.iter().map(work).sum::<f64>()).collect::<Vec<f64>>();
    let top = |ran: &[Vec<Ran>]| {
        let power = |c: &Vec<Ran>| c.iter().zip(speeds()).map(|(r, n)| work(r) * n).fold(0.0, f64::max);
        ran.iter().map(power).collect::<Vec<f64>>()
    };
    let pairs = quick.iter().flatten().zip(fine.iter().flatten());
    let off: Vec<f64> = pairs.map(|(q, f)| work(q) / work(f) - 1.0).collect();
    let worst = off.iter().fold(0.0, |a: f64, b| a.max(b.abs()));
    let rms = (off.iter().map(|o| o * o).sum::<f64>() / off.len() as f64).sqrt();
    println!(
        "    {checked} of them against the fine mesh in double precision ({fine_s:.0} s): off by {:.2} % at worst, {:.2} % rms; rank correlation of mean work {:.4}, of best power {:.4}, aim 0.995",
        1e2 * worst,
        1e2 * rms,
        rank_correlation(&mean(&quick), &mean(&fine)),
        rank_correlation(&top(&quick), &top(&fine))
    );
}

/// The closed cycle that tools/bench_cantera.py times.
fn one_closed_cycle() {
    let fuel = Fuel::isooctane();
    let charge = Arc::new(Charge::new(&fuel, 1.0, 0.0).unwrap_or_else(|e| panic!("{e}")));
    let crank = SliderCrank::from_stroke(0.092, 0.150, 0.0).unwrap_or_else(|e| panic!("{e}"));
    let swept = core::f64::consts::FRAC_PI_4 * 0.092f64.powi(3);
    let shut = (f64::to_radians(-130.0), f64::to_radians(130.0));
    let speed = 3000.0 * core::f64::consts::PI / 30.0;
    let mut point = CylinderPoint::new(crank, 0.092, swept / 9.0, speed, shut, charge, Constants::shipped()).motored();
    point.phasing = Phasing::Given { start_deg: -10.0, duration_deg: 50.0, heat_j: 1200.0 };
    let start = closed::Start { p_pa: 100e3, t_k: 330.0, yb: 0.0, yf: 0.0 };
    let mut best = f64::MAX;
    let mut work_j = 0.0;
    for _ in 0..20 {
        let begin = Instant::now();
        let cycle =
            closed::closed_cycle(&point, HeatModel::Adiabatic, &start, 0.0, 1.0).unwrap_or_else(|e| panic!("{e}"));
        best = best.min(begin.elapsed().as_secs_f64());
        work_j = cycle.trace.last().map_or(f64::NAN, |t| t.work_j);
    }
    println!(
        "closed cycle of one cylinder, a step a degree, double precision: {:.3} ms, work {work_j:.1} J (table: 559.63 J)",
        best * 1e3
    );
}

fn main() {
    let engine = parts(V8);
    // big cam, narrow separation, long primaries, open pipe
    let tuned = parts(
        &V8.replace("lobe_separation = \"110 deg", "lobe_separation = \"105 deg")
            .replace("\"272 deg @ 0.006 in", "\"300 deg @ 0.006 in")
            .replace("\"224 deg @ 0.050 in", "\"252 deg @ 0.050 in")
            .replace("\"278 deg @ 0.006 in", "\"306 deg @ 0.006 in")
            .replace("\"230 deg @ 0.050 in", "\"258 deg @ 0.050 in")
            .replace("primary_length = \"34 in\"", "primary_length = \"40 in\""),
    );
    let flops = limit_flops();
    for (name, parts) in [("V8", &engine), ("tuned V8", &tuned)] {
        let plan = Plan::fine();
        // the reference: double precision, fine
        let fine = run_many(&assembled(parts, &plan), HeatModel::Woschni, &plan.settle, Precision::Double);
        let reference: Vec<f64> = fine.iter().map(work).collect();
        one_curve(parts, flops, &reference, &Plan::quick(), &format!("{name}, 13 points, quick"), 50.0);
        one_curve(parts, flops, &reference, &Plan::close(), &format!("{name}, 13 points, close"), 100.0);
    }
    batch(256, 64);
    one_closed_cycle();
}

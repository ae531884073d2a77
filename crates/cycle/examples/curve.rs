//! Exploration: a curve of a build file.
use cycle::constants::Constants;
use cycle::cylinder::HeatModel;
use cycle::model::{Mesh, Operating, assemble};
use cycle::parts::EngineParts;
use cycle::solve::run::{Lanes, Settle, run_lanes};
use std::sync::Arc;
use std::time::Instant;

fn go(lanes: Lanes, parts: &EngineParts, speeds: &[f64], mesh: Mesh, show: bool) {
    let k = Constants::shipped();
    let made: Vec<_> = speeds.iter().map(|r| assemble(parts, &Operating::full_load(*r), &mesh, k).unwrap()).collect();
    let layout = Arc::new(made[0].layout.clone());
    let jobs: Vec<_> = made.into_iter().map(|m| Arc::new(m.sizes)).collect();
    let start = Instant::now();
    let ran = run_lanes(&layout, &jobs, HeatModel::Woschni, &Settle::USUAL, lanes);
    let wall = start.elapsed().as_secs_f64();
    let mut steps = 0.0;
    let mut simulated = 0.0;
    for (r, rpm) in ran.iter().zip(speeds) {
        steps += r.steps;
        simulated += r.simulated_s;
        let work: f64 = r.totals.cylinders.iter().map(|c| c.work_j).sum();
        let pump: f64 = r.totals.cylinders.iter().map(|c| c.exchange_work_j).sum();
        let air: f64 = r.totals.cylinders.iter().map(|c| c.air_kg).sum();
        let fuel: f64 = r.totals.cylinders.iter().map(|c| c.fuel_kg).sum();
        let vd = parts.displacement_m3;
        let rho = parts.ambient.p_pa / 287.0 / parts.ambient.t_k;
        let peak = r.cylinders[0].map_or(0.0, |s| s.p_max_pa);
        let sp = 2.0 * parts.crank.stroke_m() * rpm / 60.0;
        let fmep = cycle::friction::ChenFlynn::from_constants(k).mean_pressure(peak, sp).total_pa();
        let t = (work - fmep * vd) / (4.0 * std::f64::consts::PI);
        if show {
            let c = r.cylinders[0].as_ref().unwrap();
            println!(
                "{rpm:6.0} T {t:6.1} Nm P {:6.1} kW imep {:5.2} pmep {:5.2} fmep {:4.2} VE {:5.1}% fuel/air {:.4} man {:6.0} back {:6.0} pmax {:5.1} knock {:.2} later {:.1} spark {:.1} dur {:.1} res {:.3} {:?} {:.1e} cycles {}",
                t * rpm / 9549.3,
                work / vd / 1e5,
                pump / vd / 1e5,
                fmep / 1e5,
                100.0 * air / (rho * vd),
                fuel / air,
                r.totals.manifold[0],
                r.totals.back_pa,
                peak / 1e5,
                c.knock_integral,
                c.later_deg,
                c.plan.spark_btdc_deg,
                c.plan.duration_10_90_deg,
                c.trapped.yb,
                r.settled,
                r.change,
                r.cycles
            );
        }
    }
    let cells = layout.cells();
    println!(
        "{} cells, {:?} lanes: {:.1} ms, {:.2} ns a cell-step, simulated/wall {:.2}, {} steps",
        cells,
        lanes,
        wall * 1e3,
        wall * 1e9 / steps / cells as f64,
        simulated / wall,
        steps
    );
}

fn main() {
    let path = std::env::args().nth(1).expect("a build file");
    let text = std::fs::read_to_string(&path).expect("readable");
    let file = engine::build_file::BuildFile::parse(&text).expect("a build");
    let parts = EngineParts::from_build(file.build()).expect("parts");
    let speeds: Vec<f64> = (0..13).map(|i| 1500.0 + 5000.0 * i as f64 / 12.0).collect();
    let which = std::env::args().nth(2).unwrap_or_else(|| "8".into());
    let mesh = Mesh::USUAL.times(std::env::args().nth(3).map_or(1.0, |m| m.parse().unwrap()));
    match which.as_str() {
        "64" => go(Lanes::Double, &parts, &speeds, mesh, true),
        "16" => go(Lanes::Sixteen, &parts, &speeds, mesh, false),
        _ => go(Lanes::Eight, &parts, &speeds, mesh, true),
    }
}

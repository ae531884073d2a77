use cycle::constants::Constants;
use cycle::cylinder::HeatModel;
use cycle::model::{Assembled, Mesh, Operating, assemble, assemble_all};
use cycle::parts::EngineParts;
use cycle::predict::many::{Precision, run_many};
use cycle::solve::run::Settle;
use engine::build_file::BuildFile;
use std::time::Instant;
const V8: &str = include_str!("../../../examples/builds/pushrod-v8.toml");
fn cpu_s() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after = text.rsplit(") ").next().unwrap_or_default().to_owned();
    let fields: Vec<&str> = after.split(' ').collect();
    let ticks = |n: usize| fields.get(n).and_then(|x| x.parse::<f64>().ok()).unwrap_or(f64::NAN);
    (ticks(11) + ticks(12)) / 100.0
}
fn main() {
    let tuned = std::env::args().nth(1).as_deref() == Some("tuned");
    let rounds: usize = std::env::args().nth(2).and_then(|s| s.parse().ok()).unwrap_or(20);
    let text = if tuned {
        V8.replace("lobe_separation = \"110 deg", "lobe_separation = \"105 deg")
            .replace("\"272 deg @ 0.006 in", "\"300 deg @ 0.006 in")
            .replace("\"224 deg @ 0.050 in", "\"252 deg @ 0.050 in")
            .replace("\"278 deg @ 0.006 in", "\"306 deg @ 0.006 in")
            .replace("\"230 deg @ 0.050 in", "\"258 deg @ 0.050 in")
            .replace("primary_length = \"34 in\"", "primary_length = \"40 in\"")
    } else {
        V8.to_owned()
    };
    let parts = EngineParts::from_build(BuildFile::parse(&text).unwrap().build()).unwrap();
    let asm = |mesh: &Mesh| -> Vec<Assembled> {
        let o: Vec<Operating> = (0..13).map(|i| Operating::full_load(1500.0 + 5000.0 * i as f64 / 12.0)).collect();
        assemble_all(&parts, &o, mesh, Constants::shipped()).unwrap()
    };
    for (name, mesh) in [("quick", Mesh::QUICK), ("close", Mesh::CLOSE)] {
        let (mut best, mut bestcpu) = (f64::MAX, f64::MAX);
        let mut asm_ms = 0.0;
        let mut last = Vec::new();
        for _ in 0..rounds {
            let c = cpu_s();
            let t = Instant::now();
            let made = asm(&mesh);
            asm_ms = t.elapsed().as_secs_f64() * 1e3;
            last = run_many(&made, HeatModel::Woschni, &Settle::QUICK, Precision::Quick);
            best = best.min(t.elapsed().as_secs_f64() * 1e3);
            bestcpu = bestcpu.min((cpu_s() - c) * 1e3);
        }
        println!("{name}: wall {best:.1} ms, cpu {bestcpu:.0} ms, assemble {asm_ms:.1} ms");
        println!("  cycles {:?}", last.iter().map(|r| r.cycles).collect::<Vec<_>>());
        println!("  steps  {:?}", last.iter().map(|r| r.steps as usize).collect::<Vec<_>>());
        println!(
            "  work {:?}",
            last.iter()
                .map(|r| (r.totals.cylinders.iter().map(|c| c.work_j).sum::<f64>() * 10.0).round() / 10.0)
                .collect::<Vec<_>>()
        );
    }
}

use cycle::constants::Constants;
use cycle::cylinder::HeatModel;
use cycle::model::{Mesh, Operating, assemble_all};
use cycle::parts::EngineParts;
use cycle::predict::many::{Precision, run_designs};
use cycle::solve::run::Settle;
use engine::build_file::BuildFile;
const V8: &str = include_str!("../../../examples/builds/pushrod-v8.toml");
fn main() {
    let parts = EngineParts::from_build(BuildFile::parse(V8).unwrap().build()).unwrap();
    let o: Vec<Operating> = (0..13).map(|i| Operating::full_load(1500.0 + 5000.0 * i as f64 / 12.0)).collect();
    let made = assemble_all(&parts, &o, &Mesh::QUICK, Constants::shipped()).unwrap();
    let d: Vec<_> = (0..32).map(|_| made.clone()).collect();
    for _ in 0..4 {
        let t = std::time::Instant::now();
        let r = run_designs(&d, HeatModel::Woschni, &Settle::QUICK, Precision::Quick);
        println!("{:.0} ms {}", t.elapsed().as_secs_f64() * 1e3, r[0].iter().map(|r| r.steps).sum::<f64>());
    }
}

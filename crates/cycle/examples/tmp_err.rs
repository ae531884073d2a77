use cycle::constants::Constants;
use cycle::cylinder::HeatModel;
use cycle::model::{Assembled, Mesh, Operating, assemble};
use cycle::parts::EngineParts;
use cycle::predict::many::{Precision, run_many};
use cycle::solve::run::{Ran, Settle};
use engine::build_file::BuildFile;
const V8: &str = include_str!("../../../examples/builds/pushrod-v8.toml");
fn main() {
    for tuned in [false, true] {
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
        println!(
            "runner {} primary {} port {} collector {}",
            parts.intake.runner_m, parts.exhaust.primary_m, parts.exhaust.port_m, parts.exhaust.collector_m
        );
        let asm = |mesh: &Mesh| -> Vec<Assembled> {
            (0..13)
                .map(|i| 1500.0 + 5000.0 * i as f64 / 12.0)
                .map(|r| assemble(&parts, &Operating::full_load(r), mesh, Constants::shipped()).unwrap())
                .collect()
        };
        let work = |r: &Ran| r.totals.cylinders.iter().map(|c| c.work_j).sum::<f64>();
        let fine_settle = Settle { change: 2e-4, least: 5, most: 25 };
        let run = |mesh: &Mesh, settle: &Settle| {
            let made = asm(mesh);
            let c: Vec<usize> = made[0].layout.pipes.iter().map(|p| p.cells).collect();
            let r = run_many(&made, HeatModel::Woschni, settle, Precision::Quick);
            (
                (c[0], c[8], *c.last().unwrap()),
                r.iter().map(work).collect::<Vec<f64>>(),
                r.iter().map(|r| r.steps / r.cycles as f64).collect::<Vec<_>>(),
            )
        };
        let (_, fine, _) = run(&Mesh::USUAL.times(0.4), &fine_settle);
        println!("fine {:?}", fine.iter().map(|x| x.round()).collect::<Vec<_>>());
        for (i, e, l) in [(60., 90., 4), (60., 150., 4), (45., 75., 6)] {
            let mesh = Mesh { intake_m: i * 1e-3, exhaust_m: e * 1e-3, least: l, slow: (0.0, 1.0) };
            let (c, w, s) = run(&mesh, &fine_settle);
            let off: Vec<String> = w.iter().zip(&fine).map(|(a, b)| format!("{:+.2}", 100.0 * (a / b - 1.0))).collect();
            println!("{i}/{e}/{l} cells {c:?}: {} steps/cyc {:.0} {:.0}", off.join(" "), s[0], s[12]);
        }
    }
}

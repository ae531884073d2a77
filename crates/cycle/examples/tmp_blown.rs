use cycle::constants::Constants;
use cycle::model::Operating;
use cycle::parts::EngineParts;
use cycle::predict::{Request, predict_parts};
use engine::build_file::BuildFile;
fn main() {
    let base = std::fs::read_to_string("validation/calibration_engines/blown_pushrod_v8.toml").unwrap();
    let eff70 = ("cooler_effectiveness = \"80 %", "cooler_effectiveness = \"70 %");
    let eff60 = ("cooler_effectiveness = \"80 %", "cooler_effectiveness = \"60 %");
    let cool = ("coolant_temperature = \"45", "coolant_temperature = \"55");
    let flow = ("flow = \"70 145 212 262 292 cfm\"", "flow = \"65 133 192 235 260 cfm\"");
    let drop = ("cooler_drop = \"6 kPa", "cooler_drop = \"12 kPa");
    let edits: Vec<Vec<(&str, &str)>> = vec![
        vec![],
        vec![eff70],
        vec![eff60, cool],
        vec![flow],
        vec![drop],
        vec![eff70, cool, flow],
        vec![eff70, cool, flow, drop, ("\"93 %, assumed because twisted", "\"94 %, assumed because twisted")],
    ];
    for e in edits {
        let mut t = base.clone();
        for (a, b) in &e {
            assert!(t.contains(a), "{a}");
            t = t.replace(a, b);
        }
        let parts = EngineParts::from_build(BuildFile::parse(&t).unwrap().build()).unwrap();
        let rpm: Vec<f64> = (0..19).map(|i| 2600.0 + 200.0 * i as f64).collect();
        let ops: Vec<Operating> = rpm.iter().map(|r| Operating::full_load(*r)).collect();
        let p = predict_parts(&parts, Constants::shipped(), &Request::at(ops).quick()).unwrap();
        println!("{e:?}");
        for (r, pt) in rpm.iter().zip(&p.points).step_by(2) {
            let f = pt.figures.as_ref().unwrap();
            println!(
                "  {r:.0} T {:.1} P {:.1} boost {:.1} T2 {:.0} man {:.0} held {:.1} ve {:.3} fric {:.0} blower {:.0} kW air {:.4}",
                f.torque_nm,
                f.power_w / 1e3,
                f.boost_pa.unwrap() / 1e3,
                f.charger_k.unwrap(),
                f.manifold_k.unwrap(),
                f.cylinders[0].held_back_deg,
                f.filling,
                f.friction.total_pa() / 1e3,
                f.blower_w / 1e3,
                f.air_kg_s
            );
        }
    }
}

//! Scratch.
use cycle::constants::Constants;
use cycle::cylinder::HeatModel;
use cycle::friction::ChenFlynn;
use cycle::lane::F32x8;
use cycle::model::{Mesh, Operating, assemble};
use cycle::parts::EngineParts;
use cycle::solve::run::{Settle, run};
use engine::build_file::BuildFile;
use std::f64::consts::PI;
use std::sync::Arc;
fn main() {
    let mut constants = Constants::shipped().clone();
    let mut which = String::new();
    let mut edits: Vec<(String, String)> = Vec::new();
    let mut brief = false;
    for a in std::env::args().skip(1) {
        if a == "-b" {
            brief = true;
            continue;
        }
        if let Some(e) = a.strip_prefix('@') {
            let (k, v) = e.split_once('=').unwrap();
            edits.push((k.to_owned(), v.to_owned()));
            continue;
        }
        match a.split_once('=') {
            Some((k, v)) => constants = constants.with(k, v.parse().unwrap()),
            None => which = a,
        }
    }
    let mut rms = 0.0;
    for (name, rpms, target) in [
        (
            "na_pushrod_v8",
            vec![2000., 3000., 4000., 4400., 4800., 5200., 5600., 6000., 6400.],
            vec![(4800., 542.3), (6000., 480.65)],
        ),
        (
            "na_four_valve_four",
            vec![1000., 1500., 2000., 2500., 3000., 3500., 4000., 4500., 5000., 5500., 6000., 6400.],
            vec![
                (1000., 134.2),
                (1500., 146.6),
                (2000., 158.3),
                (2500., 165.4),
                (3000., 162.2),
                (3500., 159.1),
                (4000., 159.9),
                (4500., 165.4),
                (5000., 164.6),
                (5500., 160.7),
                (6000., 151.3),
            ],
        ),
        (
            "blown_pushrod_v8",
            vec![1500., 2000., 3000., 3400., 3800., 4200., 5000., 5600., 6100., 6400.],
            vec![(3800., 747.06), (6100., 649.05)],
        ),
    ] {
        if !which.is_empty() && !name.contains(&which) {
            continue;
        }
        let text = std::fs::read_to_string(format!("validation/calibration_engines/{name}.toml"))
            .or_else(|_| std::fs::read_to_string(format!("examples/builds/{name}.toml")))
            .unwrap();
        let mut section = String::new();
        let text: String = text
            .lines()
            .map(|l| {
                if l.starts_with('[') {
                    section = l.trim_matches(['[', ']']).to_owned();
                }
                let key = l.split('=').next().unwrap().trim();
                let full = format!("{section}.{key}");
                edits.iter().find(|e| e.0 == full).map_or(l.to_owned(), |e| format!("{key} = {}", e.1)) + "\n"
            })
            .collect();
        let file = BuildFile::parse(&text).unwrap();
        let facts = engine::build::Facts::new(file.build());
        let parts = EngineParts::from_facts(&facts, &constants).unwrap();
        let mesh = Mesh::USUAL;
        let t0 = std::time::Instant::now();
        let assembled: Vec<_> =
            rpms.iter().map(|&r| assemble(&parts, &Operating::full_load(r), &mesh, &constants).unwrap()).collect();
        let t1 = t0.elapsed();
        let layout = Arc::new(assembled[0].layout.clone());
        let jobs: Vec<_> = assembled.iter().map(|a| Arc::new(a.sizes.clone())).collect();
        let t0 = std::time::Instant::now();
        let ran = run::<F32x8>(&layout, &jobs, HeatModel::Woschni, &Settle::USUAL);
        println!("== {name}: {} cyl, set up {t1:.0?}, run {:.0?}", parts.cylinders.len(), t0.elapsed());
        let fr = ChenFlynn::from_constants(&constants);
        let vd = parts.displacement_m3;
        let (mut e2, mut es, mut ne) = (0.0, 0.0, 0.0);
        for (rpm, r) in rpms.iter().zip(&ran) {
            let t = &r.totals;
            let work: f64 = t.cylinders.iter().map(|c| c.work_j).sum();
            let pump: f64 = t.cylinders.iter().map(|c| c.exchange_work_j).sum();
            let air: f64 = t.cylinders.iter().map(|c| c.air_kg).sum();
            let fuel: f64 = t.cylinders.iter().map(|c| c.fuel_kg).sum();
            let wall: f64 = t.cylinders.iter().map(|c| c.wall_j).sum();
            let rel: f64 = t.cylinders.iter().map(|c| c.released_j).sum();
            let s0 = r.cylinders[0].unwrap();
            let pmax = r.cylinders.iter().flatten().map(|c| c.p_max_pa).sum::<f64>() / r.cylinders.len() as f64;
            let w = rpm * PI / 30.0;
            let sp = parts.crank.mean_speed_m_s(w);
            let fmep = fr.mean_pressure(pmax, sp).total_pa();
            let shaft = t.charger[2];
            let tq = (work - fmep * vd - shaft) / (4.0 * PI);
            let rho = parts.ambient.p_pa / (287.05 * parts.ambient.t_k);
            let got = target
                .iter()
                .find(|x| x.0 == *rpm)
                .map(|x| {
                    let e = tq / x.1 - 1.0;
                    e2 += e * e;
                    es += e;
                    ne += 1.0;
                    format!("{:+.1}% ", 100.0 * e)
                })
                .unwrap_or_default();
            if brief {
                print!("{rpm:.0}:{tq:.0} {got}| ");
                continue;
            }
            println!(
                "{rpm:5.0} T {tq:6.1} {got:7} P {:5.1} kW imep {:5.2} pmep {:5.2} fmep {:.2} chg {:.2} VE {:.3} map {:.1} Tm {:.0} back {:.1} tivc {:.0} pivc {:.2} yb {:.3} ca50 {:.1} spk {:.0} d {:.0} KI {:.2} pmax {:.0} wall {:.1}% Tevo {:.0} bsfc {:.0} {:?} {} cyc {:.1e}",
                tq * w / 1e3,
                work / vd / 1e5,
                pump / vd / 1e5,
                fmep / 1e5,
                shaft / vd / 1e5,
                air / (rho * vd),
                t.manifold[0] / 1e3,
                t.manifold[1],
                t.back_pa / 1e3,
                s0.trapped.t_k,
                s0.trapped.p_pa / 1e5,
                s0.trapped.yb,
                s0.plan.ca50_deg,
                s0.plan.spark_btdc_deg,
                s0.plan.duration_10_90_deg,
                s0.knock_integral,
                pmax / 1e5,
                100.0 * wall / rel,
                s0.t_evo_k,
                fuel * 3.6e9 / (tq * 4.0 * PI),
                r.settled,
                r.cycles,
                r.change
            );
        }
        println!(
            "   \n   mean error {:+.2}% rms about mean {:.2}%",
            100.0 * es / ne,
            100.0 * ((e2 / ne - (es / ne).powi(2)).max(0.0) as f64).sqrt()
        );
        rms += e2 / ne;
    }
    let _ = rms;
}

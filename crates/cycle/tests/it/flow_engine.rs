//! Whole engines: what goes in comes out, lanes do not mix, single precision is enough.

use crate::rig::{parts, text};
use cycle::constants::Constants;
use cycle::cylinder::{HeatModel, Phasing};
use cycle::model::{Assembled, Mesh, Operating, assemble};
use cycle::parts::EngineParts;
use cycle::predict::many::{Precision, run_designs, run_many};
use cycle::solve::halves::Halves;
use cycle::solve::run::{Lanes, Ran, Settle, Settled, run_on};
use cycle::solve::trace;
use std::sync::Arc;

fn made(parts: &EngineParts, operating: &Operating) -> Assembled {
    assemble(parts, operating, &Mesh::USUAL.times(1.5), Constants::shipped()).unwrap_or_else(|e| panic!("{e}"))
}

fn run(parts: &EngineParts, rpm: &[f64], lanes: Lanes) -> Vec<Ran> {
    let made: Vec<Assembled> = rpm.iter().map(|r| made(parts, &Operating::full_load(*r))).collect();
    let layout = Arc::new(made[0].layout.clone());
    let jobs: Vec<_> = made.into_iter().map(|m| vec![Arc::new(m.sizes)]).collect();
    run_on(&layout, None, &jobs, HeatModel::Woschni, &Settle::USUAL, lanes).into_iter().flatten().collect()
}

fn work(ran: &Ran) -> f64 {
    ran.totals.cylinders.iter().map(|c| c.work_j).sum()
}

#[test]
fn a_firing_engine_accounts_for_mass_and_energy() {
    // the mean of the rounding of some hundred steps; the aim was 1e-6
    for (build, rpm) in [("pushrod-v8", 4000.0), ("single-500", 6000.0), ("blown-hill-climb-four", 5000.0)] {
        let engine = parts(&text(&format!("examples/builds/{build}")));
        let made = made(&engine, &Operating::full_load(rpm));
        let traced = trace(&made, 0, HeatModel::Woschni, &Settle::USUAL).expect("a settled cycle");
        let ledger = traced.ledger;
        println!("{build}: mass {:.1e}, energy {:.1e} of the whole", ledger.mass_share(), ledger.energy_share());
        assert!(ledger.air_kg > 1e-4 && ledger.heat_j > 100.0, "{ledger:?}");
        assert!(ledger.mass_share() < 1e-10, "{build}: {ledger:?}");
        assert!(ledger.energy_share() < 1e-10, "{build}: {ledger:?}");
    }
}

#[test]
fn an_engine_turned_over_without_fire_accounts_for_energy() {
    let engine = parts(&text("examples/builds/single-500"));
    let operating = Operating { phasing: Some(Phasing::None), ..Operating::full_load(3000.0) };
    let made = made(&engine, &operating);
    let traced = trace(&made, 0, HeatModel::Woschni, &Settle::USUAL).expect("a settled cycle");
    println!("{:?}", traced.ledger);
    assert!(traced.ledger.mass_share() < 1e-10 && traced.ledger.energy_share() < 1e-10, "{:?}", traced.ledger);
}

#[test]
fn a_trace_is_a_whole_cycle() {
    let engine = parts(&text("examples/builds/single-500"));
    let traced =
        trace(&made(&engine, &Operating::full_load(6000.0)), 0, HeatModel::Woschni, &Settle::USUAL).expect("a cycle");
    let n = traced.theta_deg.len();
    assert!(n > 200, "{n} rows");
    assert!(traced.theta_deg.windows(2).all(|w| w[0] <= w[1]), "angles rise");
    assert!(traced.theta_deg[0] < 4.0 && traced.theta_deg[n - 1] > 715.0);
    for list in [&traced.p_pa, &traced.v_m3, &traced.t_k, &traced.intake_pa, &traced.exhaust_pa] {
        assert!(list.len() == n && list.iter().all(|x| x.is_finite() && *x > 0.0));
    }
    // the highest pressure comes soon after firing top dead centre, the least volume at it
    let highest = (0..n).max_by(|a, b| traced.p_pa[*a].total_cmp(&traced.p_pa[*b])).expect("rows");
    assert!((5.0..30.0).contains(&traced.theta_deg[highest]), "{}", traced.theta_deg[highest]);
    // the air that the trace lets in is what the cylinder burned
    let seconds_per_deg = 1.0 / (6.0 * 6000.0);
    let inflow: f64 = (1..n)
        .map(|i| {
            0.5 * (traced.intake_kg_s[i] + traced.intake_kg_s[i - 1]) * (traced.theta_deg[i] - traced.theta_deg[i - 1])
        })
        .sum::<f64>()
        * seconds_per_deg;
    let trapped = traced.summary.expect("a cycle").trapped;
    let fresh = trapped.mass_kg * (1.0 - trapped.yb);
    assert!((inflow / fresh - 1.0).abs() < 0.15, "{inflow} kg in, {fresh} kg burn");
}

#[test]
fn single_precision_is_near_enough_and_lanes_do_not_mix() {
    let engine = parts(&text("examples/builds/single-500"));
    let speeds = [2500.0, 4000.0, 5500.0, 7000.0];
    let double = run(&engine, &speeds, Lanes::Double);
    let eight = run(&engine, &speeds, Lanes::Eight);
    for i in 0..speeds.len() {
        assert_eq!(double[i].settled, Settled::Same, "{} rpm", speeds[i]);
        let off = work(&eight[i]) / work(&double[i]) - 1.0;
        println!("{} rpm: {off:+.5}", speeds[i]);
        // both settle to a thousandth of their own cycles
        assert!(off.abs() < 3e-3, "{} rpm: {off}", speeds[i]);
    }
    // alone, and as the last of nine (in a lane that another engine has left)
    let alone = run(&engine, &speeds[1..2], Lanes::Eight);
    assert_eq!(work(&alone[0]).to_bits(), work(&eight[1]).to_bits());
    let many: Vec<f64> = (0..9).map(|i| if i == 8 { 4000.0 } else { 3000.0 + 500.0 * f64::from(i) }).collect();
    let ninth = &run(&engine, &many, Lanes::Eight)[8];
    assert_eq!(work(&alone[0]).to_bits(), work(ninth).to_bits());
    let sixteen = run(&engine, &speeds[1..2], Lanes::Sixteen);
    assert_eq!(work(&alone[0]).to_bits(), work(&sixteen[0]).to_bits());
}

#[test]
fn a_halved_mesh_changes_little() {
    let engine = parts(&text("examples/builds/single-500"));
    for rpm in [3000.0, 5500.0, 6800.0] {
        let on = |mesh: Mesh| {
            let made = assemble(&engine, &Operating::full_load(rpm), &mesh, Constants::shipped()).expect("an engine");
            let (layout, series) = (Arc::new(made.layout), [vec![Arc::new(made.sizes)]]);
            work(&run_on(&layout, None, &series, HeatModel::Woschni, &Settle::USUAL, Lanes::Eight)[0][0])
        };
        let off = on(Mesh::USUAL) / on(Mesh::USUAL.halved()) - 1.0;
        println!("{rpm} rpm: {off:+.4}");
        assert!(off.abs() < 0.02, "{rpm} rpm: {off}");
    }
}

/// An engine in two lanes is the same engine: totals and cylinders agree with those of one lane, to what rounding in another
/// order does to cycles that are settled to a thousandth.
#[test]
fn an_engine_in_halves_is_the_whole_engine() {
    // two plenums; a duct before the throttle; a blower; two of two cylinders; one collector, not to be split
    let cases = [
        ("examples/builds/pushrod-v8", 4500.0, true),
        ("validation/calibration_engines/na_pushrod_v8", 4500.0, true),
        ("validation/calibration_engines/blown_pushrod_v8", 4500.0, true),
        ("examples/builds/flat-four-aircraft", 2500.0, true),
        ("examples/builds/blown-hill-climb-four", 4500.0, false),
    ];
    for (name, rpm, falls) in cases {
        let engine = parts(&text(name));
        // without the search for the border of knock, which hunts about it by a degree
        let made = made(&engine, &Operating { phasing: Some(Phasing::Best), ..Operating::full_load(rpm) });
        let layout = Arc::new(made.layout);
        let halves = Halves::of(&layout);
        assert_eq!(halves.is_some(), falls, "{name}");
        let Some(halves) = halves else { continue };
        assert!(2 * halves.layout.cells() < layout.cells() + 20, "{name}");
        let series = [vec![Arc::new(made.sizes)]];
        let close = Settle { change: 1e-4, least: 8, most: 20 };
        let run = |halves| run_on(&layout, halves, &series, HeatModel::Woschni, &close, Lanes::Eight)[0][0].clone();
        let (whole, joined) = (run(None), run(Some(&halves)));
        let near = |what: &str, a: f64, b: f64, most: f64| {
            assert!((a / b - 1.0).abs() < most, "{name}, {what}: {a} in halves, {b} whole");
        };
        for (n, (a, b)) in joined.totals.cylinders.iter().zip(&whole.totals.cylinders).enumerate() {
            near(&format!("work of cylinder {n}"), a.work_j, b.work_j, 2e-3);
            near(&format!("air of cylinder {n}"), a.air_kg, b.air_kg, 2e-3);
        }
        for (a, b) in joined.cylinders.iter().zip(&whole.cylinders) {
            let (a, b) = (a.as_ref().expect("a cycle"), b.as_ref().expect("a cycle"));
            near("trapped", a.trapped.mass_kg, b.trapped.mass_kg, 2e-3);
        }
        near("air from outside", joined.totals.reservoirs[0][0], whole.totals.reservoirs[0][0], 1e-3);
        near("heat of exhaust pipes", joined.totals.pipe_heat_j[1], whole.totals.pipe_heat_j[1], 2e-3);
        near("manifold", joined.totals.manifold[0], whole.totals.manifold[0], 1e-3);
        near("back pressure", joined.totals.back_pa, whole.totals.back_pa, 1e-3);
        for (a, b) in joined.totals.openings_kg.iter().zip(&whole.totals.openings_kg) {
            near("opening", *a, *b, 1e-3);
        }
    }
}

/// Each speed of a series starts from the one before and comes to the same cycle as from nothing, in fewer cycles.
#[test]
fn a_series_comes_to_the_same_cycles_sooner() {
    let engine = parts(&text("examples/builds/pushrod-v8"));
    let speeds = [6000.0, 5600.0, 5200.0, 4800.0, 4400.0, 4000.0];
    let made: Vec<Assembled> = speeds.iter().map(|r| made(&engine, &Operating::full_load(*r))).collect();
    let alone = run_many(&made, HeatModel::Woschni, &Settle::QUICK, Precision::Quick);
    let on = run_designs(&[made], HeatModel::Woschni, &Settle::QUICK, Precision::Quick).remove(0);
    for (i, rpm) in speeds.iter().enumerate() {
        let off = work(&on[i]) / work(&alone[i]) - 1.0;
        println!("{rpm} rpm: {off:+.5}, {} cycles for {}", on[i].cycles, alone[i].cycles);
        // both are settled to half a percent
        assert!(off.abs() < 5e-3, "{rpm} rpm: {off}");
    }
    let sum = |ran: &[Ran]| ran.iter().map(|r| r.cycles).sum::<usize>();
    assert!(sum(&on) < sum(&alone), "{} cycles for {}", sum(&on), sum(&alone));
}

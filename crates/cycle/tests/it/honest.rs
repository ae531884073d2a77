//! What a result says of itself: mesh change, cycle residual, what was lost and what cannot be.

use crate::rig::{parts, text};
use cycle::constants::Constants;
use cycle::model::{Mesh, Operating};
use cycle::predict::{PredictError, Request, Weight, predict_parts};
use cycle::solve::run::{Settle, Settled};

/// Both are part of every result that was not asked to be quick, and they are what they are called.
#[test]
fn mesh_change_and_cycle_residual_are_in_every_result() {
    let parts = parts(&text("examples/builds/single-500"));
    let request = Request::full_load(&[3000.0, 5000.0]);
    let made = predict_parts(&parts, Constants::shipped(), &request).unwrap();
    let coarse = Request { mesh: Mesh::USUAL.times(2.0), ..request.clone() }.quick();
    let coarse = predict_parts(&parts, Constants::shipped(), &coarse).unwrap();
    for (point, coarse) in made.points.iter().zip(&coarse.points) {
        let own = point.figures.as_ref().unwrap().torque_nm - coarse.figures.as_ref().unwrap().torque_nm;
        assert!(
            (point.mesh_change_nm.unwrap() - own).abs() < 1e-9 && own != 0.0,
            "{:?} for {own}",
            point.mesh_change_nm
        );
        assert!(coarse.mesh_change_nm.is_none(), "not asked for");
        assert_eq!(point.settled, Settled::Same);
        assert!((0.0..request.settle.change).contains(&point.change) && point.cycles >= request.settle.least);
    }
}

/// A run that may not go on until it repeats itself says that it does not.
#[test]
fn an_unsettled_point_says_so() {
    let parts = parts(&text("examples/builds/pushrod-v8"));
    let settle = Settle { change: 1e-9, least: 2, most: 3 };
    let request = Request { settle, ..Request::full_load(&[4000.0]).quick() };
    let point = predict_parts(&parts, Constants::shipped(), &request).unwrap().points.remove(0);
    assert_eq!((point.settled, point.cycles), (Settled::No, 3));
    assert!(point.change > 1e-9 && point.change.is_finite());
    let note = point.notes.iter().find(|n| n.key == "settled").expect("a note");
    assert!(note.weight == Weight::Outside && note.text.starts_with("not settled after 3 cycles"), "{note:?}");
}

/// A number that is none, put where no build can put one: there is no result, and a word that says so. No figure is left.
#[test]
fn what_is_no_number_gives_no_result() {
    let sound = parts(&text("examples/builds/single-500"));
    let request = Request::full_load(&[5000.0]).quick();
    type Spoil = fn(&mut cycle::parts::EngineParts);
    let spoil: [(&str, Spoil); 3] = [
        ("wall of the runner", |p| p.intake.wall_k = f64::NAN),
        ("wall of the primary", |p| p.exhaust.wall_k = f64::NAN),
        ("air", |p| p.ambient.t_k = f64::NAN),
    ];
    for (what, spoil) in spoil {
        let mut parts = sound.clone();
        spoil(&mut parts);
        match predict_parts(&parts, Constants::shipped(), &request) {
            Err(refused) => println!("{what}: {refused}"),
            Ok(made) => {
                let point = &made.points[0];
                println!("{what}: {:?} {:?}", point.settled, point.notes);
                assert!(point.figures.is_none(), "{what}: {:?}", point.figures);
                assert!(point.notes.iter().any(|n| n.weight == Weight::NoResult), "{what}: {:?}", point.notes);
                assert!(made.best_torque().is_none() && made.best_power().is_none());
            }
        }
    }
}

/// Speeds, throttles and mixtures that cannot be are refused, with what was given and what is expected.
#[test]
fn operating_points_that_cannot_be_are_refused() {
    let parts = parts(&text("examples/builds/single-500"));
    let full = Operating::full_load(3000.0);
    let cases = [
        (Operating::full_load(0.0), "a speed of 0 rpm"),
        (Operating::full_load(-3000.0), "a speed of -3000 rpm"),
        (Operating::full_load(40_000.0), "a speed of 40000 rpm"),
        (Operating::full_load(f64::NAN), "a speed of NaN rpm"),
        (Operating { throttle: 0.0, ..full }, "a throttle of 0.00 %"),
        (Operating { throttle: 1.2, ..full }, "a throttle of 120.00 %"),
        (Operating { throttle: f64::NAN, ..full }, "a throttle of NaN %"),
        (Operating { lambda: Some(0.1), ..full }, "lambda"),
        (Operating { lambda: Some(f64::NAN), ..full }, "lambda"),
        (Operating { lambda: Some(9.0), ..full }, "lambda"),
    ];
    for (operating, expected) in cases {
        let refused = predict_parts(&parts, Constants::shipped(), &Request::at(vec![operating])).expect_err(expected);
        println!("{refused}");
        assert!(refused.to_string().contains(expected), "{expected}: {refused}");
        assert!(matches!(refused, PredictError::Operating { .. } | PredictError::Charge(_)), "{refused:?}");
    }
}

/// The figures of a point belong together: definitions, worked out a second time, for an engine without and one with a blower.
#[test]
fn figures_belong_together() {
    use std::f64::consts::PI;
    for name in ["pushrod-v8", "blown-hill-climb-four"] {
        let parts = parts(&text(&format!("examples/builds/{name}")));
        let points = [Operating::full_load(3000.0), Operating { throttle: 0.06, ..Operating::full_load(3000.0) }];
        let found = crate::rig::run(&parts, &points);
        for (f, o) in found.iter().zip(points) {
            let cycles = o.speed_rad_s / (4.0 * PI);
            let v = parts.displacement_m3;
            let near = |what: &str, a: f64, b: f64, within: f64| {
                assert!((a - b).abs() <= within * b.abs().max(1e-12), "{name} {what}: {a} for {b}");
            };
            near("power", f.power_w, f.torque_nm * o.speed_rad_s, 1e-9);
            near("brake", f.bmep_pa, f.torque_nm * 4.0 * PI / v, 1e-9);
            near("balance", f.bmep_pa, f.imep_pa - f.friction.total_pa() - f.blower_pa, 1e-9);
            near("blower", f.blower_pa * v * cycles + 1.0, f.blower_w + 1.0, 1e-9);
            near("specific fuel", f.specific_fuel_kg_j * f.power_w, f.fuel_kg_s, 1e-9);
            // dry air and vapour: the gas constants of both
            let w = parts.ambient.water_per_dry_air;
            let r = (287.05 + w * 461.5) / (1.0 + w);
            let density = parts.ambient.p_pa / (r * parts.ambient.t_k);
            near("filling", f.filling, f.air_kg_s / (density * v * cycles), 2e-3);
            // what burns is what the lambda says, of the air that stays in
            let stoichiometric = parts.mixture.fuel.stoichiometric();
            near("lambda", f.air_kg_s / f.fuel_kg_s / stoichiometric, f.lambda, 0.04);
            let e = &f.energy;
            near("energy", e.brake + e.friction + e.blower + e.walls + e.exhaust, 1.0, 1e-9);
            assert!(e.walls > 0.05 && e.exhaust > 0.2, "{name}: {e:?}");
            let heat = f.fuel_kg_s * parts.mixture.fuel.heating_vapour_j_kg;
            let released = f.power_w / e.brake;
            // rich mixture keeps what the oxygen does not reach; 0.97 of the rest is released
            assert!((0.70..0.98).contains(&(released / heat)), "{name}: {} of the heat", released / heat);
        }
        // throttled, gas exchange costs about what the manifold is below the exhaust, and the valves' own losses
        let (open, shut) = (&found[0], &found[1]);
        let below = shut.back_pa - shut.manifold_pa.unwrap();
        println!("{name}: {:.0} kPa below the exhaust, pumping {:.0} kPa", below / 1e3, shut.pmep_pa / 1e3);
        assert!(shut.pmep_pa < open.pmep_pa, "{name}");
        assert!(below < 2e4 || (1.0..1.35).contains(&(shut.pmep_pa / -below)), "{name}");
        assert!(below > 2e4 || name != "pushrod-v8", "not throttled");
        assert!(name == "pushrod-v8" || open.blower_w > 5e3);
    }
}

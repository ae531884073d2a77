//! Idle and part load: residual gas against a published correlation, and how cams idle.

use crate::rig::{parts, run, text, with};
use cycle::constants::Constants;
use cycle::cylinder::Phasing;
use cycle::idle::{FoxInputs, fox};
use cycle::model::Operating;
use cycle::predict::{Idle, idle};
use engine::build::Facts;
use engine::build_file::BuildFile;
use engine::cam::Valve;

/// Overlap factor of the correlation with one valve of each kind counted, degrees per metre: the smaller of the two
/// lifts, summed over angle, times the head diameters, over the displacement of a cylinder.
fn overlap_deg_m(text: &str) -> f64 {
    let parts = parts(text);
    let file = BuildFile::parse(text).unwrap();
    let facts = Facts::new(file.build());
    let lift = |valve| facts.valve_lift_curve(valve).unwrap();
    let (intake, exhaust) = (lift(Valve::Intake), lift(Valve::Exhaust));
    let (mut a_i, mut a_e) = (0.0, 0.0);
    for tenth in -1400..1400 {
        let angle = 0.1 * f64::from(tenth);
        let (i, e) = (intake(angle), exhaust(angle));
        if i < e {
            a_i += 0.1 * i;
        } else {
            a_e += 0.1 * e;
        }
    }
    let swept = parts.displacement_m3 / parts.cylinders.len() as f64;
    (parts.intake_valve.head_m * a_i + parts.exhaust_valve.head_m * a_e) / swept
}

/// Residual gas found and by the correlation, with the overlap factor times `valves`.
fn residuals(text: &str, loads: &[(f64, f64)], valves: f64) -> Vec<(f64, f64)> {
    let (parts, overlap) = (parts(text), valves * overlap_deg_m(text));
    let at = |&(rpm, throttle): &(f64, f64)| {
        let phasing = Some(Phasing::Best);
        Operating { throttle, lambda: Some(1.0), phasing, ..Operating::full_load(rpm) }
    };
    let made = run(&parts, &loads.iter().map(at).collect::<Vec<_>>());
    let each = made.iter().zip(loads).map(|(f, (rpm, _))| {
        let intake_pa = f.manifold_pa.unwrap();
        let ratio = parts.ratio;
        let inputs = FoxInputs { overlap_deg_m: overlap, rpm: *rpm, intake_pa, exhaust_pa: f.back_pa, phi: 1.0, ratio };
        let (over, left) = fox(&inputs);
        let found = f.cylinders.iter().map(|c| c.residual).sum::<f64>() / f.cylinders.len() as f64;
        println!("  {rpm} rpm, {:.0} kPa: {found:.3}, correlation {:.3}", intake_pa / 1e3, over + left);
        (found, over + left)
    });
    each.collect()
}

/// Residual gas against the correlation of Fox, Cheng and Heywood (`validation/cylinder_models`, from memory) within
/// five points, for engines with one valve of each kind, where its overlap factor leaves no question: a short, a middling
/// and a long overlap, wherever the correlation stays below 0.4. The range that its authors measured is not known here; it
/// cannot hold towards one half, since it adds what should share. The big-block at 1,500 rpm (eleven points low), an
/// aircraft four (eleven) and every engine at 2,500 rpm (up to eighteen) are not in it: see `docs/model.md`.
#[test]
fn residual_at_part_load_is_that_of_the_correlation() {
    let engines = [
        ("validation/calibration_engines/na_pushrod_v8", &[1000.0, 1500.0][..]),
        ("examples/builds/marine-big-block", &[1000.0]),
        ("examples/builds/pushrod-v8", &[1000.0, 1500.0]),
    ];
    let mut compared = 0;
    for (engine, speeds) in engines {
        let text = text(engine);
        println!("{engine}, overlap factor {:.2} deg/m", overlap_deg_m(&text));
        let loads: Vec<(f64, f64)> =
            speeds.iter().flat_map(|&rpm| [0.01, 0.02, 0.04, 0.08].map(|throttle| (rpm, throttle))).collect();
        for (found, wanted) in residuals(&text, &loads, 1.0) {
            if wanted < 0.4 {
                compared += 1;
                assert!((found - wanted).abs() < 0.05, "{found} against {wanted}");
            }
        }
    }
    assert!(compared >= 15, "{compared} points");
}

/// Four valves: the correlation as it is quoted has one diameter and one lift area a side. As quoted the two agree within
/// five points; with both valves counted, as area would have it, the cycle is up to ten points below.
#[test]
fn residual_with_four_valves() {
    let text = text("validation/calibration_engines/na_four_valve_four");
    let loads = [(1500.0, 0.02), (2000.0, 0.04), (3000.0, 0.08)];
    for (valves, within) in [(1.0, 0.05), (2.0, 0.10)] {
        println!("valves counted {valves}");
        for (found, wanted) in residuals(&text, &loads, valves) {
            assert!((found - wanted).abs() < within, "{found} against {wanted}");
        }
    }
}

fn said(name: &str, found: Option<&Idle>) {
    match found {
        None => println!("{name}: does not idle"),
        Some(i) => println!(
            "{name}: {:.1} kPa of vacuum, residual {:.3}, spread {:.3}, throttle {:.4}, air {:.2} g/s",
            i.vacuum_pa.unwrap() / 1e3,
            i.residual,
            i.spread,
            i.throttle,
            1e3 * i.figures.air_kg_s
        ),
    }
}

/// Cams from mild to wild at idle, bands common practice, no source: 51 to 74 kPa (15 to 22 inHg) with a mild cam, 34 to
/// 47 (10 to 14 inHg) with 224° at 0.050 in on 110°; 250° on 106° draws less than 27 (8 inHg), if it idles at 1,000 rpm
/// at all, and shakes. Air of 1 to 1.5 g/s a litre at 800 rpm with the mild ones.
#[test]
fn cams_idle_as_they_do() {
    let street = text("examples/builds/pushrod-v8");
    let wild = with(
        &street,
        &[
            ("cam.lobe_separation", "\"106 deg\""),
            ("lobe.intake.duration", "[\"300 deg @ 0.006 in\", \"250 deg @ 0.050 in\"]"),
            ("lobe.exhaust.duration", "[\"306 deg @ 0.006 in\", \"256 deg @ 0.050 in\"]"),
        ],
    );
    let at = |text: &str, rpm: f64| idle(&parts(text), Constants::shipped(), rpm).unwrap();
    let mild = ["na_four_valve_four", "na_pushrod_v8"].map(|n| text(&format!("validation/calibration_engines/{n}")));
    for text in &mild {
        let found = at(text, 800.0);
        said("mild", found.as_ref());
        let found = found.expect("a mild engine idles");
        let air = 1e3 * found.figures.air_kg_s / (1e3 * parts(text).displacement_m3);
        assert!((51e3..74.5e3).contains(&found.vacuum_pa.unwrap()) && found.spread < 0.1);
        assert!((1.0..1.5).contains(&air), "{air} g/s a litre");
    }
    let street = at(&street, 800.0);
    said("street", street.as_ref());
    let street = street.expect("the street engine idles");
    assert!((34e3..47e3).contains(&street.vacuum_pa.unwrap()) && street.spread > 0.1);
    let wild = at(&wild, 1000.0);
    said("wild", wild.as_ref());
    if let Some(wild) = wild {
        assert!(wild.vacuum_pa.unwrap() < 27e3 && wild.spread > street.spread, "{}", wild.spread);
    }
}

/// Without a manifold there is no vacuum to read.
#[test]
fn individual_throttles_have_no_vacuum() {
    let text = text("examples/builds/single-500");
    let found = idle(&parts(&text), Constants::shipped(), 1200.0).unwrap().expect("it idles");
    assert_eq!(found.vacuum_pa, None);
}

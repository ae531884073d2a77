//! Builds as plain numbers: every example build, and builds that make no engine.

use cycle::parts::{ChargerParts, EngineParts, Joined, PartsError, Tail};
use engine::build_file::BuildFile;

pub(crate) fn example(name: &str) -> String {
    let path = format!("{}/../../examples/builds/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn parts(text: &str) -> Result<EngineParts, PartsError> {
    EngineParts::from_build(BuildFile::parse(text).unwrap_or_else(|e| panic!("{e:?}")).build())
}

/// Figures of the builds' own sheets (`plateau engine`), and what each file says.
#[test]
fn every_example_gives_parts() {
    let cases = [
        ("pushrod-v8", 8, 5.8e-3, 9.0..11.0),
        ("marine-big-block", 8, 7.54e-3, 7.5..11.0),
        ("turbo-four", 4, 2.0e-3, 8.0..11.0),
        ("blown-hill-climb-four", 4, 2.43e-3, 8.0..10.5),
        ("single-500", 1, 0.5e-3, 9.0..14.0),
        ("flat-four-aircraft", 4, 5.24e-3, 7.0..9.5),
    ];
    for (name, cylinders, size, ratio) in cases {
        let parts = parts(&example(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(parts.cylinders.len(), cylinders, "{name}");
        assert!((parts.displacement_m3 / size - 1.0).abs() < 0.05, "{name}: {}", parts.displacement_m3);
        assert!(ratio.contains(&parts.ratio), "{name}: {}", parts.ratio);
        for valve in [&parts.intake_valve, &parts.exhaust_valve] {
            let most = valve.area_m2.iter().fold(0.0f64, |a, &b| a.max(b));
            let open = valve.area_m2.iter().filter(|a| **a > 0.0).count();
            assert!(most > 0.2 * valve.port_area_m2 && most < 1.3 * valve.port_area_m2, "{name}: {most}");
            assert!((200..400).contains(&open), "{name}: open over {open} degrees");
        }
        println!("{name}: {:#?} {:#?}", parts.intake, parts.exhaust);
        for a in &parts.assumptions {
            println!("  {} {} ({})", a.key, a.text, a.why);
        }
    }
}

#[test]
fn kinds_are_told_apart() {
    let blown = parts(&example("blown-hill-climb-four")).unwrap();
    let ChargerParts::Displacement(blower) = blown.charger else { panic!("{:?}", blown.charger) };
    assert_eq!(blower.ratio, 1.62);
    assert!(blower.cooler.is_some());
    assert!(matches!(blown.exhaust.joined, Joined::Pairs { .. }));
    assert_eq!(blown.exhaust.tail, Tail::Open);
    let single = parts(&example("single-500")).unwrap();
    assert!(single.intake.individual);
    assert_eq!(single.exhaust.joined, Joined::Separate);
    let eight = parts(&example("pushrod-v8")).unwrap();
    let Joined::Groups(groups) = &eight.exhaust.joined else { panic!() };
    assert_eq!(groups, &[vec![0, 2, 4, 6], vec![1, 3, 5, 7]]);
    assert!(matches!(parts(&example("turbo-four")).unwrap().charger, ChargerParts::Turbo(_)));
}

#[test]
fn builds_that_make_no_engine_are_refused_by_name() {
    let text = example("pushrod-v8");
    let cases = [
        ("chamber_volume = \"64.0 cc", "chamber_volume = \"6.0 cc", "compression ratio of 36.9"),
        ("chamber_volume = \"64.0 cc", "chamber_volume = \"1064.0 cc", "compression ratio of"),
        ("exhaust_valves = 1", "exhaust_valves = 0", "a whole number above zero"),
        ("intake_valve = \"2.020 in\"", "intake_valve = \"9.020 in\"", "cannot both hold"),
        ("primary_length = \"34 in\"", "primary_length = \"0.1 in\"", "exhaust primary"),
        (
            "lobe_separation = \"110 deg",
            "lobe_separation = \"195 deg",
            "an exhaust opening of 12° after firing top dead centre",
        ),
        ("advance = \"4 deg", "advance = \"-110 deg", "an intake closing of 6° after firing top dead centre"),
    ];
    for (from, to, expected) in cases {
        assert!(text.contains(from), "{from}");
        let changed = text.replace(from, to);
        let error = match BuildFile::parse(&changed) {
            Ok(file) => EngineParts::from_build(file.build()).expect_err(to).to_string(),
            Err(refused) => format!("{refused:?}"),
        };
        println!("{to}: {error}");
        assert!(error.contains(expected), "{to}: {error}");
    }
}

/// The compression ratios of the calibration engines are published; their chambers are made up to give them.
#[test]
fn calibration_engines_have_their_published_ratios() {
    for (name, ratio, litres) in
        [("na_pushrod_v8", 10.5, 5.666), ("na_four_valve_four", 9.5, 1.901), ("blown_pushrod_v8", 9.1, 6.162)]
    {
        let path = format!("{}/../../validation/calibration_engines/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let parts = parts(&std::fs::read_to_string(path).unwrap()).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!((parts.ratio - ratio).abs() < 0.03, "{name}: {}", parts.ratio);
        assert!((parts.displacement_m3 * 1e3 - litres).abs() < 0.002, "{name}: {}", parts.displacement_m3);
    }
}

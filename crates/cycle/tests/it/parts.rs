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

/// What the words of a build say of its exhaust, where it gives no sizes.
#[test]
fn exhausts_in_words() {
    let text = example("pushrod-v8");
    let sizes = ["primary_length", "primary_bore", "collector_length", "collector_bore", "pipe_bore", "joined"];
    let bare: Vec<&str> = text.lines().filter(|l| !sizes.contains(&l.split('=').next().unwrap().trim())).collect();
    let made =
        |more: &str| parts(&bare.join("\n").replace("[exhaust]", &format!("[exhaust]\n{more}"))).unwrap().exhaust;
    let area = |tail: Tail| match tail {
        Tail::Pipe { area_m2, .. } => area_m2,
        Tail::Open => 0.0,
    };
    let header = made("");
    assert_eq!((header.primary_m, header.tail), (0.75, Tail::Open));
    let cast = made("joined = \"cast manifolds, dual 2.5 in\"");
    assert_eq!(cast.primary_m, 0.30);
    // Both pipes together 10 cm² a litre at 6,200 rpm: 60 to 75 mm bore each for this engine.
    assert!((28e-4..44e-4).contains(&area(cast.tail)), "{:?}", cast.tail);
    let pipe = "pipe_bore = \"63.5 mm\"";
    let dual = made(&format!("joined = \"cast manifolds, dual pipes\"\n{pipe}"));
    let single = made(&format!("joined = \"cast manifolds, single pipe\"\n{pipe}"));
    assert!((area(dual.tail) / area(single.tail) - 2.0).abs() < 1e-9, "{:?} {:?}", dual.tail, single.tail);
    // A pipe and no word of the primaries is what a car came with.
    assert_eq!(made(pipe).primary_m, 0.30);
    assert_eq!(made(&format!("joined = \"headers\"\n{pipe}")).primary_m, 0.75);
    assert_eq!(made("joined = \"cast manifolds, open\"").tail, Tail::Open);
}

/// A vee without banks and firing order: sides counted odd and even, and an order that goes from side to side.
#[test]
fn banks_follow_the_layout() {
    let text = std::fs::read_to_string(format!(
        "{}/../../validation/calibration_engines/na_pushrod_v8.toml",
        env!("CARGO_MANIFEST_DIR")
    ))
    .unwrap();
    let bare = |cylinders: u32| -> EngineParts {
        let kept: Vec<String> = text
            .lines()
            .filter(|l| !l.starts_with("banks") && !l.starts_with("firing_order"))
            .map(|l| if l.starts_with("cylinders") { format!("cylinders = {cylinders}") } else { l.to_owned() })
            .collect();
        parts(&kept.join("\n")).unwrap()
    };
    for count in [6, 8] {
        let made = bare(count);
        let Joined::Groups(groups) = &made.exhaust.joined else { panic!() };
        let odd: Vec<usize> = (0..count as usize).step_by(2).collect();
        assert_eq!((groups.len(), &groups[0]), (2, &odd));
        assert!(made.assumptions.iter().any(|a| a.key == "block.banks"));
    }
    // In an even-firing V6 no two of one side follow each other.
    let mut six = bare(6).cylinders;
    six.sort_by(|a, b| a.fires_rad.total_cmp(&b.fires_rad));
    assert!(six.windows(2).all(|w| w[0].bank != w[1].bank), "{six:?}");
}

/// One flow figure sets the level of the usual curve: the table passes through it.
#[test]
fn one_flow_figure_makes_a_curve() {
    let text = example("pushrod-v8");
    let at = text.find("[[flow]]").unwrap();
    let rest = text[at..].find("\n[cam]").map_or("", |n| &text[at + n..]);
    let made = |flow: &str| {
        let flow = format!(
            "[[flow]]\nvalve = \"intake\"\nport = 1\ntest_pressure = \"28 inH2O\"\nlift = \"0.300 in\"\nflow = \"{flow}\"\n"
        );
        parts(&format!("{}{flow}{rest}", &text[..at])).unwrap().intake_valve
    };
    let (less, more) = (made("150 cfm"), made("180 cfm"));
    let (a, b): (f64, f64) = (less.area_m2.iter().sum(), more.area_m2.iter().sum());
    assert!((b / a - 1.2).abs() < 1e-6, "{a} {b}");
    // 180 cfm is 0.1023 kg/s; √(2 · 1.204 kg/m³ · 6,970 Pa) = 129.5 kg/(m² s), 0.98 of it for expansion: 8.1 cm² at the
    // lift measured, and more beyond.
    let lift = 0.300 * 0.0254;
    let steps = more.area_m2.iter().filter(|x| **x > 0.0).count();
    let top = more.area_m2.iter().fold(0.0f64, |x, y| x.max(*y));
    assert!(more.lift_m > lift && steps > 200);
    assert!(top > 8.1e-4 && top < 13e-4, "{top}");
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

/// Planes of a V8 hold every other cylinder in the firing order, so that none follows its neighbour in the plenum: more
/// torque at low speed, less where half the throttle is too little. Common practice, no source.
#[test]
fn two_planes_trade_top_for_bottom() {
    use crate::rig::torque;
    let text = example("pushrod-v8");
    assert!(text.contains("\"dual plane\""));
    // The same runner and plenum, undivided.
    let two = text.replace("[intake]", "[intake]\nplenum_volume = \"4 L\"\nrunner_length = \"14 in\"");
    let one = two.replace("\"dual plane\"", "\"single plane\"");
    let speeds: Vec<f64> = (4..=13).map(|k| 500.0 * f64::from(k)).collect();
    let gain: Vec<f64> = torque(&two, &speeds).iter().zip(torque(&one, &speeds)).map(|(a, b)| a / b - 1.0).collect();
    let mean = |range: std::ops::Range<usize>| gain[range.clone()].iter().sum::<f64>() / range.len() as f64;
    println!("two planes over one, 2000 to 6500 rpm: {gain:.3?}");
    assert!(mean(0..4) > 0.005 && mean(5..10) < -0.005, "{gain:?}");
    assert!(gain.iter().all(|g| g.abs() < 0.06), "{gain:?}");
}

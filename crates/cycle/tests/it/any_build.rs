//! Builds at random: whatever a shop may state, there is a refusal that names it, or figures that are numbers, or no figures and
//! a note that says so.

use crate::rig::{parts, run, text, with};
use cycle::constants::Constants;
use cycle::model::{Mesh, Operating};
use cycle::parts::EngineParts;
use cycle::predict::{Figures, Request, Weight, predict_parts};
use cycle::solve::run::Settle;
use engine::build_file::BuildFile;

/// The generator of Marsaglia (xorshift, 64 bits, from memory): the same builds on every machine.
struct Dice(u64);

impl Dice {
    /// 0 to 1.
    fn roll(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn pick(&mut self, n: usize) -> usize {
        ((self.roll() * n as f64) as usize).min(n - 1)
    }

    /// A half to two, as often below one as above.
    fn factor(&mut self) -> f64 {
        2f64.powf(2.0 * self.roll() - 1.0)
    }
}

/// The first number in a text times a factor.
fn scaled(line: &str, factor: f64) -> Option<String> {
    let (key, value) = line.split_once('=')?;
    let from = value.find(|c: char| c.is_ascii_digit())?;
    let end = value[from..].find(|c: char| !c.is_ascii_digit() && c != '.').map_or(value.len(), |n| from + n);
    let number: f64 = value[from..end].parse().ok()?;
    Some(format!("{key}={}{:.6}{}", &value[..from], number * factor, &value[end..]))
}

/// Inputs that are moved: sizes, not counts, names or dates.
const MOVED: [&str; 34] = [
    "bore",
    "stroke",
    "rod_length",
    "deck_clearance",
    "crown_volume",
    "thickness",
    "chamber_volume",
    "intake_valve",
    "exhaust_valve",
    "intake_throat",
    "exhaust_throat",
    "lift",
    "flow",
    "lobe_separation",
    "advance",
    "duration",
    "lobe_lift",
    "rocker_ratio",
    "lash",
    "runner_length",
    "runner_area",
    "plenum_volume",
    "throttle_bore",
    "primary_bore",
    "primary_length",
    "collector_bore",
    "collector_length",
    "pipe_bore",
    "displacement",
    "ratio",
    "boost",
    "temperature",
    "pressure",
    "cooler_effectiveness",
];

/// A build with one to five of its inputs at a half to twice what they are.
fn thrown(text: &str, dice: &mut Dice) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let key = |line: &str| line.split('=').next().unwrap_or("").trim().to_owned();
    let sizes: Vec<usize> = (0..lines.len()).filter(|&i| MOVED.contains(&key(&lines[i]).as_str())).collect();
    for _ in 0..1 + dice.pick(5) {
        let i = sizes[dice.pick(sizes.len())];
        if let Some(line) = scaled(&lines[i], dice.factor()) {
            lines[i] = line;
        }
    }
    lines.join("\n")
}

/// The same for what no build of the examples states: pipes, plenum, walls and losses.
fn twist(parts: &mut EngineParts, dice: &mut Dice) {
    let sizes = [
        &mut parts.intake.runner_m,
        &mut parts.intake.runner_area_m2,
        &mut parts.intake.plenum_m3,
        &mut parts.intake.throttle_area_m2,
        &mut parts.intake.entry_loss,
        &mut parts.exhaust.primary_m,
        &mut parts.exhaust.primary_area_m2,
        &mut parts.exhaust.collector_m,
        &mut parts.exhaust.collector_area_m2,
        &mut parts.exhaust.wall_k,
    ];
    for size in sizes {
        if dice.roll() < 0.4 {
            *size *= dice.factor();
        }
    }
}

/// What is not a number among figures that must be.
fn not_numbers(f: &Figures) -> Vec<&'static str> {
    let mut all = vec![
        ("torque", f.torque_nm),
        ("power", f.power_w),
        ("bmep", f.bmep_pa),
        ("imep", f.imep_pa),
        ("pmep", f.pmep_pa),
        ("friction", f.friction.total_pa()),
        ("blower", f.blower_pa),
        ("blower power", f.blower_w),
        ("air", f.air_kg_s),
        ("filling", f.filling),
        ("fuel", f.fuel_kg_s),
        ("lambda", f.lambda),
        ("back pressure", f.back_pa),
        ("exhaust temperature", f.exhaust_k),
        ("manifold", f.manifold_pa.unwrap_or(0.0)),
        ("manifold temperature", f.manifold_k.unwrap_or(0.0)),
        ("charger temperature", f.charger_k.unwrap_or(0.0)),
        ("boost", f.boost_pa.unwrap_or(0.0)),
        ("energy", f.energy.brake + f.energy.friction + f.energy.blower + f.energy.walls + f.energy.exhaust),
    ];
    if !(f.torque_nm > 0.0) {
        // No fire or no torque: fuel and heat have nothing to stand on.
        all.retain(|(name, _)| *name != "energy");
    } else {
        all.push(("specific fuel", f.specific_fuel_kg_j));
    }
    for c in &f.cylinders {
        all.extend([
            ("cylinder imep", c.imep_pa),
            ("trapped", c.trapped_kg),
            ("residual", c.residual),
            ("peak", c.p_max_pa),
            ("end temperature", c.t_evo_k),
        ]);
    }
    all.into_iter().filter(|(_, x)| !x.is_finite()).map(|(name, _)| name).collect()
}

/// 200 builds, five of six examples in turn (the sixth, with a turbocharger, takes as long as all others; it has ten), every other one
/// also with its pipes changed, on the mesh of a slider, each at a low, a middle and a high speed, a quarter of them throttled.
#[test]
fn any_build_is_refused_or_gives_numbers() {
    let names = ["single-500", "pushrod-v8", "flat-four-aircraft", "blown-hill-climb-four", "marine-big-block"];
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let (mut refused, mut ran, mut lost, mut wrong) = (0, 0, 0, Vec::new());
    for i in 0..200 {
        let name = if i % 20 == 19 { "turbo-four" } else { names[i % names.len()] };
        let build = thrown(&text(&format!("examples/builds/{name}")), &mut dice);
        let speeds = [1000.0 + 1000.0 * dice.roll(), 2500.0 + 2000.0 * dice.roll(), 5000.0 + 4000.0 * dice.roll()];
        let throttle = if dice.roll() < 0.25 { 0.03 + 0.3 * dice.roll() } else { 1.0 };
        let file = match BuildFile::parse(&build) {
            Ok(file) => file,
            Err(e) => {
                assert!(!e.faults.is_empty() && e.faults.iter().all(|f| !f.key.is_empty()), "{name} {i}: {e:?}");
                refused += 1;
                continue;
            }
        };
        let mut parts = match EngineParts::from_build(file.build()) {
            Ok(parts) => parts,
            Err(e) => {
                assert!(e.to_string().len() > 20, "{name} {i}: {e}");
                refused += 1;
                continue;
            }
        };
        if i % 2 == 1 {
            twist(&mut parts, &mut dice);
        }
        let mut request =
            Request::at(speeds.map(|rpm| Operating { throttle, ..Operating::full_load(rpm) }).to_vec()).quick();
        request.mesh = Mesh::QUICK;
        request.settle = Settle::QUICK;
        match predict_parts(&parts, Constants::shipped(), &request) {
            Err(e) => {
                assert!(e.to_string().len() > 20, "{name} {i}: {e}");
                refused += 1;
            }
            Ok(made) => {
                ran += 1;
                for point in made.points {
                    match &point.figures {
                        Some(figures) => {
                            let bad = not_numbers(figures);
                            if !bad.is_empty() {
                                wrong.push(format!("{i} {name} at {:.0} rpm: {bad:?}", point.operating.rpm()));
                            }
                        }
                        None => {
                            lost += 1;
                            println!(
                                "{i} {name} at {:.0} rpm, throttle {throttle:.2}: no figures",
                                point.operating.rpm()
                            );
                            assert!(
                                point.notes.iter().any(|n| n.weight == Weight::NoResult),
                                "{i} {name}: no word of it"
                            );
                        }
                    }
                }
            }
        }
    }
    println!("{refused} refused, {ran} ran, {lost} of their points without figures");
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(refused > 5 && ran > 100, "{refused} refused, {ran} ran");
    // A number lost is a fault of the solver, not of the build.
    assert!(lost * 100 <= 3 * ran, "{lost} points of {ran} builds are without figures");
}

/// Stubs so short and narrow that the exhaust leaves them faster than sound: such an end once emptied the last cell of its pipe.
#[test]
fn stubs_that_flow_faster_than_sound_give_numbers() {
    let stubs = [
        ("intake.runner_length", "\"90 mm\""),
        ("exhaust.primary_length", "\"150 mm\""),
        ("exhaust.joined", "\"separate\""),
    ];
    let engine = parts(&with(&text("examples/builds/pushrod-v8"), &stubs));
    let points: Vec<Operating> = [5000.0, 5750.0, 6375.0, 7000.0, 7625.0].map(Operating::full_load).to_vec();
    for figures in run(&engine, &points) {
        println!("{:.0} N·m", figures.torque_nm);
        assert!(not_numbers(&figures).is_empty());
    }
}

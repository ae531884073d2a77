//! Sheets into the build: bores, deck and volumes of an invented blown 2.4-litre four.

use crate::sheet_help::*;
use engine::build_file::BuildFile;
use engine::limits::{Layers, shipped};
use record::sheet::{
    Finished, PlacedReading, SheetResult, Template, evaluate, into_build, suggest_counts, suggest_given,
    write_into_build,
};
use record::{SheetBegun, Value};

const BUILD: &str = include_str!("../../../../examples/builds/blown-hill-climb-four.toml");

fn bores() -> (SheetBegun, Vec<PlacedReading>) {
    let sheet = template("bores");
    let mut begun = begun(sheet, "endurance");
    begun.title = "Cylinder bores, after honing".to_owned();
    begun.instruments.push(instrument("Bore gauge 2", 2.5e-6, Some(1e-6), 1e-6));
    give(&mut begun, sheet, "piston", "92.460 mm ± 0.004 mm");
    // Mean of each: 92.562, 92.561, 92.563, 92.560 mm.
    let means = [92.562, 92.561, 92.563, 92.560];
    let mut typed = Vec::new();
    for (n, mean) in means.iter().enumerate() {
        for (k, place) in ["top/across", "top/along", "middle/across", "middle/along", "bottom/across", "bottom/along"]
            .iter()
            .enumerate()
        {
            let off = [0.001, -0.001, 0.002, -0.002, 0.000, 0.000][k];
            typed.push((format!("cylinder {}/{place}", n + 1), format!("{:.3}", mean + off)));
        }
    }
    let typed: Vec<(&str, &str)> = typed.iter().map(|(p, t)| (p.as_str(), t.as_str())).collect();
    let readings = readings(&begun, sheet, &typed);
    (begun, readings)
}

fn judged_by(begun: &SheetBegun, sheet: &Template, readings: &[PlacedReading]) -> SheetResult {
    evaluate(begun, sheet, readings, &Layers::over(shipped())).unwrap()
}

/// Static ratio as the sheet of the engine has it.
fn ratio_of(file: &BuildFile) -> f64 {
    engine::sheet::sheet(file.build()).figure("static_ratio").unwrap().value
}

#[test]
fn bores_and_volumes_flow_into_the_build_and_move_its_compression() {
    let (begun_bores, read) = bores();
    let sheet = template("bores");
    let result = judged_by(&begun_bores, sheet, &read);
    let values = into_build(&begun_bores, sheet, &result);
    let bore = values.iter().find(|v| v.key == "block.bore").unwrap();
    assert_eq!(bore.texts.len(), 4);
    assert_eq!(bore.texts[0], "92.5620 mm ± 0.0047 mm, measured by Bore gauge 2, read by R. K., 2026-03-18");
    let with_bores = write_into_build(BUILD, &values).unwrap();

    // The next sheet takes bore, stroke and gasket from the sheet before and from the build.
    let volumes = template("deck_and_volumes");
    let build = BuildFile::parse(&with_bores.text).unwrap();
    let mut begun = begun(volumes, "endurance");
    begun.counts = suggest_counts(volumes, build.build());
    assert_eq!(begun.counts["cylinders"], 4);
    let sheets = [Finished { template: sheet, begun: &begun_bores, result: &result }];
    let suggested = suggest_given(volumes, &begun.counts, "mm", Some(build.build()), &sheets).unwrap();
    let one = suggested.iter().find(|s| s.key == "bore/cylinder 3").unwrap();
    assert_eq!(one.from, "from the sheet Cylinder bores, after honing");
    assert!((one.stated.si - 92.563e-3).abs() < 1e-9);
    assert!(suggested.iter().any(|s| s.key == "gasket_thickness" && s.from == "from the build"));
    begun.given.extend(suggested.into_iter().map(|s| (s.key, s.stated)));
    begun.instruments.push(instrument("Deck bridge", 6.5e-6, Some(4e-6), 5e-6));
    let mut typed = Vec::new();
    for n in 1..=4 {
        typed.push((format!("cylinder {n}/deck/front"), "0.250"));
        typed.push((format!("cylinder {n}/deck/rear"), "0.270"));
        typed.push((format!("cylinder {n}/volume/chamber"), ["58.4", "58.6", "58.2", "58.8"][n - 1]));
        typed.push((format!("cylinder {n}/volume/crown"), "11.0"));
    }
    let typed: Vec<(&str, &str)> = typed.iter().map(|(p, t)| (p.as_str(), *t)).collect();
    let mut read = readings(&begun, volumes, &typed);
    for reading in read.iter_mut().filter(|r| r.place.contains("volume")) {
        reading.instrument = Some(instrument("Burette", 0.15e-6, None, 0.1e-6));
    }
    let found = judged_by(&begun, volumes, &read);
    let written = write_into_build(&with_bores.text, &into_build(&begun, volumes, &found)).unwrap();

    // By hand, with the means of the build: bore 92.5615, stroke 90.36, gasket 94.0 × 1.30, deck 0.26, chamber 58.5,
    // crown 11.0 cc, no crevice stated.
    let area = std::f64::consts::FRAC_PI_4;
    let swept = area * 92.5615_f64.powi(2) * 90.36;
    let clearance = 58.5e3 + area * 94.0_f64.powi(2) * 1.30 + area * 92.5615_f64.powi(2) * 0.26 + 11.0e3;
    let by_hand = 1.0 + swept / clearance;
    let file = BuildFile::parse(&written.text).unwrap();
    let before = ratio_of(&BuildFile::parse(BUILD).unwrap());
    assert!((ratio_of(&file) - by_hand).abs() < 5e-4, "{} against {by_hand}", ratio_of(&file));
    assert!((ratio_of(&file) - before).abs() > 0.01, "the measured engine is another one: {before}");
    // The sheet says the same of cylinder 1 as the sheet of the engine does after it.
    let one = value(&found, "cylinder 1/ratio");
    let own = engine::build::each::of_cylinder(file.build(), 0);
    let chamber = own.value("head.chamber_volume").unwrap();
    assert!((chamber.si * 1e6 - 58.4).abs() < 1e-9);
    assert!((one - by_hand).abs() < 0.02);
    assert!(matches!(&chamber.origin, engine::build::Origin::Measured { instrument, by, when }
        if instrument == "Burette" && by.as_deref() == Some("R. K.") && when.as_deref() == Some("2026-03-18")));
    insta::assert_snapshot!(head_of(&written.text));
}

/// The sections that the sheets wrote.
fn head_of(text: &str) -> String {
    let wanted = ["[block]", "[piston]", "[head]", "[readings]"];
    let mut keep = false;
    let kept = text.lines().filter(|line| {
        if line.starts_with('[') {
            keep = wanted.contains(line);
        }
        keep
    });
    kept.collect::<Vec<_>>().join("\n")
}

#[test]
fn comments_stay_and_a_list_takes_the_place_of_one_value() {
    let (begun, read) = bores();
    let result = judged_by(&begun, template("bores"), &read);
    let text = BUILD.replace("stroke = ", "# ground by us\nstroke = ").replace(
        "bore = \"92.56 mm ± 0.01 mm, measured by dial bore gauge, 2026-01-15\"",
        "bore = \"92.56 mm ± 0.01 mm, measured by dial bore gauge, 2026-01-15\" # before honing",
    );
    let written = write_into_build(&text, &into_build(&begun, template("bores"), &result)).unwrap();
    assert!(written.text.contains("# ground by us") && written.text.contains("] # before honing"));
    assert!(written.text.starts_with("# Invented for this program"));
    let change = written.changes.iter().find(|c| c.key == "block.bore").unwrap();
    assert_eq!(change.was.as_deref().unwrap().split(',').next().unwrap(), "\"92.56 mm ± 0.01 mm");
    // Writing it once more changes nothing.
    let again = write_into_build(&written.text, &into_build(&begun, template("bores"), &result)).unwrap();
    assert!(again.text == written.text && again.changes.is_empty(), "{:?}", again.changes);
}

#[test]
fn a_list_under_its_other_key_is_replaced_too() {
    let (begun, read) = bores();
    let result = judged_by(&begun, template("bores"), &read);
    let text = BUILD.replace(
        "bore = \"92.56 mm ± 0.01 mm, measured by dial bore gauge, 2026-01-15\"",
        "bore_each = [\"92.50 mm\", \"92.50 mm\", \"92.50 mm\", \"92.50 mm\"]",
    );
    let written = write_into_build(&text, &into_build(&begun, template("bores"), &result)).unwrap();
    assert!(!written.text.contains("bore_each"));
    assert!(written.changes[0].was.as_deref().unwrap().contains("92.50 mm"));
}

#[test]
fn what_is_not_read_is_left_and_said() {
    let (begun, read) = bores();
    let result = judged_by(&begun, template("bores"), &read[..20]);
    let values = into_build(&begun, template("bores"), &result);
    let written = write_into_build(BUILD, &values).unwrap();
    assert!(written.changes.is_empty());
    assert_eq!(written.left[0], ("block.bore".to_owned(), "Cylinder 4: 2 of 6 read".to_owned()));
    assert_eq!(written.text, BUILD);
}

#[test]
fn a_measured_lobe_goes_into_the_build_whole() {
    let sheet = template("lobes");
    let mut cam = begun(sheet, "endurance");
    cam.instruments.push(instrument("Dial", 5e-6, Some(5e-6), 0.01e-3));
    give(&mut cam, sheet, "intake_from", "-45 deg");
    let lobe = |deg: f64| {
        let x: f64 = (deg - 108.0) / 150.0;
        if x.abs() >= 1.0 { 0.0 } else { 10.6 * (0.5 + 0.5 * (std::f64::consts::PI * x).cos()).powi(2) }
    };
    let typed: Vec<(String, String)> = (0..61)
        .map(|n| (format!("intake 1/intake_dial {}", n + 1), format!("{:.2}", lobe(-45.0 + 5.0 * f64::from(n)))))
        .collect();
    let typed: Vec<(&str, &str)> = typed.iter().map(|(p, t)| (p.as_str(), t.as_str())).collect();
    let result = judged_by(&cam, sheet, &readings(&cam, sheet, &typed));
    let values = into_build(&cam, sheet, &result);
    // The card of the example has other durations; a measured table counts before it.
    let text: String = BUILD
        .lines()
        .filter(|l| !(l.starts_with("duration") || l.starts_with("centreline")))
        .collect::<Vec<_>>()
        .join("\n");
    let written = write_into_build(&text, &values).unwrap();
    let file = BuildFile::parse(&written.text).unwrap();
    assert_eq!(file.build().lobe.intake.table_lift.len(), 61);
    assert!((file.build().lobe.intake.table_angle[60].si.to_degrees() - 255.0).abs() < 1e-9);
    let u = file.build().value("lobe.intake.table_reading_u").unwrap().si;
    assert!(u < 6e-6, "the scatter that the readings show: {u}");
    assert!(written.left.iter().any(|(key, why)| key == "lobe.exhaust.table_lift" && why == "Exhaust 1: 0 of 61 read"));
}

#[test]
fn an_overdue_gauge_is_named_with_the_value() {
    let (mut begun, read) = bores();
    begun.instruments[0].due = Some("2026-03-06".to_owned());
    let result = judged_by(&begun, template("bores"), &read);
    let values = into_build(&begun, template("bores"), &result);
    assert_eq!(values[0].tainted, ["Bore gauge 2: calibration overdue by 12 days"]);
    assert_eq!(values[0].rests_on.len(), 24);
}

#[test]
fn values_that_contradict_the_build_are_refused_and_nothing_is_written() {
    let (begun, mut read) = bores();
    for reading in &mut read {
        reading.value = Value::Quantity(record::Stated::read("30.560 mm", quantity::Dimension::Length, None).unwrap());
    }
    let result = judged_by(&begun, template("bores"), &read);
    let fault = write_into_build(BUILD, &into_build(&begun, template("bores"), &result)).err().unwrap().to_string();
    assert!(
        fault.starts_with("with the values of the sheet the build file is not possible, nothing was written"),
        "{fault}"
    );
}

#[test]
fn ports_springs_and_cam_go_to_their_sections() {
    let layers = Layers::over(shipped());
    let sheet = template("port_flow");
    let mut ports = begun(sheet, "endurance");
    ports.counts = [("ports".to_owned(), 4), ("lifts".to_owned(), 3)].into();
    ports.instruments.push(instrument("Flow bench", 1e-4, None, 1e-5));
    give(&mut ports, sheet, "first_lift", "2 mm");
    give(&mut ports, sheet, "lift_step", "4 mm");
    ports.unit = "cfm".to_owned();
    let typed = [
        ("intake 1/lift 1", "80"),
        ("intake 1/lift 2", "213"),
        ("intake 1/lift 3", "270"),
        ("intake 3/lift 1", "81"),
        ("intake 3/lift 2", "214"),
        ("intake 3/lift 3", "271"),
    ];
    let result = evaluate(&ports, sheet, &readings(&ports, sheet, &typed), &layers).unwrap();
    let written = write_into_build(BUILD, &into_build(&ports, sheet, &result)).unwrap();
    let file = BuildFile::parse(&written.text).unwrap();
    // Lifts stay in the unit in which they were given.
    assert_eq!(sheet.layout_of(&ports).unwrap().rows[1].name, "6 mm");
    // Port 1 is replaced, port 2 stays, port 3 is new.
    let flows = &file.build().flow;
    assert_eq!(flows.len(), 4);
    assert!(written.changes.iter().any(|c| c.key == "flow: intake 1" && c.was.is_some()));
    assert!(written.changes.iter().any(|c| c.key == "flow: intake 3" && c.was.is_none()));
    let at = written.text.rfind("port = 3").unwrap();
    insta::assert_snapshot!(&written.text[at..(at + 260).min(written.text.len())].split("\n\n").next().unwrap());

    let sheet = template("degreeing");
    let mut cam = begun(sheet, "endurance");
    give(&mut cam, sheet, "check", "1.00 mm");
    cam.instruments.push(instrument("Degree wheel", 0.25f64.to_radians(), None, 0.5f64.to_radians()));
    cam.instruments[0].kind = "degree wheel".to_owned();
    let typed = [
        ("intake 1/intake_opens", "10"),
        ("intake 1/intake_closes", "44.5"),
        ("intake 1/nose_up", "79"),
        ("intake 1/nose_down", "136"),
    ];
    let result = evaluate(&cam, sheet, &readings(&cam, sheet, &typed), &layers).unwrap();
    let values = into_build(&cam, sheet, &result);
    let duration = values.iter().find(|v| v.key == "lobe.intake.duration").unwrap();
    assert_eq!(duration.texts, ["234.50 deg @ 1.00 mm, measured by Degree wheel, read by R. K., 2026-03-18"]);
    let centreline = values.iter().find(|v| v.key == "lobe.intake.centreline").unwrap();
    assert!(centreline.texts[0].starts_with("107.50 deg ± "), "{}", centreline.texts[0]);
}

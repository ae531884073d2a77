//! The sheet: figures of the stories, the examples, assumptions and what is missing.

use engine::assumptions;
use engine::build_file::BuildFile;
use engine::cam::Valve;
use engine::sheet::{Sheet, pictures, sheet, sheet_text};
use quantity::UnitSystem;
use std::fs;
use std::path::Path;
use std::sync::LazyLock;

const EXAMPLES: [&str; 6] =
    ["pushrod-v8", "blown-hill-climb-four", "turbo-four", "flat-four-aircraft", "single-500", "marine-big-block"];

fn example(name: &str) -> BuildFile {
    let root = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."));
    let text = fs::read_to_string(root.join(format!("examples/builds/{name}.toml"))).expect("the example is there");
    BuildFile::parse(&text).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// The sheet of an example, worked out once for all tests.
fn example_sheet(name: &str) -> &'static Sheet {
    static SHEETS: LazyLock<Vec<(&str, Sheet)>> =
        LazyLock::new(|| EXAMPLES.iter().map(|name| (*name, sheet(example(name).build()))).collect());
    SHEETS.iter().find(|(known, _)| *known == name).map(|(_, sheet)| sheet).expect("a known example")
}

/// Printed ratios of `validation/compression/ratios.csv`: two decimals, so half of the last is allowed; the
/// printed clearance volumes behind them are rounded to 0.1 cm³, which moves a ratio by up to 0.005 more.
#[test]
fn ratios_of_the_stories() {
    let table = table::rows("compression/volumes.csv");
    assert!(table.len() >= 5);
    for x in table {
        let text = format!(
            "plateau_build = 2\n[block]\nbore = \"{} in\"\nstroke = \"{} in\"\ncylinders = 8\ndeck_clearance = \"{} in\"\n\
             [head]\nchamber_volume = \"{} cc\"\n[gasket]\nbore = \"{} in\"\nthickness = \"{} in\"\n\
             [piston]\ncrown_volume = \"{} cc\"\n",
            x["bore_in"],
            x["stroke_in"],
            x["deck_in"],
            x["chamber_cc"],
            x["gasket_bore_in"],
            x["gasket_in"],
            x["crown_cc"]
        );
        let file = BuildFile::parse(&text).unwrap_or_else(|error| panic!("{}: {error}", x["case"]));
        let found = sheet(file.build());
        let ratio = found.figure("static_ratio").expect("all sizes are stated");
        let printed = x.number("ratio");
        assert!((ratio.value - printed).abs() < 0.01, "{}: {} against {printed}", x["case"], ratio.value);
        assert!(ratio.u.is_some_and(|u| u > 0.0));
    }
}

/// Ratios from intake closing of `validation/compression/closing.csv`, through the whole build.
#[test]
fn ratios_from_intake_closing_of_the_stories() {
    let build = |chamber: &str, crown: &str, deck: &str, stroke: &str, rod: &str, closes: &str| {
        let text = format!(
            "plateau_build = 2\n[block]\nbore = \"4.030 in\"\nstroke = \"{stroke} in\"\nrod_length = \"{rod} in\"\n\
             cylinders = 8\ndeck_clearance = \"{deck} in\"\n[head]\nchamber_volume = \"{chamber} cc\"\n[gasket]\n\
             bore = \"4.100 in\"\nthickness = \"0.039 in\"\n[piston]\ncrown_volume = \"{crown} cc\"\n\
             [lobe.intake]\nopens = \"30 deg BTDC @ 0.006 in\"\ncloses = \"{closes} deg ABDC @ 0.006 in\"\n"
        );
        let file = BuildFile::parse(&text).unwrap_or_else(|error| panic!("{error}"));
        sheet(file.build()).figure("intake_closing_ratio").expect("all is stated").value
    };
    // Printed to two decimals from volumes of 0.1 cm³.
    assert!((build("64", "5", "0.004", "3.480", "5.700", "62") - 8.39).abs() < 0.015);
    assert!((build("68", "14", "0.006", "4.000", "6.000", "78") - 7.25).abs() < 0.015);
    assert!((build("68", "24", "0.006", "4.000", "6.000", "58") - 7.79).abs() < 0.015);
}

#[test]
fn the_hill_climb_four() {
    let found = example_sheet("blown-hill-climb-four");
    let value = |key: &str| found.figure(key).unwrap_or_else(|| panic!("{key}: {:#?}", found.not_worked_out)).value;
    assert!((value("displacement_m3") * 1e6 - 2432.0).abs() < 1.0);
    assert!((value("static_ratio") - 8.61).abs() < 0.05, "{}", value("static_ratio"));
    assert!((value("intake_valve_lift_m") - 10.4e-3).abs() < 1e-9);
    assert!((value("intake_duration_deg") - 268.0).abs() < 1e-9);
    assert!((value("blower_ratio") - 1.62).abs() < 1e-12);
    // 2 strokes of 90.36 mm at 7200 rpm: 21.69 m/s, by hand.
    assert!((value("mean_piston_speed_m_s") - 2.0 * 0.09036 * 120.0).abs() < 1e-9);
    let boost = value("boost_gauge_pa");
    assert!((20e3..150e3).contains(&boost), "{boost}");
}

/// Every example gives a sheet in which nothing that belongs to the engine is missing.
#[test]
fn every_example_gives_a_full_sheet() {
    let keys = [
        "displacement_m3",
        "static_ratio",
        "quench_m",
        "intake_closing_ratio",
        "cranking_low_gauge_pa",
        "mean_piston_speed_m_s",
        "peak_piston_speed_m_s",
        "rod_ratio",
        "rod_bolt_tension_n",
        "bobweight_kg",
        "intake_duration_050_deg",
        "lobe_separation_cam_deg",
        "overlap_050_deg",
        "intake_valve_lift_m",
        "intake_piston_gap_m",
        "exhaust_piston_gap_m",
        "intake_bind_gap_m",
        "intake_toss_rpm",
        "intake_effective_area_m2",
        "inlet_mach_index",
        "stoichiometric_ratio",
        "fuel_flow_kg_s",
        "start_primary_length_m",
    ];
    for name in EXAMPLES {
        let found = example_sheet(name);
        for key in keys {
            assert!(found.figure(key).is_some(), "{name}: {key}: {:#?}", found.not_worked_out);
        }
        assert!(found.not_worked_out.is_empty(), "{name}: {:#?}", found.not_worked_out);
        for figure in found.sections.iter().flat_map(|s| &s.figures) {
            assert!(figure.value.is_finite(), "{name}: {}", figure.key);
        }
        for gap in ["intake_piston_gap_m", "exhaust_piston_gap_m"] {
            let gap = found.figure(gap).expect("checked above").value;
            assert!(gap > 0.0, "{name}: the valve meets the piston, {gap} m");
        }
    }
}

#[test]
fn the_sheet_of_the_pushrod_v8_in_either_system() {
    let found = example_sheet("pushrod-v8");
    insta::assert_snapshot!("sheet_us", sheet_text(found, UnitSystem::UsCustomary));
    insta::assert_snapshot!("sheet_metric", sheet_text(found, UnitSystem::Metric));
}

#[test]
fn the_sheets_of_the_other_examples() {
    for name in &EXAMPLES[1..] {
        let found = example_sheet(name);
        insta::assert_snapshot!(format!("sheet_{}", name.replace('-', "_")), sheet_text(found, UnitSystem::Metric));
    }
}

#[test]
fn assumptions_and_missing_inputs_are_always_listed() {
    let file = BuildFile::parse(
        "plateau_build = 2\n[block]\nbore = \"4.030 in\"\nstroke = \"3.480 in\"\nrod_length = \"5.7 in\"\n",
    )
    .expect("a good file");
    let found = sheet(file.build());
    assert!(found.figure("rod_ratio").is_some());
    assert!(found.assumptions.iter().any(|a| a.key == "block.pin_offset"), "{:?}", found.assumptions);
    let ratio = found.not_worked_out.iter().find(|n| n.key == "static_ratio").expect("no chamber is stated");
    let missing: Vec<&str> = ratio.missing.iter().map(String::as_str).collect();
    let expected =
        ["head.chamber_volume", "gasket.bore", "gasket.thickness", "block.deck_clearance", "piston.crown_volume"];
    assert_eq!(missing, expected);
    assert!(found.figure("static_ratio").is_none(), "what is missing is no zero");
    let text = sheet_text(&found, UnitSystem::Metric);
    assert!(text.contains("piston.crown_volume") && text.contains("block.pin_offset"), "{text}");
}

/// The published data fault: this bore and stroke give 402.3 in³ and never 319.8.
#[test]
fn a_printed_displacement_that_does_not_fit_is_a_notice() {
    let with = |stroke: &str| {
        let text = format!(
            "plateau_build = 2\n[engine]\nbuilt_for = \"marine\"\nstated_displacement = \"319.8 in³\"\n[block]\ncylinders = 4\nbore = \"5.125 in\"\n\
             stroke = \"{stroke} in\"\n"
        );
        sheet(BuildFile::parse(&text).expect("a good file").build()).notices
    };
    let wrong = with("4.875");
    assert!(wrong.len() == 1 && wrong[0].contains("402.3") && wrong[0].contains("319.8"), "{wrong:?}");
    assert_eq!(with("3.875"), Vec::<String>::new());
}

/// What each input contributes: the uncertainty of a ratio comes from what was read worst.
#[test]
fn a_figure_names_what_it_hangs_on() {
    let found = example_sheet("pushrod-v8");
    let ratio = found.figure("static_ratio").expect("stated");
    let total: f64 = ratio.hangs_on.iter().filter_map(|h| h.share).sum();
    assert!((total - 1.0).abs() < 1e-9);
    let keys: Vec<&str> = ratio.hangs_on.iter().map(|h| h.key.as_str()).collect();
    assert!(
        keys.contains(&"gasket.thickness") && keys.contains(&"piston.crevice_volume") && keys.len() == 8,
        "{keys:?}"
    );
    assert_eq!(keys[0], "piston.crevice_volume", "an assumed crevice is the largest doubt here: {keys:?}");
}

/// An independent reckoning of the same uncertainty: partial derivatives written out by hand.
#[test]
fn the_uncertainty_of_a_ratio_by_hand() {
    let text = "plateau_build = 2\n[block]\nbore = \"100 mm ± 0 mm\"\nstroke = \"100 mm ± 0 mm\"\n\
        deck_clearance = \"0 mm ± 0 mm\"\n[head]\nchamber_volume = \"70 cc ± 2 cc\"\n[gasket]\nbore = \"101 mm ± 0 mm\"\n\
        thickness = \"1 mm ± 0 mm\"\n[piston]\ncrown_volume = \"0 cc ± 0 cc\"\ncrevice_volume = \"0 cc ± 0 cc\"\n";
    let found = sheet(BuildFile::parse(text).expect("a good file").build());
    let ratio = found.figure("static_ratio").expect("stated");
    let swept = std::f64::consts::FRAC_PI_4 * 1e3;
    let clearance = 70.0 + std::f64::consts::FRAC_PI_4 * 101.0 * 101.0 / 1e3;
    assert!((ratio.value - (1.0 + swept / clearance)).abs() < 1e-9);
    // d(ratio)/d(chamber) = −swept / clearance²; u = 1 cm³. The central difference is off by (u/clearance)², 1.6e-4.
    let by_hand = swept / (clearance * clearance);
    assert!((ratio.u.expect("known") / by_hand - 1.0).abs() < 3e-4);
}

#[test]
fn every_assumption_has_its_spread_reason_and_source() {
    assert!(assumptions::table().len() >= 20);
    for row in assumptions::table() {
        assert!(!row.why.is_empty() && row.input.text.contains('±'), "{}", row.key);
        assert!(["C", "M", "D"].contains(&row.source.as_str()), "{}", row.key);
    }
}

#[test]
fn pictures_agree_with_the_sheet() {
    for name in EXAMPLES {
        let file = example(name);
        let found = example_sheet(name);
        let value = |key: &str| found.figure(key).expect("the sheet is full").value;
        let lifts = pictures::lift_curves(file.build()).expect("both lobes are stated");
        let greatest = |points: &[(f64, f64)]| points.iter().map(|p| p.1).fold(f64::MIN, f64::max);
        // Steps of 2° miss the nose by 1° at most: a lobe falls there by well under 0.02 mm.
        assert!((greatest(&lifts[0].points) - 1e3 * value("intake_valve_lift_m")).abs() < 0.02, "{name}");
        let gaps = pictures::gap_curves(file.build()).expect("all is stated");
        let least = gaps[0].points.iter().map(|p| p.1).fold(f64::MAX, f64::min);
        // The sheet looks between the steps; the gap moves by less than 0.03 mm in one degree near its least.
        assert!((least - 1e3 * value("intake_piston_gap_m")).abs() < 0.03, "{name}");
        let volumes: f64 = pictures::volume_parts(file.build()).expect("stated").iter().map(|p| p.cm3).sum();
        assert!((volumes - 1e6 * value("clearance_m3")).abs() < 1e-9, "{name}");
        let motion = pictures::piston_motion(file.build()).expect("stated");
        let stroke = file.build().block.stroke.as_ref().expect("stated").si;
        assert!((greatest(&motion[0].points) - 1e3 * stroke).abs() < 1e-2, "{name}");
        assert!(!pictures::port_flow(file.build(), Valve::Intake).expect("measured").is_empty());
    }
}

#[test]
fn the_sheet_in_json() {
    let found = example_sheet("flat-four-aircraft");
    let json = serde_json::to_value(found).expect("it can be written");
    let ratio = &json["sections"]["compression"]["static_ratio"];
    assert!(ratio["value"].as_f64().is_some_and(|r| (8.0..9.5).contains(&r)), "{ratio}");
    assert!(ratio["u"].is_number() && ratio["hangs_on"][0]["key"].is_string());
    assert!(json["assumptions"].as_array().is_some_and(|a| !a.is_empty()));
}

/// The turbo four of the stories: fuel flow and duty from power, consumption and injector, by hand. 331 lb/h at
/// 0.86 lb/hp-h, and 4 × 1,050 cm³/min at 300 kPa on a test fluid of 770 kg/m³, fuel of the blend's density.
#[test]
fn injector_duty_by_hand() {
    let found = example_sheet("turbo-four");
    let value = |key: &str| found.figure(key).expect("all is stated").value;
    let fuel_kg_s = 385.0 * 0.86 * 0.453_592_37 / 3600.0;
    assert!((value("fuel_flow_kg_s") / fuel_kg_s - 1.0).abs() < 1e-9);
    let each_kg_s = 1050e-6 / 60.0 * (770.0 * value("fuel_density_kg_m3")).sqrt();
    assert!((value("injector_duty_share") - fuel_kg_s / (4.0 * each_kg_s)).abs() < 1e-9);
}

/// A phaser takes room: the intake moved earlier and the exhaust moved later come nearer to the piston.
#[test]
fn phasers_take_room() {
    let found = example_sheet("turbo-four");
    let value = |key: &str| found.figure(key).expect("all is stated").value;
    for name in ["intake", "exhaust"] {
        let (parked, phased) = (value(&format!("{name}_piston_gap_m")), value(&format!("{name}_piston_gap_phased_m")));
        assert!(phased < parked, "{name}: {phased} m against {parked} m");
    }
}

/// Of four valves each passes its share: the coefficient on the curtain of one valve is that of half the port.
#[test]
fn coefficients_of_several_valves() {
    let file = example("turbo-four");
    let found = sheet(file.build());
    let value = |key: &str| found.figure(key).expect("all is stated").value;
    let curtain = std::f64::consts::PI * 0.034 * 0.010;
    assert!((value("intake_cd_curtain") - 0.5 * value("intake_effective_area_m2") / curtain).abs() < 1e-12);
}

/// A map whose flow falls straight with the pressure ratio: the working point in closed form, without a cooler and
/// with efficiency 1. The engine draws `V n / 120` of charge at manifold state, so with `flow = a − b (π − 1)` the
/// balance is `a − b (π − 1) = V n / 120 · π^(1 − 0.4/1.4)`; both sides are compared at the ratio found.
#[test]
fn a_blower_map_is_met_where_engine_and_blower_agree() {
    let text = "plateau_build = 2\n[engine]\nrev_limit = \"6000 rpm\"\nvolumetric_efficiency = \"100 %\"\n[block]\n\
        cylinders = 4\nbore = \"90 mm\"\nstroke = \"90 mm\"\n[blower]\nkind = \"centrifugal\"\nratio = 2.0\n\
        map_speed = \"10000 10000 10000 14000 14000 14000 rpm\"\nmap_pressure_ratio = [1.0, 1.5, 2.0, 1.0, 1.5, 2.0]\n\
        map_flow = \"0.15 0.13 0.11 0.21 0.19 0.17 m3/s\"\nmap_efficiency = \"100 100 100 100 100 100 %\"\n\
        [ambient]\npressure = \"100 kPa abs\"\ntemperature = \"20 °C\"\n";
    let file = BuildFile::parse(text).unwrap_or_else(|error| panic!("{error}"));
    let found = sheet(file.build());
    let value = |key: &str| found.figure(key).unwrap_or_else(|| panic!("{key}: {:#?}", found.not_worked_out)).value;
    let ratio = 1.0 + value("boost_gauge_pa") / 100e3;
    // At 12,000 rpm, half-way between the two lines.
    let delivered = 0.18 - 0.04 * (ratio - 1.0);
    let engine = 4.0 * std::f64::consts::FRAC_PI_4 * 0.09f64.powi(3) * 6000.0 / 120.0;
    let drawn = engine * ratio.powf(1.0 - 0.4 / 1.4);
    assert!((delivered / drawn - 1.0).abs() < 1e-6, "{delivered} against {drawn} m³/s at {ratio}");
    assert!((value("blower_flow_m3_s") / delivered - 1.0).abs() < 1e-6);
    let beyond = BuildFile::parse(&text.replace("ratio = 2.0\n", "ratio = 3.0\n")).expect("a good file");
    let found = sheet(beyond.build());
    let lack = found.not_worked_out.iter().find(|n| n.key == "boost_gauge_pa").expect("18,000 rpm is off the map");
    assert!(lack.why.contains("18000 rpm") && lack.why.contains("14000"), "{}", lack.why);
}

/// Of a measured lobe the table's own scatter stands in the uncertainty.
#[test]
fn a_measured_lobe_carries_its_scatter() {
    let found = example_sheet("turbo-four");
    for key in ["intake_duration_deg", "intake_duration_050_deg", "intake_centreline_deg", "intake_lobe_lift_m"] {
        let figure = found.figure(key).expect("the lobe is measured");
        assert!(figure.u.is_some_and(|u| u > 0.0), "{key}");
        assert_eq!(figure.hangs_on[0].key, "lobe.intake.table_lift");
    }
    // A dial of 2 µm on a flank of some 40 µm a degree: the angle to a few hundredths.
    let u = found.figure("intake_duration_050_deg").and_then(|f| f.u).expect("known");
    assert!((0.005..0.2).contains(&u), "{u}°");
}

/// A reading so uncertain that it might be impossible: the value stands, its uncertainty is not made up.
#[test]
fn an_uncertainty_that_cannot_be_worked_out_is_said() {
    let text = "plateau_build = 2\n[block]\nbore = \"100 mm\"\nstroke = \"100 mm\"\ndeck_clearance = \"0 mm\"\n[head]\n\
        chamber_volume = \"70 cc ± 180 cc\"\n[gasket]\nbore = \"101 mm\"\nthickness = \"1 mm\"\n[piston]\ncrown_volume = \"0 cc\"\n";
    let found = sheet(BuildFile::parse(text).expect("a good file").build());
    let ratio = found.figure("static_ratio").expect("the value itself is possible");
    assert!(ratio.value > 10.0 && ratio.u.is_none());
    assert!(ratio.note.as_ref().is_some_and(|note| note.contains("its uncertainty is not known")), "{:?}", ratio.note);
}

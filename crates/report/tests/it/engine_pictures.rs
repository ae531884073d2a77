//! Pictures of an engine: verdicts in the findings, units, and what cannot be drawn.

use engine::build_file::BuildFile;
use engine::limits::{Layer, Layers, parse, shipped};
use engine::sheet::sheet;
use quantity::UnitSystem;
use report::{Drawing, EnginePicture, NotDrawn, engine_finding, engine_pictures};

fn v8() -> BuildFile {
    let text = include_str!("../../../../examples/builds/pushrod-v8.toml");
    BuildFile::parse(text).expect("the example reads")
}

fn drawn(file: &BuildFile, units: UnitSystem, limits: &Layers<'_>) -> (Vec<EnginePicture>, Vec<NotDrawn>) {
    engine_pictures(file.build(), &sheet(file.build()), units, limits)
}

fn lift(pictures: &[EnginePicture]) -> &EnginePicture {
    pictures.iter().find(|p| p.key == "lift").expect("the lift is drawn")
}

#[test]
fn the_shops_limit_overrides_and_turns_the_verdict() {
    let shipped_only = Layers::over(shipped());
    let (pictures, _) = drawn(&v8(), UnitSystem::UsCustomary, &shipped_only);
    assert!(lift(&pictures).finding.contains("inside the limit of 0.080 in"), "{}", lift(&pictures).finding);
    let text = "version = 1\ntitle = \"shop\"\n[[source]]\ntag = \"S\"\nstanding = \"stated\"\nwhat = \"a test\"\n\
                [[limit]]\nfeature = \"piston_to_valve_intake\"\nuse = [\"street\"]\nmin = \"0.300 in\"\nsource = \"S\"\n";
    let shop = parse(text, Some(shipped())).expect("the table reads");
    let layers = Layers::over(shipped()).with(Layer::Shop, &shop);
    let (pictures, _) = drawn(&v8(), UnitSystem::UsCustomary, &layers);
    let picture = lift(&pictures);
    assert!(picture.finding.contains("outside the limit of 0.300 in"), "{}", picture.finding);
    let Drawing::Strips(drawing) = &picture.drawing else { panic!("strips") };
    // An inch is exactly 25.4 mm; the rest is rounding of one product.
    assert!((drawing.strips[1].limits[0].value - 0.300).abs() < 1e-12);
}

#[test]
fn both_unit_systems_draw_the_same_lift() {
    let layers = Layers::over(shipped());
    let top = |units| {
        let (pictures, _) = drawn(&v8(), units, &layers);
        let Drawing::Strips(drawing) = &lift(&pictures).drawing else { panic!("strips") };
        drawing.strips[0].lines[0].points.iter().map(|p| p.1).fold(0.0, f64::max)
    };
    // Two multiplications apart: a few units in the last place of a number near 13.
    assert!((top(UnitSystem::Metric) - 25.4 * top(UnitSystem::UsCustomary)).abs() < 1e-12);
}

#[test]
fn what_cannot_be_drawn_names_what_is_missing() {
    let file = BuildFile::parse(
        "plateau_build = 2\n[engine]\nname = \"bare\"\n[block]\nbore = \"100 mm\"\nstroke = \"90 mm\"\n",
    )
    .expect("a bare file reads");
    let (pictures, lacking) = drawn(&file, UnitSystem::Metric, &Layers::over(shipped()));
    assert!(pictures.is_empty(), "{pictures:?}");
    let keys: Vec<&str> = lacking.iter().map(|n| n.key).collect();
    assert_eq!(keys, ["combustion-space", "lift", "overlap", "piston-motion", "port-flow"]);
    assert!(lacking[3].why.contains("block.rod_length"), "{lacking:?}");
    let finding = engine_finding(file.build(), &sheet(file.build()), UnitSystem::Metric);
    assert!(finding.starts_with("bare: size not known, compression not known;"), "{finding}");
}

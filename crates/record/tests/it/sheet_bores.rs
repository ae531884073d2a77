//! The bore sheet: verdicts, neighbours, asks, shape.

use crate::sheet_help::*;
use quantity::{Limits, Verdict, verdict};
use record::sheet::{Taint, evaluate};
use record::{InstrumentUsed, SheetBegun, Value};

/// Readings of an invented blown four after honing; the last bore is not read yet.
pub(crate) const READ: [(&str, &str); 18] = [
    ("cylinder 1/top/across", "92.752"),
    ("cylinder 1/top/along", "92.750"),
    ("cylinder 1/middle/across", "92.751"),
    ("cylinder 1/middle/along", "92.749"),
    ("cylinder 1/bottom/across", "92.753"),
    ("cylinder 1/bottom/along", "92.751"),
    ("cylinder 2/top/across", "92.755"),
    ("cylinder 2/top/along", "92.751"),
    ("cylinder 2/middle/across", "92.752"),
    ("cylinder 2/middle/along", "92.750"),
    ("cylinder 2/bottom/across", "92.751"),
    ("cylinder 2/bottom/along", "92.748"),
    ("cylinder 3/top/across", "92.750"),
    ("cylinder 3/top/along", "92.753"),
    ("cylinder 3/middle/across", "92.752"),
    ("cylinder 3/middle/along", "92.754"),
    ("cylinder 3/bottom/across", "92.755"),
    ("cylinder 3/bottom/along", "92.766"),
];

pub(crate) fn sheet() -> SheetBegun {
    let template = template("bores");
    let mut begun = begun(template, "street_boosted");
    begun.title = "Cylinder bores, after honing".to_owned();
    begun.material = Some("4032 forged".to_owned());
    begun.instruments.push(instrument("Bore gauge 2", 1.0e-6, Some(0.5e-6), 1e-6));
    for (key, text) in [
        ("bore_least", "92.740 mm"),
        ("bore_aim", "92.750 mm"),
        ("bore_greatest", "92.760 mm"),
        ("height_top", "15 mm"),
        ("height_middle", "60 mm"),
        ("height_bottom", "105 mm"),
        ("piston", "92.668 mm ± 0.002 mm"),
    ] {
        give(&mut begun, template, key, text);
    }
    begun
}

#[test]
fn the_sheet_of_a_half_read_block() {
    let result = judged(&sheet(), template("bores"), &READ);
    insta::assert_snapshot!(shown(&result));
}

#[test]
fn a_layout_has_rows_by_columns_with_keys_that_people_can_read() {
    let layout = template("bores").layout_of(&sheet()).unwrap();
    assert_eq!(layout.places().count(), 24);
    assert_eq!(layout.columns[2].head, "Cylinder 3");
    assert_eq!(layout.rows[5].group_under, "105 mm");
    assert_eq!(layout.rows[5].places[2].as_deref(), Some("cylinder 3/bottom/along"));
    assert_eq!(layout.words("cylinder 3/bottom/along").unwrap(), "Cylinder 3, bottom, along");
    assert_eq!(layout.words("cylinder 3/taper").unwrap(), "Cylinder 3, taper");
}

#[test]
fn a_reading_that_is_out_says_its_neighbours_the_slip_and_the_next_step() {
    let result = judged(&sheet(), template("bores"), &READ);
    let cell = &result.cells["cylinder 3/bottom/along"];
    let judged = cell.judgement.as_ref().unwrap();
    assert_eq!((judged.verdict, judged.words.as_str()), (Verdict::Outside, "0.006 over"));
    assert_eq!(judged.from.layer, "this sheet");
    let ask = result.ask("cylinder 3/bottom/along").unwrap();
    assert_eq!(
        ask.words,
        "The other five in this bore read 92.750 to 92.755. One this far off is often a tipped gauge. \
         If it stands, the next step is the next piston size."
    );
    assert!(ask.measure_again);
    assert_eq!(result.progress, record::sheet::Progress { done: 18, total: 24 });
}

#[test]
fn a_bore_that_is_out_everywhere_is_no_slip() {
    let big: Vec<(&str, &str)> = READ[..6].iter().map(|(place, _)| (*place, "92.771")).collect();
    let result = judged(&sheet(), template("bores"), &big);
    let ask = result.ask("cylinder 1/top/across").unwrap();
    assert_eq!(
        ask.words,
        "The other five in this bore read 92.771. If it stands, the next step is the next piston size."
    );
    assert!(!ask.measure_again);
}

#[test]
fn another_unit_or_a_slip_of_the_pen_is_named() {
    let mut typed = READ.to_vec();
    typed[17].1 = "96.752";
    let result = judged(&sheet(), template("bores"), &typed);
    assert!(result.ask("cylinder 3/bottom/along").unwrap().words.contains("a slip of the pen, or another unit"));
}

#[test]
fn taper_and_out_of_round_are_those_of_the_engine_crate() {
    use engine::clearances::bore_sheet::BoreSheet;
    let result = judged(&sheet(), template("bores"), &READ);
    let of = |cylinder: usize| -> [[f64; 2]; 3] {
        std::array::from_fn(|h| {
            std::array::from_fn(|a| READ[6 * (cylinder - 1) + 2 * h + a].1.parse::<f64>().unwrap() * 1e-3)
        })
    };
    // Noise of one reading: what repeats, and the last digit.
    let noise_m = 0.5e-6_f64.hypot(1e-6 / 12f64.sqrt());
    for cylinder in 1..=3 {
        let engine = BoreSheet::new(of(cylinder), noise_m).unwrap();
        let at = |row: &str| format!("cylinder {cylinder}/{row}");
        assert!((value(&result, &at("taper")) - engine.taper().size_m).abs() < 1e-12);
        assert!((value(&result, &at("out_of_round")) - engine.out_of_round().size_m).abs() < 1e-12);
        assert!((u(&result, &at("taper")) - 0.5 * engine.taper().reach_m).abs() < 1e-12);
        assert!((value(&result, &at("size")) - engine.mean_m().value).abs() < 1e-12);
        assert!((value(&result, &at("smallest")) - engine.smallest_m().value).abs() < 1e-12);
    }
}

#[test]
fn what_the_gauge_is_off_by_does_not_average_out_and_cancels_in_a_spread() {
    let result = judged(&sheet(), template("bores"), &READ);
    // Whole 1.0 µm, of which 0.5 repeats: shared √(1 − 0.25) = 0.866 µm. Digit 1/√12 = 0.2887 µm.
    let noise = (0.25f64 + 1.0 / 12.0).sqrt();
    let expected = (noise * noise / 6.0 + 0.75f64).sqrt() * 1e-6;
    assert!((u(&result, "cylinder 1/size") - expected).abs() < 1e-12);
    // The clearance adds the piston: ± 0.002 mm stated, so 1 µm.
    assert!((u(&result, "cylinder 1/clearance") - expected.hypot(1e-6)).abs() < 1e-12);
    // In the spread of the bores only noise is left: √(noise²/6) each, three of them.
    let reach = engine::spread::studentised_range_95(3) * noise / 6f64.sqrt() * 1e-6;
    let spread = result.figure("bore_spread").unwrap();
    assert!(!spread.complete && spread.value_si.is_some(), "the fourth bore is not read");
    assert!((spread.u_si.unwrap() - 0.5 * reach).abs() < 1e-12);
}

#[test]
fn a_part_of_the_readings_can_be_outside_and_never_inside() {
    let sheet = sheet();
    let two = judged(&sheet, template("bores"), &[READ[0], READ[2]]);
    let taper = two.figure("cylinder 1/taper").unwrap();
    assert_eq!(taper.judgement.as_ref().unwrap().verdict, Verdict::CannotTell);
    assert_eq!(taper.readings, (2, 6));
    assert!(two.figure("cylinder 1/size").unwrap().value_si.is_none());
    assert_eq!(two.figure("cylinder 1/size").unwrap().missing.as_deref(), Some("2 of 6 read"));
    let bad = judged(&sheet, template("bores"), &[READ[0], ("cylinder 1/middle/across", "92.790")]);
    assert_eq!(bad.figure("cylinder 1/taper").unwrap().judgement.as_ref().unwrap().verdict, Verdict::Outside);
}

#[test]
fn an_overdue_instrument_taints_its_readings_and_what_rests_on_them() {
    let mut begun = sheet();
    begun.instruments[0].due = Some("2026-03-06".to_owned());
    let result = judged(&begun, template("bores"), &READ);
    let cell = &result.cells["cylinder 1/top/across"];
    assert_eq!(cell.taint, Some(Taint::Overdue { instrument: "Bore gauge 2".to_owned(), days: 12 }));
    assert_eq!(
        result.figure("cylinder 1/clearance").unwrap().tainted,
        ["Bore gauge 2: calibration overdue by 12 days".to_owned()]
    );
    assert!(result.notices.contains(&"Bore gauge 2: calibration overdue by 12 days: 18 readings".to_owned()));
    // Nothing is hidden: the verdict stays beside it.
    assert_eq!(cell.judgement.as_ref().unwrap().verdict, Verdict::Inside);
}

#[test]
fn no_instrument_is_a_taint_and_the_last_digit_is_all_that_is_known() {
    let mut begun = sheet();
    begun.instruments.clear();
    let result = judged(&begun, template("bores"), &READ);
    let cell = &result.cells["cylinder 1/top/across"];
    assert_eq!(cell.taint, Some(Taint::NoInstrument));
    assert!((cell.u_si.unwrap() - 1e-6 / 12f64.sqrt()).abs() < 1e-15);
}

#[test]
fn a_warm_part_is_judged_at_twenty_degrees() {
    let mut begun = sheet();
    begun.part_temperature =
        Some(record::Stated::read("30.0 °C ± 1 °C", quantity::Dimension::Temperature, None).unwrap());
    let result = judged(&begun, template("bores"), &READ);
    let cell = &result.cells["cylinder 1/top/across"];
    // Iron 10.8e-6, steel gauge 11.5e-6: the gauge grew more, the bore is larger than it showed.
    let expected = 92.752e-3 * (1.0 + 11.5e-6 * 10.0) / (1.0 + 10.8e-6 * 10.0);
    assert!((cell.value_si.unwrap() - expected).abs() < 1e-12);
    assert_eq!(cell.number, "92.752", "the reading is shown as read");
    assert!(cell.parts.iter().any(|p| p.what == "expansion of grey iron"));
    begun.conditions.push("aluminium block".to_owned());
    let aluminium = judged(&begun, template("bores"), &READ);
    let shift = aluminium.cells["cylinder 1/top/across"].value_si.unwrap() - 92.752e-3;
    assert!((shift + 92.752e-3 * 10.5e-6 * 10.0).abs() < 1e-8, "an aluminium block shrinks by 0.0097 mm: {shift}");
}

#[test]
fn a_reading_of_another_kind_or_place_is_kept_and_not_used() {
    let begun = sheet();
    let template = template("bores");
    let mut all = readings(&begun, template, &READ);
    all[0].value = Value::Quantity(record::Stated::read("92.752 g", quantity::Dimension::Mass, None).unwrap());
    all[1].place = "cylinder 9/top/along".to_owned();
    all[2].value = Value::NotRead("ring groove in the way".to_owned());
    let result = evaluate(&begun, template, &all, &engine::limits::Layers::over(engine::limits::shipped())).unwrap();
    assert!(matches!(&result.cells["cylinder 1/top/across"].state, record::sheet::CellState::Unusable(why)
        if why == "92.752 g is a mass, a length is asked for here"));
    assert_eq!(result.strangers, [(all[1].id, "cylinder 9/top/along".to_owned())]);
    let size = result.figure("cylinder 1/size").unwrap();
    assert_eq!(size.missing.as_deref(), Some("Cylinder 1, middle, across could not be read: ring groove in the way"));
}

#[test]
fn the_shape_counts_from_the_aim() {
    let result = judged(&sheet(), template("bores"), &READ);
    let shape = &result.shapes[2];
    assert_eq!(shape.column, "cylinder 3");
    assert!((shape.zero_si - 92.750e-3).abs() < 1e-12);
    let along = &shape.lines[1];
    assert_eq!((along.name.as_str(), along.points.len()), ("along", 3));
    assert!((along.points[2].deviation_si.unwrap() - 16e-6).abs() < 1e-12);
    assert!((along.points[2].at - 0.105).abs() < 1e-12);
    assert_eq!(along.points[2].verdict, Some(Verdict::Outside));
    assert!(result.shapes[3].lines[0].points[0].deviation_si.is_none());
    assert!((shape.upper_si.unwrap() - 10e-6).abs() < 1e-12);
}

#[test]
fn the_clearance_is_judged_per_inch_of_the_bore_with_its_source() {
    let result = judged(&sheet(), template("bores"), &READ);
    let clearance = result.figure("cylinder 1/clearance").unwrap();
    let judged = clearance.judgement.as_ref().unwrap();
    // 4032 forged, boosted street: 0.8 to 1.0 thou per inch.
    let size = value(&result, "cylinder 1/size");
    let limits = Limits::between(0.8e-3 * size, 1.0e-3 * size);
    assert!((judged.lower_si.unwrap() - limits.lower.unwrap()).abs() < 1e-12);
    assert_eq!(judged.verdict, verdict(clearance.value_si.unwrap(), clearance.u_si.unwrap(), limits));
    assert_eq!((judged.from.source.as_str(), judged.from.layer.as_str()), ("C", "default"));
}

#[test]
fn the_shop_and_the_maker_override_the_shipped_limit() {
    let table = engine::limits::parse(
        "version = 1\ntitle = \"sheet of the piston maker\"\n[[source]]\ntag = \"maker\"\nstanding = \"stated\"\n\
         what = \"card in the box\"\n[[limit]]\nfeature = \"piston_to_wall\"\nmin = \"0.060 mm\"\nmax = \"0.070 mm\"\n\
         source = \"maker\"\n",
        Some(engine::limits::shipped()),
    )
    .unwrap();
    let layers =
        engine::limits::Layers::over(engine::limits::shipped()).with(engine::limits::Layer::MakersSheet, &table);
    let begun = sheet();
    let result = evaluate(&begun, template("bores"), &readings(&begun, template("bores"), &READ), &layers).unwrap();
    let judged = result.figure("cylinder 1/clearance").unwrap().judgement.clone().unwrap();
    assert_eq!((judged.limits.as_str(), judged.from.layer.as_str()), ("0.060–0.070", "the maker's sheet"));
    assert_eq!(judged.verdict, Verdict::Outside);
}

#[test]
fn without_a_limit_there_is_a_reason_and_no_verdict() {
    let mut begun = sheet();
    begun.material = None;
    begun.given.remove("bore_least");
    begun.given.remove("bore_greatest");
    let result = judged(&begun, template("bores"), &READ);
    assert_eq!(
        result.cells["cylinder 1/top/across"].no_limit.as_deref(),
        Some("not given: Least bore, Greatest bore, Bore aimed at")
    );
    let clearance = result.figure("cylinder 1/clearance").unwrap();
    assert!(clearance.no_limit.as_ref().unwrap().contains("no material named"), "{:?}", clearance.no_limit);
}

#[test]
fn two_readings_in_one_place_count_as_repeats() {
    let begun = sheet();
    let template = template("bores");
    let mut all = readings(&begun, template, &READ[..1]);
    let mut again = all[0].clone();
    again.id = id(99);
    again.value = Value::Quantity(record::Stated::read("92.756 mm", quantity::Dimension::Length, None).unwrap());
    all.push(again);
    let result = evaluate(&begun, template, &all, &engine::limits::Layers::over(engine::limits::shipped())).unwrap();
    let cell = &result.cells["cylinder 1/top/across"];
    assert!((cell.shown_si.unwrap() - 92.754e-3).abs() < 1e-12);
    let type_a = cell.parts.iter().find(|p| p.what == "repeated readings").unwrap();
    // s = 2.828 µm, over √2.
    assert!((type_a.u_si - 2e-6).abs() < 1e-12);
    assert_eq!(cell.readings.len(), 2);
}

#[test]
fn an_instrument_that_was_calibrated_later_was_not_calibrated_then() {
    let used = InstrumentUsed { calibrated: Some("2026-04-01".to_owned()), ..instrument("G", 1e-6, None, 1e-6) };
    let day = record::instrument::day_of("2026-03-18T14:32:00Z").unwrap();
    assert_eq!(record::instrument::standing(&used, day), record::instrument::Standing::NeverCalibrated);
}

#[test]
fn a_place_is_read_with_the_instrument_of_its_kind() {
    let template = template("deck_and_volumes");
    let mut begun = begun(template, "street");
    let mut burette = instrument("Burette", 0.15e-6, None, 0.1e-6);
    burette.kind = "burette".to_owned();
    begun.instruments = vec![instrument("Deck bridge", 6.5e-6, Some(4e-6), 5e-6), burette];
    let result = judged(
        &begun,
        template,
        &[
            ("cylinder 1/deck/front", "0.250"),
            ("cylinder 1/volume/chamber", "58.4"),
            ("cylinder 1/volume/crown", "11.0"),
        ],
    );
    let name = |place: &str| result.cells[place].instrument.as_ref().map(|i| i.name.clone());
    assert_eq!(name("cylinder 1/deck/front").as_deref(), Some("Deck bridge"));
    assert_eq!(name("cylinder 1/volume/chamber").as_deref(), Some("Burette"));
    begun.instruments.pop();
    let without = judged(&begun, template, &[("cylinder 1/volume/chamber", "58.4")]);
    assert_eq!(without.cells["cylinder 1/volume/chamber"].taint, Some(Taint::NoInstrument));
}

#[test]
fn a_reading_whose_doubt_spans_the_limit_says_so() {
    let mut typed = READ.to_vec();
    typed[17].1 = "92.759";
    let result = judged(&sheet(), template("bores"), &typed);
    let cell = &result.cells["cylinder 3/bottom/along"];
    assert_eq!(cell.judgement.as_ref().unwrap().verdict, Verdict::CannotTell);
    assert_eq!(
        result.ask("cylinder 3/bottom/along").unwrap().words,
        "The other five in this bore read 92.750 to 92.755. The limit lies within the reading's ± 0.002 mm with Bore gauge 2."
    );
}

#[test]
fn among_scattered_readings_a_far_one_does_not_stand_apart() {
    let mut typed = READ[12..].to_vec();
    for (reading, text) in typed.iter_mut().zip(["92.742", "92.758", "92.746", "92.754", "92.750", "92.763"]) {
        reading.1 = text;
    }
    let result = judged(&sheet(), template("bores"), &typed);
    let ask = result.ask("cylinder 3/bottom/along").unwrap();
    // 0.005 beyond the nearest, and the others lie 0.016 among themselves.
    assert!(!ask.measure_again && !ask.words.contains("tipped gauge"), "{}", ask.words);
}

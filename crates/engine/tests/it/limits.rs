//! Limit tables: what is shipped, layering, judging, and what a person reads about a bad file.

use engine::limits::*;
use quantity::{Dimension, Verdict, find_unit_in};

const IN: f64 = 0.0254;
const THOU: f64 = 0.0254e-3;

fn query(feature: &str, built_for: Use) -> Query<'_> {
    Query { feature, built_for, material: None, conditions: &[] }
}

fn find<'a>(layers: &Layers<'a>, feature: &str, built_for: Use) -> Found<'a> {
    layers.find(&query(feature, built_for)).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn every_shipped_row_has_a_source_and_its_figures_rise() {
    let table = shipped();
    assert!(table.limits.len() > 200, "{}", table.limits.len());
    for limit in &table.limits {
        let feature = table.feature(&limit.feature).unwrap_or_else(|| panic!("{limit:?}"));
        let source = table.source(&limit.source).unwrap_or_else(|| panic!("{limit:?}"));
        assert!(source.what.len() > 10, "{source:?}");
        // Figures of the same row are all per size or all whole, so that they can be compared.
        let figures: Vec<&Stated> = [&limit.min, &limit.target, &limit.max].into_iter().flatten().collect();
        assert!(!figures.is_empty() && figures.windows(2).all(|w| w[0].si <= w[1].si), "{limit:?}");
        assert!(figures.iter().all(|f| f.per_size == figures[0].per_size), "{limit:?}");
        assert!(feature.per.is_some() || !figures[0].per_size, "{limit:?}");
        // Each figure once more from its text, by another path than the parser's.
        for figure in figures {
            let (number, unit) = figure.text.split_once(' ').unwrap_or((&figure.text, ""));
            let (unit, size) = unit.split_once(" per ").unwrap_or((unit, ""));
            let scale = if unit.is_empty() { 1.0 } else { find_unit_in(unit, feature.kind).unwrap().to_si(1.0) };
            let per = if size.is_empty() { 1.0 } else { find_unit_in(size, Dimension::Length).unwrap().to_si(1.0) };
            let due = number.parse::<f64>().unwrap() * scale / per;
            assert!((figure.si - due).abs() <= 1e-12 * due.abs(), "{figure:?}");
        }
    }
    for feature in &table.features {
        assert!(table.limits.iter().any(|l| l.feature == feature.key), "no row for {}", feature.key);
        assert_eq!(table.features.iter().filter(|f| f.key == feature.key).count(), 1);
    }
}

#[test]
fn one_tag_means_one_source_in_all_shipped_files() {
    for (i, source) in shipped().sources.iter().enumerate() {
        assert!(shipped().sources[..i].iter().all(|s| s.tag != source.tag), "{source:?}");
    }
}

#[test]
fn every_use_finds_or_names_what_is_missing() {
    let layers = Layers::over(shipped());
    for feature in &shipped().features {
        let rows = || shipped().limits.iter().filter(|l| l.feature == feature.key && !l.reference);
        let materials: Vec<Option<&str>> =
            std::iter::once(None).chain(rows().map(|l| l.material.as_deref()).filter(Option::is_some)).collect();
        for built_for in Use::ALL {
            for material in &materials {
                let query = Query { material: *material, ..query(&feature.key, built_for) };
                match layers.find(&query) {
                    Ok(found) => assert!(!found.limit.reference),
                    Err(FindError::NoRow { .. }) => {}
                    Err(other) => panic!("{other}"),
                }
            }
        }
    }
}

#[test]
fn rows_of_the_trade_sheet_are_read_as_they_stand() {
    let layers = Layers::over(shipped());
    let si = |found: &Found<'_>, size: f64| {
        let judged = judge(0.0, 0.0, found.limit, Some(size)).unwrap();
        (judged.limits.lower.unwrap() / THOU, judged.limits.upper.unwrap() / THOU)
    };
    let near = |(a, b): (f64, f64), (c, d): (f64, f64)| (a - c).abs() < 0.05 && (b - d).abs() < 0.05;
    // Main 2.45 in: 2.0 to 2.5 thou on the street, 2.5 to 3.0 for drag (printed to a tenth of a thou).
    assert!(near(si(&find(&layers, "main_clearance", Use::Street), 2.45 * IN), (1.96, 2.45)));
    assert!(near(si(&find(&layers, "main_clearance", Use::Drag), 2.45 * IN), (2.45, 2.94)));
    // A 4.000 in bore with a race blower: at least 26 thou, at most 28.
    let blower = Query { conditions: &["blower"], ..query("ring_gap_top", Use::Drag) };
    assert!(near(si(&layers.find(&blower).unwrap(), 4.0 * IN), (26.0, 28.0)));
    let nitrous =
        Query { material: Some("2618 forged"), conditions: &["nitrous"], ..query("piston_to_wall", Use::Drag) };
    assert!(near(si(&layers.find(&nitrous).unwrap(), 4.0 * IN), (5.2, 7.2)));
    let plain = Query { conditions: &[], ..nitrous };
    assert!(near(si(&layers.find(&plain).unwrap(), 4.0 * IN), (4.4, 6.0)));
    // Aluminium rods want more quench whatever the use.
    let rods = Query { conditions: &["aluminium rod"], ..query("quench", Use::Drag) };
    assert!(near(si(&layers.find(&rods).unwrap(), 1.0), (55.0, 65.0)));
    assert_eq!(layers.references("crank_end_play", Use::Marine).len(), 2);
}

#[test]
fn a_condition_that_the_row_was_not_made_for_is_said() {
    let layers = Layers::over(shipped());
    let rods =
        |built_for| Query { conditions: &["aluminium rod", "blower"], ..query("piston_to_valve_intake", built_for) };
    // Only the drag rows know aluminium rods; nothing about this feature depends on a blower.
    let drag = layers.find(&rods(Use::Drag)).unwrap();
    assert!(drag.not_considered.is_empty() && drag.limit.when == ["aluminium rod"]);
    let street = layers.find(&rods(Use::Street)).unwrap();
    assert_eq!(street.not_considered, ["aluminium rod"]);
    assert!(street.to_string().contains("takes no notice of: aluminium rod"), "{street}");
    // Turbo and nitrous have a row each with the same figures: no question arises.
    let both = Query { conditions: &["turbo", "nitrous"], ..query("ring_gap_top", Use::Drag) };
    let found = layers.find(&both).unwrap();
    assert_eq!(found.limit.min.as_ref().unwrap().text, "0.0060 in per in");
}

#[test]
fn a_narrow_bearing_window_cannot_be_told() {
    // A window 0.0005 in wide read to ±0.0003 in (95 %).
    let layers = Layers::over(shipped());
    let found = find(&layers, "main_clearance", Use::Street);
    let u = 0.000_15 * IN;
    let at = |reading_in: f64| judge(reading_in * IN, u, found.limit, Some(2.5 * IN)).unwrap();
    // 2.0 to 2.5 thou on a 2.5 in journal.
    let middle = at(0.002_25);
    assert_eq!(middle.verdict, Verdict::CannotTell);
    assert!(!middle.can_be_inside);
    assert!((middle.width_over_uncertainty.unwrap() - 0.000_5 / 0.000_3).abs() < 1e-9);
    assert_eq!(at(0.002_1).verdict, Verdict::CannotTell);
    assert_eq!(at(0.002_7).verdict, Verdict::CannotTell);
    assert_eq!(at(0.002_9).verdict, Verdict::Outside);
    // A better gauge tells.
    let better = judge(0.002_25 * IN, 0.000_05 * IN, found.limit, Some(2.5 * IN)).unwrap();
    assert_eq!(better.verdict, Verdict::Inside);
    assert!(better.can_be_inside);
}

#[test]
fn a_belt_is_judged_by_its_row() {
    let layers = Layers::over(shipped());
    let found = find(&layers, "belt_power", Use::StreetBoosted);
    let hp = 745.699_871_582_27;
    // 1.5 in of rib carries 75 hp at most; judged once by the row and once by the blower's own function.
    for (power, due) in [(60.0, Verdict::Inside), (74.0, Verdict::CannotTell), (90.0, Verdict::Outside)] {
        assert_eq!(judge(power * hp, 2.0 * hp, found.limit, Some(1.5 * IN)).unwrap().verdict, due);
        let per_width = found.limit.max.as_ref().unwrap().si;
        assert_eq!(engine::blower::judge_belt(power * hp, 2.0 * hp, 1.5 * IN, per_width).unwrap(), due);
    }
}

const SHOP: &str = r#"
version = 1
title = "our own"
[[source]]
tag = "us"
standing = "stated"
what = "ten years of this shop's endurance engines"
[[limit]]
feature = "main_clearance"
min = "0.0022 in"
max = "0.0028 in"
source = "us"
"#;

const SHEET: &str = r#"
version = 1
title = "sheet with the bearings, invented"
[[source]]
tag = "sheet"
standing = "stated"
what = "the sheet in the box"
[[limit]]
feature = "main_clearance"
use = ["drag"]
min = "0.060 mm"
target = "0.065 mm"
max = "0.075 mm"
source = "sheet"
"#;

#[test]
fn the_makers_sheet_lies_over_the_shop_over_what_is_shipped() {
    let shop = parse(SHOP, Some(shipped())).unwrap();
    let sheet = parse(SHEET, Some(shipped())).unwrap();
    let layers = Layers::over(shipped()).with(Layer::MakersSheet, &sheet).with(Layer::Shop, &shop);
    let drag = find(&layers, "main_clearance", Use::Drag);
    assert_eq!(drag.layer, Layer::MakersSheet);
    assert_eq!(drag.overrides.iter().map(|o| o.0).collect::<Vec<_>>(), [Layer::Shop, Layer::Shipped]);
    insta::assert_snapshot!("where_a_limit_comes_from", drag.to_string());
    // The sheet is silent about the street, so the shop's row counts though it names no use.
    let street = find(&layers, "main_clearance", Use::Street);
    assert_eq!(street.layer, Layer::Shop);
    assert!((street.limit.min.as_ref().unwrap().si - 0.002_2 * IN).abs() < 1e-15);
    let rows = layers.rows_for(Use::Drag);
    let mains: Vec<Layer> = rows.iter().filter(|r| r.0.key == "main_clearance").map(|r| r.1).collect();
    assert_eq!(mains, [Layer::MakersSheet, Layer::Shop, Layer::Shipped, Layer::Shipped]);
    // A whole figure needs no size, a figure per size does.
    judge(0.0025 * IN, 1e-6, street.limit, None).unwrap();
    let shipped_only = Layers::over(shipped());
    let error = judge(0.0025 * IN, 1e-6, find(&shipped_only, "main_clearance", Use::Street).limit, None).unwrap_err();
    assert!(matches!(error, JudgeError::SizeMissing { .. }), "{error}");
}

#[test]
fn what_a_person_reads_when_no_limit_fits() {
    let layers = Layers::over(shipped());
    let said = |query: Query<'_>| layers.find(&query).unwrap_err().to_string();
    let texts = [
        said(query("main_clearence", Use::Street)),
        said(query("seat_load", Use::Drag)),
        said(Query { material: Some("bronze"), ..query("deck_roughness", Use::Street) }),
        said(Query { conditions: &["alcohol", "blower"], ..query("ring_gap_top", Use::Drag) }),
        judge(f64::NAN, 0.1, find(&layers, "crank_end_play", Use::Street).limit, None).unwrap_err().to_string(),
        judge(1.0, -0.1, find(&layers, "crank_end_play", Use::Street).limit, None).unwrap_err().to_string(),
        judge(1.0, 0.1, layers.references("crank_end_play", Use::Street)[0].1, None).unwrap_err().to_string(),
        judge(1.0, 0.1, find(&layers, "seat_width_intake", Use::Street).limit, None).unwrap_err().to_string(),
    ];
    insta::assert_snapshot!("no_limit_fits", texts.join("\n"));
}

#[test]
fn what_a_person_reads_about_a_bad_table() {
    let head = "version = 1\ntitle = \"t\"\n[[source]]\ntag = \"C\"\nstanding = \"common practice\"\nwhat = \"w\"\n";
    let feature = "[[feature]]\nkey = \"end_play\"\nname = \"end play\"\nkind = \"length\"\n";
    let row = |figures: &str| format!("{head}{feature}[[limit]]\nfeature = \"end_play\"\nsource = \"C\"\n{figures}\n");
    let two =
        format!("{}[[limit]]\nfeature = \"end_play\"\nsource = \"C\"\nmin = \"5 thou\"\n", row("min = \"4 thou\""));
    let cases = [
        "title = \"t\"".to_owned(),
        "version = 2\ntitle = \"t\"".to_owned(),
        "version = 1\ntitle = ".to_owned(),
        head.replace("common practice", "comon practice"),
        format!("{head}{}", feature.replace("length", "lenght")),
        row("min = \"8 thou\"\nmax = \"4 thou\""),
        row("min = 0.004"),
        row("min = \"0.004\""),
        row("min = \"4 psi\""),
        row("min = \"four thou\""),
        row("min = \"4 thou per in\""),
        row("mim = \"4 thou\""),
        row("use = [\"strret\"]\nmin = \"4 thou\""),
        row("note = \"nothing else\""),
        row("min = \"4 thou\"").replace("feature = \"end_play\"", "feature = \"end_pley\""),
        row("min = \"4 thou\"").replace("source = \"C\"", "source = \"P99\""),
        two,
    ];
    let texts: Vec<String> = cases.iter().map(|text| parse(text, None).unwrap_err().to_string()).collect();
    insta::assert_snapshot!("bad_tables", texts.join("\n"));
}

#[test]
fn a_sheet_cannot_make_another_thing_of_a_known_feature() {
    let text = SHEET.replace(
        "[[limit]]",
        "[[feature]]\nkey = \"main_clearance\"\nname = \"mains\"\nkind = \"fraction\"\n[[limit]]",
    );
    let error = parse(&text, Some(shipped())).unwrap_err();
    assert_eq!((error.line, error.column), (9, 7));
    assert!(error.what.contains("fraction with no size here and length with the size"), "{error}");
}

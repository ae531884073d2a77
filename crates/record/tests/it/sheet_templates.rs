//! Templates: the shipped ones, and what is said about faulty ones.

use engine::limits::shipped as limits;
use record::instrument::starter;
use record::sheet::{Template, shipped};

#[test]
fn every_shipped_template_reads_and_lays_out() {
    for template in shipped() {
        let layout = template.layout(&template.usual_counts()).unwrap();
        assert!(layout.places().count() > 0, "{}", template.key);
        let mut places: Vec<&str> = layout.places().map(|(_, _, place)| place).collect();
        places.extend(layout.derived.iter().flat_map(|d| d.places.iter().flatten().map(String::as_str)));
        let all = places.len();
        places.sort_unstable();
        places.dedup();
        assert_eq!(places.len(), all, "{}: two places share a key", template.key);
    }
}

#[test]
fn every_limit_feature_of_a_template_is_in_the_tables_and_of_its_kind() {
    for template in shipped() {
        let rows = template.rows.iter().filter_map(|r| Some((r.kind, r.limit.as_ref()?)));
        let derived = template.derived.iter().filter_map(|d| Some((d.kind, d.limit.as_ref()?)));
        for (kind, limit) in rows.chain(derived) {
            let Some(key) = &limit.feature else { continue };
            let feature = limits().feature(key).unwrap_or_else(|| panic!("{}: no feature {key}", template.key));
            assert_eq!(feature.kind, kind, "{}: {key}", template.key);
            assert!(
                feature.per.is_none() || limit.size.is_some(),
                "{}: {key} is per {:?} and the template names no size",
                template.key,
                feature.per
            );
        }
    }
}

#[test]
fn every_instrument_that_a_template_asks_for_is_in_the_starter_register() {
    for template in shipped() {
        for row in &template.rows {
            let found = starter().instruments.iter().find(|i| i.kind == row.instrument);
            let found = found.unwrap_or_else(|| panic!("{}: no {}", template.key, row.instrument));
            assert_eq!(found.measures, row.kind, "{}: {}", template.key, row.instrument);
        }
    }
}

#[test]
fn sheets_that_are_carried_from_exist() {
    for template in shipped() {
        for given in &template.given {
            let Some((sheet, value)) = &given.sheet else { continue };
            let from = shipped().iter().find(|t| t.key == *sheet).unwrap_or_else(|| panic!("no sheet {sheet}"));
            let known = match value.strip_prefix("derived.") {
                Some(key) => from.derived(key).map(|d| d.kind),
                None => from.row(value).map(|r| r.kind),
            };
            assert_eq!(known, Some(given.kind), "{}: {sheet}: {value}", template.key);
        }
    }
}

/// A small template with one thing changed.
fn with(from: &str, to: &str) -> String {
    let text = SMALL.replace(from, to);
    assert_ne!(text, SMALL, "nothing was changed");
    Template::parse(&text).unwrap_err().to_string()
}

const SMALL: &str = r#"version = 1
key = "heights"
title = "Heights"
about = "Invented for a test."
kind = "length"
units = ["mm", "in"]
instrument = "caliper"

[[count]]
key = "parts"
name = "parts"
usual = 4
least = 1
most = 8

[[given]]
key = "wanted"
name = "Wanted height"

[[columns]]
key = "part"
head = "Part {n}"
count = "parts"

[[row]]
key = "height"
name = "Height"
near = "row"

[[group]]
rows = ["height"]

[[derived]]
key = "off"
name = "Off"
formula = "difference"
from = { outer = "height", inner = "given.wanted" }
limit = { feature = "spring_height_error" }

[[into_build]]
key = "spring.intake.installed_height"
value = "height@part 1"
"#;

#[test]
fn the_small_template_reads() {
    let read = Template::parse(SMALL).unwrap();
    assert_eq!(read.layout(&read.usual_counts()).unwrap().places().count(), 4);
}

#[test]
fn faults_name_line_column_and_what_was_meant() {
    let all = [
        with("version = 1", "version = 2"),
        with("title = \"Heights\"", "titel = \"Heights\""),
        with("kind = \"length\"", "kind = \"lenght\""),
        with("units = [\"mm\", \"in\"]", "units = [\"mm\", \"g\"]"),
        with("count = \"parts\"", "count = \"part\""),
        with("rows = [\"height\"]", "rows = [\"hight\"]"),
        with("formula = \"difference\"", "formula = \"differenze\""),
        with("outer = \"height\", ", ""),
        with("inner = \"given.wanted\"", "inner = \"given.wantet\""),
        with("inner = \"given.wanted\"", "iner = \"given.wanted\""),
        with("outer = \"height\"", "outer = \"derived.later\""),
        with("outer = \"height\"", "outer = \"top/height\""),
        with("near = \"row\"", "near = \"rows\""),
        with("usual = 4", "usual = 9"),
        with("key = \"spring.intake.installed_height\"", "key = \"spring.intake.instaled_height\""),
        with("value = \"height@part 1\"", "value = \"height@prt 1\""),
        with("limit = { feature = \"spring_height_error\" }", "limit = { size = \"height\" }"),
        with("key = \"off\"", "key = \"height\""),
        with("key = \"wanted\"", "key = \"Wanted\""),
        with("[[group]]", "[group]"),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn counts_that_are_missing_or_cannot_be_are_named() {
    let read = Template::parse(SMALL).unwrap();
    let missing = read.layout(&Default::default()).unwrap_err().to_string();
    assert_eq!(missing, "how many parts are there: the sheet \"Heights\" needs the count `parts`, 1 to 8");
    let many = read.layout(&[("parts".to_owned(), 30)].into()).unwrap_err().to_string();
    assert_eq!(many, "30 parts: the sheet \"Heights\" takes 1 to 8");
}

//! Entries as JSON, names, stated quantities, and what is refused.

use crate::sample::*;
use proptest::prelude::*;
use quantity::Dimension;
use record::*;

#[test]
fn every_kind_comes_back_from_its_json() {
    let bodies = [
        opened(),
        claim("8.8 to 1.", Some(ratio("8.8 : 1")), Weight::DecidesTheBuild),
        promise("Forged."),
        finding(Some(1), Some(length("92.56 \u{b1} 0.01")), Severity::Stop),
        verdict(1, TruthVerdict::Partly, &[2]),
        sheet(),
        reading(1, "cylinder 3/bottom/along", "92.766", &[2]),
        question(true),
        answer(1, "Yes.", &[]),
        decision(Some(Stage::OpenedUp), &[1], true),
        part(Some(1), "P-1"),
        passed(Stage::OnDyno),
        correction(1, &[1], note("n")),
        strike(1),
        note("n"),
        Body::Drawing(Drawing {
            on: id(1),
            marks: vec![
                Mark::Arrow { from: (0.1, 0.1), to: (0.5, 0.5) },
                Mark::Circle { at: (0.5, 0.5), radius: 0.1 },
                Mark::Words { at: (0.2, 0.2), words: "gate mark".into() },
            ],
            replaces: Vec::new(),
        }),
        Body::HandedOver(HandedOver {
            to: "owner".into(),
            in_spite_of: vec![("claim:x".into(), "no card found".into())],
            care: String::new(),
            remark: String::new(),
        }),
    ];
    for body in bodies {
        body.check().unwrap();
        let json = Entry::body_json(&body).to_string();
        assert_eq!(Entry::body_from(body.kind(), &json).unwrap(), body, "{json}");
    }
}

#[test]
fn what_is_refused_says_what_is_expected() {
    let mut said = Vec::new();
    for (kind, json) in [
        ("note_written", "{}"),
        ("note_written", r#"{"words":"x","wrods":"y"}"#),
        ("nonsense", "{}"),
        ("note_written", "[1"),
        ("verdict_given", r#"{"on":"17","verdict":"true","because":"x"}"#),
        ("verdict_given", r#"{"on":"0198c7a2-5f3e-4cc1-8a51-2f6d3b0e9f10","verdict":"true","because":"x"}"#),
        ("verdict_given", r#"{"on":"0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f10","verdict":"yes","because":"x"}"#),
    ] {
        said.push(Entry::body_from(kind, json).unwrap_err().to_string());
    }
    for body in [
        note("  "),
        Body::Drawing(Drawing {
            on: id(1),
            marks: vec![Mark::Circle { at: (1.2, 0.5), radius: 0.1 }],
            replaces: vec![],
        }),
        Body::Drawing(Drawing {
            on: id(1),
            marks: vec![Mark::Arrow { from: (f64::NAN, 0.5), to: (0.1, 0.1) }],
            replaces: vec![],
        }),
        correction(1, &[], note("n")),
        note(&"x".repeat(20_001)),
        claim("", None, Weight::ForTheRecord),
    ] {
        said.push(body.check().unwrap_err().to_string());
    }
    insta::assert_yaml_snapshot!(said);
}

#[test]
fn a_name_has_one_spelling() {
    let name = "0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f10";
    assert_eq!(name.parse::<Id>().unwrap().to_string(), name);
    for other in [
        "0198C7A2-5F3E-7CC1-8A51-2F6D3B0E9F10",
        "0198c7a25f3e7cc18a512f6d3b0e9f10",
        "{0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f10}",
        "0198c7a2-5f3e-4cc1-8a51-2f6d3b0e9f10",
        "",
    ] {
        assert!(other.parse::<Id>().is_err(), "{other}");
    }
    // RFC 9562, appendix A.6, prints this example of version 7 with its time, 2022-02-22T19:22:22Z.
    let example: Id = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f".parse().unwrap();
    assert_eq!(example.made_at_ms(), 1_645_557_742_000);
}

#[test]
fn quantities_are_read_with_the_unit_of_the_sheet() {
    let bore = Stated::read("92.752", Dimension::Length, Some("mm")).unwrap();
    assert_eq!(bore.text, "92.752 mm");
    assert!((bore.si - 0.092752).abs() < 1e-12);
    assert!((bore.step_si - 1e-6).abs() < 1e-15);
    let inches = Stated::read("3.6517 in \u{b1} 0.0002", Dimension::Length, Some("mm")).unwrap();
    assert!((inches.si - 3.6517 * 0.0254).abs() < 1e-12);
    assert!((inches.u_si.unwrap() - 0.0001 * 0.0254).abs() < 1e-12, "\u{b1} is k = 2");
    let told = Stated::read("8.8 : 1", Dimension::Count, None).unwrap();
    assert_eq!((told.si, told.step_si), (8.8, 0.1));
    let spread = Stated::read("9.77 \u{b1} 0.04 : 1", Dimension::Count, None).unwrap();
    assert!((spread.u_si.unwrap() - 0.02).abs() < 1e-12);
    let psi = Stated::read("165", Dimension::Pressure, Some("psi gauge")).unwrap();
    assert!((psi.si - 165.0 * 6_894.757_293).abs() < 1.0);
    for (text, kind) in [
        ("", Dimension::Length),
        ("abc", Dimension::Count),
        ("12 psi", Dimension::Length),
        ("1.2", Dimension::SpringRate),
    ] {
        assert!(Stated::read(text, kind, None).is_err(), "{text}");
    }
}

proptest! {
    #[test]
    fn reading_a_body_never_panics(kind in "[a-z_]{1,16}", text in ".{0,80}") {
        let _ = Entry::body_from(&kind, &text);
    }

    #[test]
    fn reading_a_quantity_never_panics(text in ".{0,24}") {
        for kind in [Dimension::Length, Dimension::Count, Dimension::Pressure, Dimension::SpringRate, Dimension::Angle] {
            let _ = Stated::read(&text, kind, Some("mm"));
        }
    }
}

/// The page of the format names every kind that there is, and no other.
#[test]
fn the_page_of_entries_names_every_kind() {
    let page = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/entries.md")).unwrap();
    let table = page.split("## Kinds").nth(1).unwrap();
    let mut named: Vec<&str> = table
        .lines()
        .filter_map(|line| line.strip_prefix("| `"))
        .flat_map(|line| line.split('|').next().unwrap_or_default().split('`'))
        .filter(|word| word.chars().all(|c| c.is_ascii_lowercase() || c == '_') && !word.is_empty())
        .collect();
    named.sort_unstable();
    // The reader's own list, from what it says about a kind that it does not know.
    let error = Entry::body_from("nonsense", "{}").unwrap_err().to_string();
    let listed = error.split("expected one of ").nth(1).unwrap();
    let mut known: Vec<&str> = listed.split(", ").map(|word| word.trim_matches('`')).collect();
    known.sort_unstable();
    assert_eq!(named, known);
}

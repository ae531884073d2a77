//! The shipped tables, a shop's own, entries as JSON, and anything at all.

use crate::before_sample::*;
use proptest::prelude::*;
use quantity::{Dimension, Verdict};
use record::before::*;
use record::{Body, Stated};

#[test]
fn the_shipped_tables_read_and_every_sign_has_words() {
    assert_eq!(shipped().silent_signs(), Vec::<&str>::new());
}

#[test]
fn every_figure_that_the_code_asks_for_is_in_the_table() {
    // The keys as the sources write them.
    let folder = root().join("crates/record/src/before");
    let mut asked = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let text = std::fs::read_to_string(entry.expect("a file").path()).expect("text");
        let after = |needle: &str| {
            text.split(needle)
                .skip(1)
                .filter_map(|rest| rest.trim_start().strip_prefix('"')?.split_once('"').map(|k| k.0.to_owned()))
                .collect::<Vec<_>>()
        };
        asked.extend(after(".value(").into_iter().filter(|k| k.contains('.')));
        asked.extend(after(".as_ref(), ").into_iter().filter(|k| k.contains('.')));
    }
    asked.push("leak_down_aircraft.orifice_small".into());
    asked.push("leak_down_aircraft.orifice_large".into());
    assert!(asked.len() > 40, "only {} keys found: has the way of asking changed?", asked.len());
    let text = SHIPPED_FILES[0].1;
    for key in asked {
        assert!(text.contains(&format!("key = \"{key}\"")), "limits.toml lacks {key}");
    }
}

#[test]
fn a_shop_lays_its_own_table_over() {
    let own = r#"
        version = 1
        [[source]]
        tag = "SHOP"
        standing = "our assumption"
        what = "what this shop wants"
        [[limit]]
        key = "cranking.builders"
        test = "cranking"
        figure = "lowest_share"
        min = "95 %"
        words = "all within 5 % (this shop)"
        source = "SHOP"
        [[limit]]
        key = "cranking.aircraft"
        off = true
        [[pattern]]
        key = "shop.pair"
        sign = "cranking.pair_low"
        words = "our gasket between {cylinders} again"
        sure = "possible"
        source = "SHOP"
    "#;
    let table = Table::parse(own, Some(shipped())).expect("it reads");
    let test = TestBefore::from(cranking(&["155", "169", "168", "170"]));
    let out = judge_with(&test, None, &table);
    assert_eq!(verdict_of(&out, "this shop"), Verdict::Outside);
    assert!(out.verdicts.iter().all(|v| !v.limit.contains("aircraft")));
    assert!(judge(&test, None).verdicts.iter().any(|v| v.limit.contains("aircraft")), "the shipped one is untouched");
    let pair = TestBefore::from(cranking(&["168", "120", "124", "170"]));
    let words: Vec<String> =
        judge_with(&pair, Some(&inline_four()), &table).suggestions.into_iter().map(|s| s.words).collect();
    assert_eq!(words, ["head gasket between 2 and 3", "our gasket between 2 and 3 again"]);
}

#[test]
fn faults_of_a_table_name_their_row() {
    let fault =
        |text: &str| Table::parse(&format!("version = 1\n{text}"), Some(shipped())).expect_err("a fault").to_string();
    let row =
        |more: &str| format!("[[limit]]\nkey = \"x\"\ntest = \"cranking\"\nfigure = \"lowest\"\nwords = \"w\"\n{more}");
    assert_eq!(
        fault(&row("min = \"100 psi\"\nsource = \"NO\"")).split(';').next(),
        Some("limit x: no source has the tag `NO`")
    );
    assert_eq!(
        fault(&row("min = \"about ten\"\nsource = \"C\"")),
        "limit x: \"about ten\" is no figure; write a number and its unit, as in \"75 %\""
    );
    assert_eq!(fault(&row("source = \"C\"")), "limit x: no figure; write min or max with its unit");
    assert!(
        fault("[[pattern]]\nkey = \"p\"\nsign = \"cranking.lucky\"").contains("no sign is called `cranking.lucky`")
    );
    assert!(fault("[[pattern]]\nkey = \"p\"\ncolour = \"red\"").contains("colour"));
    assert!(Table::parse("version = 2", None).expect_err("a fault").to_string().contains("version 1 was expected"));
}

#[test]
fn entries_keep_every_word_as_json() {
    let mut test = cranking(&["165", "170"]);
    test.remark = "Battery on the charger.".into();
    test.cylinders[0].wet = psi("168");
    let body = Body::TestBefore(TestBefore::from(test));
    let text = serde_json::to_string(&body).expect("JSON");
    assert!(
        text.starts_with(r#"{"kind":"test_before","body":{"test":"cranking","cylinders":[{"cylinder":1,"#),
        "{text}"
    );
    assert_eq!(serde_json::from_str::<Body>(&text).expect("it reads"), body);
    let unknown = r#"{"kind":"test_before","body":{"test":"cranking","cylinders":[],"warmish":true}}"#;
    assert!(serde_json::from_str::<Body>(unknown).expect_err("refused").to_string().contains("warmish"));
    let none = r#"{"kind":"test_before","body":{"test":"tea_leaves"}}"#;
    assert!(serde_json::from_str::<Body>(none).is_err());
    let leak = Body::TestBefore(TestBefore::from(leak_down(&[("34", &[AirAt::Filler])])));
    let text = serde_json::to_string(&leak).expect("JSON");
    assert_eq!(serde_json::from_str::<Body>(&text).expect("it reads"), leak);
}

#[test]
fn one_line_for_the_notebook() {
    let mut test = cranking(&["165", "120"]);
    test.cylinders[1].wet = psi("150");
    assert_eq!(
        TestBefore::from(test).words(),
        "Cranking compression: cylinder 1 165 psi, cylinder 2 120 psi, with oil 150 psi"
    );
    assert_eq!(
        TestBefore::from(leak_down(&[("34", &[AirAt::Filler])])).words(),
        "Leak-down: cylinder 1 34 % lost (oil filler)"
    );
    assert_eq!(TestBefore::Noise(Noise::default()).words(), "Noise: nothing heard");
    let other = TestBefore::Other { name: "Smoke test".into(), words: "leak at the brake booster".into() };
    assert_eq!(other.words(), "Smoke test: leak at the brake booster");
}

#[test]
fn an_empty_test_judges_nothing_and_says_what_is_missing() {
    for test in [
        TestBefore::from(Cranking::default()),
        TestBefore::from(LeakDown::default()),
        TestBefore::from(LeakDownAircraft::default()),
        TestBefore::from(OilPressure::default()),
        TestBefore::from(Vacuum::default()),
        TestBefore::from(BlowBy::default()),
        TestBefore::from(CylinderBalance::default()),
        TestBefore::Plugs(Plugs::default()),
        TestBefore::from(CoolingPressure::default()),
        TestBefore::FilterDebris(FilterDebris::default()),
    ] {
        let out = judge(&test, None);
        assert!(out.verdicts.is_empty() && out.suggestions.is_empty(), "{}", test.name());
        assert!(warned(&out, "Not noted: "), "{}", test.name());
    }
}

fn any_stated() -> impl Strategy<Value = Stated> {
    let dimension = prop_oneof![
        4 => Just(Dimension::Pressure),
        2 => Just(Dimension::Fraction),
        1 => Just(Dimension::RotationalSpeed),
        1 => Just(Dimension::Length),
    ];
    let number =
        prop_oneof![5 => -1e7..1e7f64, 3 => 0.0..1.0f64, 1 => Just(f64::NAN), 1 => Just(0.0), 1 => Just(f64::INFINITY)];
    (dimension, number, proptest::option::of(prop_oneof![4 => 0.0..1e5f64, 1 => Just(f64::NAN), 1 => Just(-1.0)]))
        .prop_map(|(dimension, si, u_si)| Stated { text: format!("{si}"), dimension, si, step_si: 1.0, u_si })
}

proptest! {
    /// Whatever is written down, judging ends, and no figure comes out that is no number.
    #[test]
    fn nothing_written_down_breaks_it(
        rows in proptest::collection::vec((0u32..9, proptest::option::of(any_stated()), proptest::option::of(any_stated()), proptest::option::of(any_stated())), 0..12),
        supply in proptest::option::of(any_stated()),
        held in any::<bool>(),
    ) {
        let cylinders = rows.iter().map(|(cylinder, first, last, wet)| CrankingCylinder {
            cylinder: *cylinder, first: first.clone(), last: last.clone(), wet: wet.clone(), ..CrankingCylinder::default()
        }).collect();
        let crank = TestBefore::from(Cranking { cylinders, station_pressure: supply.clone(), speed: supply.clone(), ..Cranking::default() });
        let leak_rows = rows.iter().map(|(cylinder, first, last, _)| LeakCylinder {
            cylinder: *cylinder,
            reading: match (first.clone(), last.clone()) {
                (Some(a), Some(b)) => Some(LeakReading::Gauges { supply: a, cylinder: b }),
                (Some(a), None) if held => Some(LeakReading::Held(a)),
                (Some(a), None) => Some(LeakReading::Lost(a)),
                _ => None,
            },
            air_at: vec![AirAt::Filler, AirAt::NextPlugHole],
            heard_in_cylinder: Some(*cylinder + 1),
            ..LeakCylinder::default()
        }).collect();
        let leak = TestBefore::from(LeakDown { cylinders: leak_rows, supply: supply.clone(), ..LeakDown::default() });
        let held_rows = rows.iter().map(|(cylinder, first, _, _)| AircraftCylinder { cylinder: *cylinder, held: first.clone(), ..AircraftCylinder::default() }).collect();
        let craft = TestBefore::from(LeakDownAircraft { cylinders: held_rows, supply: supply.clone(), bore: supply.clone(), orifice: supply.clone(), ..LeakDownAircraft::default() });
        let points = rows.iter().filter_map(|(n, a, b, _)| Some(OilPressurePoint { speed: a.clone()?, pressure: b.clone()?, idle: n % 3 == 0 })).collect();
        let oil = TestBefore::from(OilPressure { points, oil_temperature: supply.clone(), ..OilPressure::default() });
        let vacuum = TestBefore::from(Vacuum { idle: supply.clone(), held_first: supply.clone(), held_later: rows.first().and_then(|r| r.1.clone()), altitude: supply.clone(), ..Vacuum::default() });
        let drops = rows.iter().filter_map(|(n, a, _, _)| Some(CylinderDrop { cylinder: *n, drop: a.clone()? })).collect();
        let balance = TestBefore::from(CylinderBalance { cylinders: drops, ..CylinderBalance::default() });
        let pulls = rows.iter().filter_map(|(_, a, _, _)| Some(BlowByPull { speed: None, flow: a.clone()? })).collect();
        let blow_by = TestBefore::from(BlowBy { pulls, ..BlowBy::default() });
        let cooling = TestBefore::from(CoolingPressure { start: supply.clone(), end: rows.first().and_then(|r| r.1.clone()), time: supply.clone(), ..CoolingPressure::default() });
        let four = inline_four();
        let tests = [crank, leak, craft, oil, vacuum, balance, blow_by, cooling];
        for test in &tests {
            let out = judge(test, Some(&four));
            prop_assert!(out.figures.iter().all(|f| f.si.is_finite()));
            prop_assert!(out.verdicts.iter().all(|v| v.si.is_finite() || v.verdict == Verdict::CannotTell));
            prop_assert!(!test.words().is_empty());
        }
        agree(&tests, Some(&four), shipped());
    }
}

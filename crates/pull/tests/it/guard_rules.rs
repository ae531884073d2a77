//! The files of guard rules and use profiles: what ships reads, and what cannot be read is said with its place.

use pull::guard::{Check, Rules};
use pull::use_profile;

#[test]
fn guard_rules_shipped_read_and_name_their_source() {
    let rules = Rules::shipped();
    assert!(rules.rules.len() >= 30 && rules.sensors.len() >= 12 && rules.targets.len() >= 4);
    for rule in &rules.rules {
        assert!(!rule.source.trim().is_empty() && !rule.look.is_empty(), "{}", rule.key);
        assert!(rule.warn.is_some() || rule.abort.is_some(), "{}", rule.key);
        assert!(rule.words.split_whitespace().count() <= 6, "{}: {}", rule.key, rule.words);
    }
    assert!(rules.sensors.iter().all(|s| !s.source.trim().is_empty()));
    assert!(rules.targets.iter().all(|t| !t.source.trim().is_empty()));
}

/// Values by hand: 15 psi = 103,421 Pa (6,894.757 Pa each); 1,450 °F = 787.8 °C; 100 °F of difference = 55.6 K;
/// 5 inH2O = 1,245.4 Pa; 8 psi per 1,000 rpm at 3,000 rpm = 24 psi.
#[test]
fn guard_rules_are_turned_into_si() {
    let rules = Rules::shipped();
    let abort = |key: &str| rules.rules.iter().find(|r| r.key == key).and_then(|r| r.abort.clone()).expect("a rule");
    let warn = |key: &str| rules.rules.iter().find(|r| r.key == key).and_then(|r| r.warn.clone()).expect("a rule");
    assert!((abort("oil_pressure_drop").si - 103_421.4).abs() < 0.1);
    assert!((warn("exhaust_hot").si - 1_060.928).abs() < 1e-3);
    assert!((warn("exhaust_spread").si - 55.5556).abs() < 1e-4);
    assert!((abort("crankcase_jump").si - 1_245.44).abs() < 0.01);
    assert!((abort("oil_pressure_low").at(3000.0) - 24.0 * 6_894.757).abs() < 0.1);
    assert!((warn("oil_pressure_low").at(3000.0) - 35.0 * 6_894.757).abs() < 0.1);
    assert!((warn("belt_slip").si - 0.03).abs() < 1e-12);
    assert_eq!(abort("oil_pressure_low").text, "8 psi per 1000 rpm");
}

#[test]
fn guard_rules_of_the_shop_replace_ours_rule_by_rule() {
    let shop = Rules::parse(
        "[[rule]]\nkey = \"oil_hot\"\nrole = \"oil_temperature\"\ncheck = \"above\"\nwords = \"oil at {worst}\"\n\
         what = \"the oil is hot\"\nlook = \"the cooler\"\nwarn = { limit = \"130 °C\", hold = \"2 s\" }\nsource = \"maker of the oil\"\n\
         [[rule]]\nkey = \"supply\"\nrole = \"voltage\"\ncheck = \"below\"\nwords = \"supply at {worst}\"\n\
         what = \"the supply is low\"\nlook = \"the charger\"\nwarn = { limit = \"12.5 V\" }\nsource = \"shop\"\n",
    )
    .expect("it reads");
    let both = Rules::shipped().overridden_by(shop);
    assert_eq!(both.rules.len(), Rules::shipped().rules.len() + 1);
    let oil = both.rules.iter().find(|r| r.key == "oil_hot").expect("a rule");
    assert_eq!((oil.warn.as_ref().map(|w| w.si), oil.source.as_str()), (Some(403.15), "maker of the oil"));
    assert!(both.rules.iter().any(|r| r.key == "supply" && r.check == Check::Below));
    let off = Rules::parse("[[rule]]\nkey = \"oil_hot\"\noff = true\n").expect("it reads");
    assert_eq!(both.overridden_by(off).off, ["oil_hot"]);
}

/// A rule with one line changed.
fn rule(from: &str, to: &str) -> String {
    let good = "[[rule]]\nkey = \"oil_hot\"\nrole = \"oil_temperature\"\ncheck = \"above\"\nwords = \"oil at {worst}\"\n\
                what = \"the oil is hot\"\nlook = \"the cooler\"\nwhen = [\"in a pull\"]\n\
                warn = { limit = \"250 °F\", hold = \"1 s\" }\nsource = \"shop\"\n";
    assert!(good.contains(from), "{from}");
    good.replacen(from, to, 1)
}

#[test]
fn guard_rules_that_cannot_be_read_say_where_and_what_was_meant() {
    let cases = [
        rule("check = \"above\"", "check = \"abov\""),
        rule("role = \"oil_temperature\"", "role = \"oil_temprature\""),
        rule("250 °F", "250 psi"),
        rule("250 °F", "hot"),
        rule("\"1 s\"", "1"),
        rule("hold", "hald"),
        rule("source = \"shop\"\n", ""),
        rule("in a pull", "on Sundays"),
        rule("when = [\"in a pull\"]", "when = \"in a pull\""),
        rule("warn = { limit = \"250 °F\", hold = \"1 s\" }\n", ""),
        rule("warn = {", "warn = "),
        rule("look = \"the cooler\"", "look = \"the cooler\"\nwithin = \"1 s\""),
        rule("[[rule]]", "[rule]"),
        format!("{}{}", rule("shop", "a"), rule("shop", "b")),
        "[[target]]\nfuels = []\npoints = [[1.0, 0.9], [0.5, 1.0]]\nsource = \"shop\"\n".to_owned(),
        "[[sensor]]\nrole = \"throttle\"\nlowest = \"0 kPa\"\nsource = \"shop\"\n".to_owned(),
    ];
    let said: Vec<String> = cases.iter().map(|text| Rules::parse(text).expect_err(text).to_string()).collect();
    insta::assert_snapshot!("guard_rules_errors", said.join("\n"));
}

#[test]
fn use_profiles_shipped_read_and_are_called_invented() {
    let profiles = use_profile::shipped();
    let keys: Vec<_> = profiles.iter().map(|p| p.key.as_str()).collect();
    assert_eq!(keys, ["street", "tow", "hill_climb", "drag", "marine"]);
    for profile in &profiles {
        assert!(profile.note.contains("nvented"), "{}", profile.key);
        assert!(profile.points.windows(2).all(|w| w[0].0 < w[1].0));
    }
}

#[test]
fn use_profiles_that_cannot_be_read_say_why() {
    let with = |points: &str| format!("key = \"a\"\nname = \"A\"\nnote = \"\"\npoints = {points}\n");
    let cases = [
        with("[[1000, 1]]"),
        with("[[1000, 1], [900, 2]]"),
        with("[[1000, 1], [2000, -1]]"),
        with("[[1000, 0], [2000, 0]]"),
        with("[[1000, \"x\"], [2000, 0]]"),
        with("[[1000, 1], [2000, 1]]").replace("name", "nome"),
        "key = ".to_owned(),
    ];
    let said: Vec<String> = cases.iter().map(|text| use_profile::parse(text).expect_err(text).to_string()).collect();
    insta::assert_snapshot!("use_profile_errors", said.join("\n"));
}

/// Damaged rule files give rules or an error with a place in the file, never a panic.
#[test]
fn fuzz_guard_rules() {
    use proptest::prelude::*;
    use proptest::test_runner::{RngSeed, TestRunner};
    let good: Vec<char> = include_str!("../../../../data/guards/default.toml").chars().take(6000).collect();
    let config = ProptestConfig {
        cases: 150,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(1),
        ..ProptestConfig::default()
    };
    let harm = prop::collection::vec(
        (any::<prop::sample::Index>(), prop::sample::select("\"=[]{}#\n °é0-.".chars().collect::<Vec<_>>())),
        1..4,
    );
    TestRunner::new(config)
        .run(&harm, |harms| {
            let mut text = good.clone();
            harms.iter().for_each(|(at, c)| text[at.index(good.len())] = *c);
            let text: String = text.into_iter().collect();
            if let Err(e) = Rules::parse(&text) {
                prop_assert!(e.line >= 1 && e.line <= text.lines().count() + 1, "{e}");
            }
            Ok(())
        })
        .unwrap_or_else(|e| panic!("{e}"));
}

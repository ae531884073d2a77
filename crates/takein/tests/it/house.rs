//! The rules of the house on stored runs: an edited limit, a rule switched off, a bad text, how far pulls may differ.

use pull::analysis::Analysis;
use pull::cell::Answers;
use pull::setup::Setup;
use std::fmt::Write;
use store::{Run, RunId, Store};
use takein::{Headline, Outcome, TakeIn, TakeInError};

/// One sweep, 20 s, with oil temperature rising from 90 to 110 °C; torque times `scale`.
fn warm_sweep(scale: f64) -> Vec<u8> {
    let mut text = "Time (s),Engine Speed (rpm),Torque (Nm),Oil Temp (degC),Baro (kPa),Intake Air (degC)\n".to_owned();
    for row in 0..1000_u32 {
        let time = f64::from(row) / 50.0;
        let torque = scale * (240.0 + 0.1 * f64::from(row % 7));
        let _ = writeln!(text, "{time:.2},{:.1},{torque:.3},{:.2},98.2,24.5", 2000.0 + 200.0 * time, 90.0 + time);
    }
    text.into_bytes()
}

/// A shop with one run of two pulls that differ by 2 %.
fn shop() -> (tempfile::TempDir, Store, Run) {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(&dir.path().join("shop")).unwrap();
    let new = TakeIn {
        id: RunId::new(),
        files: vec![("a.csv".into(), warm_sweep(1.0)), ("b.csv".into(), warm_sweep(1.02))],
        setup: Setup::default(),
        answers: Answers::default(),
        dyno: None,
        title: None,
        author: "operator".into(),
        now: "2026-04-08T08:00:00Z".into(),
        again: false,
    };
    let run = takein::take_in(&store, new).unwrap();
    (dir, store, run)
}

fn analysis(store: &Store, run: &Run) -> Analysis {
    match takein::load(store, run).unwrap().outcome {
        Outcome::Ready(analysis, _) => *analysis,
        Outcome::Asking(open) => panic!("{open:?}"),
    }
}

fn oil_flags(analysis: &Analysis) -> usize {
    analysis.flags.iter().filter(|f| f.rule == "oil_hot").count()
}

fn rule(limit: &str) -> String {
    format!(
        "[[rule]]\nkey = \"oil_hot\"\nrole = \"oil_temperature\"\ncheck = \"above\"\nwords = \"oil at {{worst}}\"\n\
         what = \"the oil is hot\"\nlook = \"the cooler\"\nwarn = {{ limit = \"{limit}\", hold = \"1 s\" }}\nsource = \"sheet of the oil\"\n"
    )
}

/// 105 °C is passed for the last 5 s of each pull, 115 °C never: the oil ends at 110 °C.
#[test]
fn an_edited_limit_changes_the_flags_of_a_stored_run() {
    let (_dir, store, run) = shop();
    let before = analysis(&store, &run);
    assert_eq!(oil_flags(&before), 0);
    assert_eq!(before.guards, "the rules that come with the tool");
    takein::set_guards(&store, "low", &rule("105 °C")).unwrap();
    let low = analysis(&store, &run);
    // Both pulls pass it at the same speeds: one flag for both.
    assert_eq!(oil_flags(&low), 1, "{:?}", low.flags);
    let flag = low.flags.iter().find(|f| f.rule == "oil_hot").unwrap();
    assert_eq!(flag.source, "sheet of the oil");
    // 105 °C is reached at 15 s, 2,000 + 200 × 15 rpm; one row is 4 rpm.
    assert!((flag.from_rpm - 5000.0).abs() < 8.0, "{}", flag.from_rpm);
    assert!(low.guards.starts_with("the shop's guard rules (change 1 of "), "{}", low.guards);
    takein::set_guards(&store, "high", &rule("115 °C")).unwrap();
    assert_eq!(oil_flags(&analysis(&store, &run)), 0);
    // An empty text leaves the tool's rules, and no text is lost.
    takein::set_guards(&store, "none", "").unwrap();
    assert_eq!(takein::guards(&store).unwrap(), pull::guard::Rules::shipped());
    assert_eq!(takein::guard_history(&store).unwrap().len(), 3);
    assert_eq!(analysis(&store, &run), before);
}

#[test]
fn a_rule_switched_off_raises_no_flag_and_is_named() {
    let (_dir, store, run) = shop();
    let own = rule("105 °C").replace("oil_hot", "oil_warm");
    takein::set_guards(&store, "own", &own).unwrap();
    let flagged = |a: &Analysis| a.flags.iter().any(|f| f.rule == "oil_warm");
    assert!(flagged(&analysis(&store, &run)));
    takein::set_guards(&store, "off", &format!("{own}[[rule]]\nkey = \"oil_warm\"\noff = true\n")).unwrap();
    let off = analysis(&store, &run);
    assert!(!flagged(&off));
    assert!(off.guards.ends_with("switched off: oil_warm"), "{}", off.guards);
}

#[test]
fn a_text_that_cannot_be_read_changes_nothing() {
    let (_dir, store, run) = shop();
    takein::set_guards(&store, "low", &rule("105 °C")).unwrap();
    let before = analysis(&store, &run);
    for text in [rule("105 m"), rule("105 °C").replace("above", "abvoe"), "[[rule]".to_owned()] {
        let error = takein::set_guards(&store, "rules.toml", &text).unwrap_err();
        assert!(matches!(error, TakeInError::BadGuards { .. }), "{error}");
        assert!(error.to_string().starts_with("rules.toml: line "), "{error}");
    }
    assert_eq!(takein::guard_text(&store).unwrap().unwrap().revision, 1);
    assert_eq!(analysis(&store, &run), before);
    // Written by another hand: it is said, not passed over.
    store.set_setting("guards", "[[rule]]\nkey = 1\n").unwrap();
    assert!(matches!(takein::load(&store, &run), Err(TakeInError::BadGuards { .. })));
}

/// The pulls differ by 2 % of the lower one, (1.02 − 1) / 1.01 of their mean.
#[test]
fn how_far_pulls_may_differ_is_the_shop_s() {
    let (_dir, store, run) = shop();
    let verdict = |limit: Option<f64>| {
        limit.map(|limit| takein::set_repeat_limit(&store, limit).unwrap());
        let a = analysis(&store, &run);
        (a.setup.repeat_limit, a.repeat.limit, a.repeat.verdict.unwrap())
    };
    assert_eq!(verdict(None), (0.01, 0.01, "outside".to_owned()));
    assert_eq!(verdict(Some(0.03)), (0.03, 0.03, "inside".to_owned()));
    assert_eq!(verdict(Some(0.005)), (0.005, 0.005, "outside".to_owned()));
    for share in [0.0, -0.01, 0.5, f64::NAN, f64::INFINITY] {
        assert!(matches!(takein::set_repeat_limit(&store, share), Err(TakeInError::BadSetting { .. })), "{share}");
    }
    assert_eq!(store.setting("repeat_limit").unwrap().as_deref(), Some("0.005"));
}

#[test]
fn the_summary_for_lists_says_which_rules_counted_its_flags() {
    let (_dir, store, run) = shop();
    assert_eq!(Headline::from_json(&run.headline_json).guards, 0);
    takein::set_guards(&store, "low", &rule("105 °C")).unwrap();
    let (run, _) = takein::restate(&store, &run, run.revision, Setup::default(), &[], "operator").unwrap();
    let headline = Headline::from_json(&run.headline_json);
    assert_eq!(headline.guards, 1);
    assert!(headline.flags >= 1);
}

//! What readings suggest about a claim. The numbers are worked by hand beside each case.

use crate::sample::{length, ratio};
use record::{TruthVerdict, Value, suggest};

fn verdict(said: &str, allowance: Option<f64>, found: &[(&str, f64)]) -> Option<TruthVerdict> {
    let found: Vec<(Value, f64)> = found.iter().map(|(text, u)| (ratio(text), *u)).collect();
    suggest(&ratio(said), allowance, &found).suggests
}

#[test]
fn a_ratio_far_from_the_claim_is_not_true() {
    // told 8.80 (8.795 to 8.805), found 9.77 with u 0.02: 0.97 off, the guard reaches 0.04
    assert_eq!(verdict("8.80", None, &[("9.77", 0.02)]), Some(TruthVerdict::NotTrue));
}

#[test]
fn digits_said_are_what_was_said() {
    // "8.8" covers 8.75 to 8.85: 8.79 with u 0.01 (guard 0.02) lies within; "8.80" does not reach that far
    assert_eq!(verdict("8.8", None, &[("8.79", 0.01)]), Some(TruthVerdict::True));
    assert_eq!(verdict("8.80", None, &[("8.79", 0.01)]), Some(TruthVerdict::CannotTell));
}

#[test]
fn a_gauge_as_wide_as_the_claim_cannot_tell() {
    assert_eq!(verdict("8.8", None, &[("8.84", 0.03)]), Some(TruthVerdict::CannotTell));
    // exactly on the edge of the guard band counts as decided: 8.8 allowed 0.1, found 8.84, guard 0.06
    assert_eq!(verdict("8.8", Some(0.1), &[("8.84", 0.03)]), Some(TruthVerdict::True));
}

#[test]
fn some_so_and_some_not_is_partly() {
    assert_eq!(verdict("8.8", Some(0.1), &[("8.80", 0.01), ("9.77", 0.02)]), Some(TruthVerdict::Partly));
}

#[test]
fn the_spread_of_the_claim_counts() {
    // told 8.8 ± 1 (u 0.5): a found 9.77 is 0.97 off, guard 1.0: cannot tell
    assert_eq!(verdict("8.8 \u{b1} 1", None, &[("9.77", 0.02)]), Some(TruthVerdict::CannotTell));
}

#[test]
fn words_suggest_only_when_they_are_the_same() {
    let word = |w: &str| Value::Word(w.to_owned());
    assert_eq!(suggest(&word("Forged"), None, &[(word("forged"), 0.0)]).suggests, Some(TruthVerdict::True));
    assert_eq!(suggest(&word("forged"), None, &[(word("cast"), 0.0)]).suggests, None);
    assert_eq!(suggest(&word("forged"), None, &[]).suggests, None);
}

#[test]
fn another_kind_of_quantity_suggests_nothing() {
    assert_eq!(suggest(&ratio("8.8"), None, &[(length("8.8"), 0.0)]).suggests, None);
}

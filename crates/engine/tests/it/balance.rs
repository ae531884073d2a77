//! Bobweight, residual unbalance, matching of sets.

use engine::balance::{
    BalanceRule, CylinderMasses, bobweight_kg, bobweight_with_u, correction_kg, gram_mm_from_kg_m, kg_m_from_gram_mm,
    kg_m_from_ounce_inch, match_set, ounce_inch_from_kg_m, overbalance_percent, rotating_force_n, share_of_bobweight,
};
use engine::refused::Refused;
use proptest::prelude::*;
use quantity::Verdict;
use table::{Row, close, rows};

const G: f64 = 1e-3;

fn masses(row: &Row) -> CylinderMasses {
    let kg = |column: &str| row.number(column) * G;
    CylinderMasses {
        big_end_kg: kg("big_end_g"),
        bearing_kg: kg("bearing_g"),
        small_end_kg: kg("small_end_g"),
        piston_kg: kg("piston_g"),
        pin_kg: kg("pin_g"),
        locks_kg: kg("locks_g"),
        rings_kg: kg("rings_g"),
    }
}

fn rule(row: &Row) -> BalanceRule {
    BalanceRule { rods_per_pin: 2, reciprocating_share: row.number("share"), oil_kg: row.number("oil_g") * G }
}

/// Whole grams add up exactly; slack is rounding.
#[test]
fn the_bobweight_of_the_handbook() {
    for row in rows("balance/bobweight.csv") {
        let (masses, rule) = (masses(&row), rule(&row));
        let found = bobweight_kg(&masses, rule).unwrap();
        close(&row["case"], found / G, row.number("bobweight_g"), 1e-9);
        let share = share_of_bobweight(&masses, 2, rule.oil_kg, found).unwrap();
        close("share", share, row.number("share"), 1e-12);
        close("over", overbalance_percent(share, 0.5), 100.0 * row.number("share") - 50.0, 1e-9);
    }
}

/// By hand: rotating masses count 2, reciprocating ones 1 each: u √(2·2² + 5·1²) = u √13.
#[test]
fn weighing_leaves_a_doubt_in_the_bobweight() {
    let row = &rows("balance/bobweight.csv")[0];
    let found = bobweight_with_u(&masses(row), rule(row), 0.15 * G).unwrap();
    close("u", found.u, 0.15 * G * 13f64.sqrt(), 1e-12);
}

/// 1 oz = 28.349523125 g and 1 in = 25.4 mm by definition: 1 oz·in = 720.0778… g·mm, and 28.35 g·in by the handbook.
#[test]
fn residual_unbalance_in_the_shops_units() {
    let one = kg_m_from_ounce_inch(1.0);
    close("g·mm", gram_mm_from_kg_m(one), 720.077_887, 1e-6);
    close("g·in", gram_mm_from_kg_m(one) / 25.4, 28.35, 0.005);
    close("back", ounce_inch_from_kg_m(kg_m_from_gram_mm(360.0)), 360.0 / 720.077_887, 1e-9);
    // Half an ounce-inch at 4 in: an eighth of an ounce.
    close("mass", correction_kg(0.5 * one, 4.0 * 0.0254).unwrap(), 0.125 * 0.028_349_523_125, 1e-12);
    assert!(matches!(correction_kg(one, 0.0), Err(Refused::NotPossible { .. })));
    // Closed form U ω²: 1 kg·m at 2 rad/s is 4 N.
    close("force", rotating_force_n(1.0, 2.0), 4.0, 1e-12);
}

/// Pistons to ±1 g: 2 g between heaviest and lightest. Reach for eight: 4.286 × 0.1 g = 0.43 g.
#[test]
fn sets_are_matched_or_not_or_it_cannot_be_told() {
    let grams = |more: f64| [420.0, 420.4, 419.9, 420.1, 420.2, 420.0, 420.3, 419.9 + more].map(|g| g * G);
    let verdict = |more: f64| match_set(&grams(more), 0.1 * G, 2.0 * G).unwrap().verdict;
    assert_eq!(verdict(0.0), Verdict::Inside);
    assert_eq!(verdict(2.2), Verdict::CannotTell);
    assert_eq!(verdict(3.0), Verdict::Outside);
    let set = match_set(&grams(3.0), 0.1 * G, 2.0 * G).unwrap();
    assert_eq!(set.spread.greatest_at, 7);
    close("take off", set.take_off_kg[7], 3.0 * G, 1e-12);
    close("lightest", set.take_off_kg[2], 0.0, 1e-15);
    assert!(matches!(match_set(&[0.4], 0.0, 0.002), Err(Refused::TooFewReadings { .. })));
    assert!(matches!(match_set(&[0.4, -0.4], 0.0, 0.002), Err(Refused::NotPossible { .. })));
}

#[test]
fn masses_that_cannot_be_are_refused() {
    let row = &rows("balance/bobweight.csv")[0];
    let light = CylinderMasses { piston_kg: 0.0, ..masses(row) };
    assert_eq!(
        bobweight_kg(&light, rule(row)).unwrap_err().to_string(),
        "a piston of 0 g is not possible: expected a finite number above zero"
    );
    let share = BalanceRule { reciprocating_share: 52.0, ..rule(row) };
    assert!(matches!(bobweight_kg(&masses(row), share), Err(Refused::NotPossible { .. })));
    let none = BalanceRule { rods_per_pin: 0, ..rule(row) };
    assert!(bobweight_kg(&masses(row), none).is_err());
}

proptest! {
    #[test]
    fn units_come_back(gram_mm in 0.0..5000.0f64) {
        let kg_m = kg_m_from_gram_mm(gram_mm);
        prop_assert!((gram_mm_from_kg_m(kg_m_from_ounce_inch(ounce_inch_from_kg_m(kg_m))) - gram_mm).abs() < 1e-9);
    }

    #[test]
    fn the_share_comes_back(share in 0.0..1.0f64, rods in 1u32..3) {
        let row = &rows("balance/bobweight.csv")[0];
        let rule = BalanceRule { rods_per_pin: rods, reciprocating_share: share, oil_kg: 0.004 };
        let found = bobweight_kg(&masses(row), rule).unwrap();
        prop_assert!((share_of_bobweight(&masses(row), rods, 0.004, found).unwrap() - share).abs() < 1e-12);
    }
}

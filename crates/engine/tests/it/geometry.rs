//! Displacement, spread and the propagation of uncertainty.

use engine::displacement::{
    PrintedSize, check_printed, displacement_m3, displacement_of_bores_with_u, swept_m3, swept_with_u,
};
use engine::propagate::{Estimate, propagate, try_propagate};
use engine::refused::Refused;
use engine::spread::{spread, studentised_range_95};
use proptest::prelude::*;
use quantity::Verdict;
use table::{close, rows};

const IN: f64 = 0.0254;
const IN3: f64 = IN * IN * IN;

/// Slack: half of the last printed digit, and metric sizes are carried to a millionth of an inch.
#[test]
fn displacements_of_the_stories() {
    for row in rows("compression/displacements.csv") {
        let cylinders = row.number("cylinders") as u32;
        let whole = displacement_m3(row.number("bore_in") * IN, row.number("stroke_in") * IN, cylinders);
        close(&row["case"], whole / IN3, row.number("displacement_in3"), 0.0501);
    }
}

fn printed_in(bore: f64, stroke: f64, cylinders: u32, displacement: f64) -> PrintedSize {
    PrintedSize {
        bore_m: bore * IN,
        bore_digit_m: 0.001 * IN,
        stroke_m: stroke * IN,
        stroke_digit_m: 0.001 * IN,
        cylinders,
        displacement_m3: displacement * IN3,
        displacement_digit_m3: 0.1 * IN3,
    }
}

#[test]
fn a_published_stroke_that_does_not_give_the_displacement_is_flagged() {
    for row in rows("compression/printed.csv") {
        let cylinders = row.number("cylinders") as u32;
        let size = printed_in(row.number("bore_in"), row.number("stroke_in"), cylinders, row.number("printed_in3"));
        let check = check_printed(&size).unwrap();
        close(&row["case"], check.computed_m3 / IN3, row.number("computed_in3"), 0.05);
        let expected = if row["verdict"] == "outside" { Verdict::Outside } else { Verdict::Inside };
        assert_eq!(check.verdict, expected, "{}", row["case"]);
        // The stroke that fits is 3.875 in to the digits printed: 0.05 in³ is 0.0006 in of stroke.
        close("stroke", check.stroke_that_fits_m / IN, 3.875, 0.0013);
    }
}

#[test]
fn what_a_person_reads_about_a_printed_size() {
    let lines: Vec<String> = [
        printed_in(5.125, 4.875, 4, 319.8),
        printed_in(5.125, 3.875, 4, 319.8),
        printed_in(4.000, 3.480, 8, 350.1),
        printed_in(4.000, 3.480, 8, 262.4),
    ]
    .iter()
    .map(|size| check_printed(size).unwrap().to_string())
    .collect();
    insta::assert_snapshot!(lines.join("\n\n"));
}

/// 4.000 × 3.480 × 8 is 349.85: 350.1 is 0.25 off. The rounding of the bore alone moves it by
/// 349.85 × 0.001 / 4 = 0.087 and that of the stroke by 0.050, and one digit is let pass: 0.237.
#[test]
fn the_three_states_of_a_printed_size() {
    let verdict = |printed: f64| check_printed(&printed_in(4.0, 3.48, 8, printed)).unwrap().verdict;
    assert_eq!(verdict(349.8), Verdict::Inside);
    assert_eq!(verdict(350.0), Verdict::CannotTell);
    assert_eq!(verdict(350.1), Verdict::Outside);
    assert_eq!(check_printed(&printed_in(4.0, 3.48, 8, 262.4)).unwrap().cylinders_that_fit, Some(6));
    assert!(matches!(check_printed(&printed_in(4.0, 3.48, 0, 262.4)), Err(Refused::NotPossible { .. })));
}

#[test]
fn displacement_carries_its_uncertainty() {
    let bore = Estimate::new(0.1, 1e-5).unwrap();
    let stroke = Estimate::new(0.09, 2e-5).unwrap();
    let swept = swept_with_u(bore, stroke);
    // Closed form: (u_V / V)² = (2 u_B / B)² + (u_S / S)².
    let relative = (2.0 * 1e-5 / 0.1f64).hypot(2e-5 / 0.09);
    close("swept", swept.value, swept_m3(0.1, 0.09), 1e-18);
    close("u", swept.u, swept.value * relative, 1e-9 * swept.value);
    // Eight bores read apart: the bore part shrinks with √8, the one stroke does not.
    let whole = displacement_of_bores_with_u(&[bore; 8], stroke).unwrap();
    let relative = (2.0 * 1e-5 / 0.1 / 8f64.sqrt()).hypot(2e-5 / 0.09);
    close("u of all", whole.u, whole.value * relative, 1e-9 * whole.value);
    assert!(displacement_of_bores_with_u(&[], stroke).is_err());
}

#[test]
fn an_uncertainty_that_cannot_be_gives_no_verdict() {
    let (value, u, shares) = propagate(|x| x[0].sqrt(), &[(1.0, 2.0)]);
    assert_eq!(value, 1.0);
    assert!(u.is_nan() && shares[0].is_nan());
    assert_eq!(quantity::verdict(value, u, quantity::Limits::at_most(5.0)), Verdict::CannotTell);
    let (_, u, _) = propagate(|x| x[0], &[(1.0, -0.1)]);
    assert!(u.is_nan());
    let (_, u, shares) = propagate(|x| x[0] + x[1], &[(1.0, 0.0), (2.0, 0.0)]);
    assert_eq!((u, shares), (0.0, vec![0.0, 0.0]));
    let refuses_above_two = |x: &[f64]| if x[0] > 2.0 { Err("too much") } else { Ok(x[0]) };
    assert_eq!(try_propagate(refuses_above_two, &[(1.9, 0.2)]), Err("too much"));
}

/// Slack: the table prints ten decimals; halving stops at 12 / 2⁴⁴ and the sum errs by less than 1e-9.
#[test]
fn the_range_factor_matches_scipy() {
    for row in rows("cam/studentised_range.csv") {
        let n = row.number("readings") as usize;
        close("factor", studentised_range_95(n), row.number("factor_95"), 1e-8);
    }
    assert!(studentised_range_95(1).is_nan());
}

#[test]
fn a_spread_has_three_states() {
    let volumes = [64.0, 64.4, 63.8, 64.1];
    let found = spread(&volumes, 0.15).unwrap();
    close("range", found.range, 0.6, 1e-12);
    assert_eq!((found.greatest_at, found.least_at), (1, 2));
    // Reach: 3.6332 × 0.15 = 0.545. Limits 1.2, 1.0 and 0.05 are beyond, within and beyond it.
    close("reach", found.reach, 0.54498, 1e-4);
    assert_eq!(found.verdict(1.2), Verdict::Inside);
    assert_eq!(found.verdict(1.0), Verdict::CannotTell);
    assert_eq!(found.verdict(0.05), Verdict::Outside);
    assert!(matches!(spread(&[1.0], 0.1), Err(Refused::TooFewReadings { needed: 2, found: 1, .. })));
    assert!(matches!(spread(&[1.0, f64::NAN], 0.1), Err(Refused::NotPossible { .. })));
}

proptest! {
    /// Sums, products of different inputs and squares are exact; slack is rounding.
    #[test]
    fn propagation_matches_closed_forms(
        a in 1.0..10.0f64, b in 1.0..10.0f64, ua in 0.0..0.5f64, ub in 0.0..0.5f64
    ) {
        let inputs = [(a, ua), (b, ub)];
        let (_, u, shares) = propagate(|x| 3.0 * x[0] - 2.0 * x[1], &inputs);
        prop_assert!((u - (3.0 * ua).hypot(2.0 * ub)).abs() < 1e-12 * (1.0 + u));
        if u > 0.0 {
            prop_assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        }
        let (_, u, _) = propagate(|x| x[0] * x[1], &inputs);
        prop_assert!((u - (b * ua).hypot(a * ub)).abs() < 1e-12 * (1.0 + u));
        let (_, u, _) = propagate(|x| x[0] * x[0] * x[1], &inputs);
        prop_assert!((u - (2.0 * a * b * ua).hypot(a * a * ub)).abs() < 1e-11 * (1.0 + u));
        // A quotient bends: the step of one u errs by (u/b)² of the part, here at most 0.25.
        let (_, u, _) = propagate(|x| x[0] / x[1], &inputs);
        let first_order = (ua / b).hypot(a * ub / (b * b));
        let bend = 1.0 / (1.0 - (ub / b).powi(2)) - 1.0;
        prop_assert!(u >= first_order - 1e-12 && u <= first_order * (1.0 + bend) + 1e-12);
    }

    /// A size printed from itself always agrees, whatever the sizes.
    #[test]
    fn a_rounded_displacement_agrees(bore in 2.5..5.5f64, stroke in 2.0..5.0f64, cylinders in 1u32..16) {
        let (bore, stroke) = ((bore * 1e3).round() / 1e3, (stroke * 1e3).round() / 1e3);
        let printed = (displacement_m3(bore, stroke, cylinders) * 10.0).round() / 10.0;
        let check = check_printed(&printed_in(bore, stroke, cylinders, printed)).unwrap();
        prop_assert_eq!(check.verdict, Verdict::Inside);
        let fits = displacement_m3(check.bore_that_fits_m, stroke * IN, cylinders) / IN3;
        prop_assert!((fits - printed).abs() < 1e-9);
    }
}

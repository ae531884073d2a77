//! Values with uncertainty, and verdicts.

use quantity::{Limits, Measured, MeasuredError, Origin, Verdict, verdict};

fn measured(value: f64, u: f64) -> Measured {
    Measured::new(value, u, Origin::Measured { instrument: "bore gauge".into() }).expect("usable")
}

/// Expected: uncertainties in quadrature, a 3-4-5 triangle; for the product the relative ones,
/// √((0.3/10)² + (0.4/20)²) × 200 = 7.2111 (by hand).
#[test]
fn uncorrelated_uncertainties_add_in_quadrature() {
    let (a, b) = (measured(10.0, 0.3), measured(20.0, 0.4));
    assert!((a.plus(&b).u - 0.5).abs() < 1e-12 && a.plus(&b).value == 30.0);
    assert!((a.minus(&b).u - 0.5).abs() < 1e-12 && a.minus(&b).value == -10.0);
    assert!((a.times(&b).u - 7.211_103).abs() < 1e-6 && a.times(&b).value == 200.0);
    assert_eq!(a.scaled(-2.0).u, 0.6);
    assert_eq!(a.expanded(), 0.6);
    assert_eq!(a.plus(&b).origin.to_string(), "computed from (measured, bore gauge) plus (measured, bore gauge)");
}

#[test]
fn what_is_no_measured_value_is_refused() {
    let origin = || Origin::Claimed { by: "the owner".into() };
    assert!(matches!(Measured::new(f64::NAN, 0.1, origin()), Err(MeasuredError::ValueNotFinite { .. })));
    assert_eq!(Measured::new(1.0, -0.1, origin()), Err(MeasuredError::UncertaintyNotUsable { u: -0.1 }));
}

#[test]
fn verdicts_have_three_states() {
    let limits = Limits::between(1.0, 2.0);
    let cases = [
        (1.5, 0.1, Verdict::Inside),
        (1.2, 0.1, Verdict::Inside),
        (1.19, 0.1, Verdict::CannotTell),
        (0.9, 0.1, Verdict::CannotTell),
        (0.79, 0.1, Verdict::Outside),
        (2.21, 0.1, Verdict::Outside),
        (1.0, 0.0, Verdict::Inside),
        (0.999, 0.0, Verdict::Outside),
        (1.5, 0.3, Verdict::CannotTell),
        (f64::NAN, 0.1, Verdict::CannotTell),
        (1.5, -0.1, Verdict::CannotTell),
        (1.5, f64::NAN, Verdict::CannotTell),
    ];
    for (value, u, expected) in cases {
        assert_eq!(verdict(value, u, limits), expected, "{value} ± {u}");
    }
    assert_eq!(measured(5.0, 0.1).verdict(Limits::at_most(4.0)), Verdict::Outside);
    assert_eq!(measured(5.0, 0.1).verdict(Limits::at_least(4.0)), Verdict::Inside);
}

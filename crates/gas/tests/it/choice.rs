//! Names, ranges and the choice of a correction.

use gas::correction::{
    AmbientAir, CorrectionError, Decision, InductionResponse, Standard, corrected_torque_nm, decide, factor,
    is_extrapolated, range_remarks, range_verdict,
};
use quantity::Verdict;
use serde::de::IntoDeserializer;
use serde::de::value::{Error, StrDeserializer};

#[test]
fn keys_are_the_serialised_names_and_come_back() {
    for standard in Standard::ALL {
        assert_eq!(Standard::from_key(standard.key()), Some(standard));
        let text: StrDeserializer<'_, Error> = standard.key().into_deserializer();
        let read: Standard = serde::Deserialize::deserialize(text).expect("a serialised name");
        assert_eq!(read, standard);
    }
    assert_eq!(Standard::from_key("std"), None);
}

#[test]
fn no_wording_claims_a_certificate() {
    for standard in Standard::ALL {
        assert!(!standard.wording().contains("certified"), "{standard}");
        assert!(!standard.label().contains("certified"), "{standard}");
    }
}

#[test]
fn what_is_said_about_each_standard() {
    let said: Vec<String> = Standard::ALL
        .into_iter()
        .map(|standard| {
            format!(
                "{} | {} | {} | {} | {:?} | {} | {}",
                standard.key(),
                standard.label(),
                standard.wording(),
                standard.reference(),
                standard.factor_range(),
                standard.source(),
                standard.caution().unwrap_or("-")
            )
        })
        .collect();
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn induction_decides() {
    for standard in Standard::ALL.into_iter().filter(|standard| *standard != Standard::Observed) {
        assert_eq!(decide(standard, InductionResponse::FollowsBarometer), Decision::Apply);
        assert!(matches!(decide(standard, InductionResponse::HeldAbsolute), Decision::DoNotApply { .. }));
        match decide(standard, InductionResponse::Unknown) {
            Decision::ApplyFlagged { why } => assert!(why.contains("both shown")),
            other => panic!("{other:?}"),
        }
    }
    assert_eq!(decide(Standard::Observed, InductionResponse::HeldAbsolute), Decision::Apply);
}

#[test]
fn the_range_is_judged_in_three_states() {
    assert_eq!(range_verdict(Standard::SaeJ1349, 1.02, 0.002), Some(Verdict::Inside));
    assert_eq!(range_verdict(Standard::SaeJ1349, 1.0693, 0.002), Some(Verdict::CannotTell));
    assert_eq!(range_verdict(Standard::Iso1585, 1.2333, 0.002), Some(Verdict::Outside));
    assert_eq!(range_verdict(Standard::SaeJ607, 1.2387, 0.002), None);
    assert!(is_extrapolated(1.2387) && !is_extrapolated(1.05) && is_extrapolated(f64::NAN));
    let mountain = AmbientAir::from_humidity(83_500.0, 313.15, 0.3).expect("usable air");
    insta::assert_snapshot!(range_remarks(Standard::SaeJ1349, &mountain).join("\n"));
    assert!(range_remarks(Standard::SaeJ607, &mountain).is_empty());
}

#[test]
fn friction_forms_ask_for_friction() {
    let air = AmbientAir::from_humidity(99_000.0, 298.15, 0.4).expect("usable air");
    for standard in Standard::ALL {
        let result = corrected_torque_nm(standard, &air, 500.0, None);
        if standard.needs_friction() {
            assert_eq!(result, Err(CorrectionError::FrictionMissing { standard }));
        } else {
            // The product of the same two numbers, so equal to the last bit.
            assert_eq!(result, Ok(500.0 * factor(standard, &air).expect("usable air")));
        }
    }
    assert!(corrected_torque_nm(Standard::SaeJ1349KnownFriction, &air, 500.0, Some(-10.0)).is_err());
    assert!(corrected_torque_nm(Standard::SaeJ1349, &air, f64::NAN, None).is_err());
    let broken = AmbientAir { pressure_pa: 99.0, ..air };
    assert!(matches!(factor(Standard::SaeJ1349, &broken), Err(CorrectionError::Air(_))));
}

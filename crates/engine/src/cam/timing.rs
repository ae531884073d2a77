//! An intake and an exhaust lobe together: separation, advance, overlap, and a card checked against itself.
//!
//! Model: plain geometry. Durations, centrelines, advance and overlap are crank degrees, lobe separation is cam
//! degrees. Every figure belongs to one check lift, which travels with it. A centreline here is the middle of the
//! events; on a lobe whose two sides differ the angle of greatest lift is another one.
//!
//! # Source
//! Common practice of degreeing a camshaft. The worked card of a trade article (31/63/77/29) is
//! checked in `tests/it/cam_events.rs`.

use super::error::CamError;
use super::events::{CheckLift, LobeEvents, Valve};
use crate::possible::{above_zero, finite};
use serde::{Deserialize, Serialize};

/// What a pair of lobes gives at one check lift.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Timing {
    /// The check lift of every figure here.
    pub check: CheckLift,
    /// Intake duration, crank degrees.
    pub intake_duration_deg: f64,
    /// Exhaust duration, crank degrees.
    pub exhaust_duration_deg: f64,
    /// Intake centreline, crank degrees after top dead centre.
    pub intake_centreline_deg: f64,
    /// Exhaust centreline, crank degrees before top dead centre.
    pub exhaust_centreline_deg: f64,
    /// Angle between the lobes, cam degrees: half of the sum of the two centrelines.
    pub lobe_separation_cam_deg: f64,
    /// Advance ground in, crank degrees: how much earlier the pair stands than with equal
    /// centrelines; negative when ground late.
    pub advance_deg: f64,
    /// Both valves open, crank degrees: IVO + EVC. Negative when the exhaust closes first.
    pub overlap_deg: f64,
}

/// Durations, centrelines, separation, advance and overlap of an intake and an exhaust lobe.
///
/// # Errors
/// [`CamError::MixedCheckLifts`] when the two are not taken at the same check lift;
/// [`CamError::NotPossible`] when the first is not an intake or the second not an exhaust lobe.
///
/// # Source
/// Common practice; in cam degrees, separation = (ICL + ECL) / 2.
///
/// # Checked by
/// `the_published_card` in `tests/it/cam_events.rs`.
pub fn timing(intake: &LobeEvents, exhaust: &LobeEvents) -> Result<Timing, CamError> {
    if intake.valve() != Valve::Intake || exhaust.valve() != Valve::Exhaust {
        return Err(CamError::CardClash {
            first: format!("events of an {} valve given as intake", intake.valve()),
            second: format!("events of an {} valve given as exhaust", exhaust.valve()),
            why: "timing needs one intake and one exhaust lobe",
        });
    }
    if !intake.check().same_as(exhaust.check()) {
        return Err(CamError::MixedCheckLifts {
            first_what: intake.valve(),
            first: intake.check(),
            second_what: exhaust.valve(),
            second: exhaust.check(),
        });
    }
    let (icl_deg, ecl_deg) = (intake.centreline_deg(), exhaust.centreline_deg());
    Ok(Timing {
        check: intake.check(),
        intake_duration_deg: intake.duration_deg(),
        exhaust_duration_deg: exhaust.duration_deg(),
        intake_centreline_deg: icl_deg,
        exhaust_centreline_deg: ecl_deg,
        lobe_separation_cam_deg: 0.5 * (icl_deg + ecl_deg),
        advance_deg: 0.5 * (ecl_deg - icl_deg),
        overlap_deg: exhaust.closes().cycle_deg(Valve::Exhaust) - intake.opens().cycle_deg(Valve::Intake),
    })
}

/// Events back from durations, lobe separation and advance.
///
/// `advance_deg` is in crank degrees, `lobe_separation_cam_deg` in cam degrees.
///
/// # Errors
/// As [`LobeEvents::from_centreline`].
pub fn events_from_timing(
    intake_duration_deg: f64,
    exhaust_duration_deg: f64,
    lobe_separation_cam_deg: f64,
    advance_deg: f64,
    check: CheckLift,
) -> Result<(LobeEvents, LobeEvents), CamError> {
    above_zero("a lobe separation", lobe_separation_cam_deg, "° (cam)")?;
    finite("an advance", advance_deg, "°")?;
    Ok((
        LobeEvents::from_centreline(Valve::Intake, intake_duration_deg, lobe_separation_cam_deg - advance_deg, check)?,
        LobeEvents::from_centreline(
            Valve::Exhaust,
            exhaust_duration_deg,
            lobe_separation_cam_deg + advance_deg,
            check,
        )?,
    ))
}

/// Figures that a card prints beside its events; what it does not print is `None`.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct StatedTiming {
    /// Intake duration, crank degrees.
    pub intake_duration_deg: Option<f64>,
    /// Exhaust duration, crank degrees.
    pub exhaust_duration_deg: Option<f64>,
    /// Intake centreline, crank degrees after top dead centre.
    pub intake_centreline_deg: Option<f64>,
    /// Exhaust centreline, crank degrees before top dead centre.
    pub exhaust_centreline_deg: Option<f64>,
    /// Lobe separation, cam degrees.
    pub lobe_separation_cam_deg: Option<f64>,
    /// Advance ground in, crank degrees.
    pub advance_deg: Option<f64>,
    /// Overlap, crank degrees.
    pub overlap_deg: Option<f64>,
}

/// A card's events with its printed figures compared against them.
///
/// `rounding_deg` is half of the card's last digit: 0.5 for whole degrees. Each figure may differ by
/// its own rounding plus that of the events behind it. A centreline that the grinder gives at
/// greatest lift of an asymmetric lobe will be refused here; leave it out and state it with its method.
///
/// # Errors
/// [`CamError::MixedCheckLifts`] as [`timing`], or one [`CamError::CardContradictsItself`] for every
/// figure that disagrees.
pub fn check_card(
    intake: &LobeEvents,
    exhaust: &LobeEvents,
    stated: &StatedTiming,
    rounding_deg: f64,
) -> Result<Timing, Vec<CamError>> {
    above_zero("a rounding", rounding_deg, "°").map_err(|e| vec![e.into()])?;
    let found = timing(intake, exhaust).map_err(|e| vec![e])?;
    let intake_words = format!("IO {}, IC {}", intake.opens(), intake.closes());
    let exhaust_words = format!("EO {}, EC {}", exhaust.opens(), exhaust.closes());
    let both_words = format!("{intake_words}, {exhaust_words}");
    let crossing_words = format!("IO {}, EC {}", intake.opens(), exhaust.closes());
    // How many half digits of the events add up in each figure: a sum of two counts twice, a mean of two once.
    let rows = [
        ("intake duration", stated.intake_duration_deg, found.intake_duration_deg, &intake_words, 2.0),
        ("exhaust duration", stated.exhaust_duration_deg, found.exhaust_duration_deg, &exhaust_words, 2.0),
        ("intake centreline", stated.intake_centreline_deg, found.intake_centreline_deg, &intake_words, 1.0),
        ("exhaust centreline", stated.exhaust_centreline_deg, found.exhaust_centreline_deg, &exhaust_words, 1.0),
        ("lobe separation (cam)", stated.lobe_separation_cam_deg, found.lobe_separation_cam_deg, &both_words, 1.0),
        ("advance", stated.advance_deg, found.advance_deg, &both_words, 1.0),
        ("overlap", stated.overlap_deg, found.overlap_deg, &crossing_words, 2.0),
    ];
    let faults: Vec<CamError> = rows
        .into_iter()
        .filter_map(|(what, stated_deg, from_events_deg, events, halves)| {
            let stated_deg = stated_deg?;
            let allowed_deg = rounding_deg * (1.0 + halves);
            let agrees = (stated_deg - from_events_deg).abs() <= allowed_deg + 1e-9;
            (!agrees).then(|| CamError::CardContradictsItself {
                what,
                stated_deg,
                from_events_deg,
                events: events.clone(),
                allowed_deg,
            })
        })
        .collect();
    if faults.is_empty() { Ok(found) } else { Err(faults) }
}

//! What the camshaft modules refuse.

use super::events::{CheckLift, Valve};
use crate::possible::NotPossible;

/// Why a card, a table or a pair of lobes is not usable. Every clash names both facts.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CamError {
    /// A number is not finite, or outside what can be.
    #[error(transparent)]
    NotPossible(#[from] NotPossible),
    /// Events taken at two check lifts.
    #[error(
        "{first_what} is at {first} and {second_what} at {second}; durations, centrelines and overlap need one check \
         lift, so take both from the card's list at the same lift"
    )]
    MixedCheckLifts {
        /// The first set of events.
        first_what: Valve,
        /// Its check lift.
        first: CheckLift,
        /// The second set of events.
        second_what: Valve,
        /// Its check lift.
        second: CheckLift,
    },
    /// The valve closes before it opens.
    #[error("the {valve} valve opens at {opens} and closes at {closes}, which is {duration_deg:.1}° of crank later")]
    ClosesBeforeOpening {
        /// Which valve.
        valve: Valve,
        /// When it opens, as written on a card.
        opens: String,
        /// When it closes, as written on a card.
        closes: String,
        /// Opening to closing, crank degrees.
        duration_deg: f64,
    },
    /// A printed figure and the printed events disagree.
    #[error(
        "the card states {what} {stated_deg:.1}° but its events {events} give {from_events_deg:.1}°; rounding of the \
         card explains {allowed_deg:.1}°; one of the two is wrong, so measure or ask the grinder"
    )]
    CardContradictsItself {
        /// Which figure, with its unit's shaft.
        what: &'static str,
        /// As the card states it, degrees.
        stated_deg: f64,
        /// As the events give it, degrees.
        from_events_deg: f64,
        /// The events behind it.
        events: String,
        /// What rounding can explain, degrees.
        allowed_deg: f64,
    },
    /// Two entries of a card cannot belong to one lobe.
    #[error("{first} and {second} cannot belong to one lobe: {why}")]
    CardClash {
        /// The first fact.
        first: String,
        /// The second fact.
        second: String,
        /// Why not.
        why: &'static str,
    },
    /// Too little on the card for a curve.
    #[error("a lift curve cannot be drawn from this card: {why}")]
    CardTooThin {
        /// What is missing.
        why: String,
    },
    /// A measured table cannot be used.
    #[error("the lift table is not usable: {why}")]
    Table {
        /// Row, what was found, what was expected.
        why: String,
    },
    /// A table scatters more than its gauge is said to.
    #[error(
        "the lift table scatters by {found_um:.1} µm about any smooth curve, and the stated uncertainty of the dial is \
         {stated_um:.1} µm; state the uncertainty that belongs to the setup, or look for a slipped reading near \
         {worst_deg:.1}° ({worst_um:.1} µm off)"
    )]
    ScatterAboveStated {
        /// Root mean square scatter found, µm.
        found_um: f64,
        /// Stated standard uncertainty, µm.
        stated_um: f64,
        /// Angle of the largest residual, crank degrees.
        worst_deg: f64,
        /// The largest residual, µm.
        worst_um: f64,
    },
    /// A lift that the curve does not reach.
    #[error("a lift of {lift_mm:.3} mm was asked for, and the lobe lifts between {floor_mm:.3} and {lobe_mm:.3} mm")]
    LiftNotReached {
        /// The lift asked for, mm.
        lift_mm: f64,
        /// Lift where the curve starts and ends, mm.
        floor_mm: f64,
        /// Lobe lift, mm.
        lobe_mm: f64,
    },
}

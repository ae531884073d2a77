//! What the valve-train modules refuse.

use crate::possible::NotPossible;

/// Why a valve train is not possible. Every clash names both facts.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ValveTrainError {
    /// A number is not finite, or outside what can be.
    #[error(transparent)]
    NotPossible(#[from] NotPossible),
    /// The cam lifts the valve further than the spring can be pressed.
    #[error(
        "a valve lift of {lift_mm:.2} mm ({lift_in:.3} in) goes past coil bind: the spring installed at \
         {installed_mm:.2} mm binds at {bind_mm:.2} mm, which leaves {travel_mm:.2} mm ({travel_in:.3} in) of travel; \
         a taller installed height, another spring or less lift is needed",
        lift_in = lift_mm / 25.4, travel_mm = installed_mm - bind_mm, travel_in = (installed_mm - bind_mm) / 25.4
    )]
    PastCoilBind {
        /// Valve lift, mm.
        lift_mm: f64,
        /// Installed height, mm.
        installed_mm: f64,
        /// Height at which the coils touch, mm.
        bind_mm: f64,
    },
    /// The retainer meets the guide or its seal.
    #[error(
        "a valve lift of {lift_mm:.2} mm ({lift_in:.3} in) brings the retainer onto the guide or seal, which is \
         {room_mm:.2} mm ({room_in:.3} in) below it with the valve shut",
        lift_in = lift_mm / 25.4, room_in = room_mm / 25.4
    )]
    RetainerMeetsGuide {
        /// Valve lift, mm.
        lift_mm: f64,
        /// Retainer to guide or seal with the valve shut, mm.
        room_mm: f64,
    },
    /// Two facts about a spring exclude each other.
    #[error("{first} and {second} cannot both hold: {why}")]
    SpringClash {
        /// The first fact.
        first: String,
        /// The second fact.
        second: String,
        /// Why not.
        why: &'static str,
    },
    /// The lobe never slows the valve down while it is open, so contact cannot be lost.
    #[error("the lift curve has no deceleration while the valve is open; there is no speed at which contact is lost")]
    NoDeceleration,
}

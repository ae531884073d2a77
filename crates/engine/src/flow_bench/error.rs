//! What the flow modules refuse.

use crate::possible::NotPossible;

/// Why a flow figure is not possible. A clash names both facts.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FlowError {
    /// A number is not finite, or outside what can be.
    #[error(transparent)]
    NotPossible(#[from] NotPossible),
    /// Two facts exclude each other.
    #[error("{first} and {second} cannot both hold: {why}")]
    Clash {
        /// The first fact.
        first: String,
        /// The second fact.
        second: String,
        /// Why not.
        why: &'static str,
    },
    /// Coefficients on different reference areas were put together.
    #[error(
        "discharge coefficients on {first} and on {second} cannot be put together; turn both into effective areas, or \
         state them on one reference"
    )]
    ReferencesDiffer {
        /// Reference of the first.
        first: String,
        /// Reference of the other.
        second: String,
    },
    /// A lift was asked for that was not measured.
    #[error(
        "lift {lift_mm:.3} mm ({lift_in:.3} in) was not measured: the table runs from {from_mm:.3} to {to_mm:.3} mm \
         ({from_in:.3} to {to_in:.3} in); nothing is drawn out beyond it",
        lift_in = lift_mm / 25.4, from_in = from_mm / 25.4, to_in = to_mm / 25.4
    )]
    LiftNotMeasured {
        /// Lift asked for, mm.
        lift_mm: f64,
        /// Least lift of the table, mm.
        from_mm: f64,
        /// Greatest lift of the table, mm.
        to_mm: f64,
    },
    /// Too few readings.
    #[error("{found} {what} found; at least {needed} are needed")]
    TooFew {
        /// Of what.
        what: &'static str,
        /// How many there are.
        found: usize,
        /// How many are needed.
        needed: usize,
    },
    /// Lifts do not rise from row to row.
    #[error(
        "row {row}: lift {lift_mm:.3} mm does not lie above {before_mm:.3} mm of the row before; lifts rise from row \
         to row, and a lift measured twice is one row with the mean"
    )]
    LiftsDoNotRise {
        /// Row, from 1.
        row: usize,
        /// Its lift, mm.
        lift_mm: f64,
        /// Lift of the row before, mm.
        before_mm: f64,
    },
}

//! The camshaft: what a card says, what a dial gauge finds, and the lift curve between.
//!
//! - [`events`]: opening and closing angles of one valve, duration, centreline.
//! - [`timing`]: a pair of valves: lobe separation, advance, overlap; a card checked against itself.
//! - [`curve`]: a lift curve with velocity, acceleration and jerk, and everything read off it.
//! - [`lift_card`]: a smooth lift curve that meets a card.
//! - [`lift_table`]: a lift curve through a measured table, smoothed as far as the dial's own scatter asks.
//! - [`lobes`]: lobe against lobe: spread, worn lobes, and whether a camshaft was ground again.
//! - [`overlap`]: both valves open, in degrees and as area.
//!
//! Angles ending in `_deg` are crank degrees; 0 is the top dead centre between exhaust and intake,
//! true top dead centre as a positive stop finds it. Intake bottom dead centre is then at +180 and
//! exhaust bottom dead centre at −180. Angles ending in `_cam_deg` are cam degrees, of which one is
//! two crank degrees. A lift is the lifter's (the lobe's) unless a name says `valve_lift`.

mod banded;
pub mod curve;
mod error;
pub mod events;
pub mod lift_card;
pub mod lift_table;
pub mod lobes;
pub mod overlap;
mod quadratic;
mod spline;
pub mod timing;

pub use curve::{LiftCurve, LiftState, LiftStatePerSecond};
pub use error::CamError;
pub use events::{CheckLift, LiftAt, LobeEvents, Reference, Valve, ValveEvent};
pub use timing::Timing;

//! Flow-bench figures: what a port passes, freed of the bench it was measured on.
//!
//! A volume flow belongs to a test pressure, a room and a bench. The effective area belongs to the
//! port alone, so it is what is stored ([`effective_area_m2`], [`FlowCurve`]); a flow "at 28 inH2O" is
//! made from it again for print.
//!
//! - [`nozzle_mass_flow_kg_s`], [`effective_area_m2`]: isentropic flow through an area, choked or not.
//! - [`Reading`]: one reading of a bench with its room, leak and calibration, to effective area and back.
//! - [`by_square_root`] and [`at_other_drop_m3_s`]: from one test pressure to another, by the trade's
//!   rule and exactly.
//! - [`without_leak_m3_s`], [`bench_factor`], [`in_standard_air_m3_s`]: leak, calibration plate, room.
//! - [`Cd`]: a discharge coefficient whose reference area is part of its type.
//! - [`FlowCurve`]: effective area over lift, means over a band and over a cam's use of lift.
//!
//! Left out: viscosity (the coefficient is taken as the same at every test pressure), moisture in the
//! air, pulsation, and the difference between one bench and another, which common practice puts at
//! 3 to 5 %.

mod bench;
mod coefficient;
mod curve;
mod error;
mod nozzle;
mod reading;

pub use bench::{Plate, bench_factor, in_standard_air_m3_s, leak_share, mass_flow_kg_s, without_leak_m3_s};
pub use coefficient::{AreaReference, Cd, Curtain, Throat, ValveHead, mean_cd};
pub use curve::{BandMean, BandRatio, FlowCurve, LiftShare, exhaust_over_intake};
pub use error::FlowError;
pub use nozzle::{
    Gas, at_other_drop_m3_s, by_square_root, critical_pressure_ratio, effective_area_m2, nozzle_mass_flow_kg_s,
};
pub use reading::{Direction, Reading, ReadingUncertainty, flow_at_m3_s};

//! Compression: volumes, static ratio, ratio from intake closing, and the pressure a starter should make.
//!
//! - [`clearance`]: chamber, gasket, deck, crown and crevice to the clearance volume and the static ratio.
//! - [`target`]: what to pour out, shim or move for a wanted ratio, and quench.
//! - [`closing`]: the ratio from where the intake valve closes at a stated check lift.
//! - [`cranking`]: the band in which a cranking pressure is expected.
//!
//! Signs: crown volume positive for a dish and valve pockets, negative for a dome. Deck positive with
//! the piston below the block face at top dead centre ("in the hole"), negative above it.

pub mod clearance;
pub mod closing;
pub mod cranking;
pub mod target;

pub use clearance::{ClearanceVolumes, CylinderSizes, StaticRatio, disc_m3, static_ratio};
pub use closing::{IntakeClosing, TrappedRatio};
pub use cranking::{CrankingAssumptions, CrankingBand};

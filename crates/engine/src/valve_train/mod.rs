//! The valve train: from the lobe to the valve, the spring, and the speed at which contact is lost.
//!
//! - [`motion`]: valve lift from lobe lift, rocker ratio and lash; effective mass.
//! - [`spring`]: force, rate, coil bind, installed height, retainer clearance, pressure on the valve.
//! - [`surge`]: natural frequency of a spring and the harmonic of the lift that meets it.
//! - [`toss`]: the speed at which the spring no longer holds the follower on the cam.
//!
//! Angles are crank degrees, lifts and forces are at the valve unless a name says otherwise.

mod error;
pub mod motion;
pub mod spring;
pub mod surge;
pub mod toss;

pub use error::ValveTrainError;
pub use spring::{Spring, SpringReading};

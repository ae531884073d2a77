//! What the gas is: heat, gas constant and composition of air, fuel vapour and burned gas.
//!
//! Three gases mix in the ducts and cylinders: air as it comes (with its water vapour), vapour of the fuel, and
//! burned gas of the engine's own mixture. Each has a gas constant and a heat capacity that rises with temperature.
//! Energies are sensible: the enthalpy of each gas is zero at 25 °C. What burning releases is booked where it burns.
//!
//! | module | what it is | use it for |
//! |---|---|---|
//! | [`species`] | the polynomials of single gases | building the others |
//! | [`equilibrium`] | composition of burned gas at temperature and pressure, twelve gases | reference, and what follows is fitted to it |
//! | [`charge`] | the three gases of one engine with one fuel and one lambda | made once an operating point |
//! | [`dissociation`] | energy and moles that hot burned gas holds as fragments, fitted | cylinders |
//! | [`two_range`] | the gas of a cylinder, side by side in lanes | cylinders |
//!
//! The gas of the ducts is a shorter fit to the same table, [`crate::duct::gas`].

pub mod charge;
pub mod dissociation;
pub mod equilibrium;
pub mod species;
pub mod two_range;

pub use charge::{Charge, ChargeError, Fuel};

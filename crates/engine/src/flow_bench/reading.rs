//! One reading of a bench, from what its scale shows to effective area, and back for print.
//!
//! The volume flow is stated at the state of the room, in both directions. Drawn through, the room is
//! upstream; blown through, the room is downstream and the air before the port stands at room pressure
//! plus test pressure, at the temperature given (the blower warms it: measure there).

use super::bench::{mass_flow_kg_s, without_leak_m3_s};
use super::error::FlowError;
use super::nozzle::{Gas, effective_area_m2, nozzle_mass_flow_kg_s};
use crate::possible::{above_zero, not_negative};
use crate::propagate::try_propagate;

/// Which way the bench moves the air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// From the room through the port into the bench: intake ports.
    Drawn,
    /// From the bench through the port into the room: exhaust ports.
    Blown,
}

/// A reading with what it needs to become an effective area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Flow as the bench shows it, at room state, m³/s.
    pub read_m3_s: f64,
    /// Leak as the bench shows it at the same test pressure, port sealed, m³/s.
    pub leak_m3_s: f64,
    /// Factor of the bench from [`bench_factor`](super::bench_factor); 1 for a bench not calibrated.
    pub factor: f64,
    /// Test pressure, Pa.
    pub drop_pa: f64,
    /// Absolute pressure of the room, Pa (station pressure).
    pub room_pa: f64,
    /// Temperature of the air before the port, K.
    pub air_k: f64,
    /// Which way the air moves.
    pub direction: Direction,
}

/// Standard uncertainties of a [`Reading`], in the same units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadingUncertainty {
    /// Of the flow read, m³/s.
    pub read_m3_s: f64,
    /// Of the leak, m³/s.
    pub leak_m3_s: f64,
    /// Of the factor.
    pub factor: f64,
    /// Of the test pressure, Pa.
    pub drop_pa: f64,
    /// Of the room's pressure, Pa.
    pub room_pa: f64,
    /// Of the temperature, K.
    pub air_k: f64,
}

impl Reading {
    /// Effective area of the port, m².
    ///
    /// # Errors
    /// [`FlowError`] for numbers that cannot be and a leak that is not below the reading.
    pub fn effective_area_m2(&self, gas: Gas) -> Result<f64, FlowError> {
        let net_m3_s = without_leak_m3_s(self.read_m3_s, self.leak_m3_s)?;
        self.area_of(&[net_m3_s, self.factor, self.drop_pa, self.room_pa, self.air_k], gas)
    }

    /// Effective area, m², with its standard uncertainty by [`crate::propagate`].
    ///
    /// # Errors
    /// As [`Reading::effective_area_m2`], also where a step of one uncertainty leaves what can be.
    pub fn effective_area_with_u(&self, u: &ReadingUncertainty, gas: Gas) -> Result<(f64, f64), FlowError> {
        for step in [u.read_m3_s, u.leak_m3_s, u.factor, u.drop_pa, u.room_pa, u.air_k] {
            not_negative("a standard uncertainty", step, "")?;
        }
        let net_m3_s = without_leak_m3_s(self.read_m3_s, self.leak_m3_s)?;
        let inputs = [
            (net_m3_s, u.read_m3_s.hypot(u.leak_m3_s)),
            (self.factor, u.factor),
            (self.drop_pa, u.drop_pa),
            (self.room_pa, u.room_pa),
            (self.air_k, u.air_k),
        ];
        let (area, u_area, _) = try_propagate(|x| self.area_of(x, gas), &inputs)?;
        Ok((area, u_area))
    }

    /// From flow of the port alone, factor, drop, room pressure and air temperature, in this order.
    fn area_of(&self, x: &[f64], gas: Gas) -> Result<f64, FlowError> {
        let &[net_m3_s, factor, drop_pa, room_pa, air_k] = x else {
            return Err(FlowError::TooFew { what: "inputs", found: x.len(), needed: 5 });
        };
        above_zero("a bench factor", factor, "")?;
        above_zero("a test pressure", drop_pa, " Pa")?;
        let mass = mass_flow_kg_s(factor * net_m3_s, room_pa, air_k, gas)?;
        let (before, behind) = sides(self.direction, room_pa, drop_pa);
        effective_area_m2(mass, before, air_k, behind, gas)
    }
}

/// Volume flow at room state, m³/s, of an effective area at a test pressure: the figure to print, with
/// the test pressure and the room beside it.
///
/// # Errors
/// [`FlowError`] for numbers that cannot be.
pub fn flow_at_m3_s(
    effective_area_m2: f64,
    drop_pa: f64,
    room_pa: f64,
    air_k: f64,
    direction: Direction,
    gas: Gas,
) -> Result<f64, FlowError> {
    above_zero("a test pressure", drop_pa, " Pa")?;
    let (before, behind) = sides(direction, room_pa, drop_pa);
    let mass = nozzle_mass_flow_kg_s(effective_area_m2, before, air_k, behind, gas)?;
    Ok(mass / mass_flow_kg_s(1.0, room_pa, air_k, gas)?)
}

fn sides(direction: Direction, room_pa: f64, drop_pa: f64) -> (f64, f64) {
    match direction {
        Direction::Drawn => (room_pa, room_pa - drop_pa),
        Direction::Blown => (room_pa + drop_pa, room_pa),
    }
}

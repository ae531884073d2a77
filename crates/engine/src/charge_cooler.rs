//! A charge cooler: effectiveness, outlet temperature, and what it does to density.
//!
//! Model: effectiveness against the temperature of what cools, ideal gas. Left out: heat soak over a
//! pull, water that condenses, and cooling by fuel.
//!
//! # Source
//! Definition of effectiveness, any textbook of heat transfer.

use crate::blower::BlowerError;
use crate::possible::{NotPossible, above_zero};

/// Outlet temperature, K, of a cooler with an effectiveness, 0 to 1.
///
/// # Errors
/// [`BlowerError::NotPossible`] for numbers that cannot be.
pub fn outlet_k(inlet_k: f64, coolant_k: f64, effectiveness: f64) -> Result<f64, BlowerError> {
    above_zero("an absolute temperature", inlet_k, " K")?;
    above_zero("an absolute temperature of a coolant", coolant_k, " K")?;
    if !(0.0..=1.0).contains(&effectiveness) {
        let (what, expected) = ("a cooler's effectiveness", "a share from 0 to 1");
        return Err(NotPossible { what, value: effectiveness, unit: "", expected }.into());
    }
    Ok(inlet_k - effectiveness * (inlet_k - coolant_k))
}

/// Effectiveness from measured temperatures, K: the drop over the greatest drop there could be.
///
/// # Errors
/// [`BlowerError::Clash`] for a charge that is not hotter than the coolant, or that leaves colder than
/// the coolant or hotter than it came.
pub fn effectiveness(inlet_k: f64, outlet_k: f64, coolant_k: f64) -> Result<f64, BlowerError> {
    above_zero("an absolute temperature", inlet_k, " K")?;
    above_zero("an absolute temperature", outlet_k, " K")?;
    above_zero("an absolute temperature of a coolant", coolant_k, " K")?;
    let said = |what: &str, k: f64| format!("{what} of {:.1} °C ({:.1} °F)", k - 273.15, k * 1.8 - 459.67);
    let clash = |first: String, second: String, why| Err(BlowerError::Clash { first, second, why });
    if inlet_k <= coolant_k {
        let why = "a cooler cools only a charge that is hotter than its coolant";
        return clash(said("a charge", inlet_k), said("a coolant", coolant_k), why);
    }
    if outlet_k < coolant_k {
        let why = "no cooler brings the charge below its coolant; the coolant is measured where it enters";
        return clash(said("an outlet", outlet_k), said("a coolant", coolant_k), why);
    }
    if outlet_k > inlet_k {
        let why = "the charge does not heat up in a cooler; the two sensors may be exchanged";
        return clash(said("an outlet", outlet_k), said("an inlet", inlet_k), why);
    }
    Ok((inlet_k - outlet_k) / (inlet_k - coolant_k))
}

/// Density behind the cooler over density before it: pressure loss and temperature drop together.
///
/// Pressures are absolute.
///
/// # Errors
/// [`BlowerError`] for numbers that cannot be and a pressure that rises.
pub fn density_ratio(inlet_k: f64, outlet_k: f64, inlet_pa: f64, drop_pa: f64) -> Result<f64, BlowerError> {
    above_zero("an absolute temperature", inlet_k, " K")?;
    above_zero("an absolute temperature", outlet_k, " K")?;
    above_zero("an absolute pressure", inlet_pa, " Pa")?;
    if !(drop_pa >= 0.0 && drop_pa < inlet_pa) {
        return Err(BlowerError::Clash {
            first: format!("a pressure drop of {drop_pa} Pa"),
            second: format!("{inlet_pa} Pa absolute before the cooler"),
            why: "the drop is zero or more and leaves pressure behind the cooler",
        });
    }
    Ok((inlet_pa - drop_pa) / inlet_pa * inlet_k / outlet_k)
}

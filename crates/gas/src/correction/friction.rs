//! Friction torque for the forms that need it.
//!
//! Measured on a motoring dyno it is a number per speed. Without one, a mean effective pressure of
//! friction can be stated; the list of 1995 that goes with the old J607 practice is given as an
//! estimate. It includes pumping and comes from plainly older hardware.

use crate::error::{AirError, within};
use std::f64::consts::PI;

/// Friction torque at one speed, N·m, zero or more.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct FrictionTorque(f64);

impl FrictionTorque {
    /// From a torque, N·m. Range 0 … 5000.
    ///
    /// # Errors
    /// [`AirError::OutsideModel`] for a negative or absurd figure.
    pub fn from_nm(torque_nm: f64) -> Result<Self, AirError> {
        within("a friction torque", torque_nm, " N·m", (0.0, 5000.0), "; it counts positive")?;
        Ok(Self(torque_nm))
    }

    /// From a mean effective pressure of friction, Pa, and a swept volume, m³.
    /// Four-stroke: `T = fmep · V / (4 π)`; two-stroke twice that.
    ///
    /// # Errors
    /// [`AirError::OutsideModel`] for a pressure outside 0 … 2 MPa or a volume outside 0 … 0.1 m³.
    pub fn from_fmep(fmep_pa: f64, displacement_m3: f64, four_stroke: bool) -> Result<Self, AirError> {
        within("a friction mean effective pressure", fmep_pa, " Pa", (0.0, 2e6), "; it counts positive")?;
        within("a swept volume", displacement_m3, " m³", (0.0, 0.1), "; 5.7 L is 0.0057 m³")?;
        let revolutions = if four_stroke { 2.0 } else { 1.0 };
        Self::from_nm(fmep_pa * displacement_m3 / (2.0 * PI * revolutions))
    }

    /// The torque, N·m.
    pub fn nm(self) -> f64 {
        self.0
    }
}

/// Friction torque per swept volume against mean piston speed: ft/min, lbf·ft/in³.
const LIST_1995: [(f64, f64); 15] = [
    (0.0, 0.088),
    (500.0, 0.105),
    (1000.0, 0.12),
    (1500.0, 0.145),
    (2000.0, 0.17),
    (2500.0, 0.203),
    (3000.0, 0.233),
    (3500.0, 0.265),
    (4000.0, 0.308),
    (4500.0, 0.368),
    (5000.0, 0.433),
    (5500.0, 0.503),
    (6000.0, 0.573),
    (6500.0, 0.65),
    (7000.0, 0.725),
];

/// Friction mean effective pressure (four-stroke, with pumping), Pa, from the list of 1995, by
/// straight lines between its entries. `piston_speed_m_s` is the mean piston speed, 0 … 35.56 m/s.
///
/// # Errors
/// [`AirError::OutsideModel`] outside the list.
///
/// # Source
/// The public mailing-list text of 1995 that describes the J607 practice. An estimate only.
pub fn list_1995_fmep_pa(piston_speed_m_s: f64) -> Result<f64, AirError> {
    let feet_per_minute = piston_speed_m_s / 0.3048 * 60.0;
    // A last digit lost in the conversion must not turn the end of the list away.
    within("a mean piston speed", piston_speed_m_s, " m/s", (0.0, 35.560_001), "")?;
    let above = LIST_1995.iter().position(|row| row.0 >= feet_per_minute).unwrap_or(LIST_1995.len() - 1).max(1);
    let ((v0, f0), (v1, f1)) = (LIST_1995[above - 1], LIST_1995[above]);
    let per_volume = f0 + (f1 - f0) * (feet_per_minute - v0) / (v1 - v0);
    let pound_foot_nm = 0.453_592_37 * 9.806_65 * 0.3048;
    Ok(per_volume * pound_foot_nm / 0.0254f64.powi(3) * 4.0 * PI)
}

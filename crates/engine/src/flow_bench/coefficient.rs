//! Discharge coefficients that cannot be parted from the area they stand on.
//!
//! One measured flow gives 0.75 on the curtain, 0.58 on the throat and 0.44 on the valve head. The
//! reference is therefore part of the type, and its sizes are carried along.
//!
//! # Source
//! Definitions as in Heywood, Internal Combustion Engine Fundamentals, section 6.3.2, from memory.

use super::error::FlowError;
use crate::possible::{above_zero, not_negative};
use std::f64::consts::PI;

/// An area that a discharge coefficient may stand on.
pub trait AreaReference: Copy + PartialEq + std::fmt::Debug {
    /// The area, m², at a valve lift, m.
    ///
    /// # Errors
    /// [`FlowError`] for sizes and lifts that cannot be.
    fn area_m2(&self, lift_m: f64) -> Result<f64, FlowError>;

    /// What a person reads: "the curtain of a 52.00 mm valve".
    fn name(&self) -> String;
}

/// The curtain under the valve head: circumference times lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curtain {
    /// Diameter of the valve head, m.
    pub valve_m: f64,
}

/// The throat of the port less the stem.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Throat {
    /// Diameter of the throat, m.
    pub throat_m: f64,
    /// Diameter of the stem, m.
    pub stem_m: f64,
}

/// The valve head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveHead {
    /// Diameter of the valve head, m.
    pub valve_m: f64,
}

impl AreaReference for Curtain {
    fn area_m2(&self, lift_m: f64) -> Result<f64, FlowError> {
        above_zero("a valve diameter", self.valve_m, " m")?;
        above_zero("a lift", lift_m, " m")?;
        Ok(PI * self.valve_m * lift_m)
    }

    fn name(&self) -> String {
        format!("the curtain of a {:.2} mm valve", self.valve_m * 1e3)
    }
}

impl AreaReference for Throat {
    fn area_m2(&self, _lift_m: f64) -> Result<f64, FlowError> {
        above_zero("a throat diameter", self.throat_m, " m")?;
        not_negative("a stem diameter", self.stem_m, " m")?;
        if self.stem_m < self.throat_m {
            return Ok(0.25 * PI * (self.throat_m.powi(2) - self.stem_m.powi(2)));
        }
        Err(FlowError::Clash {
            first: format!("a stem of {:.2} mm", self.stem_m * 1e3),
            second: format!("a throat of {:.2} mm", self.throat_m * 1e3),
            why: "the stem passes through the throat and leaves room beside it",
        })
    }

    fn name(&self) -> String {
        format!("the throat of {:.2} mm less a {:.2} mm stem", self.throat_m * 1e3, self.stem_m * 1e3)
    }
}

impl AreaReference for ValveHead {
    fn area_m2(&self, _lift_m: f64) -> Result<f64, FlowError> {
        above_zero("a valve diameter", self.valve_m, " m")?;
        Ok(0.25 * PI * self.valve_m.powi(2))
    }

    fn name(&self) -> String {
        format!("the head of a {:.2} mm valve", self.valve_m * 1e3)
    }
}

/// A discharge coefficient at one lift, on its reference area.
///
/// Coefficients on different references have different types and do not meet until both stand on one:
///
/// ```
/// use engine::flow_bench::{Cd, Curtain, Throat, mean_cd};
/// let curtain = Cd::new(9.34e-4, 7.62e-3, Curtain { valve_m: 0.052 })?;
/// let throat = Cd::new(9.30e-4, 7.62e-3, Throat { throat_m: 0.046, stem_m: 0.008 })?;
/// let mean = mean_cd(&[curtain, throat.on(curtain.reference())?])?;
/// assert!((mean - 0.749).abs() < 1e-3);
/// # Ok::<(), engine::flow_bench::FlowError>(())
/// ```
///
/// ```compile_fail,E0308
/// use engine::flow_bench::{Cd, Curtain, Throat, mean_cd};
/// let curtain = Cd::new(9.34e-4, 7.62e-3, Curtain { valve_m: 0.052 })?;
/// let throat = Cd::new(9.30e-4, 7.62e-3, Throat { throat_m: 0.046, stem_m: 0.008 })?;
/// let mean = mean_cd(&[curtain, throat])?;
/// # Ok::<(), engine::flow_bench::FlowError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cd<R> {
    value: f64,
    lift_m: f64,
    reference: R,
}

impl<R: AreaReference> Cd<R> {
    /// The coefficient of an effective area, m², at a lift, m, on a reference.
    ///
    /// A coefficient above 1 is possible on a reference smaller than the real passage and is kept.
    ///
    /// # Errors
    /// [`FlowError`] for numbers that cannot be.
    pub fn new(effective_area_m2: f64, lift_m: f64, reference: R) -> Result<Self, FlowError> {
        above_zero("an effective area", effective_area_m2, " m²")?;
        above_zero("a lift", lift_m, " m")?;
        Ok(Self { value: effective_area_m2 / reference.area_m2(lift_m)?, lift_m, reference })
    }

    /// A coefficient as stated on a sheet, with the reference that the sheet names.
    ///
    /// # Errors
    /// [`FlowError`] for numbers that cannot be.
    pub fn stated(value: f64, lift_m: f64, reference: R) -> Result<Self, FlowError> {
        above_zero("a discharge coefficient", value, "")?;
        above_zero("a lift", lift_m, " m")?;
        reference.area_m2(lift_m)?;
        Ok(Self { value, lift_m, reference })
    }

    /// The coefficient.
    pub fn value(&self) -> f64 {
        self.value
    }

    /// The lift it was measured at, m.
    pub fn lift_m(&self) -> f64 {
        self.lift_m
    }

    /// What it stands on.
    pub fn reference(&self) -> R {
        self.reference
    }

    /// The effective area, m².
    ///
    /// # Errors
    /// None that the constructors have not already refused.
    pub fn effective_area_m2(&self) -> Result<f64, FlowError> {
        Ok(self.value * self.reference.area_m2(self.lift_m)?)
    }

    /// The same flow stated on another reference.
    ///
    /// # Errors
    /// [`FlowError`] for a reference that cannot be.
    pub fn on<S: AreaReference>(&self, reference: S) -> Result<Cd<S>, FlowError> {
        Cd::new(self.effective_area_m2()?, self.lift_m, reference)
    }
}

/// Plain mean of coefficients on one reference, sizes included.
///
/// # Errors
/// [`FlowError::ReferencesDiffer`] where the sizes of the references are not the same;
/// [`FlowError::TooFew`] for none.
pub fn mean_cd<R: AreaReference>(coefficients: &[Cd<R>]) -> Result<f64, FlowError> {
    let Some(first) = coefficients.first() else {
        return Err(FlowError::TooFew { what: "coefficients", found: 0, needed: 1 });
    };
    if let Some(other) = coefficients.iter().find(|c| c.reference != first.reference) {
        return Err(FlowError::ReferencesDiffer { first: first.reference.name(), second: other.reference.name() });
    }
    Ok(coefficients.iter().map(Cd::value).sum::<f64>() / coefficients.len() as f64)
}

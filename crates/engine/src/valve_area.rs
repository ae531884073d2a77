//! The least geometric area between valve and seat, and whether the valves fit the bore.
//!
//! Model: three stages of lift. First the passage stands at right angles to the seat, then between the
//! edges of seat and valve, at last the throat less the stem is the narrowest place. The least of them
//! counts. Left out: seat overhang, back cut, shrouding by bore and chamber, and the flow itself, which
//! a discharge coefficient carries.
//!
//! # Source
//! Heywood, Internal Combustion Engine Fundamentals, section 6.3.2, from memory.

use crate::flow_bench::FlowError;
use crate::possible::{NotPossible, above_zero, not_negative};
use std::f64::consts::PI;

/// A valve and its seat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveSeat {
    /// Diameter of the valve head, m.
    pub valve_m: f64,
    /// Radial width of the seat, m: the width along its face, as a shop measures it, times the cosine of
    /// its angle.
    pub seat_width_m: f64,
    /// Angle of the seat face against the plane of the valve head, rad. 45° is common.
    pub seat_angle_rad: f64,
    /// Diameter of the throat, m.
    pub throat_m: f64,
    /// Diameter of the stem in the throat, m.
    pub stem_m: f64,
}

/// Which place is the narrowest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Narrowest {
    /// At right angles to the seat: low lift.
    AcrossSeat,
    /// Between the edges of valve and seat: middle lift.
    BetweenEdges,
    /// The throat less the stem: high lift.
    Throat,
}

/// The least area at a lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastArea {
    /// The area, m².
    pub area_m2: f64,
    /// Where it lies.
    pub place: Narrowest,
}

impl ValveSeat {
    /// The seat, if it can be.
    ///
    /// # Errors
    /// [`FlowError::Clash`] for a throat that is not smaller than the valve, a stem that fills the
    /// throat, or a seat too wide for the valve; [`FlowError::NotPossible`] for other numbers.
    pub fn check(self) -> Result<Self, FlowError> {
        above_zero("a valve diameter", self.valve_m, " m")?;
        above_zero("a seat width", self.seat_width_m, " m")?;
        above_zero("a throat diameter", self.throat_m, " m")?;
        not_negative("a stem diameter", self.stem_m, " m")?;
        if !(self.seat_angle_rad > 0.0 && self.seat_angle_rad < 0.5 * PI) {
            return Err(NotPossible {
                what: "a seat angle",
                value: self.seat_angle_rad.to_degrees(),
                unit: "°",
                expected: "an angle between 0 and 90°",
            }
            .into());
        }
        let mm = |what: &str, m: f64| format!("{what} of {:.2} mm ({:.3} in)", m * 1e3, m / 0.0254);
        let clash = |first: String, second: String, why| Err(FlowError::Clash { first, second, why });
        if self.throat_m >= self.valve_m {
            let why = "the valve closes the throat and is larger";
            return clash(mm("a throat", self.throat_m), mm("a valve", self.valve_m), why);
        }
        if self.stem_m >= self.throat_m {
            let why = "the stem passes through the throat and leaves room beside it";
            return clash(mm("a stem", self.stem_m), mm("a throat", self.throat_m), why);
        }
        if 2.0 * self.seat_width_m >= self.valve_m {
            let why = "the seat runs round the edge of the valve";
            return clash(mm("a seat width", self.seat_width_m), mm("a valve", self.valve_m), why);
        }
        Ok(self)
    }

    /// Least area between valve and seat at a lift, m.
    ///
    /// # Errors
    /// As [`ValveSeat::check`]; also for a lift below zero.
    pub fn least_area(&self, lift_m: f64) -> Result<LeastArea, FlowError> {
        self.check()?;
        not_negative("a lift", lift_m, " m")?;
        let (sin, cos) = self.seat_angle_rad.sin_cos();
        let w = self.seat_width_m;
        let passage = if lift_m <= w / (sin * cos) {
            // sin 2b = 2 sin b cos b
            let area_m2 = PI * lift_m * cos * (self.valve_m - 2.0 * w + lift_m * sin * cos);
            LeastArea { area_m2, place: Narrowest::AcrossSeat }
        } else {
            let slant = (lift_m - w * sin / cos).hypot(w);
            LeastArea { area_m2: PI * (self.valve_m - w) * slant, place: Narrowest::BetweenEdges }
        };
        let throat = 0.25 * PI * (self.throat_m.powi(2) - self.stem_m.powi(2));
        if passage.area_m2 <= throat {
            return Ok(passage);
        }
        Ok(LeastArea { area_m2: throat, place: Narrowest::Throat })
    }
}

/// A valve in the head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValvePlace {
    /// Diameter of the head, m.
    pub valve_m: f64,
    /// Angle of the stem against the bore axis, rad; 0 is upright.
    pub stem_angle_rad: f64,
    /// Distance of the head's centre from the bore axis, m, along the line through both valves.
    pub offset_m: f64,
}

/// Whether two valves fit a bore, seen along the bore axis.
///
/// Left out: valves that lean away from the common line, and three dimensions; a pair that passes here
/// may still touch at lift (overlap), which is another check.
///
/// # Errors
/// [`FlowError::Clash`] for a valve larger than the bore or two heads that overlap, with both facts.
pub fn check_pair_in_bore(bore_m: f64, first: ValvePlace, second: ValvePlace) -> Result<(), FlowError> {
    above_zero("a bore", bore_m, " m")?;
    let size = |m: f64| format!("{:.2} mm ({:.3} in)", m * 1e3, m / 0.0254);
    for valve in [first, second] {
        check_valve_in_bore(bore_m, valve.valve_m)?;
        if !(valve.offset_m.is_finite() && valve.stem_angle_rad.abs() < 0.5 * PI) {
            return Err(NotPossible {
                what: "a stem angle or offset",
                value: valve.stem_angle_rad.to_degrees(),
                unit: "°",
                expected: "an angle within ±90° and a finite offset",
            }
            .into());
        }
    }
    let reach = |valve: ValvePlace| 0.5 * valve.valve_m * valve.stem_angle_rad.cos();
    let apart = (first.offset_m - second.offset_m).abs();
    let needed = reach(first) + reach(second);
    if apart < needed {
        return Err(FlowError::Clash {
            first: format!(
                "valves of {} and {}, which need {} between centres",
                size(first.valve_m),
                size(second.valve_m),
                size(needed)
            ),
            second: format!("centres {} apart", size(apart)),
            why: "the two heads would overlap",
        });
    }
    Ok(())
}

/// Whether one valve is smaller than the bore.
///
/// # Errors
/// [`FlowError::Clash`] with both sizes if not.
pub fn check_valve_in_bore(bore_m: f64, valve_m: f64) -> Result<(), FlowError> {
    above_zero("a bore", bore_m, " m")?;
    above_zero("a valve diameter", valve_m, " m")?;
    if valve_m < bore_m {
        return Ok(());
    }
    let size = |what: &str, m: f64| format!("{what} of {:.2} mm ({:.3} in)", m * 1e3, m / 0.0254);
    Err(FlowError::Clash {
        first: size("a valve", valve_m),
        second: size("a bore", bore_m),
        why: "a valve is smaller than its bore",
    })
}

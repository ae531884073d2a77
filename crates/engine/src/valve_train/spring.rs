//! A valve spring as measured on a tester.
//!
//! Model: one rate from installed height to full lift, from two readings. Left out: progressive
//! springs, the damper's friction (which makes the force going down smaller than going up), heat and
//! the loss of the first hours.
//!
//! # Source
//! Hooke; common practice of setting up a head. Limits (gap, tolerance, loads) are the caller's.

use super::error::ValveTrainError;
use crate::possible::{NotPossible, above_zero, not_negative};

/// A force at a height, each with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpringReading {
    /// Height of the spring, m.
    pub height_m: f64,
    /// Standard uncertainty of the height, m.
    pub u_height_m: f64,
    /// Force, N.
    pub force_n: f64,
    /// Standard uncertainty of the force, N.
    pub u_force_n: f64,
}

/// A spring in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spring {
    installed_m: f64,
    bind_m: f64,
    seat_n: f64,
    u_seat_n: f64,
    rate_n_m: f64,
    u_rate_n_m: f64,
}

impl Spring {
    /// A spring from two readings, installed at a height, with the height at which its coils touch.
    ///
    /// # Errors
    /// [`ValveTrainError::SpringClash`] when the shorter height does not have the greater force, or the
    /// installed height is not above coil bind; [`ValveTrainError::NotPossible`] for numbers that cannot be.
    pub fn from_readings(
        first: SpringReading,
        second: SpringReading,
        installed_m: f64,
        bind_m: f64,
    ) -> Result<Self, ValveTrainError> {
        for reading in [&first, &second] {
            above_zero("a spring height", reading.height_m, " m")?;
            above_zero("a spring force", reading.force_n, " N")?;
            not_negative("the uncertainty of a spring height", reading.u_height_m, " m")?;
            not_negative("the uncertainty of a spring force", reading.u_force_n, " N")?;
        }
        let (tall, short) = if first.height_m >= second.height_m { (first, second) } else { (second, first) };
        let squeeze_m = tall.height_m - short.height_m;
        let rate_n_m = (short.force_n - tall.force_n) / squeeze_m;
        if !(squeeze_m > 0.0 && rate_n_m > 0.0) {
            let said = |r: &SpringReading| format!("{:.1} N at {:.2} mm", r.force_n, r.height_m * 1000.0);
            return Err(ValveTrainError::SpringClash {
                first: said(&tall),
                second: said(&short),
                why: "a spring pushes harder the shorter it is; two different heights are needed",
            });
        }
        // A height read wrongly shifts the force by the rate.
        let u_force = |r: &SpringReading| r.u_force_n.hypot(rate_n_m * r.u_height_m);
        let (u_tall, u_short) = (u_force(&tall), u_force(&short));
        let seat_n = tall.force_n + rate_n_m * (tall.height_m - installed_m);
        let share = (tall.height_m - installed_m) / squeeze_m;
        let u_seat_n = ((1.0 - share) * u_tall).hypot(share * u_short);
        Self::checked(installed_m, bind_m, (seat_n, u_seat_n), (rate_n_m, u_tall.hypot(u_short) / squeeze_m))
    }

    /// A spring from its seat force (N, u) at the installed height and its rate (N/m, u).
    ///
    /// # Errors
    /// As [`Spring::from_readings`].
    pub fn from_rate(
        installed_m: f64,
        bind_m: f64,
        seat_n: (f64, f64),
        rate_n_m: (f64, f64),
    ) -> Result<Self, ValveTrainError> {
        Self::checked(installed_m, bind_m, seat_n, rate_n_m)
    }

    fn checked(
        installed_m: f64,
        bind_m: f64,
        seat_n: (f64, f64),
        rate_n_m: (f64, f64),
    ) -> Result<Self, ValveTrainError> {
        above_zero("an installed height", installed_m, " m")?;
        above_zero("a coil-bind height", bind_m, " m")?;
        above_zero("a seat force", seat_n.0, " N")?;
        above_zero("a spring rate", rate_n_m.0, " N/m")?;
        not_negative("the uncertainty of a seat force", seat_n.1, " N")?;
        not_negative("the uncertainty of a spring rate", rate_n_m.1, " N/m")?;
        if installed_m <= bind_m {
            return Err(ValveTrainError::SpringClash {
                first: format!("an installed height of {:.2} mm", installed_m * 1000.0),
                second: format!("coil bind at {:.2} mm", bind_m * 1000.0),
                why: "the spring would be solid with the valve shut",
            });
        }
        Ok(Self {
            installed_m,
            bind_m,
            seat_n: seat_n.0,
            u_seat_n: seat_n.1,
            rate_n_m: rate_n_m.0,
            u_rate_n_m: rate_n_m.1,
        })
    }

    /// Force with the valve shut, N, and its standard uncertainty.
    pub fn seat_n(&self) -> (f64, f64) {
        (self.seat_n, self.u_seat_n)
    }

    /// Rate, N/m, and its standard uncertainty.
    pub fn rate_n_m(&self) -> (f64, f64) {
        (self.rate_n_m, self.u_rate_n_m)
    }

    /// Force at a valve lift, N, with its standard uncertainty (seat force and rate taken as uncorrelated).
    ///
    /// # Errors
    /// [`ValveTrainError::PastCoilBind`] for a lift beyond coil bind.
    pub fn force_n(&self, valve_lift_m: f64) -> Result<(f64, f64), ValveTrainError> {
        self.bind_gap_m(valve_lift_m)?;
        Ok((self.seat_n + self.rate_n_m * valve_lift_m, self.u_seat_n.hypot(self.u_rate_n_m * valve_lift_m)))
    }

    /// What is left to coil bind at a valve lift, m, over all coils together.
    ///
    /// # Errors
    /// [`ValveTrainError::PastCoilBind`] when the lift is greater than the travel;
    /// [`ValveTrainError::NotPossible`] for a negative lift.
    pub fn bind_gap_m(&self, valve_lift_m: f64) -> Result<f64, ValveTrainError> {
        not_negative("a valve lift", valve_lift_m, " m")?;
        let gap_m = self.installed_m - self.bind_m - valve_lift_m;
        if gap_m < 0.0 {
            return Err(ValveTrainError::PastCoilBind {
                lift_mm: valve_lift_m * 1000.0,
                installed_mm: self.installed_m * 1000.0,
                bind_mm: self.bind_m * 1000.0,
            });
        }
        Ok(gap_m)
    }

    /// The same spring at another installed height (a shim makes it shorter).
    ///
    /// # Errors
    /// As [`Spring::from_rate`].
    pub fn installed_at(&self, installed_m: f64) -> Result<Self, ValveTrainError> {
        let seat_n = self.seat_n + self.rate_n_m * (self.installed_m - installed_m);
        let u_seat_n = self.u_seat_n.hypot(self.u_rate_n_m * (self.installed_m - installed_m));
        Self::checked(installed_m, self.bind_m, (seat_n, u_seat_n), (self.rate_n_m, self.u_rate_n_m))
    }

    /// What an installed height that may be off by ± `tolerance_m` makes of the seat force, ± N.
    pub fn seat_change_n(&self, tolerance_m: f64) -> f64 {
        self.rate_n_m * tolerance_m.abs()
    }
}

/// Spread of seat forces in a set: greatest less least over the mean, a plain number.
///
/// # Errors
/// [`ValveTrainError::NotPossible`] for fewer than two springs or a force of zero or less.
pub fn seat_spread(forces_n: &[f64]) -> Result<f64, ValveTrainError> {
    if forces_n.len() < 2 {
        let (what, expected) = ("a number of springs", "two or more");
        return Err(NotPossible { what, value: forces_n.len() as f64, unit: "", expected }.into());
    }
    for force_n in forces_n {
        above_zero("a seat force", *force_n, " N")?;
    }
    let mean = forces_n.iter().sum::<f64>() / forces_n.len() as f64;
    let greatest = forces_n.iter().copied().fold(f64::MIN, f64::max);
    let least = forces_n.iter().copied().fold(f64::MAX, f64::min);
    Ok((greatest - least) / mean)
}

/// Retainer to guide or seal at full lift, m, from the room with the valve shut.
///
/// # Errors
/// [`ValveTrainError::RetainerMeetsGuide`] when the lift is greater than the room.
pub fn retainer_clearance_m(room_shut_m: f64, valve_lift_m: f64) -> Result<f64, ValveTrainError> {
    above_zero("the room under the retainer", room_shut_m, " m")?;
    not_negative("a valve lift", valve_lift_m, " m")?;
    if valve_lift_m > room_shut_m {
        return Err(ValveTrainError::RetainerMeetsGuide {
            lift_mm: valve_lift_m * 1000.0,
            room_mm: room_shut_m * 1000.0,
        });
    }
    Ok(room_shut_m - valve_lift_m)
}

/// Force, N, with which boost in the port pushes an intake valve open: gauge pressure (Pa) times
/// valve area (m²). The seat force has to be greater by this much to seal as it did without boost.
///
/// Left out: cylinder pressure, which holds the valve shut for most of the cycle, and the stem's area.
/// An exhaust valve sees the pressure in its pipe in the same way.
///
/// # Errors
/// [`ValveTrainError::NotPossible`] for an area of zero or less, or a pressure that is not a number.
///
/// # Source
/// Common practice: 10 psi on 3.2 in² is 32 lb.
pub fn boost_force_n(boost_gauge_pa: f64, valve_area_m2: f64) -> Result<f64, ValveTrainError> {
    above_zero("a valve area", valve_area_m2, " m²")?;
    if !boost_gauge_pa.is_finite() {
        let (what, expected) = ("a boost pressure", "a finite number");
        return Err(NotPossible { what, value: boost_gauge_pa, unit: " Pa", expected }.into());
    }
    Ok(boost_gauge_pa * valve_area_m2)
}

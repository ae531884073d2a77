//! The sheet of one bore: three heights, two axes, six readings.
//!
//! Model: taper is greatest less least along one axis, out-of-round the difference of the axes at one
//! height; the worst of each counts. The reading noise reaches as far as the studentised range of six
//! readings says, which holds for every pair of the sheet at once.
//! Left out: lobes that two axes cannot see (a three-cornered bore reads round), and the torque plate:
//! record whether it was on.
//!
//! # Source
//! Trade practice for heights, axes and which size to use for what.

use crate::propagate::Estimate;
use crate::refused::{Refused, not_negative, positive};
use crate::spread::studentised_range_95;
use quantity::Verdict;
use std::fmt;

/// Height of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Height {
    /// Just below the top of ring travel.
    Top,
    /// Middle.
    Middle,
    /// About an inch above the bottom.
    Bottom,
}

/// Axis of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Axis {
    /// Across the crankshaft: the thrust faces.
    Thrust,
    /// Along the crankshaft: the pin's axis.
    Pin,
}

impl fmt::Display for Height {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Top => "top",
            Self::Middle => "middle",
            Self::Bottom => "bottom",
        })
    }
}

impl fmt::Display for Axis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Thrust => "thrust axis",
            Self::Pin => "pin axis",
        })
    }
}

const HEIGHTS: [Height; 3] = [Height::Top, Height::Middle, Height::Bottom];
const AXES: [Axis; 2] = [Axis::Thrust, Axis::Pin];

/// Six readings of one bore, m at 20 °C, as `[height][axis]`: top, middle, bottom; thrust, pin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoreSheet {
    readings_m: [[f64; 2]; 3],
    u_m: f64,
    reach_m: f64,
}

/// A form error of the bore: its size, how far noise reaches, and where it is worst.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FormError<Place> {
    /// Size, m.
    pub size_m: f64,
    /// How far the true size may lie from it either way, 95 %, from the readings' uncertainty, m.
    pub reach_m: f64,
    /// Where it is worst.
    pub at: Place,
}

impl<Place> FormError<Place> {
    /// Within a limit (m), beyond it, or not to be told from these readings.
    pub fn verdict(&self, limit_m: f64) -> Verdict {
        // The house rule guards by twice the uncertainty; the reach is already that interval.
        quantity::verdict(self.size_m, 0.5 * self.reach_m, quantity::Limits::at_most(limit_m))
    }
}

impl BoreSheet {
    /// From six readings, each with the same standard uncertainty without what all share.
    ///
    /// # Errors
    /// [`Refused::NotPossible`] for a size that is not above zero; [`Refused::Clash`] for two readings
    /// that differ by more than a hundredth of the bore: a slip of the pen, not a shape.
    pub fn new(readings_m: [[f64; 2]; 3], u_m: f64) -> Result<Self, Refused> {
        not_negative("the uncertainty of a bore reading", u_m, " m")?;
        let sheet = Self { readings_m, u_m, reach_m: studentised_range_95(6) * u_m };
        for (_, _, reading_m) in sheet.places() {
            positive("a bore reading", reading_m, " m")?;
        }
        let places = sheet.places();
        let (mut least, mut greatest) = (places[0], places[0]);
        for place in places {
            if place.2 < least.2 {
                least = place;
            }
            if place.2 > greatest.2 {
                greatest = place;
            }
        }
        if greatest.2 - least.2 > 0.01 * least.2 {
            let say = |(height, axis, m): (Height, Axis, f64)| format!("{:.4} mm ({height}, {axis})", m * 1e3);
            return Err(Refused::Clash {
                first: say(greatest),
                second: say(least),
                why: "they differ by more than a hundredth of the bore; read both again".into(),
            });
        }
        Ok(sheet)
    }

    /// Worst taper, and along which axis.
    pub fn taper(&self) -> FormError<Axis> {
        let along = |axis: usize| {
            let column = self.readings_m.map(|row| row[axis]);
            column.iter().copied().fold(f64::MIN, f64::max) - column.iter().copied().fold(f64::MAX, f64::min)
        };
        let worst = if along(1) > along(0) { 1 } else { 0 };
        FormError { size_m: along(worst), reach_m: self.reach_m, at: AXES[worst] }
    }

    /// Worst out-of-round, and at which height.
    pub fn out_of_round(&self) -> FormError<Height> {
        let at = |height: usize| (self.readings_m[height][0] - self.readings_m[height][1]).abs();
        let mut worst = 0;
        for height in 1..3 {
            if at(height) > at(worst) {
                worst = height;
            }
        }
        FormError { size_m: at(worst), reach_m: self.reach_m, at: HEIGHTS[worst] }
    }

    /// Smallest reading, m: the size for the ring gap. Noise makes the least of six read a little small.
    pub fn smallest_m(&self) -> Estimate {
        let least = self.places().iter().map(|(_, _, m)| *m).fold(f64::MAX, f64::min);
        Estimate { value: least, u: self.u_m }
    }

    /// Mean of the six, m: the size for the piston's fit.
    pub fn mean_m(&self) -> Estimate {
        let sum: f64 = self.places().iter().map(|(_, _, m)| m).sum();
        Estimate { value: sum / 6.0, u: self.u_m / 6f64.sqrt() }
    }

    fn places(&self) -> [(Height, Axis, f64); 6] {
        std::array::from_fn(|i| (HEIGHTS[i / 2], AXES[i % 2], self.readings_m[i / 2][i % 2]))
    }
}

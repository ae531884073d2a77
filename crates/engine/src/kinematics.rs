//! Motion of the piston: position, velocity and acceleration of a slider-crank with pin offset.
//!
//! Model: rigid parts, no clearance, the crank turning at constant speed. With crank radius `r`, rod
//! `l` between centres, offset `d` and the crank angle `θ` measured from the throw upright, the pin
//! stands at `r cos θ + √(l² − (r sin θ − d)²)` above the crank centre; depths are counted from its
//! highest point, `√((l + r)² − d²)`. Textbook geometry, checked against `validation/slider_crank`.
//! Left out: rod stretch, rock of the piston, bearing clearance, change of speed within a turn.
//!
//! **Sign of the offset.** Positive towards the side the crankpin moves to after top dead centre.
//! On the power stroke the rod leans to that side and presses the piston to the other one, so an
//! offset towards the major thrust side, the usual one against slap, is negative.
//!
//! **Zero of the angle.** With an offset the piston is highest a little beside the upright throw. A
//! degree wheel set by a piston stop counts from the true top dead centre: use the functions that say
//! `from_tdc`. The others count from the upright throw. The two are the same without offset.

use crate::refused::{Refused, finite, positive};
use std::f64::consts::PI;

/// Depth of the piston below its highest position, m.
///
/// `theta_rad` is the crank angle from the upright throw, `throw_m` the crank radius, `rod_m` the rod
/// between centres, `offset_m` the pin offset with the sign of the [module](self). NaN where the rod
/// does not reach (`rod_m` shorter than the throw and the offset together): build a [`SliderCrank`]
/// to have that refused with a reason.
///
/// # Checked by
/// `positions_match_the_table`: 1e-6 of the stroke.
pub fn piston_position_m(theta_rad: f64, throw_m: f64, rod_m: f64, offset_m: f64) -> f64 {
    let across = throw_m * theta_rad.sin() - offset_m;
    let top = ((rod_m + throw_m).powi(2) - offset_m * offset_m).sqrt();
    top - (throw_m * theta_rad.cos() + (rod_m * rod_m - across * across).sqrt())
}

/// Change of the depth with the crank angle, m/rad; positive while the piston goes down.
/// Times the angular speed (rad/s) it is the velocity. Inputs as [`piston_position_m`].
pub fn piston_velocity_m_rad(theta_rad: f64, throw_m: f64, rod_m: f64, offset_m: f64) -> f64 {
    let across = throw_m * theta_rad.sin() - offset_m;
    let along = (rod_m * rod_m - across * across).sqrt();
    throw_m * theta_rad.sin() + across * throw_m * theta_rad.cos() / along
}

/// Second derivative of the depth with the crank angle, m/rad²; positive at top dead centre, where the
/// piston is being pulled down. Times the square of the angular speed it is the acceleration.
/// Inputs as [`piston_position_m`].
pub fn piston_acceleration_m_rad2(theta_rad: f64, throw_m: f64, rod_m: f64, offset_m: f64) -> f64 {
    let (sin, cos) = (throw_m * theta_rad.sin(), throw_m * theta_rad.cos());
    let across = sin - offset_m;
    let along = (rod_m * rod_m - across * across).sqrt();
    cos + (cos * cos - across * sin) / along + (across * cos).powi(2) / along.powi(3)
}

/// A crank, rod and pin offset that can turn all the way round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SliderCrank {
    throw_m: f64,
    rod_m: f64,
    offset_m: f64,
}

/// Where the piston is fastest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PeakSpeed {
    /// Speed, m/s, without sign.
    pub speed_m_s: f64,
    /// Crank angle from the upright throw, rad: 0 … π going down, π … 2π coming up.
    pub theta_rad: f64,
}

impl SliderCrank {
    /// From the crank radius (half the crank's stroke), rod between centres and pin offset, all m.
    ///
    /// # Errors
    /// [`Refused::NotPossible`] for a length that is not above zero, [`Refused::Clash`] when the rod is
    /// not longer than throw and offset together: the crank could not turn.
    pub fn from_throw(throw_m: f64, rod_m: f64, offset_m: f64) -> Result<Self, Refused> {
        positive("a crank throw", throw_m, " m")?;
        positive("a rod length", rod_m, " m")?;
        finite("a pin offset", offset_m, " m")?;
        if rod_m <= throw_m + offset_m.abs() {
            return Err(Refused::Clash {
                first: format!("a rod of {:.3} mm", rod_m * 1e3),
                second: format!("a throw of {:.3} mm with {:.3} mm of offset", throw_m * 1e3, offset_m * 1e3),
                why: "the rod must be longer than throw and offset together or the crank cannot turn".into(),
            });
        }
        Ok(Self { throw_m, rod_m, offset_m })
    }

    /// From the true stroke of the piston: solves the crank radius, which an offset makes a little
    /// smaller than half the stroke, `r = S/2 · √(1 − 4 d² / (4 l² − S²))`.
    ///
    /// A stroke read on the crank (twice the throw) belongs in [`SliderCrank::from_throw`].
    ///
    /// # Errors
    /// As [`SliderCrank::from_throw`].
    pub fn from_stroke(stroke_m: f64, rod_m: f64, offset_m: f64) -> Result<Self, Refused> {
        positive("a stroke", stroke_m, " m")?;
        positive("a rod length", rod_m, " m")?;
        finite("a pin offset", offset_m, " m")?;
        let room = 4.0 * rod_m * rod_m - stroke_m * stroke_m;
        let under_root = 1.0 - 4.0 * offset_m * offset_m / room;
        if room <= 0.0 || under_root <= 0.0 {
            return Err(Refused::Clash {
                first: format!("a rod of {:.3} mm", rod_m * 1e3),
                second: format!("a stroke of {:.3} mm with {:.3} mm of offset", stroke_m * 1e3, offset_m * 1e3),
                why: "the rod must be longer than throw and offset together or the crank cannot turn".into(),
            });
        }
        Self::from_throw(0.5 * stroke_m * under_root.sqrt(), rod_m, offset_m)
    }

    /// Crank radius, m.
    pub fn throw_m(self) -> f64 {
        self.throw_m
    }

    /// Rod between centres, m.
    pub fn rod_m(self) -> f64 {
        self.rod_m
    }

    /// Pin offset, m, with the sign of the [module](self).
    pub fn offset_m(self) -> f64 {
        self.offset_m
    }

    /// True stroke, m: highest to lowest position of the piston. Longer than twice the throw with an offset.
    pub fn stroke_m(self) -> f64 {
        let d2 = self.offset_m * self.offset_m;
        ((self.rod_m + self.throw_m).powi(2) - d2).sqrt() - ((self.rod_m - self.throw_m).powi(2) - d2).sqrt()
    }

    /// Rod over true stroke, without unit.
    pub fn rod_ratio(self) -> f64 {
        self.rod_m / self.stroke_m()
    }

    /// Crank angle from the upright throw to the highest position of the piston, rad.
    pub fn tdc_rad(self) -> f64 {
        (self.offset_m / (self.rod_m + self.throw_m)).asin()
    }

    /// Crank angle from the upright throw to the lowest position of the piston, rad: π and the shift
    /// `asin(d / (l − r))`, which is larger than the shift at the top. Going down and coming up
    /// therefore take unequal angles.
    pub fn bdc_rad(self) -> f64 {
        PI + (self.offset_m / (self.rod_m - self.throw_m)).asin()
    }

    /// Depth below the highest position, m, at an angle from the upright throw.
    pub fn depth_m(self, theta_rad: f64) -> f64 {
        piston_position_m(theta_rad, self.throw_m, self.rod_m, self.offset_m)
    }

    /// Depth below the highest position, m, at an angle from the true top dead centre, as a degree
    /// wheel set by a piston stop shows it (converted to rad).
    pub fn depth_from_tdc_m(self, after_tdc_rad: f64) -> f64 {
        self.depth_m(self.tdc_rad() + after_tdc_rad)
    }

    /// Velocity, m/s, downward positive, at an angle from the upright throw and an angular speed.
    pub fn velocity_m_s(self, theta_rad: f64, speed_rad_s: f64) -> f64 {
        speed_rad_s * piston_velocity_m_rad(theta_rad, self.throw_m, self.rod_m, self.offset_m)
    }

    /// Acceleration, m/s², downward positive, at an angle from the upright throw and a constant angular speed.
    pub fn acceleration_m_s2(self, theta_rad: f64, speed_rad_s: f64) -> f64 {
        speed_rad_s.powi(2) * piston_acceleration_m_rad2(theta_rad, self.throw_m, self.rod_m, self.offset_m)
    }

    /// Mean piston speed, m/s: two true strokes in a turn.
    pub fn mean_speed_m_s(self, speed_rad_s: f64) -> f64 {
        self.stroke_m() * speed_rad_s / PI
    }

    /// The fastest point going down and the fastest coming up. The same speed without offset.
    ///
    /// The zero of the acceleration between the dead centres, by halving until the angle is known to
    /// better than 1e-12 rad.
    pub fn peak_speeds(self, speed_rad_s: f64) -> [PeakSpeed; 2] {
        let (top, bottom) = (self.tdc_rad(), self.bdc_rad());
        let down = self.zero_of_acceleration(top, bottom);
        let up = self.zero_of_acceleration(2.0 * PI + top, bottom);
        [down, up].map(|theta_rad| PeakSpeed { speed_m_s: self.velocity_m_s(theta_rad, speed_rad_s).abs(), theta_rad })
    }

    /// Acceleration is positive at `near_top` and negative at `near_bottom`.
    fn zero_of_acceleration(self, near_top: f64, near_bottom: f64) -> f64 {
        let (mut above, mut below) = (near_top, near_bottom);
        while (above - below).abs() > 1e-12 {
            let middle = 0.5 * (above + below);
            if middle == above || middle == below {
                break;
            }
            if self.acceleration_m_s2(middle, 1.0) > 0.0 {
                above = middle;
            } else {
                below = middle;
            }
        }
        0.5 * (above + below)
    }
}

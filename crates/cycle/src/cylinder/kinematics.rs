//! Volume above the piston over crank angle, side by side in lanes.
//!
//! The motion is [`engine::kinematics`], with the angle counted from the true top dead centre.

use crate::lane::Lane;
use engine::kinematics::SliderCrank;
use std::f64::consts::FRAC_PI_4;

/// Sizes that the volume follows from.
#[derive(Debug, Clone, Copy)]
pub struct Kinematics<L> {
    throw: L,
    rod2: L,
    offset: L,
    top: L,
    tdc_sin: L,
    tdc_cos: L,
    /// Piston area, m².
    pub area: L,
    /// Clearance volume, m³.
    pub clearance: L,
}

impl<L: Lane> Kinematics<L> {
    /// From the crank, the bore (m) and the clearance volume (m³) of each lane.
    pub fn splat(crank: SliderCrank, bore_m: f64, clearance_m3: f64) -> Self {
        let zero = L::zero();
        let mut made = Self {
            throw: zero,
            rod2: zero,
            offset: zero,
            top: zero,
            tdc_sin: zero,
            tdc_cos: zero,
            area: zero,
            clearance: zero,
        };
        for i in 0..L::WIDTH {
            made.set_lane(i, crank, bore_m, clearance_m3);
        }
        made
    }

    /// Writes the sizes of lane `i`.
    pub fn set_lane(&mut self, i: usize, crank: SliderCrank, bore_m: f64, clearance_m3: f64) {
        let (r, l, d) = (crank.throw_m(), crank.rod_m(), crank.offset_m());
        self.throw.set(i, r);
        self.rod2.set(i, l * l);
        self.offset.set(i, d);
        self.top.set(i, ((l + r).powi(2) - d * d).sqrt());
        self.tdc_sin.set(i, crank.tdc_rad().sin());
        self.tdc_cos.set(i, crank.tdc_rad().cos());
        self.area.set(i, FRAC_PI_4 * bore_m * bore_m);
        self.clearance.set(i, clearance_m3);
    }

    /// Volume, m³, from sine and cosine of the crank angle after top dead centre.
    #[inline(always)]
    pub fn volume(&self, sin: L, cos: L) -> L {
        // Angle from the upright throw: the true top dead centre is a little beside it.
        let s = sin * self.tdc_cos + cos * self.tdc_sin;
        let c = cos * self.tdc_cos - sin * self.tdc_sin;
        let across = self.throw * s - self.offset;
        let depth = self.top - (self.throw * c + (self.rod2 - across * across).sqrt());
        self.clearance + self.area * depth
    }

    /// Volume, m³, at a crank angle after top dead centre, rad.
    pub fn volume_at(&self, theta_rad: L) -> L {
        let sin = L::from_fn(|i| theta_rad.get(i).sin());
        let cos = L::from_fn(|i| theta_rad.get(i).cos());
        self.volume(sin, cos)
    }
}

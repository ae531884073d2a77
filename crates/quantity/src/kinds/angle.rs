//! Crank and cam angles. In a four-stroke the camshaft turns once while the crank turns twice.

use super::quantity;
use crate::unit::{Shaft, Unit};
use std::f64::consts::PI;

quantity! {
    /// An angle of the crank: timing, duration, intake centreline, spark.
    CrankAngle, Angle, "a crank angle", "° (crank)";
    from_radians radians "rad" 1.0, from_degrees degrees "°" PI / 180.0,;
    {
        fn refuses(unit: &Unit) -> Option<&'static str> {
            (unit.shaft == Shaft::Cam).then_some(
                "these are cam degrees, and crank degrees are expected; one cam degree is two crank degrees",
            )
        }
    }
}

quantity! {
    /// An angle of the camshaft: lobe separation.
    CamAngle, Angle, "a cam angle", "° (cam)";
    from_radians radians "rad" 1.0, from_degrees degrees "°" PI / 180.0,;
    {
        fn refuses(unit: &Unit) -> Option<&'static str> {
            (unit.shaft == Shaft::Crank).then_some(
                "these are crank degrees, and cam degrees are expected; one cam degree is two crank degrees",
            )
        }
    }
}

impl CamAngle {
    /// The crank angle during the same movement, four-stroke.
    pub fn crank(self) -> CrankAngle {
        CrankAngle::from_radians(2.0 * self.radians())
    }
}

impl CrankAngle {
    /// The cam angle during the same movement, four-stroke.
    pub fn cam(self) -> CamAngle {
        CamAngle::from_radians(0.5 * self.radians())
    }
}

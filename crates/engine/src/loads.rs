//! Inertia tension in rod and rod bolts, and a speed limit from it and from piston speed.
//!
//! Model: at the top dead centre between exhaust and intake nothing pushes back from the chamber, so
//! the whole inertia of what moves up and down pulls on the rod: mass times the acceleration of
//! [`crate::kinematics`] at top dead centre. Below the small end the parts that go round with the
//! crankpin add `m r ω²`. Constant speed, rigid parts.
//! Left out: gas pressure and friction at overlap, bending of the cap, vibration, and the preload of a
//! bolt: a bolt that is tightened beyond the joint's pull sees only a part of it. The tension here is what
//! the preload has to exceed.
//!
//! A figure from this module is no release for running: whoever sets the limit knows the parts, their
//! history and their maker's figure, which comes first.

use crate::kinematics::SliderCrank;
use crate::propagate::{Estimate, try_propagate};
use crate::refused::{Refused, not_negative, positive};
use std::f64::consts::PI;

/// Masses that pull at a section of the rod.
///
/// | section | `reciprocating_kg` | `rotating_kg` |
/// |---|---|---|
/// | pin | piston, rings, pin, locks | 0 |
/// | small end | those and the small end | 0 |
/// | rod bolts | those and the small end | big end with its upper shell, without cap, bolts and lower shell |
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PullingMasses {
    /// Mass that goes up and down, kg.
    pub reciprocating_kg: f64,
    /// Mass on the piston's side of the section that goes round with the crankpin, kg.
    pub rotating_kg: f64,
}

/// Inertia tension at the overlap top dead centre, N, at an angular speed in rad/s.
///
/// # Errors
/// [`Refused::NotPossible`] for masses or a speed below zero.
pub fn tension_at_overlap_n(masses: PullingMasses, crank: SliderCrank, speed_rad_s: f64) -> Result<f64, Refused> {
    not_negative("an angular speed", speed_rad_s, " rad/s")?;
    Ok(tension_per_speed_squared(masses, crank)? * speed_rad_s * speed_rad_s)
}

/// N per (rad/s)².
fn tension_per_speed_squared(masses: PullingMasses, crank: SliderCrank) -> Result<f64, Refused> {
    not_negative("a reciprocating mass", masses.reciprocating_kg, " kg")?;
    not_negative("a rotating mass", masses.rotating_kg, " kg")?;
    let top_rad = crank.tdc_rad();
    Ok(masses.reciprocating_kg * crank.acceleration_m_s2(top_rad, 1.0)
        + masses.rotating_kg * crank.throw_m() * top_rad.cos())
}

/// The tension shared by the bolts of one rod, N per bolt.
///
/// # Errors
/// [`Refused::NotPossible`] without a bolt.
pub fn per_bolt_n(tension_n: f64, bolts: u32) -> Result<f64, Refused> {
    positive("a number of bolts", f64::from(bolts), "")?;
    Ok(tension_n / f64::from(bolts))
}

/// What the tension with its uncertainty is worked out from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TensionInputs {
    /// Mass that goes up and down, kg.
    pub reciprocating_kg: Estimate,
    /// Mass that goes round, kg; see [`PullingMasses`].
    pub rotating_kg: Estimate,
    /// True stroke, m.
    pub stroke_m: Estimate,
    /// Rod between centres, m.
    pub rod_m: Estimate,
    /// Pin offset, m.
    pub offset_m: Estimate,
    /// Angular speed, rad/s.
    pub speed_rad_s: Estimate,
}

/// Tension at the overlap top dead centre with its uncertainty, N.
///
/// # Errors
/// As [`tension_at_overlap_n`] and [`SliderCrank::from_stroke`], also one uncertainty away from the values.
pub fn tension_with_u(inputs: &TensionInputs) -> Result<Estimate, Refused> {
    let of = |x: &[f64]| {
        let crank = SliderCrank::from_stroke(x[2], x[3], x[4])?;
        tension_at_overlap_n(PullingMasses { reciprocating_kg: x[0], rotating_kg: x[1] }, crank, x[5])
    };
    let pairs = [
        inputs.reciprocating_kg.pair(),
        inputs.rotating_kg.pair(),
        inputs.stroke_m.pair(),
        inputs.rod_m.pair(),
        inputs.offset_m.pair(),
        inputs.speed_rad_s.pair(),
    ];
    let (value, u, _) = try_propagate(of, &pairs)?;
    Ok(Estimate { value, u })
}

/// Low and high end of a shop's rule, in one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

impl Band {
    pub(crate) fn checked(self, what: &'static str, unit: &'static str) -> Result<Self, Refused> {
        positive(what, self.low, unit)?;
        positive(what, self.high, unit)?;
        if self.low > self.high {
            return Err(Refused::Clash {
                first: format!("{what} from {}{unit}", self.low),
                second: format!("up to {}{unit}", self.high),
                why: "the low end must not lie above the high end".into(),
            });
        }
        Ok(self)
    }

    fn map(self, f: impl Fn(f64) -> f64) -> Self {
        Self { low: f(self.low), high: f(self.high) }
    }
}

/// Which rule ends the speed range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitedBy {
    /// Mean piston speed.
    PistonSpeed,
    /// Tension in the rod or its bolts.
    Tension,
}

/// A speed limit by a shop's rules, rpm, as a band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedLimit {
    /// Where the class of mean piston speed ends, rpm.
    pub by_piston_speed_rpm: Band,
    /// Where the tension limit is met, rpm; `None` without a tension limit.
    pub by_tension_rpm: Option<Band>,
    /// The lower of the two at either end, rpm.
    pub limit_rpm: Band,
    /// Which of the two sets the low end.
    pub limited_by: LimitedBy,
}

/// Speed limit from a class of mean piston speed (m/s) and, where given, a tension limit (N) with the
/// masses it belongs to. Both limits are the caller's: a shop's table or the part maker's sheet.
///
/// # Errors
/// [`Refused::NotPossible`] for limits or masses that cannot be, [`Refused::Clash`] for a band turned round.
pub fn speed_limit(
    crank: SliderCrank,
    mean_speed_m_s: Band,
    tension: Option<(PullingMasses, Band)>,
) -> Result<SpeedLimit, Refused> {
    let rpm = |rad_s: f64| rad_s * 30.0 / PI;
    let mean_speed_m_s = mean_speed_m_s.checked("a mean piston speed", " m/s")?;
    let by_piston_speed_rpm = mean_speed_m_s.map(|speed| rpm(PI * speed / crank.stroke_m()));
    let Some((masses, limit_n)) = tension else {
        return Ok(SpeedLimit {
            by_piston_speed_rpm,
            by_tension_rpm: None,
            limit_rpm: by_piston_speed_rpm,
            limited_by: LimitedBy::PistonSpeed,
        });
    };
    let limit_n = limit_n.checked("a tension limit", " N")?;
    let per_square = positive("a pulling mass", tension_per_speed_squared(masses, crank)?, " kg·m")?;
    let by_tension_rpm = limit_n.map(|n| rpm((n / per_square).sqrt()));
    let tension_first = by_tension_rpm.low < by_piston_speed_rpm.low;
    Ok(SpeedLimit {
        by_piston_speed_rpm,
        by_tension_rpm: Some(by_tension_rpm),
        limit_rpm: Band {
            low: by_tension_rpm.low.min(by_piston_speed_rpm.low),
            high: by_tension_rpm.high.min(by_piston_speed_rpm.high),
        },
        limited_by: if tension_first { LimitedBy::Tension } else { LimitedBy::PistonSpeed },
    })
}

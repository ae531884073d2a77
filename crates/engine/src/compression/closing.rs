//! Compression ratio from where the intake valve closes.
//!
//! Model: the volume at closing over the clearance volume, from the true motion of the piston with rod
//! length and pin offset. It is geometry: no speed, no pressure, no filling is in it. The check lift
//! belongs to the figure: 0.006 and 0.050 in of lifter rise stand 20 to 25° apart and give ratios that
//! differ by one or more (common practice, no source), so a ratio here always carries its check lift.

use super::clearance::CylinderSizes;
use crate::cam::{CheckLift, LobeEvents, Valve};
use crate::kinematics::SliderCrank;
use crate::possible::NotPossible;
use crate::propagate::{Estimate, propagate};
use crate::refused::{Refused, positive};

/// Where the intake valve closes, and at which lift that was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IntakeClosing {
    after_bdc_deg: f64,
    check: CheckLift,
}

impl IntakeClosing {
    /// Crank degrees after bottom dead centre, as a degree wheel set by a piston stop shows it: its
    /// bottom mark stands 180° after the true top dead centre. Negative is before bottom dead centre.
    ///
    /// # Errors
    /// [`Refused::NotPossible`] for an angle that is not between −90 and 150: beyond, the valve would
    /// close in the middle of the intake stroke or hardly before the spark.
    pub fn new(after_bdc_deg: f64, check: CheckLift) -> Result<Self, Refused> {
        if after_bdc_deg.is_finite() && (-90.0..=150.0).contains(&after_bdc_deg) {
            return Ok(Self { after_bdc_deg, check });
        }
        Err(NotPossible {
            what: "an intake closing after bottom dead centre",
            value: after_bdc_deg,
            unit: "°",
            expected: "-90 to 150 crank degrees",
        }
        .into())
    }

    /// From the events of an intake lobe, which carry their check lift.
    ///
    /// # Errors
    /// [`Refused::Clash`] for an exhaust lobe, and as [`IntakeClosing::new`].
    pub fn of_lobe(events: &LobeEvents) -> Result<Self, Refused> {
        if events.valve() != Valve::Intake {
            return Err(Refused::Clash {
                first: format!("events of the {} valve", events.valve()),
                second: "a ratio from intake closing".into(),
                why: "it needs the intake lobe's events".into(),
            });
        }
        Self::new(events.closes().cycle_deg(Valve::Intake) - 180.0, events.check())
    }

    /// Crank degrees after bottom dead centre.
    pub fn after_bdc_deg(self) -> f64 {
        self.after_bdc_deg
    }

    /// The lift at which the valve counts as closed.
    pub fn check(self) -> CheckLift {
        self.check
    }

    /// Crank angle after the true top dead centre at the start of the intake stroke, rad.
    fn after_tdc_rad(self) -> f64 {
        (180.0 + self.after_bdc_deg).to_radians()
    }
}

/// Compression ratio from intake closing, with the check lift it belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrappedRatio {
    /// The ratio, without unit. `u` is 0 where none was asked for.
    pub ratio: Estimate,
    /// Where the valve closes, and the check lift.
    pub closing: IntakeClosing,
    /// Share of the stroke still ahead of the piston at closing, 0 … 1.
    pub stroke_share: f64,
}

/// Ratio from intake closing, from the swept volume of one cylinder and its clearance volume.
///
/// # Errors
/// [`Refused::NotPossible`] for a volume that is not above zero.
pub fn trapped_ratio(
    swept_m3: f64,
    clearance_m3: f64,
    crank: SliderCrank,
    closing: IntakeClosing,
) -> Result<TrappedRatio, Refused> {
    positive("a swept volume", swept_m3, " m³")?;
    positive("a clearance volume", clearance_m3, " m³")?;
    let stroke_share = crank.depth_from_tdc_m(closing.after_tdc_rad()) / crank.stroke_m();
    let ratio = Estimate::exact(1.0 + swept_m3 * stroke_share / clearance_m3);
    Ok(TrappedRatio { ratio, closing, stroke_share })
}

/// What the ratio from intake closing needs beside the sizes of the cylinder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RodAndClosing {
    /// Rod between centres, m.
    pub rod_m: Estimate,
    /// Pin offset with the sign of [`crate::kinematics`], m.
    pub offset_m: Estimate,
    /// Intake closing and its check lift.
    pub closing: IntakeClosing,
    /// Standard uncertainty of the closing angle, crank degrees.
    pub closing_u_deg: f64,
}

/// Ratio from intake closing with its uncertainty; `u` holds the standard uncertainties of the sizes.
///
/// # Errors
/// As [`CylinderSizes::clearance_m3`] and [`SliderCrank::from_stroke`].
pub fn trapped_ratio_with_u(
    sizes: &CylinderSizes,
    u: &CylinderSizes,
    rest: &RodAndClosing,
) -> Result<TrappedRatio, Refused> {
    let crank = SliderCrank::from_stroke(sizes.stroke_m, rest.rod_m.value, rest.offset_m.value)?;
    let at_value = trapped_ratio(sizes.swept_m3(), sizes.clearance_m3()?, crank, rest.closing)?;
    let mut inputs = sizes.pairs(u)?;
    let angle = (rest.closing.after_bdc_deg, rest.closing_u_deg);
    inputs.extend([rest.rod_m.pair(), rest.offset_m.pair(), angle]);
    let of = |x: &[f64]| {
        let sizes = CylinderSizes::from_array(x);
        let Ok(crank) = SliderCrank::from_stroke(sizes.stroke_m, x[8], x[9]) else { return f64::NAN };
        let depth_m = crank.depth_from_tdc_m((180.0 + x[10]).to_radians());
        1.0 + sizes.swept_m3() * depth_m / crank.stroke_m() / sizes.clearance_unchecked_m3()
    };
    let (value, u, _) = propagate(of, &inputs);
    Ok(TrappedRatio { ratio: Estimate { value, u }, ..at_value })
}

//! Piston-to-valve clearance along the valve stem, and the radial figure in the relief, around overlap.
//!
//! Model: slider-crank with pin offset, a valve that moves along a stem tilted against the bore axis,
//! a crown square to the bore or a relief whose floor is parallel to the valve head. The clearance is
//! measured along the stem, as a dial on the retainer or clay under the valve shows it. Left out: a
//! piston that rocks in the bore, a valve that bends or is tossed, valve-train deflection (which
//! gives away lift and adds clearance) and carbon.
//!
//! Angles are crank degrees from true top dead centre as a positive stop finds it, which with a pin
//! offset is not where the crank throw stands upright.
//!
//! # Source
//! Geometry. Limits (0.080 and 0.100 in are common) are the caller's data.

use crate::kinematics::SliderCrank;
use crate::possible::NotPossible;
use std::f64::consts::PI;

/// The floor under the valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Floor {
    /// Square to the bore: a flat crown, or a relief cut straight down.
    SquareToBore,
    /// Parallel to the valve head: a relief cut along the guide.
    ParallelToValveHead,
}

/// One valve over its piston, cold and as measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveOverPiston {
    /// Valve stem to bore axis, degrees (0 to below 60).
    pub valve_angle_deg: f64,
    /// Piston below the deck at top dead centre, m; negative when it stands above the deck.
    pub deck_m: f64,
    /// Gasket thickness as clamped, m.
    pub gasket_m: f64,
    /// Lowest edge of the shut valve above the head's face, m; negative when it hangs below.
    pub valve_above_face_m: f64,
    /// Depth of the relief under that edge, along the stem, m; 0 for a flat crown, negative for a dome.
    pub relief_depth_m: f64,
    /// The floor under the valve.
    pub floor: Floor,
    /// What heat, rod stretch and bearing clearance take away at speed, along the bore, m.
    pub allowance_m: f64,
    /// The relief seen along the stem, when a radial figure is wanted.
    pub relief: Option<Relief>,
}

/// A round relief, seen along the valve stem.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relief {
    /// Radius of the relief, m.
    pub radius_m: f64,
    /// Radius of the valve head, m.
    pub head_radius_m: f64,
    /// Valve centre off the relief's centre at top dead centre, towards the side the valve leans
    /// away from, m.
    pub off_centre_m: f64,
}

/// Clearance at one crank angle. Negative means contact; nothing is cut off at zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Crank angle, degrees after top dead centre.
    pub angle_deg: f64,
    /// Piston below its highest point, m.
    pub piston_m: f64,
    /// Valve lift, m.
    pub valve_lift_m: f64,
    /// Along the stem, m.
    pub along_stem_m: f64,
    /// Between head edge and relief wall, m; `None` while the head is above the crown, or without a relief.
    pub radial_m: Option<f64>,
}

/// The whole sweep.
#[derive(Debug, Clone, PartialEq)]
pub struct Sweep {
    /// Every step.
    pub gaps: Vec<Gap>,
    /// Least clearance along the stem, found between the steps.
    pub least: Gap,
    /// Least radial figure of the steps, while the head is inside the relief.
    pub least_radial: Option<Gap>,
}

/// Why a clearance cannot be worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PistonToValveError {
    /// A number is not finite, or outside what can be.
    #[error(transparent)]
    NotPossible(#[from] NotPossible),
    /// The valve does not fit its relief.
    #[error("a valve head of {head_mm:.2} mm radius does not fit a relief of {relief_mm:.2} mm radius")]
    HeadWiderThanRelief {
        /// Radius of the valve head, mm.
        head_mm: f64,
        /// Radius of the relief, mm.
        relief_mm: f64,
    },
    /// The shut valve already touches the piston.
    #[error(
        "with the valve shut the piston at top dead centre stands {inside_mm:.2} mm into the valve: deck {deck_mm:.2}, \
         gasket {gasket_mm:.2}, valve above the face {above_mm:.2}, relief {relief_mm:.2} mm; check their signs"
    )]
    ShutValveTouches {
        /// How far, mm.
        inside_mm: f64,
        /// Deck clearance, mm.
        deck_mm: f64,
        /// Gasket, mm.
        gasket_mm: f64,
        /// Valve above the head's face, mm.
        above_mm: f64,
        /// Relief depth, mm.
        relief_mm: f64,
    },
}

/// Clearance of one valve from `from_deg` to `to_deg` in steps of `step_deg` (common practice: every
/// 2° from 20° before to 20° after top dead centre; a long camshaft needs more).
///
/// `valve_lift_m` gives the lift at a crank angle, zero while shut: lobe lift times measured ratio
/// less lash. The least clearance is refined between the steps by golden section.
///
/// # Errors
/// [`PistonToValveError`] for geometry that cannot be, with the facts that clash. Contact at a lift
/// is a result and no error: the clearance is then negative.
///
/// # Checked by
/// `tests/it/piston_to_valve.rs`: closed forms. The piston's motion is that of [`crate::kinematics`].
pub fn sweep(
    crank: SliderCrank,
    valve: &ValveOverPiston,
    valve_lift_m: impl Fn(f64) -> f64,
    from_deg: f64,
    to_deg: f64,
    step_deg: f64,
) -> Result<Sweep, PistonToValveError> {
    check(valve)?;
    if !(step_deg > 0.0 && to_deg > from_deg && to_deg - from_deg <= 720.0) {
        return Err(NotPossible {
            what: "a range of crank angles",
            value: to_deg - from_deg,
            unit: "°",
            expected: "an end after the start, 720° at most, and a step above zero",
        }
        .into());
    }
    let gap = |angle_deg: f64| gap_at(crank, valve, valve_lift_m(angle_deg), angle_deg);
    let steps = ((to_deg - from_deg) / step_deg).floor() as usize;
    let gaps: Vec<Gap> = (0..=steps).map(|k| gap(from_deg + step_deg * k as f64)).collect();
    let lowest = gaps.iter().min_by(|a, b| a.along_stem_m.total_cmp(&b.along_stem_m)).copied().unwrap_or(gaps[0]);
    let refined_deg =
        golden((lowest.angle_deg - step_deg).max(from_deg), (lowest.angle_deg + step_deg).min(to_deg), |angle_deg| {
            gap(angle_deg).along_stem_m
        });
    let refined = gap(refined_deg);
    let least = if refined.along_stem_m < lowest.along_stem_m { refined } else { lowest };
    let radial = |g: &Gap| g.radial_m.unwrap_or(f64::INFINITY);
    let least_radial = gaps.iter().filter(|g| g.radial_m.is_some()).min_by(|a, b| radial(a).total_cmp(&radial(b)));
    let least_radial = least_radial.copied();
    Ok(Sweep { gaps, least, least_radial })
}

/// Standard uncertainties behind a clearance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapUncertainty {
    /// Of deck, gasket, valve height and allowance together, along the bore, m.
    pub stack_m: f64,
    /// Of the relief depth, along the stem, m.
    pub relief_m: f64,
    /// Of the valve lift, m.
    pub lift_m: f64,
    /// Of the camshaft's angle against the crank, crank degrees.
    pub timing_deg: f64,
}

/// The least clearance's standard uncertainty, m, inputs uncorrelated. A camshaft that stands off by
/// an angle changes the lift by the valve's velocity there (`velocity_m_deg`, m per crank degree).
///
/// # Source
/// GUM (JCGM 100:2008) 5.1.2, first order.
pub fn u_of_gap_m(valve: &ValveOverPiston, velocity_m_deg: f64, u: &GapUncertainty) -> f64 {
    let tilt = (valve.valve_angle_deg * PI / 180.0).cos();
    (u.stack_m / tilt).hypot(u.relief_m).hypot(u.lift_m).hypot(velocity_m_deg * u.timing_deg)
}

/// Least clearance along the stem for a camshaft advanced by crank degrees (negative: retarded), for
/// each of the `advances_deg`: advancing cuts the intake's clearance, retarding the exhaust's.
///
/// # Errors
/// As [`sweep`].
pub fn least_by_advance(
    crank: SliderCrank,
    valve: &ValveOverPiston,
    valve_lift_m: impl Fn(f64) -> f64,
    range_deg: (f64, f64, f64),
    advances_deg: &[f64],
) -> Result<Vec<(f64, Gap)>, PistonToValveError> {
    let (from_deg, to_deg, step_deg) = range_deg;
    advances_deg
        .iter()
        .map(|advance_deg| {
            let earlier = |angle_deg: f64| valve_lift_m(angle_deg + advance_deg);
            Ok((*advance_deg, sweep(crank, valve, earlier, from_deg, to_deg, step_deg)?.least))
        })
        .collect()
}

fn gap_at(crank: SliderCrank, valve: &ValveOverPiston, valve_lift_m: f64, angle_deg: f64) -> Gap {
    let tilt_rad = valve.valve_angle_deg * PI / 180.0;
    let (cos, sin) = (tilt_rad.cos(), tilt_rad.sin());
    let piston_m = crank.depth_from_tdc_m(angle_deg * PI / 180.0);
    let stack_m = stack_m(valve);
    // The crown's plane is square to the bore: a step down along the bore is a longer step along the stem. A
    // floor parallel to the head moves square to itself by the shorter share.
    let to_crown_m = (stack_m + piston_m) / cos - valve_lift_m;
    let along_stem_m = match valve.floor {
        Floor::SquareToBore => to_crown_m + valve.relief_depth_m,
        Floor::ParallelToValveHead => stack_m / cos + valve.relief_depth_m + piston_m * cos - valve_lift_m,
    };
    let radial_m = valve
        .relief
        .filter(|_| to_crown_m < 0.0)
        .map(|relief| relief.radius_m - relief.head_radius_m - (relief.off_centre_m + piston_m * sin).abs());
    Gap { angle_deg, piston_m, valve_lift_m, along_stem_m, radial_m }
}

/// Crown to the shut valve's lowest edge at top dead centre, along the bore, m.
fn stack_m(valve: &ValveOverPiston) -> f64 {
    valve.deck_m + valve.gasket_m + valve.valve_above_face_m - valve.allowance_m
}

fn check(valve: &ValveOverPiston) -> Result<(), PistonToValveError> {
    let not_possible = |what, value, unit, expected| Err(NotPossible { what, value, unit, expected }.into());
    for (what, value) in [
        ("a deck clearance", valve.deck_m),
        ("a valve height above the head's face", valve.valve_above_face_m),
        ("a relief depth", valve.relief_depth_m),
    ] {
        if !value.is_finite() {
            return not_possible(what, value, " m", "a finite length");
        }
    }
    for (what, value) in [("a gasket thickness", valve.gasket_m), ("an allowance", valve.allowance_m)] {
        if !(value.is_finite() && value >= 0.0) {
            return not_possible(what, value, " m", "zero or more");
        }
    }
    if !(0.0..60.0).contains(&valve.valve_angle_deg) {
        return not_possible("a valve angle to the bore", valve.valve_angle_deg, "°", "0 to below 60");
    }
    if let Some(relief) = valve.relief
        && !(relief.head_radius_m > 0.0 && relief.radius_m > relief.head_radius_m)
    {
        return Err(PistonToValveError::HeadWiderThanRelief {
            head_mm: relief.head_radius_m * 1000.0,
            relief_mm: relief.radius_m * 1000.0,
        });
    }
    let shut_m = stack_m(valve) / (valve.valve_angle_deg * PI / 180.0).cos() + valve.relief_depth_m;
    if shut_m < 0.0 {
        return Err(PistonToValveError::ShutValveTouches {
            inside_mm: -shut_m * 1000.0,
            deck_mm: valve.deck_m * 1000.0,
            gasket_mm: valve.gasket_m * 1000.0,
            above_mm: valve.valve_above_face_m * 1000.0,
            relief_mm: valve.relief_depth_m * 1000.0,
        });
    }
    Ok(())
}

/// The place of the least value of `f` between two angles, to 1e-6 degrees, for one dip.
fn golden(from_deg: f64, to_deg: f64, f: impl Fn(f64) -> f64) -> f64 {
    let share = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut a, mut b) = (from_deg, to_deg);
    let (mut c, mut d) = (b - share * (b - a), a + share * (b - a));
    let (mut at_c, mut at_d) = (f(c), f(d));
    while b - a > 1e-6 {
        if at_c < at_d {
            (b, d, at_d) = (d, c, at_c);
            c = b - share * (b - a);
            at_c = f(c);
        } else {
            (a, c, at_c) = (c, d, at_d);
            d = a + share * (b - a);
            at_d = f(d);
        }
    }
    0.5 * (a + b)
}

//! Valve events: opening and closing angles of one valve at a check lift ([`super::timing`] takes a pair).
//!
//! Model: plain geometry of the four-stroke cycle. A centreline from events is the middle between
//! opening and closing at the check lift; on a lobe whose two sides differ it is not the angle of
//! greatest lift ([`super::LiftCurve`] gives both). Left out: lash and rocker ratio, which move
//! events taken at the valve.
//!
//! # Source
//! Common practice of degreeing a camshaft. The worked card of a trade article (31/63/77/29) is
//! checked in `tests/it/cam_events.rs`.

use super::error::CamError;
use crate::possible::{NotPossible, above_zero, finite};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Which valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Valve {
    /// The intake valve.
    Intake,
    /// The exhaust valve.
    Exhaust,
}

impl fmt::Display for Valve {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Intake => "intake",
            Self::Exhaust => "exhaust",
        })
    }
}

/// The point of the crank that an event is counted from.
///
/// Top dead centre is the one between exhaust and intake. Bottom dead centre is the one after it
/// for the intake valve and the one before it for the exhaust valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Reference {
    /// Before top dead centre.
    #[serde(rename = "BTDC")]
    BeforeTop,
    /// After top dead centre.
    #[serde(rename = "ATDC")]
    AfterTop,
    /// Before bottom dead centre.
    #[serde(rename = "BBDC")]
    BeforeBottom,
    /// After bottom dead centre.
    #[serde(rename = "ABDC")]
    AfterBottom,
}

impl Reference {
    /// As cards write it: "BTDC", "ATDC", "BBDC", "ABDC".
    pub fn label(self) -> &'static str {
        match self {
            Self::BeforeTop => "BTDC",
            Self::AfterTop => "ATDC",
            Self::BeforeBottom => "BBDC",
            Self::AfterBottom => "ABDC",
        }
    }
}

/// An event as a card writes it: an angle and the point it is counted from. The angle is never
/// negative, because cards differ in the direction that their sign counts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ValveEvent {
    angle_deg: f64,
    reference: Reference,
}

impl ValveEvent {
    /// An event at `angle_deg` crank degrees (0 to 360) before or after a dead centre.
    ///
    /// # Errors
    /// [`CamError::NotPossible`] for a negative angle: name the other reference instead.
    pub fn new(angle_deg: f64, reference: Reference) -> Result<Self, CamError> {
        if !(0.0..=360.0).contains(&angle_deg) {
            return Err(NotPossible {
                what: "an event angle",
                value: angle_deg,
                unit: "°",
                expected: "0 to 360 with its reference; a card's minus sign means the opposite reference (ATDC \
                           instead of BTDC), which has to be stated",
            }
            .into());
        }
        Ok(Self { angle_deg, reference })
    }

    /// The event nearest to a crank angle of the cycle, written as cards do for that valve: opening
    /// and closing near top dead centre as BTDC or ATDC, near bottom dead centre as BBDC or ABDC.
    ///
    /// # Errors
    /// [`CamError::NotPossible`] for an angle that is not a number.
    pub fn from_cycle_deg(valve: Valve, cycle_deg: f64) -> Result<Self, CamError> {
        finite("a crank angle", cycle_deg, "°")?;
        let bottom_deg = bottom_deg(valve);
        let (from_top, from_bottom) = (cycle_deg, cycle_deg - bottom_deg);
        if from_top.abs() <= from_bottom.abs() {
            let reference = if from_top < 0.0 { Reference::BeforeTop } else { Reference::AfterTop };
            Self::new(from_top.abs(), reference)
        } else {
            let reference = if from_bottom < 0.0 { Reference::BeforeBottom } else { Reference::AfterBottom };
            Self::new(from_bottom.abs(), reference)
        }
    }

    /// Crank degrees from the reference; never negative.
    pub fn angle_deg(self) -> f64 {
        self.angle_deg
    }

    /// The point it is counted from.
    pub fn reference(self) -> Reference {
        self.reference
    }

    /// Crank angle in the cycle, degrees, 0 at top dead centre between exhaust and intake.
    pub fn cycle_deg(self, valve: Valve) -> f64 {
        match self.reference {
            Reference::BeforeTop => -self.angle_deg,
            Reference::AfterTop => self.angle_deg,
            Reference::BeforeBottom => bottom_deg(valve) - self.angle_deg,
            Reference::AfterBottom => bottom_deg(valve) + self.angle_deg,
        }
    }
}

impl fmt::Display for ValveEvent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}° {}", (self.angle_deg * 100.0).round() / 100.0, self.reference.label())
    }
}

fn bottom_deg(valve: Valve) -> f64 {
    match valve {
        Valve::Intake => 180.0,
        Valve::Exhaust => -180.0,
    }
}

/// Where a check lift is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LiftAt {
    /// At the lifter (the lobe): the usual place for durations.
    Lifter,
    /// At the valve, through the rocker and the lash.
    Valve,
}

/// The lift at which a valve counts as open.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CheckLift {
    lift_m: f64,
    at: LiftAt,
}

impl CheckLift {
    /// A check lift in m, above zero.
    ///
    /// # Errors
    /// [`CamError::NotPossible`] for zero, a negative lift, or one above 25 mm (a unit slip).
    pub fn new(lift_m: f64, at: LiftAt) -> Result<Self, CamError> {
        above_zero("a check lift", lift_m, " m")?;
        if lift_m > 0.025 {
            return Err(NotPossible {
                what: "a check lift",
                value: lift_m,
                unit: " m",
                expected: "0.025 m (1 in) at most",
            }
            .into());
        }
        Ok(Self { lift_m, at })
    }

    /// A lifter rise in inches, as cards print it: 0.006, 0.050, 0.200.
    ///
    /// # Errors
    /// As [`CheckLift::new`].
    pub fn lifter_in(lift_in: f64) -> Result<Self, CamError> {
        Self::new(lift_in * 0.0254, LiftAt::Lifter)
    }

    /// The lift, m.
    pub fn lift_m(self) -> f64 {
        self.lift_m
    }

    /// Where it is read.
    pub fn at(self) -> LiftAt {
        self.at
    }

    /// Whether two check lifts are the same. 1 mm and 0.040 in are not; a millionth of a metre, less
    /// than any card prints, is let pass.
    pub fn same_as(self, other: Self) -> bool {
        self.at == other.at && (self.lift_m - other.lift_m).abs() < 1e-6
    }
}

impl fmt::Display for CheckLift {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let at = match self.at {
            LiftAt::Lifter => "lifter rise",
            LiftAt::Valve => "valve lift",
        };
        write!(f, "{:.3} in ({:.2} mm) {at}", self.lift_m / 0.0254, self.lift_m * 1000.0)
    }
}

/// Opening and closing of one valve at one check lift.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LobeEvents {
    valve: Valve,
    opens: ValveEvent,
    closes: ValveEvent,
    check: CheckLift,
}

impl LobeEvents {
    /// The events of one valve.
    ///
    /// # Errors
    /// [`CamError::ClosesBeforeOpening`] when closing is not after opening, or more than a cycle after.
    pub fn new(valve: Valve, opens: ValveEvent, closes: ValveEvent, check: CheckLift) -> Result<Self, CamError> {
        let duration_deg = closes.cycle_deg(valve) - opens.cycle_deg(valve);
        if !(duration_deg > 0.0 && duration_deg < 720.0) {
            return Err(CamError::ClosesBeforeOpening {
                valve,
                opens: opens.to_string(),
                closes: closes.to_string(),
                duration_deg,
            });
        }
        Ok(Self { valve, opens, closes, check })
    }

    /// Back from duration and centreline, both in crank degrees: centreline after top dead centre
    /// for the intake, before it for the exhaust, as cards give it.
    ///
    /// # Errors
    /// [`CamError::NotPossible`] for a duration outside 0 to 720 or angles that are not numbers.
    pub fn from_centreline(
        valve: Valve,
        duration_deg: f64,
        centreline_deg: f64,
        check: CheckLift,
    ) -> Result<Self, CamError> {
        above_zero("a duration", duration_deg, "°")?;
        finite("a centreline", centreline_deg, "°")?;
        let middle_deg = match valve {
            Valve::Intake => centreline_deg,
            Valve::Exhaust => -centreline_deg,
        };
        let opens = ValveEvent::from_cycle_deg(valve, middle_deg - 0.5 * duration_deg)?;
        let closes = ValveEvent::from_cycle_deg(valve, middle_deg + 0.5 * duration_deg)?;
        Self::new(valve, opens, closes, check)
    }

    /// Which valve.
    pub fn valve(&self) -> Valve {
        self.valve
    }

    /// Opening.
    pub fn opens(&self) -> ValveEvent {
        self.opens
    }

    /// Closing.
    pub fn closes(&self) -> ValveEvent {
        self.closes
    }

    /// The check lift of both.
    pub fn check(&self) -> CheckLift {
        self.check
    }

    /// Duration, crank degrees: for an intake valve IVO + 180 + IVC when both carry their usual references.
    pub fn duration_deg(&self) -> f64 {
        self.closes.cycle_deg(self.valve) - self.opens.cycle_deg(self.valve)
    }

    /// Middle between opening and closing, crank degrees: after top dead centre for the intake,
    /// before it for the exhaust.
    pub fn centreline_deg(&self) -> f64 {
        let middle_deg = 0.5 * (self.closes.cycle_deg(self.valve) + self.opens.cycle_deg(self.valve));
        match self.valve {
            Valve::Intake => middle_deg,
            Valve::Exhaust => -middle_deg,
        }
    }

    /// The same lobe with the camshaft advanced by crank degrees (negative: retarded): every event earlier.
    ///
    /// # Errors
    /// [`CamError::NotPossible`] for an angle that is not a number.
    pub fn advanced(&self, crank_deg: f64) -> Result<Self, CamError> {
        let earlier =
            |event: ValveEvent| ValveEvent::from_cycle_deg(self.valve, event.cycle_deg(self.valve) - crank_deg);
        Self::new(self.valve, earlier(self.opens)?, earlier(self.closes)?, self.check)
    }
}

/// Middle of two angles read on a degree wheel, each with standard uncertainty `u_deg`, and its uncertainty.
///
/// This is how true top dead centre is found (piston stop, turning both ways) and how a centreline is found
/// (the same lift on either side of the nose, commonly 0.050 in below it, always turning the same way).
///
/// # Errors
/// [`CamError::NotPossible`] for angles that are not numbers or a negative uncertainty.
///
/// # Source
/// Common practice of degreeing.
pub fn middle_of_two_readings_deg(first_deg: f64, second_deg: f64, u_deg: f64) -> Result<(f64, f64), CamError> {
    finite("a degree-wheel reading", first_deg, "°")?;
    finite("a degree-wheel reading", second_deg, "°")?;
    if !(u_deg.is_finite() && u_deg >= 0.0) {
        let (what, expected) = ("the uncertainty of a degree-wheel reading", "zero or more");
        return Err(NotPossible { what, value: u_deg, unit: "°", expected }.into());
    }
    Ok((0.5 * (first_deg + second_deg), u_deg / 2.0_f64.sqrt()))
}

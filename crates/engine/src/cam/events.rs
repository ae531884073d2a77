//! Valve events: opening and closing angles at a check lift, and what follows from them.
//!
//! Model: plain geometry of the four-stroke cycle. A centreline from events is the middle between
//! opening and closing at the check lift; on a lobe whose two sides differ it is not the angle of
//! greatest lift ([`super::LiftCurve`] gives both). Left out: lash and rocker ratio, which move
//! events taken at the valve.
//!
//! # Source
//! Common practice of degreeing a camshaft. The worked card of a trade article (31/63/77/29) is
//! checked in `tests/it/cam_events.rs`.

use super::error::{CamError, finite, positive};
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
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
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
            return Err(CamError::NotPossible {
                what: "an event angle",
                value: angle_deg,
                unit: "°",
                expected: "0 to 360 with its reference; a card's minus sign means the opposite reference (ATDC \
                           instead of BTDC), which has to be stated",
            });
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
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
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
        positive("a check lift", lift_m, " m")?;
        if lift_m > 0.025 {
            return Err(CamError::NotPossible {
                what: "a check lift",
                value: lift_m,
                unit: " m",
                expected: "0.025 m (1 in) at most",
            });
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
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
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
        positive("a duration", duration_deg, "°")?;
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

/// What a pair of lobes gives at one check lift.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Timing {
    /// The check lift of every figure here.
    pub check: CheckLift,
    /// Intake duration, crank degrees.
    pub intake_duration_deg: f64,
    /// Exhaust duration, crank degrees.
    pub exhaust_duration_deg: f64,
    /// Intake centreline, crank degrees after top dead centre.
    pub intake_centreline_deg: f64,
    /// Exhaust centreline, crank degrees before top dead centre.
    pub exhaust_centreline_deg: f64,
    /// Angle between the lobes, cam degrees: half of the sum of the two centrelines.
    pub lobe_separation_cam_deg: f64,
    /// Advance ground in, crank degrees: how much earlier the pair stands than with equal
    /// centrelines; negative when ground late.
    pub advance_deg: f64,
    /// Both valves open, crank degrees: IVO + EVC. Negative when the exhaust closes first.
    pub overlap_deg: f64,
}

/// Durations, centrelines, separation, advance and overlap of an intake and an exhaust lobe.
///
/// # Errors
/// [`CamError::MixedCheckLifts`] when the two are not taken at the same check lift;
/// [`CamError::NotPossible`] when the first is not an intake or the second not an exhaust lobe.
///
/// # Source
/// Common practice; in cam degrees, separation = (ICL + ECL) / 2.
///
/// # Checked by
/// `the_published_card` in `tests/it/cam_events.rs`.
pub fn timing(intake: &LobeEvents, exhaust: &LobeEvents) -> Result<Timing, CamError> {
    if intake.valve != Valve::Intake || exhaust.valve != Valve::Exhaust {
        return Err(CamError::CardClash {
            first: format!("events of an {} valve given as intake", intake.valve),
            second: format!("events of an {} valve given as exhaust", exhaust.valve),
            why: "timing needs one intake and one exhaust lobe",
        });
    }
    if !intake.check.same_as(exhaust.check) {
        return Err(CamError::MixedCheckLifts {
            first_what: intake.valve,
            first: intake.check,
            second_what: exhaust.valve,
            second: exhaust.check,
        });
    }
    let (icl_deg, ecl_deg) = (intake.centreline_deg(), exhaust.centreline_deg());
    Ok(Timing {
        check: intake.check,
        intake_duration_deg: intake.duration_deg(),
        exhaust_duration_deg: exhaust.duration_deg(),
        intake_centreline_deg: icl_deg,
        exhaust_centreline_deg: ecl_deg,
        lobe_separation_cam_deg: 0.5 * (icl_deg + ecl_deg),
        advance_deg: 0.5 * (ecl_deg - icl_deg),
        overlap_deg: exhaust.closes.cycle_deg(Valve::Exhaust) - intake.opens.cycle_deg(Valve::Intake),
    })
}

/// Events back from durations, lobe separation and advance.
///
/// `advance_deg` is in crank degrees, `lobe_separation_cam_deg` in cam degrees.
///
/// # Errors
/// As [`LobeEvents::from_centreline`].
pub fn events_from_timing(
    intake_duration_deg: f64,
    exhaust_duration_deg: f64,
    lobe_separation_cam_deg: f64,
    advance_deg: f64,
    check: CheckLift,
) -> Result<(LobeEvents, LobeEvents), CamError> {
    positive("a lobe separation", lobe_separation_cam_deg, "° (cam)")?;
    finite("an advance", advance_deg, "°")?;
    Ok((
        LobeEvents::from_centreline(Valve::Intake, intake_duration_deg, lobe_separation_cam_deg - advance_deg, check)?,
        LobeEvents::from_centreline(
            Valve::Exhaust,
            exhaust_duration_deg,
            lobe_separation_cam_deg + advance_deg,
            check,
        )?,
    ))
}

/// Figures that a card prints beside its events; what it does not print is `None`.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct StatedTiming {
    /// Intake duration, crank degrees.
    pub intake_duration_deg: Option<f64>,
    /// Exhaust duration, crank degrees.
    pub exhaust_duration_deg: Option<f64>,
    /// Intake centreline, crank degrees after top dead centre.
    pub intake_centreline_deg: Option<f64>,
    /// Exhaust centreline, crank degrees before top dead centre.
    pub exhaust_centreline_deg: Option<f64>,
    /// Lobe separation, cam degrees.
    pub lobe_separation_cam_deg: Option<f64>,
    /// Advance ground in, crank degrees.
    pub advance_deg: Option<f64>,
    /// Overlap, crank degrees.
    pub overlap_deg: Option<f64>,
}

/// A card's events with its printed figures compared against them.
///
/// `rounding_deg` is half of the card's last digit: 0.5 for whole degrees. Each figure may differ by
/// its own rounding plus that of the events behind it. A centreline that the grinder gives at
/// greatest lift of an asymmetric lobe will be refused here; leave it out and state it with its method.
///
/// # Errors
/// [`CamError::MixedCheckLifts`] as [`timing`], or one [`CamError::CardContradictsItself`] for every
/// figure that disagrees.
pub fn check_card(
    intake: &LobeEvents,
    exhaust: &LobeEvents,
    stated: &StatedTiming,
    rounding_deg: f64,
) -> Result<Timing, Vec<CamError>> {
    positive("a rounding", rounding_deg, "°").map_err(|e| vec![e])?;
    let found = timing(intake, exhaust).map_err(|e| vec![e])?;
    let intake_words = format!("IO {}, IC {}", intake.opens, intake.closes);
    let exhaust_words = format!("EO {}, EC {}", exhaust.opens, exhaust.closes);
    let both_words = format!("{intake_words}, {exhaust_words}");
    let crossing_words = format!("IO {}, EC {}", intake.opens, exhaust.closes);
    // How many half digits of the events add up in each figure: a sum of two counts twice, a mean of two once.
    let rows = [
        ("intake duration", stated.intake_duration_deg, found.intake_duration_deg, &intake_words, 2.0),
        ("exhaust duration", stated.exhaust_duration_deg, found.exhaust_duration_deg, &exhaust_words, 2.0),
        ("intake centreline", stated.intake_centreline_deg, found.intake_centreline_deg, &intake_words, 1.0),
        ("exhaust centreline", stated.exhaust_centreline_deg, found.exhaust_centreline_deg, &exhaust_words, 1.0),
        ("lobe separation (cam)", stated.lobe_separation_cam_deg, found.lobe_separation_cam_deg, &both_words, 1.0),
        ("advance", stated.advance_deg, found.advance_deg, &both_words, 1.0),
        ("overlap", stated.overlap_deg, found.overlap_deg, &crossing_words, 2.0),
    ];
    let faults: Vec<CamError> = rows
        .into_iter()
        .filter_map(|(what, stated_deg, from_events_deg, events, halves)| {
            let stated_deg = stated_deg?;
            let allowed_deg = rounding_deg * (1.0 + halves);
            let agrees = (stated_deg - from_events_deg).abs() <= allowed_deg + 1e-9;
            (!agrees).then(|| CamError::CardContradictsItself {
                what,
                stated_deg,
                from_events_deg,
                events: events.clone(),
                allowed_deg,
            })
        })
        .collect();
    if faults.is_empty() { Ok(found) } else { Err(faults) }
}
